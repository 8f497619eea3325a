"""Cost of finding narrow spots, beside one offset of the same outline in the same run.

    python -m tests.benchmarks.bench_reach [vertices ...]

Every row is one outline: rough ones keep nearly all their vertices within the tolerance, smooth
ones few. The bar is 3 offsets for 100 000 real vertices.
"""

import sys
import time

import numpy as np
import shapely

from outline2path.drawing.outline import Outline
from outline2path.operations.offset import offset
from outline2path.reach.spots import forget_looks, narrow_spots
from outline2path.tolerance import Budget

SIZES = (3_000, 12_000, 49_000, 100_000)


def snowflake(count: int) -> shapely.Polygon:
    """Koch's curve, grown until it has about that many corners: half of its last step at most."""
    points = np.array([0, 100 * np.exp(1j * np.pi / 3), 100 + 0j])
    while count - len(points) >= 3:
        step = np.roll(points, -1) - points
        refined = np.stack(
            [
                points,
                points + step / 3,
                points + step / 3 + step / 3 * np.exp(1j * np.pi / 3),
                points + step * 2 / 3,
            ]
        )
        share = min(1.0, (count - len(points)) / (3 * len(points)))
        cut = max(1, int(share * len(points)))
        points = np.concatenate([refined[:, :cut].T.ravel(), points[cut:]])
    return shapely.Polygon(np.column_stack([points.real, points.imag]))


def coastline(count: int) -> shapely.Polygon:
    """A radial outline with detail at every scale."""
    random = np.random.default_rng(1)
    turn = np.linspace(0, 2 * np.pi, count, endpoint=False)
    wave = np.fft.rfftfreq(count, 1 / count)
    strength = np.where(wave > 0, np.maximum(wave, 1) ** -1.3, 0)
    rough = np.fft.irfft(
        strength * (random.normal(size=wave.size) + 1j * random.normal(size=wave.size)), count
    )
    radius = 50 * (1 + 0.5 * rough / np.abs(rough).max())
    return shapely.Polygon(np.column_stack([radius * np.cos(turn), radius * np.sin(turn)]))


def smooth(count: int) -> shapely.Polygon:
    """A smooth outline of the same number of vertices."""
    turn = np.linspace(0, 2 * np.pi, count, endpoint=False)
    radius = 50 * (1 + 0.2 * np.cos(5 * turn) + 0.1 * np.sin(11 * turn))
    return shapely.Polygon(np.column_stack([radius * np.cos(turn), radius * np.sin(turn)]))


def seconds(task) -> float:
    """Processor time of the better of two runs."""
    times = []
    for _ in range(2):
        forget_looks()
        start = time.process_time()
        task()
        times.append(time.process_time() - start)
    return min(times)


def _kept(outline: Outline) -> int:
    thin = shapely.simplify(outline.region, 0.0005, preserve_topology=False)
    return int(shapely.get_num_coordinates(thin))


def main(sizes: tuple[int, ...] = SIZES) -> None:
    """Print the table."""
    print("outline      vertices  kept    cutter   offset s  reach s   ratio")
    for make in (snowflake, coastline, smooth):
        for count in sizes:
            outline = Outline.from_shapely(make(count))
            kept = _kept(outline)
            for cutter in (3.175, 0.6):
                plain = seconds(
                    lambda o=outline, c=cutter: offset(o.region, c / 2, budget=Budget())
                )
                reach = seconds(lambda o=outline, c=cutter: narrow_spots(o, c))
                print(
                    f"{make.__name__:12s} {count:8d} {kept:7d} {cutter:7.3f} "
                    f"{plain:9.3f} {reach:9.3f} {reach / plain:7.2f}",
                    flush=True,
                )


if __name__ == "__main__":
    main(tuple(int(a) for a in sys.argv[1:]) or SIZES)
