"""Orders against published shortest tours.

berlin52 (52 places in Berlin; M. Grötschel) from TSPLIB: G. Reinelt, "TSPLIB: a traveling salesman
problem library", ORSA Journal on Computing 3, 1991. Its shortest tour is 7542 (the library's
list of solutions). Distances are rounded to whole numbers (EUC_2D).
"""

import numpy as np
import pytest

from cutpath.path.order.stops import Measure, Stop, Work, travel
from cutpath.path.order.touring import best_route
from tests.benchmarks.order_data import BEST_KNOWN, DATA, OPTIMA, points_of, tours_of_clusters

BERLIN = [
    (565, 575),
    (25, 185),
    (345, 750),
    (945, 685),
    (845, 655),
    (880, 660),
    (25, 230),
    (525, 1000),
    (580, 1175),
    (650, 1130),
    (1605, 620),
    (1220, 580),
    (1465, 200),
    (1530, 5),
    (845, 680),
    (725, 370),
    (145, 665),
    (415, 635),
    (510, 875),
    (560, 365),
    (300, 465),
    (520, 585),
    (480, 415),
    (835, 625),
    (975, 580),
    (1215, 245),
    (1320, 315),
    (1250, 400),
    (660, 180),
    (410, 250),
    (420, 555),
    (575, 665),
    (1150, 1160),
    (700, 580),
    (685, 595),
    (685, 610),
    (770, 610),
    (795, 645),
    (720, 635),
    (760, 650),
    (475, 960),
    (95, 260),
    (875, 920),
    (700, 500),
    (555, 815),
    (830, 485),
    (1170, 65),
    (830, 610),
    (605, 625),
    (595, 360),
    (1340, 725),
    (1740, 245),
]
SHORTEST = 7542
ROUNDED = Measure(lambda d: float(int(d + 0.5)), lambda d: np.floor(np.asarray(d) + 0.5))


def berlin(first: int = 0) -> Work:
    points = np.roll(np.array(BERLIN, dtype=float), -first, axis=0)
    stops = [Stop(point[None], point[None]) for point in points[1:]]
    return Work(stops, points[0], points[0], ROUNDED)


@pytest.mark.parametrize("first", [0, 17, 40])
def test_the_tour_of_berlin_is_as_short_as_is_known(first: int) -> None:
    work = berlin(first)
    found = travel(work, best_route(work, 8))
    assert found >= SHORTEST  # it is the optimum: less would mean that distances are wrong
    assert found <= SHORTEST * 1.005


def test_drill_marks_doubled_into_places_to_begin_are_no_longer() -> None:
    # Each place may be passed here or 5000 m off: the tour is the same.
    work = berlin()
    far = [Stop(np.concatenate([s.entries + 5e6, s.entries]), np.concatenate(
        [s.exits + 5e6, s.exits])) for s in work.stops]  # fmt: skip
    twofold = Work(far, work.start, work.end, ROUNDED)
    assert travel(twofold, best_route(twofold, 8)) <= SHORTEST * 1.01


@pytest.mark.skipif(not DATA.is_dir(), reason="the open data sets are not at hand")
def test_one_of_each_cluster_is_near_the_best_known() -> None:
    works = tours_of_clusters(points_of("kroA200"))
    found = min(travel(work, best_route(work, 4)) for work in works)
    assert BEST_KNOWN["kroA200"] <= found <= BEST_KNOWN["kroA200"] * 1.03
    assert OPTIMA["berlin52"] == SHORTEST
