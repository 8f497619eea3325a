"""Offset time beside raw pyclipper and beside shapely's buffer, on the same outline, same run.

    python -m tests.benchmarks.bench_offset [--quick]

Each way offsets the same outline by 1.5875 mm to either side. Raw pyclipper gets every point on
the same integer grid and the same arc tolerance; shapely's buffer gets as many chords a quarter
as that arc tolerance asks for. Ratio: our time over the faster of the two. A way that would take
minutes is left out and marked "-"; its time grows at least with the points, so it is no rival.
"""

from __future__ import annotations

import argparse
import math
import time
from collections.abc import Callable

import numpy as np
import pyclipper
import shapely

from outline2path.operations.offset import offset
from outline2path.tolerance import GRID_MM, Budget

RADIUS = 1.5875
BUDGET = Budget()


def smooth(points: int) -> shapely.Polygon:
    """A wavy disc about 120 mm across."""
    t = np.linspace(0, 2 * math.pi, points, endpoint=False)
    r = 60 + 8 * np.sin(5 * t) + 3 * np.cos(11 * t)
    return shapely.Polygon(np.column_stack((r * np.cos(t), r * np.sin(t))))


def rough(level: int) -> shapely.Polygon:
    """A coastline of 3 x 4^level points about 100 mm across (von Koch, 1904)."""
    z = 100 * np.exp(1j * np.radians([90, 330, 210, 90])) / math.sqrt(3)
    for _ in range(level):
        a, d = z[:-1], np.diff(z) / 3
        tip = a + d + d * np.exp(1j * math.pi / 3)
        z = np.append(np.column_stack((a, a + d, tip, a + 2 * d)).ravel(), z[-1])
    return shapely.Polygon(np.column_stack((z.real, z.imag)))


def by_pyclipper(outline: shapely.Polygon, distance: float) -> object:
    worker = pyclipper.PyclipperOffset(2.0, BUDGET.chords_mm / GRID_MM)
    ring = np.rint(shapely.get_coordinates(outline.exterior)[:-1] / GRID_MM).astype(np.int64)
    worker.AddPath(ring.tolist(), pyclipper.JT_ROUND, pyclipper.ET_CLOSEDPOLYGON)
    return worker.Execute(distance / GRID_MM)


def by_buffer(outline: shapely.Polygon, distance: float) -> object:
    chords = math.ceil(math.pi / 4 / math.acos(1 - BUDGET.chords_mm / abs(distance)))
    return shapely.buffer(outline, distance, quad_segs=chords)


def by_offset(outline: shapely.Polygon, distance: float) -> object:
    return offset(outline, distance, budget=BUDGET)


def seconds(way: Callable[[shapely.Polygon, float], object], outline: shapely.Polygon) -> float:
    """Least time of a few runs, both distances together."""
    best, spent = math.inf, 0.0
    for _ in range(5):
        start = time.perf_counter()
        way(outline, RADIUS)
        way(outline, -RADIUS)
        took = time.perf_counter() - start
        best, spent = min(best, took), spent + took
        if spent > 3:
            break
    return best


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--quick", action="store_true", help="leave out what takes a minute")
    quick = parser.parse_args().quick
    cases = [
        (f"smooth {n:>9,}", smooth(n), n <= (30_000 if quick else 100_000), True)
        for n in (1_000, 10_000, 100_000, 1_000_000)
    ]
    cases += [(f"rough {3 * 4**k:>10,}", rough(k), True, not (quick and k > 6)) for k in (6, 7)]
    print(f"{'outline':18}{'offset s':>10}{'pyclipper s':>13}{'buffer s':>10}{'ratio':>8}")
    for name, outline, with_clipper, with_buffer in cases:
        ours = seconds(by_offset, outline)
        clipper = seconds(by_pyclipper, outline) if with_clipper else math.nan
        buffer = seconds(by_buffer, outline) if with_buffer else math.nan
        ratio = ours / np.nanmin([clipper, buffer])
        print(
            f"{name:18}{ours:10.4f}{clipper:13.4f}{buffer:10.4f}{ratio:8.2f}".replace("nan", "  -")
        )


if __name__ == "__main__":
    main()
