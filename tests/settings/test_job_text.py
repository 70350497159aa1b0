"""A first job's text: any name that a drawing can hold comes back as it was."""

from __future__ import annotations

import tomllib

from hypothesis import given, settings, strategies as st

from cutpath.settings.job_file import JobFile
from cutpath.settings.job_text import (
    EdgeText,
    JobText,
    PanelText,
    SeamText,
    job_text,
    key,
    quoted,
    remark,
)
from cutpath.settings.toml_file import checked

NASTY = 'a "b" \\ c.d\n[e] # f\r\t\x00\x7f\x85\u2028é 日本 \U0001f9f5\ufeff'
# A lone surrogate cannot stand in a UTF-8 file, and no reader of drawings gives one.
names = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)


def panel(name: str, drawn: str, edges: tuple[EdgeText, ...] = ()) -> PanelText:
    return PanelText(name, drawn, (('inner = "draw"', drawn),), edges)


def job(name: str, panels: tuple[PanelText, ...] = (), seams: tuple[SeamText, ...] = ()) -> JobText:
    return JobText(name, name, None, None, panels, seams)


@given(names, names, names, names)
@settings(max_examples=300)
def test_every_name_comes_back_as_it_was(name: str, drawn: str, edge: str, words: str) -> None:
    edges = (EdgeText("e1", edge + "/", "hem", words), EdgeText(edge, edge, "", words))
    seams = (
        SeamText((f"{name}/{edge}", "b/e1"), True, (words,), False),
        SeamText((edge, drawn), False, (words, words), True),
    )
    text = job_text(job(drawn, (panel(name, drawn, edges),), seams))
    read = tomllib.loads(text)
    assert read["name"] == read["drawing"] == drawn
    assert list(read["panels"]) == [name]
    assert read["panels"][name]["from"] == drawn
    assert read["panels"][name]["edges"] == {"e1": {"is": edge + "/"}}
    assert read["seam"] == [{"join": [f"{name}/{edge}", "b/e1"], "same_way": True}]
    text.encode("utf-8")


@given(names)
def test_a_key_and_a_string_are_read_back(name: str) -> None:
    assert tomllib.loads(f"{key(name)} = {quoted(name)}") == {name: name}


@given(st.text(max_size=20))
def test_a_remark_stays_on_its_line(words: str) -> None:
    assert tomllib.loads(f"# {remark(words)}\na = 1") == {"a": 1}


def test_nasty_names_are_quoted_and_plain_ones_are_not() -> None:
    text = job_text(job(NASTY, (panel("port-side", NASTY), panel(NASTY, NASTY))))
    assert "[panels.port-side]" in text
    assert tomllib.loads(text)["panels"][NASTY]["from"] == NASTY


def test_the_usual_widths_are_said_and_the_schema_takes_them() -> None:
    edges = (EdgeText("aft", "aft", "zip", "1807.4 mm, 1 mark"),)
    text = job_text(JobText("Hood", "../hood.dxf", "in", 0.5, (panel("top", "TOP", edges),), ()))
    said = checked(tomllib.loads(text), text, "job.toml", JobFile)
    assert said == JobFile.model_validate(
        {
            "name": "Hood",
            "drawing": "../hood.dxf",
            "units": "in",
            "join": "0.5 mm",
            "panels": {"top": {"from": "TOP"}},
        }
    )
    assert said.finishes.hem.width == 25.4


def test_what_is_offered_holds_once_its_sign_is_taken_away() -> None:
    edges = (EdgeText("aft", "aft", "zip", "free"), EdgeText("é.1", "é.1", "hem", "free"))
    seams = (SeamText(("top/aft", "top/é.1"), True, ("perhaps (50%)",), True),)
    text = job_text(job("hood.dxf", (panel("top", "TOP", edges),), seams))
    offered = [
        line[2:] if line.startswith("# ") and ("=" in line or line.startswith("# [")) else line
        for line in text.splitlines()
    ]
    said = JobFile.model_validate(tomllib.loads("\n".join(offered)))
    assert said.panels["top"].edges["é.1"].finish == "hem"
    assert said.panels["top"].mirrored == 1
    assert said.seam[0].join == ("top/aft", "top/é.1")
    assert said.seam[0].same_way
    assert said.cloths["main"].width == 1500


def test_without_seams_the_job_says_how_they_are_written() -> None:
    text = job_text(job("hood.dxf", (panel("top", "TOP"),)))
    assert "No seam was found" in text
    assert "seam" not in tomllib.loads(text)
