"""What may be asked of patterns: sizes, tools, values; and what is refused, with the way out."""

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from cutpath.bench.catalogue import make_pattern
from cutpath.bench.pattern_model import Pattern, Wish
from cutpath.errors import CutpathError, InputError, MachineError
from cutpath.geometry.measure import bounds
from cutpath.settings.profile import Profile, load_profile
from cutpath.settings.quantities import IN_RADIANS

FLATBED = load_profile("flatbed-hpgl")


def _turned(origin: str, x: str, y: str) -> Profile:
    said = FLATBED.bed.model_dump() | {"origin": origin, "x": x, "y": y, "cloth_runs": None}
    return Profile.model_validate(FLATBED.model_dump() | {"bed": said}, context=IN_RADIANS)


def _box(pattern: Pattern) -> tuple[float, float, float, float]:
    boxes = np.array([bounds(path.chain) for frame in pattern.frames for path in frame.strokes])
    low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    return (*low.tolist(), *high.tolist())


@settings(max_examples=25)
@given(
    name=st.sampled_from(["scale", "backlash", "tools", "repeat", "drill"]),
    size=st.tuples(st.floats(400, 3100), st.floats(250, 1700)),
    origin=st.sampled_from(["near left", "near right", "far left", "far right", "middle"]),
    axes=st.sampled_from(
        [("right", "away"), ("away", "right"), ("left", "near"), ("near", "left")]
    ),
)
def test_patterns_have_the_size_asked_for_and_keep_the_margin(
    name: str, size: tuple[float, float], origin: str, axes: tuple[str, str]
) -> None:
    profile = _turned(origin, *axes)
    across = size if axes[0] in {"right", "left"} else size[::-1]
    try:
        pattern = make_pattern(name, profile, Wish(size=across))
    except InputError:
        # Only the least size along an axis may stand in the way.
        assert min(size) < 400
        return
    low_x, low_y, high_x, high_y = _box(pattern)
    margin = profile.bed.margin
    assert min(low_x, low_y) >= margin
    assert high_x <= profile.bed.width - margin
    assert high_y <= profile.bed.height - margin
    if name == "scale":
        assert (high_x - low_x, high_y - low_y) == pytest.approx((size[0] + 16, size[1] + 16))
        told = {gauge.key: gauge.told for gauge in pattern.gauges}
        assert (told["near"], told["left"]) == pytest.approx(across)
        assert told["rising"] == pytest.approx(np.hypot(*size))


@pytest.mark.parametrize(
    ("name", "machine", "wish", "words"),
    [
        ("scales", "flatbed-hpgl", Wish(), "there is no pattern 'scales'"),
        ("scale", "flatbed-hpgl", Wish(size=(9000, 100)), "a size of 9000 mm along x cannot be"),
        ("scale", "flatbed-hpgl", Wish(size=(600, 3)), "a size of 3 mm along y cannot be"),
        ("scale", "flatbed-hpgl", Wish(tool="knofe"), "has no tool 'knofe'"),
        ("scale", "flatbed-hpgl", Wish(tool="drill"), "is a drill, and this pattern needs a pen"),
        ("tools", "flatbed-hpgl", Wish(tool="pen"), "the others are compared with"),
        ("scale", "flatbed-hpgl", Wish(values="1mm,2mm"), "takes no --values"),
        ("overcut", "flatbed-hpgl", Wish(values="1mm"), "2 to 12 different numbers"),
        ("overcut", "flatbed-hpgl", Wish(values="1mm,1mm"), "2 to 12 different numbers"),
        ("overcut", "flatbed-hpgl", Wish(values="0mm,90mm"), "lie between 0 and 10 mm"),
        ("overcut", "flatbed-hpgl", Wish(values="0mm,2 parsec"), "unknown unit 'parsec'"),
        ("ladder", "flatbed-hpgl", Wish(values="fast,slow"), "'fast' is not a number"),
        ("ladder", "flatbed-hpgl", Wish(values="100,200/1.5,2"), "forces are whole numbers"),
        ("lift", "gantry-rs274", Wish(values="1mm,20mm"), "lie between 0.2 and 8 mm"),
    ],
)
def test_wishes_that_cannot_be_are_told(name: str, machine: str, wish: Wish, words: str) -> None:
    with pytest.raises(InputError, match=words) as caught:
        make_pattern(name, load_profile(machine), wish)
    assert caught.value.remedy


@pytest.mark.parametrize(
    ("name", "machine", "words"),
    [
        ("lift", "flatbed-hpgl", "says only up and down"),
        ("blade", "paper-plotter", "needs a drag knife"),
        ("tools", "paper-plotter", "needs two tools"),
        ("drill", "paper-plotter-small", "needs a drill"),
    ],
)
def test_a_machine_without_the_tool_is_told_what_it_can_make(
    name: str, machine: str, words: str
) -> None:
    with pytest.raises(MachineError, match=words) as caught:
        make_pattern(name, load_profile(machine), Wish())
    assert "It can make: scale, backlash" in caught.value.remedy
    assert caught.value.exit_code == 3


def test_a_blade_that_the_file_turns_has_no_trail() -> None:
    gantry = load_profile("gantry-rs274")
    knife = gantry.tools["knife"].model_copy(update={"turned": True, "lift_angle": None})
    turned = gantry.model_copy(update={"tools": {**gantry.tools, "knife": knife}})
    with pytest.raises(MachineError, match="turns the blade of 'knife'"):
        make_pattern("blade", turned, Wish())


def test_a_machine_with_knives_alone_makes_patterns_without_letters() -> None:
    tools = {"knife": FLATBED.tools["knife"]}
    knives = FLATBED.model_copy(update={"tools": tools})
    for name in ("scale", "backlash", "blade", "overcut", "ladder", "repeat", "advance"):
        pattern = make_pattern(name, knives, Wish())
        assert not any(frame.labels for frame in pattern.frames)


def test_a_bed_too_small_is_told() -> None:
    small = FLATBED.model_copy(update={"bed": FLATBED.bed.model_copy(update={"height": 120.0})})
    with pytest.raises(MachineError, match="the pattern needs"):
        make_pattern("backlash", small, Wish())
    smaller = FLATBED.model_copy(update={"bed": FLATBED.bed.model_copy(update={"height": 40.0})})
    with pytest.raises(CutpathError, match="no room"):
        make_pattern("scale", smaller, Wish())


def test_values_are_what_is_tried() -> None:
    pattern = make_pattern("ladder", FLATBED, Wish(values="50,100/5,9,12", tool="knife"))
    forces = [path.trial.force for path in pattern.frames[0].strokes]
    speeds = [path.trial.speed for path in pattern.frames[0].strokes]
    assert forces == [5, 9, 12, 5, 9, 12]
    assert speeds == [50, 50, 50, 100, 100, 100]
    lifts = make_pattern("lift", load_profile("gantry-rs274"), Wish(values="1mm,3mm"))
    assert lifts.settings["values"] == ("3 mm", "1 mm")
