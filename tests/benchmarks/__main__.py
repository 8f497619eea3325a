"""One table of speed: every ratio the project holds itself to, with its bar, in one run.

    python -m tests.benchmarks [offset read way growth reach start jobs judge] [--quick]

Nothing named runs all. Seconds are processor time on this machine, and wall time of whole
processes; only the ratios count.
Exit code 1 where a bar is not met.
"""

from __future__ import annotations

import argparse
import io
import math
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from svgelements import SVG

import outline2path
from outline2path.drawing.outline import Outline
from outline2path.job.job import Job
from outline2path.operations.offset import offset
from outline2path.proof.judge import judge
from outline2path.reach.spots import narrow_spots
from outline2path.shop.cutter import Cutter
from outline2path.shop.stock import Stock
from outline2path.tolerance import Budget
from tests.benchmarks import bench_judge, bench_offset, drawings
from tests.benchmarks.bench_reach import coastline
from tests.benchmarks.bench_read import ours as read
from tests.benchmarks.rows import Row, least, ratio

CUTTER = Cutter(2 * bench_offset.RADIUS)
RAW = 60_000
"""Most vertices that raw pyclipper is given: beyond, its time goes with their square, minutes."""
QUADRATIC = 10_000
"""Vertices from which raw pyclipper's time goes with their square on smooth outlines."""


def offset_rows(quick: bool) -> Iterator[Row]:
    """Against the faster of raw pyclipper and shapely's buffer; against the first where slow."""
    sizes = (1_000, 10_000, 100_000) if quick else (1_000, 10_000, 100_000, 1_000_000)
    cases = [(f"smooth {n:,}", bench_offset.smooth(n)) for n in sizes]
    levels = (6, 7) if quick else (6, 7, 8)
    cases += [(f"coastline {3 * 4**k:,}", bench_offset.rough(k)) for k in levels]
    for name, outline in cases:
        count = len(outline.exterior.coords)
        rivals: list[Callable[[], object]] = [
            lambda o=outline: bench_offset.by_buffer(o, bench_offset.RADIUS)
        ]
        if count <= RAW:
            rivals.append(lambda o=outline: bench_offset.by_pyclipper(o, bench_offset.RADIUS))
        mine, *others = least(
            lambda o=outline: bench_offset.by_offset(o, bench_offset.RADIUS), *rivals
        )
        yield Row(f"offset / fastest library, {name}", mine / min(others), 1.0, seconds=mine)
        if name.startswith("smooth") and QUADRATIC <= count <= RAW:
            yield Row(f"offset / raw pyclipper, {name}", mine / others[1], 0.1)


def read_rows(quick: bool) -> Iterator[Row]:
    """SVG text to outline, beside a plain parser's parse of the same text."""
    count = 20_000 if quick else 100_000
    for kind, make in drawings.KINDS.items():
        data = make(count)
        yield ratio(
            f"read / svgelements' parse, {count:,} {kind}",
            lambda d=data: read(d),
            lambda d=data: SVG.parse(io.BytesIO(d)),
            bar=1.0,
        )


def judged(outline: Outline) -> str:
    """The whole way from an outline to a judged program."""
    job = Job(stock=Stock(thickness=1.5)).profile(outline, CUTTER, through=0)
    return job.plan().proof.verdict


def way_rows(quick: bool) -> Iterator[Row]:
    """An outline to a judged program, against the fastest library's offset of it."""
    for count in (12_000, 50_000) if quick else (12_000, 50_000, 100_000, 200_000):
        shape = coastline(count)
        outline = Outline.from_shapely(shape)
        _ = outline.region
        yield ratio(
            f"outline to judged program / offset, {count:,} real vertices",
            lambda o=outline: judged(o),
            lambda s=shape: bench_offset.by_pyclipper(s, bench_offset.RADIUS),
            lambda s=shape: bench_offset.by_buffer(s, bench_offset.RADIUS),
            bar=4.0,
        )


def growth_rows(quick: bool) -> Iterator[Row]:
    """Cost of twice as many real vertices."""
    count = 25_000 if quick else 100_000
    for name, work in (("offset", _offset), ("judged program", judged)):
        one, two = (Outline.from_shapely(coastline(n)) for n in (count, 2 * count))
        small, large = least(lambda w=work, o=one: w(o), lambda w=work, o=two: w(o))
        yield Row(f"{name}, {count:,} to {2 * count:,} real vertices", large / small, 2.2)
    if not quick:
        one, two = (Outline.from_shapely(coastline(n)) for n in (500_000, 1_000_000))
        small, large = least(lambda: _offset(one), lambda: _offset(two), runs=1)
        yield Row("offset, 500,000 to 1,000,000 real vertices", large / small, 2.2)


def _offset(outline: Outline) -> object:
    return offset(outline.region, CUTTER.radius_mm, budget=Budget())


def reach_rows(quick: bool) -> Iterator[Row]:
    """Narrow spots against one offset of the same outline, of which every vertex is real."""
    count = 25_000 if quick else 100_000
    outline = Outline.from_shapely(coastline(count))
    yield ratio(
        f"narrow spots / offset, {count:,} real vertices",
        lambda: narrow_spots(outline, CUTTER.diameter_mm),
        lambda: _offset(outline),
        bar=3.0,
    )


def start_rows(_: bool) -> Iterator[Row]:
    """A whole `cut` of a small drawing against importing numpy and shapely alone.

    The package is compiled first, as an installed one is.
    """
    package = Path(outline2path.__file__).parent
    _process("-m", "compileall", "-q", str(package))
    with tempfile.TemporaryDirectory() as folder:
        drawing = Path(folder, "plate.svg")
        drawing.write_bytes(drawings.page('<rect x="5" y="5" width="40" height="30"/>'))
        cut = ["-m", "outline2path", "cut", str(drawing), "-o", str(Path(folder, "plate.nc"))]
        cut += ["--cutter", "3mm", "--thickness", "3mm"]
        _process(*cut)
        mine, theirs = processes(cut, ["-c", "import numpy, shapely"], runs=7)
    yield Row("cut, whole process / import numpy, shapely", mine / theirs, 2.0, seconds=mine)


def jobs_rows(quick: bool) -> Iterator[Row]:
    """Two processes at once against one, on many drawings."""
    count = 60 if quick else 500
    with tempfile.TemporaryDirectory() as folder:
        files = []
        for k in range(count):
            file = Path(folder, f"blob{k:03}.svg")
            file.write_bytes(drawings.cubics(60 + k % 40))
            files.append(str(file))
        command = ["-m", "outline2path", "check", *files, "--cutter", "3mm", "--jobs"]
        one, two = least(lambda: _process(*command, "1"), lambda: _process(*command, "2"), runs=1)
    name = f"check of {count} drawings, --jobs 1 / --jobs 2"
    yield Row(name, one / two, 1.7, at_least=True, seconds=two)


def processes(*commands: list[str], runs: int) -> list[float]:
    """Least wall time of whole Python processes, taking turns."""
    best = [math.inf] * len(commands)
    for _ in range(runs):
        for k, command in enumerate(commands):
            start = time.perf_counter()
            _process(*command)
            best[k] = min(best[k], time.perf_counter() - start)
    return best


def _process(*args: str) -> None:
    done = subprocess.run([sys.executable, *args], capture_output=True, check=False)
    if done.returncode > 1:
        raise RuntimeError(done.stderr.decode()[-500:])


def judge_rows(quick: bool) -> Iterator[Row]:
    """Ten times the moves at the price of doubling: 2.2 to the power of log2(10)."""
    last = 0.0
    for moves in (10_000, 100_000) if quick else (10_000, 100_000, 1_000_000):
        text, wanted = bench_judge.profile(moves)
        (seconds,) = least(lambda t=text, w=wanted: judge(t, w), runs=1)
        if last:
            yield Row(f"judge, {moves // 10:,} to {moves:,} moves", seconds / last, 13.7,
                      seconds=seconds)  # fmt: skip
        last = seconds


TABLES = {
    "start": start_rows,
    "offset": offset_rows,
    "read": read_rows,
    "way": way_rows,
    "growth": growth_rows,
    "reach": reach_rows,
    "jobs": jobs_rows,
    "judge": judge_rows,
}


def main() -> int:
    """Print the rows as they are found."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("tables", nargs="*", metavar="TABLE", help=", ".join(TABLES))
    parser.add_argument("--quick", action="store_true", help="leave out what takes minutes")
    options = parser.parse_args()
    begun, rows = time.perf_counter(), []
    for name in options.tables or TABLES:
        for row in TABLES[name](options.quick):
            rows.append(row)
            print(row, flush=True)
    met = sum(row.met for row in rows)
    print(f"{met} of {len(rows)} bars met, in {time.perf_counter() - begun:.0f} s")
    return 0 if met == len(rows) else 1


if __name__ == "__main__":
    sys.exit(main())
