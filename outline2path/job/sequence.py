"""Sequence: which step comes when, and which steps share a program.

In: the steps of one set-up as asked for. Out: groups of steps, each group one cutter at one speed
and so one program. The usual order: face, then pockets and holes, then engraving and chamfers
while the part is still held all round, then the profiles of openings, and last those that free it.
Steps of the same rank are
brought together by cutter, so that cutters are changed as seldom as can be, and otherwise stay as
asked for. A cutter keeps one number through the whole job.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import count, groupby
from typing import Literal, TypeAlias

from outline2path.errors import SettingError
from outline2path.job.step import SetUp, Step
from outline2path.shop.cutter import Cutter

__all__ = ["Order", "cutter_numbers", "grouped", "like"]

Order = Literal["usual", "as-given"]
Key: TypeAlias = tuple[Cutter, float | None]
_RANK = {"face": 0, "pocket": 1, "drill": 1, "engrave": 2, "chamfer": 3, "profile": 4}
_FREEING = 5
_FREE = {"drill", "engrave", "profile"}


def grouped(steps: Sequence[Step], *, order: Order = "usual") -> tuple[tuple[Step, ...], ...]:
    """Return the steps in the order of the work, grouped into programs.

    Examples
    --------
    >>> from outline2path.operations.profile_settings import ProfileSettings
    >>> wide, thin = Cutter(6), Cutter(3)
    >>> def step(operation, cutter):
    ...     settings = ProfileSettings()
    ...     return Step(operation=operation, outline=None, cutter=cutter, settings=settings)
    >>> asked = [step("profile", thin), step("pocket", thin), step("face", wide)]
    >>> [[s.operation for s in group] for group in grouped(asked)]
    [['face'], ['pocket', 'profile']]
    """
    if order == "usual":
        steps = _in_usual_order(steps)
    return tuple(tuple(group) for _, group in groupby(steps, key=_key))


def cutter_numbers(set_ups: Iterable[SetUp], *, order: Order = "usual") -> dict[Cutter, int]:
    """Give the cutters of a job numbers: their own, else in the order they are first put in.

    Raises
    ------
    SettingError
        When two cutters have the same number.

    Examples
    --------
    >>> from outline2path.job.job import Job
    >>> from outline2path.shop.cutter import Cutter
    >>> from outline2path.shop.stock import Stock
    >>> job = Job(stock=Stock("90 x 90 x 20 mm")).face(Cutter(12), depth=1)
    >>> cutter_numbers(job.turn_over().face(Cutter(20), depth=1).set_ups)
    {Cutter("12 mm", flutes=2): 1, Cutter("20 mm", flutes=2): 2}
    """
    cutters = [
        step.cutter
        for set_up in set_ups
        for group in grouped(set_up.steps, order=order)
        for step in group
    ]
    found: dict[Cutter, int] = {}
    taken: dict[int, Cutter] = {}
    for cutter in sorted(dict.fromkeys(cutters), key=lambda one: one.number is None):
        number = cutter.number or next(n for n in count(1) if n not in taken)
        if number in taken:
            raise SettingError(
                f"number {number} is given to {taken[number].label} and to {cutter.label}",
                value=number,
                remedy="give every cutter a number of its own",
            )
        found[cutter], taken[number] = number, cutter
    return found


def like(step: Step) -> tuple[object, ...] | None:
    """Tell which steps next to each other may be cut in any order; None keeps its place.

    Pockets may lie in one another, and what they find there depends on their order.

    Examples
    --------
    >>> from outline2path.operations.profile_settings import ProfileSettings
    >>> like(Step(operation="profile", outline=None, cutter=Cutter(3), settings=ProfileSettings()))
    ('profile', 'outside')
    """
    if step.operation not in _FREE:
        return None
    return step.operation, getattr(step.settings, "side", None)


def _in_usual_order(steps: Sequence[Step]) -> list[Step]:
    """Sort by rank; within one, begin with the cutter still mounted, end with one needed next."""
    by_rank = sorted(steps, key=_rank)
    ranks = [list(group) for _, group in groupby(by_rank, key=_rank)]
    done: list[Step] = []
    for rank, after in zip(ranks, [*ranks[1:], []], strict=False):
        first: dict[Key, int] = {}
        for number, step in enumerate(rank):
            first.setdefault(_key(step), number)
        mounted = _key(done[-1]) if done else None
        soon = {_key(step) for step in after}
        turns = sorted(first, key=lambda key: (key != mounted, key in soon, first[key]))
        done += sorted(rank, key=lambda step: turns.index(_key(step)))
    return done


def _rank(step: Step) -> int:
    frees = step.operation == "profile" and step.settings.side == "outside"
    return _FREEING if frees else _RANK[step.operation]


def _key(step: Step) -> Key:
    return step.cutter, step.rpm
