"""A clock that only tests move, and a folder's queue with jobs to put into it."""

from datetime import UTC, datetime, timedelta

import numpy as np

from cutpath.geometry.chain import polyline
from cutpath.model import Feature, Role, Toolpath
from cutpath.run_model import Run, RunStroke
from cutpath.send.queue.clocks import Clock
from cutpath.settings.profile import Profile, load_profile

BEGIN = datetime(2026, 3, 1, 8, tzinfo=UTC)


class Ticking(Clock):
    """Time passes only by ``sleep``; a new ``boot`` is another start of the computer."""

    def __init__(self) -> None:
        self.seconds = 0.0
        self.boot_name = "first"

    def now(self) -> str:
        at = BEGIN + timedelta(seconds=self.seconds)
        return at.isoformat(timespec="milliseconds").replace("+00:00", "Z")

    def monotonic(self) -> float:
        return self.seconds

    def sleep(self, seconds: float) -> None:
        self.seconds += seconds

    def boot(self) -> str:
        return self.boot_name


def run_of_strokes(
    count: int = 4, name: str = "bag.plt", profile: Profile | None = None, each: float = 2.0
) -> Run:
    """A run of ``count`` strokes of 20 bytes: two to a piece, a notch and an outline."""
    machine = profile or load_profile("flatbed-hpgl")
    strokes = []
    for number in range(count):
        feature = Feature.OUTLINE if number % 2 else Feature.NOTCH
        chain = polyline(np.array([(0, 10 * number), (50, 10 * number), (50, 5)]))
        path = Toolpath(Role.KNIFE, feature, f"part {number // 2 + 1}", chain)
        first = 10 + 20 * number
        seconds = each * (number + 1)
        strokes.append(RunStroke(path, "knife", first, first + 20, seconds))
    data = b"IN;PU0,0;\n" + b"PU1,2;PD3,4,5,6;PU;\n" * count + b"SP0;\n"
    pieces = tuple(dict.fromkeys(stroke.toolpath.piece for stroke in strokes))
    return Run(
        name, "bag", "flatbed-hpgl", machine, "linen", "", pieces, tuple(strokes),
        each * count + 1.0, data,
    )  # fmt: skip
