"""Pocket time: how it grows with islands, with detail, and with size.

    python -m tests.benchmarks.bench_pocket

Processor seconds of one plan, best of three. The target is well under a second for a pocket of
100 x 80 mm with ten islands and a cutter of 3.175 mm, and a time that grows about as fast as
islands, area or points do.
"""

from __future__ import annotations

import time

import numpy as np
import shapely

from outline2path.drawing.outline import Outline
from outline2path.operations.pocket import PocketSettings, pocket
from outline2path.shop.cutter import Cutter


def with_islands(count: int) -> shapely.Polygon:
    """A plate of 800 mm2 an island, islands round and square, 4 to 12 mm wide."""
    rng = np.random.default_rng(3)
    wide = (1000 * count) ** 0.5
    plate = shapely.box(0, 0, wide, 0.8 * wide)
    for k in range(count):
        x, y, r = rng.uniform(8, wide - 8), rng.uniform(8, 0.8 * wide - 8), rng.uniform(2, 6)
        square = shapely.box(x - r, y - r, x + r, y + r)
        plate = plate.difference(square if k % 2 else shapely.Point(x, y).buffer(r))
    return plate


def wavy(points: int) -> shapely.Polygon:
    """A disc 120 mm across with fine waves on its edge."""
    t = np.linspace(0, 2 * np.pi, points, endpoint=False)
    r = 60 + 3 * np.sin(40 * t) + 0.3 * np.sin(points / 40 * t)
    return shapely.Polygon(np.column_stack((r * np.cos(t), r * np.sin(t))))


def seconds(region: shapely.Polygon, cutter_mm: float) -> float:
    """Best of three."""
    best = float("inf")
    for _ in range(3):
        outline = Outline.from_shapely(region)
        start = time.process_time()
        pocket(outline, Cutter(cutter_mm), settings=PocketSettings(), top_mm=0.0, bottom_mm=-1.0)
        best = min(best, time.process_time() - start)
    return best


def main() -> None:
    """Print the table."""
    for count in (5, 10, 20, 40):
        print(f"{count:6d} islands   {seconds(with_islands(count), 3.175):7.3f} s")
    for points in (1000, 4000, 16000, 64000):
        print(f"{points:6d} points    {seconds(wavy(points), 3.0):7.3f} s")
    for wide in (100, 300, 900):
        print(f"{wide:6d} mm square {seconds(shapely.box(0, 0, wide, wide), 3.0):7.3f} s")


if __name__ == "__main__":
    main()
