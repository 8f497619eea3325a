"""Rows of the table of speed: each a ratio measured in one run, with its bar.

A bar is what the ratio may be at most, or must be at least. Times are the least of a few runs,
taken turn by turn, so that a busy machine slows both sides.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import dataclass

__all__ = ["Row", "least", "ratio"]


@dataclass(frozen=True)
class Row:
    """One ratio."""

    name: str
    figure: float
    bar: float
    at_least: bool = False
    seconds: float = math.nan

    @property
    def met(self) -> bool:
        return self.figure >= self.bar if self.at_least else self.figure <= self.bar

    def __str__(self) -> str:
        sign = ">=" if self.at_least else "<="
        took = "" if math.isnan(self.seconds) else f"{self.seconds:10.3f} s"
        verdict = "met" if self.met else "NOT met"
        return f"{self.name:58}{self.figure:9.2f}  {sign} {self.bar:<6g}{verdict:8}{took}"


def least(*tasks: Callable[[], object], runs: int = 3, most_s: float = 20.0) -> list[float]:
    """Least processor seconds of each task, taking turns; more turns where they are short."""
    best, begun, turn = [math.inf] * len(tasks), time.process_time(), 0
    while turn < runs or (runs > 1 and time.process_time() - begun < 0.5):
        for k, task in enumerate(tasks):
            start = time.process_time()
            task()
            best[k] = min(best[k], time.process_time() - start)
        turn += 1
        if time.process_time() - begun > most_s:
            break
    return best


def ratio(name: str, ours: Callable[[], object], *rivals: Callable[[], object], bar: float) -> Row:
    """Our time over the fastest rival's."""
    mine, *others = least(ours, *rivals)
    return Row(name, mine / min(others), bar, seconds=mine)
