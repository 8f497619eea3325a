"""How a program treats the machine: states, spindle, feed, positions.

In: the motions and what was expected. Out: checks. Nothing here looks at the part.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.proof.axis_feed import feed_check
from outline2path.proof.change import change_check
from outline2path.proof.named import named_cutters, unlike
from outline2path.proof.verdict import Check
from outline2path.rs274.motion import RAPID, Motions

if TYPE_CHECKING:
    from outline2path.proof.expected_program import ExpectedProgram

__all__ = ["conduct", "cutting", "known"]

_TOLD = (("units", {"G20", "G21"}), ("plane", {"G17", "G18", "G19"}), ("distance", {"G90", "G91"}))
_EVEN = 0.0005
"""mm: heights equal after rounding to four decimals, inches included."""


def known(table: NDArray[np.void]) -> NDArray[np.void]:
    """Return the table with machine-coordinate lifts made comparable.

    A rapid in machine coordinates on z alone ("G53 G0 Z0"), or to the machine's home, is taken
    as the top of its travel (common practice, no source): z becomes infinity there. What stays
    NaN is unknown.
    """
    lifts = np.flatnonzero(
        (table["system"] == 0) & (table["kind"] == RAPID) & np.isnan(table["end"][:, 2])
    )
    lifts = lifts[~(table["centre"][lifts, 2] < 0)]
    if not len(lifts):
        return table
    table = table.copy()
    for row in lifts.tolist():
        table["end"][row, 2] = np.inf
        after = row + 1
        while after < len(table) and np.isnan(table["start"][after, 2]):
            table["start"][after, 2] = np.inf
            if np.isnan(table["end"][after, 2]):
                table["end"][after, 2] = np.inf
            after += 1
    return table


def cutting(table: NDArray[np.void], top_mm: float) -> NDArray[np.bool_]:
    """Tell which motions take the tip below the stock's top."""
    low = np.fmin(table["start"][:, 2], table["end"][:, 2])
    mask: NDArray[np.bool_] = low < top_mm - _EVEN
    return mask


def conduct(motions: Motions, table: NDArray[np.void], expected: ExpectedProgram) -> list[Check]:
    r"""Return the checks on states, spindle, feed and positions.

    Examples
    --------
    >>> import shapely
    >>> from outline2path.rs274.reader import read_program
    >>> from outline2path.proof.expected import Expected
    >>> from outline2path.proof.expected_program import as_program
    >>> wanted = as_program(Expected(
    ...     region_fine=shapely.box(0, 0, 9, 9), side="on", cutter_mm=1.0,
    ...     top_mm=0.0, bottom_mm=-2.0, clearance_mm=5.0))
    >>> motions = read_program("G21 G17 G90\nG0 Z5\nX0 Y0\nG1 Z-2 F100\nM30")
    >>> [c.name for c in conduct(motions, motions.table, wanted) if not c.ok]
    ['spindle', 'end state']
    """
    low = cutting(table, expected.top_mm)
    return [
        _told(motions),
        _one_zero(table),
        _positions(table),
        _spindle(table, low, expected),
        feed_check(table, expected),
        _one_cutter(motions, table, low, expected),
        change_check(motions, clearance_mm=expected.clearance_mm, low_lines=table["line"][low]),
        _skippable(motions),
        _end(motions, expected),
        _nothing_after(motions),
    ]


def _told(motions: Motions) -> Check:
    missing = [what for what, codes in _TOLD if not codes & motions.codes_before_motion]
    detail = "units, plane and distance mode are told before the first motion"
    if missing:
        detail = f"{', '.join(missing)} not told before the first motion: left to chance"
    return Check(name="start state", ok=not missing, detail=detail)


def _one_zero(table: NDArray[np.void]) -> Check:
    other = np.flatnonzero(table["system"] > 1)
    if not len(other):
        return Check(name="work zero", ok=True, detail="one work zero, G54")
    return Check(
        name="work zero",
        ok=False,
        detail="moves under another work zero than G54, which the text does not place",
        line=int(table["line"][other[0]]),
    )


def _positions(table: NDArray[np.void]) -> Check:
    """Feed moves must run between points that are known."""
    ends = np.isfinite(table["start"]).all(axis=1) & np.isfinite(table["end"]).all(axis=1)
    lost = np.flatnonzero((table["kind"] != RAPID) & ~ends)
    if not len(lost):
        return Check(name="positions", ok=True, detail="every feed move has known ends")
    return Check(
        name="positions",
        ok=False,
        detail="a feed move begins or ends where the text does not say",
        line=int(table["line"][lost[0]]),
    )


def _spindle(table: NDArray[np.void], low: NDArray[np.bool_], expected: ExpectedProgram) -> Check:
    most = np.inf if expected.most_rpm is None else expected.most_rpm
    rpm = np.where(low, table["rpm"], 1.0)
    bad = np.flatnonzero((rpm <= 0) | (rpm > most))
    if not len(bad):
        top = float(table["rpm"][low].max(initial=0.0))
        return Check(name="spindle", ok=True, detail=f"turns clockwise in the stock, {top:g} rpm")
    row = int(bad[0])
    value = float(table["rpm"][row])
    what = (
        "stands still in the stock: the cutter would break"
        if value == 0
        else "turns backwards in the stock: it would rub and burn"
        if value < 0
        else f"is asked for {value:g} rpm, the machine has {most:g}"
    )
    return Check(
        name="spindle", ok=False, detail=f"the spindle {what}", value=value,
        line=int(table["line"][row]), at_mm=_place(table, row),
    )  # fmt: skip


def _one_cutter(
    motions: Motions, table: NDArray[np.void], low: NDArray[np.bool_], expected: ExpectedProgram
) -> Check:
    tools = np.unique(table["tool"][low])
    if len(tools) > 1:
        first = int(np.flatnonzero(low & (table["tool"] != table["tool"][low][0]))[0])
        return Check(
            name="cutter", ok=False, detail=f"cuts with {len(tools)} cutters, one was expected",
            line=int(table["line"][first]),
        )  # fmt: skip
    for named in named_cutters(motions.comments):
        other = unlike(named, {0: expected.cutter})
        if other is not None:
            what, value, limit = other
            return Check(
                name="cutter", ok=False, line=named.line, value=value, limit=limit,
                detail=f"the header names {what}",
            )  # fmt: skip
    return Check(name="cutter", ok=True, detail=f"one cutter, {expected.cutter_mm:g} mm")


def _skippable(motions: Motions) -> Check:
    if not motions.skippable:
        return Check(name="one meaning", ok=True, detail="no line depends on a switch")
    return Check(
        name="one meaning", ok=False, line=motions.skippable[0],
        detail=f"{len(motions.skippable)} lines are skipped or not as a switch stands",
    )  # fmt: skip


def _end(motions: Motions, expected: ExpectedProgram) -> Check:
    """At the end the program is over, the spindle told to stop, the tool clear of the work."""
    end = motions.end
    z = end.position_mm[2]
    faults = []
    if end.ended_by is None:
        faults.append("the text stops without an end")
    if end.rpm != 0 and end.ended_by not in {"M2", "M30"}:
        faults.append("the spindle is left turning")
    if z < expected.clearance_mm - _EVEN:
        faults.append(f"the tool is left at z {z:.3f} mm, below the clearance height")
    detail = "; ".join(faults) or "ended, spindle off, clear of the work"
    return Check(name="end state", ok=not faults, detail=detail, line=end.line)


def _nothing_after(motions: Motions) -> Check:
    line = motions.end.text_after
    detail = "nothing follows the end"
    if line is not None:
        detail = "text follows the end; some controllers would run it"
    return Check(name="nothing after", ok=line is None, detail=detail, line=line)


def _place(table: NDArray[np.void], row: int) -> tuple[float, float] | None:
    x, y = table["end"][row, :2].tolist()
    return (x, y) if np.isfinite([x, y]).all() else None
