"""Real pseudo-terminals and sockets: machines as processes of their own."""

import os
from pathlib import Path
from typing import Any

import pytest

from cutpath.run_model import Run
from cutpath.send.flows import flow_of
from cutpath.send.opening import open_channel
from cutpath.send.sending import send_bytes
from cutpath.send.trouble import Trouble
from cutpath.send.watching import End, Ended, Unwatched
from tests.send.runs import a_run, profile_with
from tests.send.served import serving

needs_pty = pytest.mark.skipif(os.name != "posix", reason="pseudo-terminals are POSIX's")
WAYS = [("tcp", flow) for flow in ("plain", "enquire", "buffer space", "line reply")] + [
    pytest.param("pty", flow, marks=needs_pty)
    for flow in ("plain", "xon-xoff", "enquire", "buffer space", "line reply")
]


def sent_to(
    tmp_path: Path, way: str, flow: str, faults: dict[str, Any], strokes: int = 12, **spec: Any
) -> tuple[Run, bytes, Ended]:
    log = tmp_path / "obeyed"
    spec = {"flow": flow, "buffer": 512, "block": 80, "pace": 0.001, **spec}
    with serving(way, log, spec, faults) as place:
        reach = {"address": place} if way == "tcp" else {"port": place, "baud": 115_200}
        profile = profile_with(
            "rs274" if flow == "line reply" else "hp-gl",
            way="tcp" if way == "tcp" else "serial",
            flow=flow, buffer=spec["buffer"], block=spec["block"], timeout=1.0, **reach,
        )  # fmt: skip
        run = a_run(profile, strokes, vertices=9)
        ended = send_bytes(
            run, open_channel(profile.link, run.name), flow_of(profile.link), Unwatched()
        )
    return run, log.read_bytes(), ended


@pytest.mark.parametrize(("way", "flow"), WAYS)
def test_every_instruction_is_obeyed_once(tmp_path: Path, way: str, flow: str) -> None:
    run, obeyed, ended = sent_to(tmp_path, way, flow, {})
    assert ended.how is End.FINISHED
    assert obeyed == run.data
    assert ended.is_done == (flow in {"buffer space", "line reply"})


@pytest.mark.parametrize(("way", "flow"), WAYS)
def test_a_link_that_breaks_leaves_a_prefix_and_says_so(
    tmp_path: Path, way: str, flow: str
) -> None:
    run, obeyed, ended = sent_to(tmp_path, way, flow, {"drop_at": 700}, strokes=200)
    assert ended.how is End.FAULTED
    assert ended.fault is not None
    assert ended.fault.trouble is Trouble.LOST
    assert run.data.startswith(obeyed)
    assert ended.done <= len(obeyed) <= ended.sent
    assert run.stroke_at(len(obeyed)) in ended.in_doubt(run)


@needs_pty
def test_a_refused_line_stops_the_job_with_the_tool_up(tmp_path: Path) -> None:
    run, obeyed, ended = sent_to(tmp_path, "pty", "line reply", {"error_at": 30}, buffer=128)
    assert ended.how is End.FAULTED
    assert ended.fault is not None
    line = run.data.split(b"\n")[30].decode()
    assert f"'{line}'" in ended.fault.words
    assert ended.tool_up
    assert obeyed.endswith(b"G0 Z5\nG0 X0 Y0\nM2\n")
    assert line.encode() not in obeyed


@needs_pty
def test_noise_ends_a_job_in_plain_words(tmp_path: Path) -> None:
    noise = {"garbage_at": 300, "garbage": "ff41"}
    _, _, ended = sent_to(tmp_path, "pty", "buffer space", noise)
    assert ended.fault is not None
    assert ended.fault.trouble is Trouble.NOISE
    assert "no answer to what it was asked" in ended.fault.words
