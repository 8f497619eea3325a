"""An outline of a million points through the whole way: seconds of each stage, and peak memory.

    python -m tests.benchmarks.bench_million [--points N]

A round outline with teeth of a hundredth of a millimetre, twice the tolerance's half, so that no
point of it can be dropped before offsetting without a thought.
"""

from __future__ import annotations

import argparse
import resource
import time

import outline2path as o2p
from outline2path.job.check import check
from tests.geometry.nasty import gear


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--points", type=int, default=1_000_000)
    points = parser.parse_args().points
    clock = time.perf_counter()

    def lap(name: str) -> None:
        nonlocal clock
        now = time.perf_counter()
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(f"{name:8s} {now - clock:8.1f} s   peak so far {peak:6.0f} MB", flush=True)
        clock = now

    ring = gear(points)
    lap("make")
    outline = o2p.Outline.from_polygons([ring])
    _ = outline.region
    lap("read")
    job = o2p.Job(stock=o2p.Stock(thickness=6))
    plan = job.profile(outline, o2p.Cutter(3), tabs=4).plan()
    lap("plan")
    proof = plan.proof
    lap("prove")
    check(outline, cutter=3).report()
    lap("check")
    print(f"{points} points, {len(plan.program.lines)} lines: {proof.verdict}")


if __name__ == "__main__":
    main()
