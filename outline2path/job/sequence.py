"""Sequence: which step comes when, and which steps share a program.

In: the steps of one set-up as asked for. Out: groups of steps, each group one cutter at one speed
and so one program. The usual order: face, then pockets and holes, then engraving and chamfers
while the part is still held all round, then the profiles that free it. Steps of the same rank are
brought together by cutter and otherwise stay as asked for.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import Literal, TypeAlias

from outline2path.job.step import Step
from outline2path.shop.cutter import Cutter

__all__ = ["Order", "grouped"]

Order = Literal["usual", "as-given"]
Key: TypeAlias = tuple[Cutter, float | None]
_RANK = {"face": 0, "pocket": 1, "drill": 1, "engrave": 2, "chamfer": 3, "profile": 4}


def grouped(steps: Sequence[Step], *, order: Order = "usual") -> tuple[tuple[Step, ...], ...]:
    """Return the steps in the order of the work, grouped into programs.

    Examples
    --------
    >>> wide, thin = Cutter(6), Cutter(3)
    >>> def step(operation, cutter):
    ...     return Step(operation=operation, outline=None, cutter=cutter, settings=None)
    >>> asked = [step("profile", thin), step("pocket", thin), step("face", wide)]
    >>> [[s.operation for s in group] for group in grouped(asked)]
    [['face'], ['pocket', 'profile']]
    """
    if order == "usual":
        ranked = sorted(steps, key=lambda step: _RANK[step.operation])
        steps = [
            step
            for _, same in groupby(ranked, key=lambda step: _RANK[step.operation])
            for step in _by_cutter(same)
        ]
    return tuple(tuple(group) for _, group in groupby(steps, key=_key))


def _by_cutter(steps: Iterable[Step]) -> list[Step]:
    """Bring steps of one cutter together, in the order the cutters first appear."""
    several = list(steps)
    first: dict[Key, int] = {}
    for number, step in enumerate(several):
        first.setdefault(_key(step), number)
    return sorted(several, key=lambda step: first[_key(step)])


def _key(step: Step) -> Key:
    return step.cutter, step.rpm
