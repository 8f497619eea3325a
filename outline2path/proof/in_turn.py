"""In turn: a program with several cutters taken apart where it changes them, and judged together.

In: the motions of the whole program, and what every mounting was to make. Out: turns, each with
the motions of one cutter and what they are held to; and the checks of all turns as one list.

Where the cutters come in the order expected, every turn is held to its own mounting. Where they do
not, as when a change was lost or numbers were swapped, every turn is judged with the cutter that
would really be in the spindle, against all that the program was to make: so a gouge is found as it
would happen. What asks whether the work was finished has no answer then and is left out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.proof.change import change_check
from outline2path.proof.conduct import cutting, known
from outline2path.proof.expected_program import Earlier
from outline2path.proof.named import named_cutters, unlike
from outline2path.proof.verdict import Check

if TYPE_CHECKING:
    from outline2path.proof.expected_program import ExpectedProgram
    from outline2path.proof.mountings import ExpectedMountings
    from outline2path.rs274.motion import Motions

__all__ = ["Turn", "Turns", "checks_together", "turns_of"]

_OF_THE_WHOLE = frozenset({"cutter", "cutter change"})
_OF_THE_FINISHED = frozenset(
    {
        "depth",
        "depth per pass",
        "holes",
        "leftover",
        "loose pieces",
        "reach of the cutter",
        "size",
        "tabs",
    }
)
"""Checks that ask whether all was done; they need the cutters in their order."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Turn:
    """What one cutter does until the next change.

    Attributes
    ----------
    number : int
        Of the cutter.
    motions : Motions
        Its motions, with the ends of the whole program.
    wanted : ExpectedProgram
        What they are held to.
    """

    number: int
    motions: Motions
    wanted: ExpectedProgram


@dataclass(frozen=True, kw_only=True, eq=False)
class Turns:
    """A program taken apart.

    Attributes
    ----------
    turns : tuple of Turn
        Those whose cutter is known, in order.
    checks : tuple of Check
        On the cutters of the whole program and their changes.
    in_order : bool
        Whether the cutters come as expected.
    """

    turns: tuple[Turn, ...]
    checks: tuple[Check, ...]
    in_order: bool


def turns_of(motions: Motions, expected: ExpectedMountings) -> Turns:
    r"""Take a program apart where it changes cutters.

    Examples
    --------
    >>> import shapely
    >>> from outline2path.proof.feature import Feature
    >>> from outline2path.proof.expected_program import ExpectedProgram
    >>> from outline2path.proof.mountings import ExpectedMountings, Mounting
    >>> from outline2path.rs274.reader import read_program
    >>> from outline2path.shop.cutter import Cutter
    >>> slot = Feature(kind="pocket", region_fine=shapely.box(0, 0, 40, 6), bottom_mm=-3.0)
    >>> def mounting(number, wide):
    ...     wanted = ExpectedProgram(features=(slot,), cutter=Cutter(wide), top_mm=0.0,
    ...                              bottom_mm=-6.0, clearance_mm=5.0)
    ...     return Mounting(number=number, wanted=wanted)
    >>> wanted = ExpectedMountings(mountings=(mounting(1, 5), mounting(2, 3)))
    >>> text = ("G21 G0 X9 Y3 Z5\nT1 M6\nM3 S9\nG1 Z-1 F9\nG0 Z5\nM5\n"
    ...         "T2 M6\nM0\nM3\nG1 Z-1\nG0 Z5\nM2")
    >>> [(turn.number, len(turn.motions)) for turn in turns_of(read_program(text), wanted).turns]
    [(1, 3), (2, 2)]
    """
    table = known(motions.table)
    low = cutting(table, expected.top_mm)
    bare = replace(motions, comments=(), changes=(), tool_lengths=())
    bounds = _bounds(table["tool"], low)
    numbers = tuple(int(table["tool"][a:b][low[a:b]][0]) for a, b in bounds)
    parts = [
        (n, replace(bare, table=table[a:b])) for n, (a, b) in zip(numbers, bounds, strict=True)
    ]
    in_order = numbers == expected.numbers
    if in_order:
        wanted = [one.wanted for one in expected.mountings]
    else:
        parts = [(number, part) for number, part in parts if number in expected.cutters]
        wanted = [_anything(number, expected) for number, _ in parts]
    change = change_check(
        motions,
        clearance_mm=expected.clearance_mm,
        low_lines=table["line"][low],
        measured=True,
    )
    return Turns(
        turns=tuple(
            Turn(number=number, motions=part, wanted=one)
            for (number, part), one in zip(parts, wanted, strict=True)
        ),
        checks=(_cutters(motions, table, low, expected), change),
        in_order=in_order,
    )


def _bounds(tool: NDArray[np.int32], low: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """First row, and last row plus one, of every stretch that works with one cutter.

    A stretch begins with the first change after the work of the one before.
    """
    work = np.flatnonzero(low)
    if not len(work):
        return []
    other = np.flatnonzero(np.diff(tool[work])) + 1
    begins = [0]
    for first, last in zip(work[other].tolist(), work[other - 1].tolist(), strict=True):
        changed = np.flatnonzero(tool[last : first + 1] != tool[last])
        begins.append(last + int(changed[0]))
    return list(zip(begins, [*begins[1:], len(tool)], strict=True))


def _anything(number: int, expected: ExpectedMountings) -> ExpectedProgram:
    """Ask of a turn no more than that it takes nothing but what the program may take at all."""
    wanted = [one.wanted for one in expected.mountings]
    own = [one.wanted for one in expected.mountings if one.number == number]
    return replace(
        own[0],
        features=tuple(feature for one in own for feature in one.features),
        cutter=expected.cutters[number],
        top_mm=expected.top_mm,
        clearance_mm=expected.clearance_mm,
        depth_per_pass_mm=None,
        before=(
            *expected.before,
            *(
                Earlier(text="", cutter=one.cutter, features=one.features)
                for one in wanted
                if one not in own
            ),
        ),
    )


def _cutters(
    motions: Motions, table: NDArray[np.void], low: NDArray[np.bool_], expected: ExpectedMountings
) -> Check:
    """Check the order of the cutters, and those that the header names."""
    fault = _out_of_order(table[low], expected)
    if fault is not None:
        return fault
    for named in named_cutters(motions.comments):
        other = unlike(named, expected.cutters)
        if other is not None:
            what, value, limit = other
            return Check(
                name="cutter", ok=False, detail=f"the header names {what}", line=named.line,
                value=value, limit=limit,
            )  # fmt: skip
    told = ", ".join(f"{n} {cutter.label}" for n, cutter in expected.cutters.items())
    return Check(name="cutter", ok=True, detail=f"the cutters come as expected: {told}")


def _out_of_order(work: NDArray[np.void], expected: ExpectedMountings) -> Check | None:
    """Tell where the first cutter works that is not the one expected then."""
    first = np.flatnonzero(np.diff(work["tool"], prepend=-1) != 0).tolist()
    order = [int(work["tool"][row]) for row in first]
    turns = max(len(order), len(expected.numbers))
    for turn in range(turns):
        number = order[turn] if turn < len(order) else None
        wanted = expected.numbers[turn] if turn < len(expected.numbers) else None
        if number == wanted:
            continue
        row = first[turn] if number is not None else None
        line = None if row is None else int(work["line"][row])
        place = None if row is None else work["end"][row, :2].tolist()
        what = _words(number, wanted, expected)
        return Check(
            name="cutter", ok=False, detail=what, line=line,
            at_mm=(place[0], place[1]) if place and np.isfinite(place).all() else None,
            value=number, limit=wanted,
        )  # fmt: skip
    return None


def _words(number: int | None, wanted: int | None, expected: ExpectedMountings) -> str:
    want = "" if wanted is None else f"cutter {wanted}, {expected.cutters[wanted].label}"
    if number is None:
        return f"{want}, is never put to work"
    if number not in expected.cutters:
        put = f"cutter {number}, which nobody named," if number else "a cutter never put in by M6"
        return f"{put} works" + (f" where {want} was expected" if want else "")
    return f"cutter {number}, {expected.cutters[number].label}, works" + (
        f" where {want} was expected" if want else " once more at the end"
    )


def checks_together(
    found: Sequence[tuple[int, Sequence[Check]]], *, in_order: bool
) -> tuple[Check, ...]:
    """Return the checks of all turns as one of each name.

    Parameters
    ----------
    found : sequence of (int, sequence of Check)
        Cutter and checks of every turn.
    in_order : bool
        Whether the cutters come as expected; what asks for the finished work is left out else.

    Examples
    --------
    >>> one, two = (Check(name="gouge", ok=mm == 0, detail=f"{mm} mm") for mm in (0.0, 0.2))
    >>> print(checks_together([(1, [one]), (2, [two])], in_order=True)[0])
    no  gouge: cutter 2: 0.2 mm
    """
    left_out = _OF_THE_WHOLE if in_order else _OF_THE_WHOLE | _OF_THE_FINISHED
    named: dict[str, list[tuple[int, Check]]] = {}
    for number, checks in found:
        for check in checks:
            if check.name not in left_out:
                named.setdefault(check.name, []).append((number, check))
    return tuple(_together(each) for each in named.values())


def _together(each: list[tuple[int, Check]]) -> Check:
    """Return the first that does not hold, or the one with the greatest figure."""
    details = dict.fromkeys(check.detail for _, check in each)
    for number, check in each:
        if not check.ok:
            return replace(check, detail=f"cutter {number}: {check.detail}")
    greatest = max((check for _, check in each), key=lambda check: abs(check.value or 0.0))
    if len(details) == 1:
        return greatest
    told = dict.fromkeys(f"cutter {number}: {check.detail}" for number, check in each)
    return replace(greatest, detail="; ".join(told))
