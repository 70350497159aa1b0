"""The run file: what is read back is what was written, to the last bit, or one clear error."""

import json
from dataclasses import fields
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, strategies as st

from cutpath.errors import InputError
from cutpath.geometry.chain import Chain, make_chain, polyline
from cutpath.model import Feature, Pause, Role, Toolpath, Trial
from cutpath.run_model import Run, RunStroke
from cutpath.settings.profile import Profile, load_profile, shipped_profiles
from cutpath.settings.quantities import IN_RADIANS
from cutpath.settings.run_file import read_run, run_file_name, run_from, run_text, signed

NUMBER = st.floats(-1e6, 1e6)
BEND = st.one_of(st.just(0.0), st.floats(-1, 1))


@st.composite
def chains(draw: st.DrawFn) -> Chain:
    points = draw(st.lists(st.tuples(NUMBER, NUMBER), min_size=2, max_size=6))
    closed = draw(st.booleans())
    count = len(points) - (not closed)
    bulges = draw(st.lists(BEND, min_size=count, max_size=count))
    return make_chain(np.array(points), np.array(bulges), closed=closed)


@st.composite
def runs(draw: st.DrawFn) -> Run:
    pieces = tuple(draw(st.lists(st.text(min_size=1, max_size=5), min_size=1, unique=True)))
    lengths = draw(st.lists(st.integers(1, 50), max_size=5))
    at, strokes, now = draw(st.integers(0, 20)), [], 0.0
    for length in lengths:
        pause = draw(st.none() | st.builds(Pause, st.tuples(NUMBER, NUMBER).map(np.array), NUMBER))
        path = Toolpath(
            draw(st.sampled_from(Role)),
            draw(st.sampled_from(Feature)),
            draw(st.sampled_from(("", *pieces))),
            draw(chains()),
            pause,
            draw(st.sampled_from([Trial(), Trial("knife", 80.0, None, 1.5), Trial(force=9)])),
            draw(st.sampled_from([0.0, 812.5])),
        )
        now += draw(st.floats(0, 1e4))
        strokes.append(RunStroke(path, draw(st.text(max_size=4)), at, at + length, now))
        at += length
    data = draw(st.binary(min_size=at, max_size=at + 20))
    profile = load_profile(draw(st.sampled_from(sorted(shipped_profiles()))))
    job, machine, cloth = (draw(st.text(max_size=8)) for _ in range(3))
    steps = tuple(strokes)
    return Run("a.plt", job, machine, profile, cloth, "", pieces, steps, now, data)


def said(value: Any) -> Any:
    """All of a value, arrays by their bytes."""
    if isinstance(value, np.ndarray):
        return value.dtype.str, value.shape, value.tobytes()
    if isinstance(value, Profile | str | bytes | float | int) or value is None:
        return value
    if isinstance(value, tuple):
        return tuple(said(each) for each in value)
    return tuple(said(getattr(value, field.name)) for field in fields(value))


@given(runs())
def test_what_is_read_back_is_what_was_written(run: Run) -> None:
    text = run_text(run)
    assert run_text(run) == text
    back = run_from(text.decode("utf-8"), run.data, "a.run.json")
    assert said(back) == said(run)
    assert back.profile.digest() == run.profile.digest()


@pytest.mark.parametrize("name", sorted(shipped_profiles()))
def test_a_resolved_profile_needs_no_other_file(name: str) -> None:
    profile = load_profile(name)
    text = json.dumps(profile.model_dump(mode="json"))
    assert Profile.model_validate(json.loads(text), context=IN_RADIANS) == profile


def small_run() -> Run:
    profile = load_profile("flatbed-hpgl")
    data = b"IN;SP2;PU0,0;PD400,0;PU;PU0,9;PD0,800;PU;SP0;"
    first = Toolpath(Role.KNIFE, Feature.OUTLINE, "wing", polyline([(0, 0), (10, 0), (0, 9)]))
    second = Toolpath(Role.KNIFE, Feature.NOTCH, "keel", polyline([(0, 0), (0, 20)]))
    strokes = (RunStroke(first, "knife", 3, 24, 2.0), RunStroke(second, "knife", 24, 41, 3.0))
    pieces = ("wing", "keel")
    return Run("a.plt", "boat", "flatbed-hpgl", profile, "linen", "", pieces, strokes, 3.5, data)


def written(run: Run, folder: Path) -> Path:
    (folder / "a.plt").write_bytes(run.data)
    (folder / "a.run.json").write_bytes(run_text(run))
    return folder / "a.plt"


def test_a_run_is_read_by_either_of_its_files(tmp_path: Path) -> None:
    path = written(small_run(), tmp_path)
    for each in (path, tmp_path / run_file_name("a.plt")):
        assert said(read_run(each)) == said(small_run())


def test_places_in_the_bytes() -> None:
    run = small_run()
    assert [run.stroke_at(byte) for byte in (0, 3, 23, 24, 40, 41, 44)] == [-1, 0, 0, 1, 1, 2, 2]
    assert [run.seconds_at(byte) for byte in (0, 3, 24, 41, 45)] == [0, 0, 2.0, 3.0, 3.5]
    assert run.seconds_at(24 + 17 // 2) == pytest.approx(2 + 8 / 17)
    assert (run.preamble, run.ending) == (3, 41)
    assert [run.strokes[number].words for number in run.strokes_of("keel")] == ["notch of keel"]


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        ("version", 2, "later cutpath"),
        ("points", "AAAA", "damaged"),
        ("points", "not base64!", "damaged"),
        ("strokes", [], "damaged"),
        ("preamble", 30, "damaged"),
        ("pieces", ["wing"], "damaged"),
        ("profile", {"name": "x"}, "damaged"),
        ("unheard", 1, "damaged"),
        ("sha256", "0" * 64, "not the machine file"),
    ],
)
def test_damage_is_told(key: str, value: object, words: str) -> None:
    facts = json.loads(run_text(small_run()))
    del facts["check"]
    facts[key] = value
    text = signed(json.dumps(facts)[1:]).decode("utf-8")
    with pytest.raises(InputError, match=words) as caught:
        run_from(text, small_run().data, "a.run.json")
    assert caught.value.remedy


@given(st.data())
def test_one_changed_sign_is_found(data: st.DataObject) -> None:
    text = run_text(small_run()).decode("utf-8")
    place = data.draw(st.integers(0, len(text) - 1))
    other = data.draw(st.characters(codec="ascii").filter(lambda sign: sign != text[place]))
    changed = text[:place] + other + text[place + 1 :]
    with pytest.raises(InputError):
        run_from(changed, small_run().data, "a.run.json")


def test_what_lies_there_is_told(tmp_path: Path) -> None:
    path = written(small_run(), tmp_path)
    path.write_bytes(b"IN;")
    with pytest.raises(InputError, match="not the machine file"):
        read_run(path)
    path.unlink()
    with pytest.raises(InputError, match="cannot be read"):
        read_run(tmp_path / "a.run.json")
    for text in ("", "[]", "{", "\x00", "[" * 100_000):
        (tmp_path / "a.run.json").write_text(text, encoding="utf-8")
        with pytest.raises(InputError, match="damaged"):
            read_run(path)
    (tmp_path / "a.run.json").unlink()
    path.write_bytes(b"IN;")
    with pytest.raises(InputError, match=r"there is no a\.run\.json"):
        read_run(path)
    with pytest.raises(InputError, match=r"b\.plt: there is no such file"):
        read_run(tmp_path / "b.plt")
