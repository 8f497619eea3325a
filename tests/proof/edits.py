"""Ways to change a program's lines, and to find the lines worth changing."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable
from dataclasses import replace

import shapely

from tests.proof import programs
from tests.proof.programs import Job

NUMBER = r"-?[0-9]*\.?[0-9]+"


def edit(job: Job, lines: list[str]) -> Job:
    return replace(job, lines=tuple(lines))


def every(job: Job, change: Callable[[str], str]) -> Job:
    return edit(job, [change(line) for line in job.lines])


def numbers(line: str, letters: str, change: Callable[[float], float]) -> str:
    """Change the numbers behind some letters, comments left alone."""
    if line.startswith("("):
        return line
    pattern = rf"([{letters}])({NUMBER})"
    return re.sub(pattern, lambda m: f"{m[1]}{change(float(m[2])):.4f}", line)


def where(job: Job, pattern: str) -> list[int]:
    return [n for n, line in enumerate(job.lines) if re.match(pattern, line)]


def without(job: Job, indices: set[int]) -> Job | None:
    kept = [line for n, line in enumerate(job.lines) if n not in indices]
    return edit(job, kept) if indices else None


def put(job: Job, at: int, *new: str) -> Job:
    return edit(job, [*job.lines[:at], *new, *job.lines[at:]])


def swap_text(job: Job, old: str, new: str) -> Job | None:
    changed = every(job, lambda line: re.sub(old, new, line))
    return None if changed.lines == job.lines else changed


# Long straight cuts: a change at their ends is never within the tolerance.


def point(line: str) -> tuple[float, float] | None:
    found = re.match(rf"G[0-3] X({NUMBER}) Y({NUMBER})", line)
    return (float(found[1]), float(found[2])) if found else None


def corners(job: Job) -> list[int]:
    """Lines that end at a corner more than 3 mm from the ends before and after it."""
    ends = [(n, p) for n, line in enumerate(job.lines) if (p := point(line))]
    far = []
    for (_, a), (n, b), (_, c) in zip(ends, ends[1:], ends[2:], strict=False):
        u, v = complex(*b) - complex(*a), complex(*c) - complex(*b)
        if min(abs(u), abs(v)) > 3 and abs((u / v).imag) > 0.3 * abs(u / v):
            far += [n] if job.lines[n].startswith("G1") else []
    return far


def long_cuts(job: Job) -> list[int]:
    """Lines that cut more than 3 mm straight."""
    ends = [(n, p) for n, line in enumerate(job.lines) if (p := point(line))]
    pairs = itertools.pairwise(ends)
    return [
        n
        for (_, a), (n, b) in pairs
        if abs(complex(*b) - complex(*a)) > 3 and job.lines[n].startswith("G1")
    ]


def lowest(job: Job) -> list[int]:
    """Lines that go down to the last level."""
    return where(job, rf"G1 Z{programs.levels()[-1]:.4f}")


def plunges(job: Job) -> list[list[int]]:
    """Lines of each pass: from its way down to the next pass or lift."""
    starts = [n for n, line in enumerate(job.lines) if line.endswith("(pass)")]
    groups = []
    for a, b in zip(starts, [*starts[1:], len(job.lines)], strict=True):
        stop = next((n for n in range(a, b) if job.lines[n].startswith("G0")), b)
        groups.append(list(range(a, stop)))
    return groups


def along(job: Job, n: int, line: str) -> bool:
    """Whether a point only slid along straight cuts, which harms nothing."""
    ring = shapely.LineString([p for line in job.lines if (p := point(line))])
    slid = shapely.LineString([point(job.lines[n]), point(line)])
    return ring.buffer(0.06).covers(slid)
