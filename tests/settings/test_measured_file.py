"""``measured.toml``: readings with units, and every mistake with its line, key and mend."""

from pathlib import Path

import pytest

from cutpath.errors import InputError
from cutpath.settings.measured_file import Measured, read_measured

HEAD = 'profile = "flatbed-hpgl"\ndigest = "0123456789abcdef"\n'
SCALE = (
    '[[pattern]]\nname = "scale"\nsize = ["600 mm", "400 mm"]\nuncertainty = "0.1 mm"\n'
    "[pattern.readings]\n"
)


def _read(folder: Path, text: str) -> Measured:
    path = folder / "measured.toml"
    path.write_text(text, encoding="utf-8")
    return read_measured(path)


def _refused(folder: Path, text: str) -> InputError:
    with pytest.raises(InputError) as error:
        _read(folder, text)
    return error.value


def test_readings_take_any_unit_and_empty_ones_are_not_measured(tmp_path: Path) -> None:
    text = HEAD + SCALE + 'near = "23 5/8 in"\nfar = "60.03 cm"\nleft = 399.8\nright = ""\n'
    (made,) = _read(tmp_path, text).patterns
    assert [(each.key, round(each.mm, 6)) for each in made.readings] == [
        ("near", 600.075),
        ("far", 600.3),
        ("left", 399.8),
    ]
    assert [each.digits for each in made.readings] == ["", "60.03", "399.8"]
    assert [round(each.unit_mm, 6) for each in made.readings] == [1.0, 10.0, 1.0]
    assert made.readings[1].source.line == 9


def test_a_reading_may_be_less_sure_than_the_others(tmp_path: Path) -> None:
    text = HEAD + SCALE + 'near = 600\nfar = 600\n[pattern.uncertainties]\nfar = "0.5 mm"\n'
    (made,) = _read(tmp_path, text).patterns
    assert [each.uncertainty for each in made.readings] == [0.1, 0.5]


def test_each_tool_has_a_table(tmp_path: Path) -> None:
    text = HEAD + (
        '[[pattern]]\nname = "tools"\nreference = "pen"\ntools = ["knife", "drill"]\n'
        'uncertainty = "0.05 mm"\n[pattern.told.knife]\ndx1 = "0 mm"\n'
        '[pattern.readings.knife]\ndx1 = "-0.35 mm"\n[pattern.readings.drill]\ndy2 = 12\n'
    )
    (made,) = _read(tmp_path, text).patterns
    assert [(each.tool, each.key, each.mm) for each in made.readings] == [
        ("knife", "dx1", -0.35),
        ("drill", "dy2", 12.0),
    ]


def test_a_pattern_made_twice_has_two_names(tmp_path: Path) -> None:
    text = HEAD + SCALE + "near = 600\n" + SCALE + "near = 600\n"
    assert [made.label for made in _read(tmp_path, text).patterns] == ["scale", "scale 2"]


@pytest.mark.parametrize(
    ("text", "line", "message", "remedy"),
    [
        (HEAD + SCALE + "neer = 600\n", 8, "no reading 'neer'", "Did you mean 'near'?"),
        (HEAD + SCALE + 'near = "600,3 mm"\n', 8, "readings.near: '600,3 mm'", "decimal point"),
        (HEAD + '[[pattern]]\nname = "scales"\n', 4, "'scales' is no pattern", "mean 'scale'?"),
        (HEAD + "[[pattern]]\nsize = 3\n", 3, "'name' is missing", "scale"),
        (HEAD + SCALE.replace("uncer", "tol = 1\nuncer"), 6, "unknown key 'tol'", "mean 'tool'?"),
        (HEAD + SCALE.replace('"0.1 mm"', "0"), 6, "must be more than 0", ""),
        (HEAD + "nosuch = 1\n" + SCALE, 3, "unknown key 'nosuch'", "pattern"),
        (HEAD + SCALE.replace("[pattern.readings]", "readings = 3"), 7, "must be a table", "above"),
        (HEAD, None, "'pattern' is missing", "Add"),
    ],
)
def test_mistakes(tmp_path: Path, text: str, line: int | None, message: str, remedy: str) -> None:
    error = _refused(tmp_path, text)
    assert message in str(error)
    assert remedy in error.remedy
    assert error.source.line == line
