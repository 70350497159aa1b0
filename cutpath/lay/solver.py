"""The packing library, alone in its own process: it may panic, and it cannot be told to stop.

Reads one task as JSON from standard input and writes each better packing as one line of JSON, the
best last. Nothing else of cutpath needs to know the library; run it with ``python -m``.
"""

from __future__ import annotations

import json
import sys
import threading
from typing import Any

_PAUSE = 0.2
"""Seconds between looks at what was found."""


def main() -> None:
    """Solve the task on standard input. Ends with an error where the library does."""
    import spyrrow  # noqa: PLC0415 (an optional part)

    task = json.load(sys.stdin)
    items = [
        spyrrow.Item(
            str(number), [tuple(xy) for xy in item["outline"]], item["count"], item["turns"]
        )
        for number, item in enumerate(task["items"])
    ]
    instance = spyrrow.StripPackingInstance("lay", task["height"], items)
    config = spyrrow.StripPackingConfig(
        early_termination=False,
        total_computation_time=task["seconds"],
        num_workers=task["workers"],
        seed=task["seed"],
    )
    queue = spyrrow.ProgressQueue()
    found: list[Any] = []
    worker = threading.Thread(
        target=lambda: found.append(instance.solve(config, progress=queue)), daemon=True
    )
    worker.start()
    best = float("inf")
    good = {"ExplFeas", "CmprFeas", "Final"}
    while worker.is_alive():
        worker.join(_PAUSE)
        for kind, solution in queue.drain():
            if _kind(kind) in good and solution.width < best:
                best = solution.width
                _tell(solution)
    if found and found[0].width < best:
        _tell(found[0])


def _kind(kind: object) -> str:
    return str(kind).rsplit(".", maxsplit=1)[-1]


def _tell(solution: Any) -> None:  # noqa: ANN401 (the library's own)
    places = [[int(item.id), *item.translation, item.rotation] for item in solution.placed_items]
    sys.stdout.write(json.dumps({"width": solution.width, "places": places}) + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
