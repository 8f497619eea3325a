"""The solid view: processor time for a blank of 200 x 150 mm, and the share of each part.

    python -m tests.benchmarks.bench_solid

Two programs: a plate faced, pocketed and cut out by a few hundred moves, and a spiral of 100 000
moves. The goal is below 2 s each, reading of the text included.
"""

from __future__ import annotations

import math
import time
from statistics import median

from outline2path.picture.height_field import Cutting, carve
from outline2path.picture.solid import solid_picture
from outline2path.rs274.reader import read_program
from outline2path.shop.cutter import Cutter
from tests.picture.blocks import program, run

BLANK = {"stock_box_mm": (0, 0, 200, 150), "top_mm": 0.0, "bottom_mm": -18.0}
GOAL_S = 2.0
RUNS = 5


def plate() -> list[Cutting]:
    """Facing, a pocket in lines, a slot and an outline in six depths."""
    zigzag = [
        (x, y) for k, y in enumerate(range(0, 151, 10)) for x in (-2, 202)[:: 1 - 2 * (k % 2)]
    ]
    pocket = [
        (x, y) for k, y in enumerate(range(90, 121, 2)) for x in (40, 90)[:: 1 - 2 * (k % 2)]
    ]
    ring = [(15, 15), (185, 15), (185, 135), (15, 135), (15, 15)]
    return [
        Cutting(text=run(*zigzag, z=-0.5), cutter=Cutter(20)),
        Cutting(text=run(*pocket, z=-6), cutter=Cutter(4)),
        Cutting(text=run((40, 40), (160, 40), z=-8), cutter=Cutter(6)),
        *(Cutting(text=run(*ring, z=-3.0 * n), cutter=Cutter(3.175)) for n in range(1, 7)),
        Cutting(text=run(*ring, z=-2), cutter=Cutter(12, shape="v", angle=90)),
    ]


def spiral(moves: int = 100_000) -> list[Cutting]:
    """A program of many short moves at five depths."""
    blocks = []
    for n in range(moves):
        angle, radius = 0.05 * n, 5 + 60 * n / moves
        x, y = 100 + radius * math.cos(angle), 75 + radius * math.sin(angle)
        blocks.append(f"G1 X{x:.4f} Y{y:.4f} Z{-0.5 - 5 * n // moves:.3f}")
    return [Cutting(text=program("G0 X105 Y75", *blocks), cutter=Cutter(3.175))]


def seconds(call) -> float:
    """Median processor time of a few runs."""
    times = []
    for _ in range(RUNS):
        begin = time.process_time()
        call()
        times.append(time.process_time() - begin)
    return median(times)


def main() -> None:
    for name, cuttings in (("plate", plate()), ("spiral of 100 000 moves", spiral())):
        whole = seconds(lambda c=cuttings: solid_picture(c, **BLANK))
        read = seconds(lambda c=cuttings: [read_program(one.text, strict=False) for one in c])
        carved = seconds(lambda c=cuttings: carve(c, cell_mm=0.137, turn_deg=24, **BLANK))
        verdict = "within" if whole < GOAL_S else "ABOVE"
        print(f"{name}: {whole:.2f} s, {verdict} the goal of {GOAL_S:g} s")
        print(
            f"  reading {read:.2f} s, carving {carved - read:.2f} s, light {whole - carved:.2f} s"
        )


if __name__ == "__main__":
    main()
