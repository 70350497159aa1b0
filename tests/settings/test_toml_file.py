import math
from collections.abc import Mapping
from pathlib import Path
from typing import Literal

import pytest
from hypothesis import given, strategies as st
from pydantic import Field

from cutpath.errors import InputError
from cutpath.settings.quantities import Angle, Extent, Length, Seconds, Size
from cutpath.settings.toml_file import Settings, line_of, load_toml


class Bolt(Settings):
    width: Size
    spare: Extent = 0.0


class Shop(Settings):
    name: str
    bolts: Mapping[str, Bolt] = Field(default_factory=dict)
    tools: tuple[Bolt, ...] = ()
    shift: Length = 0.0
    turn: Angle = 0.0
    wait: Seconds = 0.0
    speed: float = 1.0
    reach: Length = Field(0.0, le=50)
    bits: Literal[7, 8] = 8


def loaded(folder: Path, text: str) -> Shop:
    path = folder / "shop.toml"
    path.write_text(text, encoding="utf-8")
    return load_toml(path, Shop)


def mistake(folder: Path, text: str) -> InputError:
    with pytest.raises(InputError) as caught:
        loaded(folder, text)
    return caught.value


def test_quantities_become_mm_radians_and_seconds(tmp_path: Path) -> None:
    shop = loaded(
        tmp_path,
        'name = "x"\nshift = "-1/2 in"\nturn = "25 deg"\nwait = "200 ms"\n[bolts.a]\nwidth = 2.5\n',
    )
    assert shop.shift == -12.7
    assert shop.turn == pytest.approx(math.radians(25))
    assert shop.wait == pytest.approx(0.2)
    assert shop.bolts["a"].width == 2.5


@pytest.mark.parametrize(
    ("said", "told", "remedy"),
    [
        ("speed = '300 mm/s'", "must be a number, not '300 mm/s'", "without quotes and unit"),
        ("reach = '12 in'", "must be at most 50, not 304.8", ""),  # 1 in = 25.4 mm
        ("bits = 9", "'9' is not known here", "Known here: 7, 8."),
    ],
)
def test_a_mistake_is_told_in_words_and_short_numbers(
    tmp_path: Path, said: str, told: str, remedy: str
) -> None:
    error = mistake(tmp_path, f'name = "x"\n{said}\n')
    assert error.message == told
    assert remedy in error.remedy


@pytest.mark.parametrize(
    ("body", "line", "key", "says"),
    [
        ("[bolts.a]\nwidht = 3\nwidth = 3", 3, "bolts.a.widht", "Did you mean 'width'?"),
        ("[bolts.a]\nspare = 3", 2, "bolts.a.width", "'width' is missing"),
        ("[bolts.a]\nwidth = '3 furlongs'", 3, "bolts.a.width", "unknown unit 'furlongs'"),
        ("[bolts.a]\nwidth = 0", 3, "bolts.a.width", "must be more than 0"),
        ("[bolts]\na = { width = 3,\nspare = true }", None, "", "not valid TOML"),
        ("[bolts]\na = { width = 3, spare = true }", 3, "bolts.a.spare", "a length is a number"),
        ("bolts.a.width = -3", 2, "bolts.a.width", "more than 0"),
        ("[[tools]]\nwidth = 1\n[[tools]]\n\nwidth = 'x'", 6, "tools[2].width", "not a length"),
        ('[bolts."a b"]\nwidth = 3\nspool = 1', 4, 'bolts."a b".spool', "unknown key 'spool'"),
        ("bolts = 3", 2, "bolts", "must be a table"),
        ("turn = '5 gon'", 2, "turn", "'5 gon' is not understood"),
        ("wait = -1", 2, "wait", "not understood"),
        ("name2 = 1", 2, "name2", "Did you mean 'name'?"),
    ],
)
def test_a_mistake_has_its_line_and_key(
    tmp_path: Path, body: str, line: int | None, key: str, says: str
) -> None:
    error = mistake(tmp_path, f'name = "x"\n{body}\n')
    if line is not None:
        assert (error.source.line, error.source.key) == (line, key)
    assert error.source.file == "shop.toml"
    assert says in str(error)


def test_the_first_mistake_is_told_and_the_others_listed(tmp_path: Path) -> None:
    error = mistake(tmp_path, "colour = 1\nname = 'x'\nwait = 'x'\n[bolts.a]\n")
    assert error.source.line == 1
    assert "And 2 more mistakes:" in error.remedy
    assert "shop.toml:3, wait" in error.remedy
    assert "shop.toml:4, bolts.a.width" in error.remedy


@pytest.mark.parametrize(
    ("text", "line"), [("a = 1\nb = \n", 2), ("a = 1\nb = [1,\n", 2), ("name = Bow shelter", 1)]
)
def test_broken_toml_is_told_with_its_line(tmp_path: Path, text: str, line: int) -> None:
    error = mistake(tmp_path, text)
    assert error.source.line == line
    assert "not valid TOML" in error.message


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        load_toml(tmp_path / "none.toml", Shop)
    with pytest.raises(InputError, match="cannot be read"):
        load_toml(tmp_path, Shop)
    (tmp_path / "latin.toml").write_bytes(b'name = "\xe9"')
    with pytest.raises(InputError, match="UTF-8"):
        load_toml(tmp_path / "latin.toml", Shop)
    (tmp_path / "deep.toml").write_text("a = " + "[" * 100_000)
    with pytest.raises(InputError, match="deep"):
        load_toml(tmp_path / "deep.toml", Shop)
    (tmp_path / "bom.toml").write_bytes(b"\xef\xbb\xbfname = 'x'\r\n")
    assert load_toml(tmp_path / "bom.toml", Shop).name == "x"


TRICKY = '''# a [comment]
"quoted # key" = "a ] } # text"
long = """
[not.a.table]
x = 1 ""\\"""""

[first]      # one
deep.er = { a = 1, 'b c' = [ 2,
  # inside
  { d = 4 }, ] }
[[list]]
v = 1
[list.sub]
w = 2
[[list]]
v = 1979-05-27T07:32:00Z
'''


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("quoted # key",), 2),
        (("long",), 3),
        (("first",), 7),
        (("first", "deep", "er", "a"), 8),
        (("first", "deep", "er", "b c", 1, "d"), 10),
        (("list", 0, "sub", "w"), 14),
        (("list", 1), 15),
        (("list", 1, "v"), 16),
        (("list", 1, "nothing"), 15),
        (("nothing",), None),
    ],
)
def test_lines_of_keys(path: tuple[str | int, ...], line: int | None) -> None:
    assert line_of(TRICKY, path) == line


words = st.text("abc]}#=,\n'\"\\ é", max_size=6)


@given(st.dictionaries(words, words, min_size=1, max_size=6))
def test_any_quoted_text_keeps_its_line(pairs: dict[str, str]) -> None:
    def quoted(word: str) -> str:
        escaped = word.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
        return f'"{escaped}"'

    text = "".join(f"{quoted(key)} = {quoted(value)}\n" for key, value in pairs.items())
    for number, key in enumerate(pairs, start=1):
        assert line_of(text, (key,)) == number
