import pytest

from cutpath.effort import effort_facts, order_load, rounds_for
from cutpath.machine.clock import machine_time
from cutpath.machine.motion import moves_for
from cutpath.model import Load
from cutpath.settings.profile import load_profile
from tests.path.placed import busy


def load(count: int) -> Load:
    pieces = [busy(f"p{i}", 250.0 * (i % 5) + 20, 200.0 * (i // 5) + 20, 200, 150)
              for i in range(count)]  # fmt: skip
    return Load("acrylic", 1, tuple(pieces))


@pytest.mark.parametrize("name", ["gantry-rs274", "flatbed-hpgl"])
@pytest.mark.parametrize("count", [1, 7])
def test_nothing_is_told_to_take_less_than_its_bound(name: str, count: int) -> None:
    profile = load_profile(name)
    ordered = order_load(load(count), profile, 2)
    clock = machine_time(moves_for(ordered.toolpaths, profile), profile)
    facts = effort_facts(ordered, clock, profile)
    for what in ("travel", "changes", "waits", "total"):
        told, least = facts[f"{what}_s"], facts[f"{what}_least_s"]
        assert told is not None
        assert least is not None
        assert 0 <= least <= told + 0.1
    parts = [facts[key] or 0 for key in ("tool_down_s", "lifts_s", "travel_s", "changes_s")]
    total = facts["total_s"]
    assert total is not None
    assert sum(parts) + (facts["waits_s"] or 0) == pytest.approx(total, abs=0.5)


def test_many_loads_get_less_effort_unless_somebody_says_so() -> None:
    some = [load(1)]
    assert rounds_for(some) > rounds_for(some * 8) > rounds_for(some * 40) == 0
    assert rounds_for(some * 40, 9) == 9
