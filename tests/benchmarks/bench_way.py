"""The whole way, from SVG text to a judged program, stage by stage, for every demo drawing.

    python -m tests.benchmarks.bench_way

Seconds are those of one run on this machine and only good for comparing stages; the last lines
give ratios: start-up of the command against importing a plotting library, and the judge's cost
against the planning's.
"""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path
from statistics import median

from outline2path.drawing.reader import read_outline
from outline2path.job.job import Job
from outline2path.shop.cutter import Cutter
from outline2path.shop.stock import Stock

ART = Path(__file__).parents[2] / "demo_art"
RUNS = 5


def timed(call):
    begin = time.perf_counter()
    value = call()
    return value, time.perf_counter() - begin


def way(path: Path):
    """Seconds of reading, planning and judging, and what came out."""

    def read():
        outline = read_outline(path)
        _ = outline.region
        return outline

    outline, reading = timed(read)
    job = Job(stock=Stock(thickness=6)).profile(outline, Cutter(3.175, flutes=1), tabs=4)
    plan, planning = timed(job.plan)
    proof, judging = timed(plan.prove)
    return reading, planning, judging, plan, proof


def process_seconds(*args: str) -> float:
    """Median wall time of a fresh Python process."""
    runs = []
    for _ in range(RUNS):
        _, seconds = timed(
            lambda: subprocess.run([sys.executable, *args], capture_output=True, check=True)
        )
        runs.append(seconds)
    return median(runs)


def main() -> None:
    print(f"{'drawing':16}{'read':>8}{'plan':>8}{'judge':>8}{'in all':>8}  blocks  verdict")
    plans = judges = 0.0
    for path in sorted(ART.glob("*.svg")):
        way(path)  # the first run loads modules
        reading, planning, judging, plan, proof = way(path)
        plans, judges = plans + planning, judges + judging
        total = reading + planning + judging
        blocks = len(plan.program.lines)
        print(
            f"{path.stem:16}{reading:8.3f}{planning:8.3f}{judging:8.3f}{total:8.3f}"
            f"{blocks:8d}  {proof.verdict}"
        )
    start = process_seconds("-m", "outline2path", "--help")
    plotting = process_seconds("-c", "import matplotlib.pyplot")
    print(f"judging / planning: {judges / plans:.2f}")
    print(f"--help / import matplotlib.pyplot: {start / plotting:.2f} (bar: under 0.40)")


if __name__ == "__main__":
    main()
