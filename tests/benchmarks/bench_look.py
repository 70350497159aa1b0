"""How smoothly the page moves with 200,000 segments, in headless Chromium without a graphics card.

python -m tests.benchmarks.bench_look
"""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

import numpy as np

from cutpath.look.page import page_of
from cutpath.look.scene import Layer, Scene, Style, Timeline, View
from tests.look.browser import Browser

SEGMENTS, LINES = 200_000, 2_000


def scene() -> Scene:
    """Give 2,000 wavy loops of 100 segments on a bed of 3 × 1.8 m, and their timeline."""
    rng = np.random.default_rng(1)
    turn = np.linspace(0, 2 * np.pi, SEGMENTS // LINES + 1)
    lines = []
    for middle in rng.uniform((50, 50), (2950, 1750), (LINES, 2)):
        radius = 20 + 5 * np.sin(7 * turn + rng.uniform(0, 6))
        lines.append(middle + radius[:, None] * np.column_stack([np.cos(turn), np.sin(turn)]))
    layer = Layer("loops", Style.KNIFE, tuple(lines), tuple(f"loop {k}" for k in range(LINES)))
    places = np.concatenate(lines)
    stroke = np.repeat(np.arange(LINES), len(turn))
    timeline = Timeline(
        places, np.linspace(0, 3600, len(places)), np.ones(len(places), dtype=np.int64),
        np.zeros(len(places), dtype=np.int64), stroke, ("knife",), ("loop",) * LINES,
    )  # fmt: skip
    return Scene("benchmark", (View("loops", (layer,), (), (), timeline),))


def main() -> None:
    """Measure what a frame takes while moving, zooming and playing."""
    begun = time.process_time()
    text = page_of(scene())
    print(f"page of {len(text) / 1e6:.1f} MB made in {time.process_time() - begun:.2f} s")
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "page.html"
        place.write_text(text, encoding="utf-8")
        with Browser(Path(folder) / "profile") as browser:
            begun = time.perf_counter()
            browser.open(place)
            print(f"opened in {time.perf_counter() - begun:.2f} s")
            for name, act in (
                ("moving", "shift(9, 5)"), ("nearer", "zoomMiddle(1.01)"),
                ("playing", "setTime(now + 0.4)"),
            ):  # fmt: skip
                took = browser.value(
                    "(async () => { const t = performance.now(); for (let k = 0; k < 40; k++) { "
                    f"{act}; await new Promise(r => requestAnimationFrame(r)); }} "
                    "return (performance.now() - t) / 40; })()"
                )
                print(f"{name}: {took:.1f} ms a frame")


if __name__ == "__main__":
    main()
