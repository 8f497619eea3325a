"""Cost of judging a program by its moves: time and peak memory, a fresh process for each size.

    python -m tests.benchmarks.bench_judge [moves ...]

A wavy plate is cut around at ten depths in short straight moves. Near-linear means: ten times the
moves cost little more than ten times the time.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import time

import numpy as np
import shapely

from outline2path.proof.expected_program import ExpectedProgram
from outline2path.proof.feature import Feature
from outline2path.proof.judge import judge
from outline2path.shop.cutter import Cutter

SIZES = (10_000, 100_000, 1_000_000)
DEPTHS = 10


def gear(corners: int) -> np.ndarray:
    """A ring of gentle waves, the more of them the more corners, none narrower than the cutter."""
    angle = np.linspace(0, 2 * np.pi, corners, endpoint=False)
    size = 60 * max(corners / 1000, 1) ** 0.5
    waves = max(int(size / 4), 5)
    radius = size + 0.4 * np.sin(waves * angle)
    return np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])


def profile(moves: int) -> tuple[str, ExpectedProgram]:
    """A program of about so many moves, and what it was to make."""
    path = gear(moves // DEPTHS)
    part = shapely.Polygon(path).buffer(-1.506, quad_segs=16)
    lines = ["G21 G17 G90 G94", "M3 S9000", "G0 Z5", f"G0 X{path[0, 0]:.4f} Y{path[0, 1]:.4f}"]
    words = [f"X{x:.4f} Y{y:.4f}" for x, y in np.vstack([path[1:], path[:1]])]
    for n in range(DEPTHS):
        lines += [f"G1 Z{-(n + 1) * 0.6:.4f} F300", f"G1 {words[0]} F900", *words[1:]]
    lines += ["G0 Z5", "M5", "M30"]
    drawn = Feature(kind="profile", region_fine=part, bottom_mm=-6.0)
    wanted = ExpectedProgram(
        features=(drawn,), cutter=Cutter(3.0), top_mm=0.0, bottom_mm=-6.0, clearance_mm=5.0,
        depth_per_pass_mm=0.6,
    )  # fmt: skip
    return "\n".join(lines) + "\n", wanted


def one(moves: int) -> None:
    """Judge one program and print the figures."""
    text, wanted = profile(moves)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    begin = time.process_time()
    proof = judge(text, wanted)
    seconds = time.process_time() - begin
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        f"{moves:9,d} moves  {len(text) / 1e6:6.1f} MB  {seconds:7.2f} s  "
        f"{seconds / moves * 1e6:6.1f} us a move  peak {peak:6.0f} MiB "
        f"({before:.0f} before)  {proof.verdict}",
        flush=True,
    )
    for check in proof.failed:
        print(f"    {check}")


def main() -> None:
    sizes = [int(word) for word in sys.argv[1:]] or SIZES
    if len(sizes) == 1:
        one(sizes[0])
        return
    for size in sizes:
        subprocess.run(
            [sys.executable, "-m", "tests.benchmarks.bench_judge", str(size)], check=True
        )


if __name__ == "__main__":
    main()
