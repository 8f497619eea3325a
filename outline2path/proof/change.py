"""Change: whether cutters are changed so that nobody is hurt and every tip has its height.

In: what the reader noted of every M6, G43 and G49. Out: one check. By NISTIR 6556 the spindle
stands still after M6 (3.6.3); that it must stand still before, that the tool is clear of the work,
and that the height of a new tip is measured (a stop) or taken from the table (G43 with its own
number) is common practice, no source.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.proof.verdict import Check

if TYPE_CHECKING:
    from outline2path.rs274.motion import Motions

__all__ = ["change_check"]

_NAME = "cutter change"
_EVEN_MM = 0.0005
"""Heights equal after rounding to four decimals, inches included."""


def change_check(
    motions: Motions,
    *,
    clearance_mm: float,
    low_lines: NDArray[np.int32] | None = None,
    measured: bool = False,
) -> Check:
    r"""Check every change of cutter.

    Parameters
    ----------
    motions : Motions
        The program as it was read.
    clearance_mm : float
        Lowest z at which a cutter may be changed.
    low_lines : ndarray of int, optional
        Lines of the motions below the stock's top, in order.
    measured : bool
        Whether the text must see to it that every cutter after the first gets its height.

    Examples
    --------
    >>> from outline2path.rs274.reader import read_program
    >>> motions = read_program("G21 G0 X0 Y0 Z5\nM3 S9000\nT2 M6\nM30")
    >>> print(change_check(motions, clearance_mm=5.0))
    no  cutter change: the cutter is changed while the spindle turns (line 3)
    """
    if not motions.changes and not motions.tool_lengths:
        return Check(name=_NAME, ok=True, detail="no cutter is changed")
    for fault in (
        _unsafe(motions, clearance_mm),
        _other_length(motions, low_lines),
        _unmeasured(motions, low_lines) if measured else None,
    ):
        if fault is not None:
            return fault
    count = len(motions.changes)
    return Check(
        name=_NAME,
        ok=True,
        detail=f"{count} time{'s' * (count != 1)}, clear of the work and with the spindle still",
    )


def _unsafe(motions: Motions, clearance_mm: float) -> Check | None:
    for line, _, rpm, z in motions.changes:
        if rpm != 0:
            return _fault("the cutter is changed while the spindle turns", line, abs(rpm), 0.0)
        if math.isfinite(z) and z < clearance_mm - _EVEN_MM:
            what = f"the cutter is changed at z {z:.3f} mm, below the clearance height"
            return _fault(what, line, z, clearance_mm)
    return None


def _other_length(motions: Motions, low_lines: NDArray[np.int32] | None) -> Check | None:
    """Find a length taken for another cutter, or kept from the one before."""
    for line, number, mounted in motions.tool_lengths:
        if number and mounted and number != mounted:
            what = f"the length of cutter {number} is taken for cutter {mounted}"
            return _fault(what, line, float(number), float(mounted))
    if low_lines is None:
        return None
    for change in motions.changes:
        work = low_lines[low_lines > change.line]
        told = [one for one in motions.tool_lengths if len(work) and one.line <= work[0]]
        if told and told[-1].number not in (0, change.number) and told[-1].line < change.line:
            what = f"cutter {change.number} runs with the length of cutter {told[-1].number}"
            return _fault(what, int(work[0]), float(told[-1].number), float(change.number))
    return None


def _unmeasured(motions: Motions, low_lines: NDArray[np.int32] | None) -> Check | None:
    """Find a cutter that goes to work at the height of the one before."""
    lines = np.zeros(0, np.int32) if low_lines is None else low_lines
    mounted = motions.changes[0].number if motions.changes else 0
    for change in motions.changes[1:]:
        work = lines[lines > change.line]
        until = int(work[0]) if len(work) else motions.lines
        stopped = any(change.line <= stop <= until for stop in motions.stops)
        taken = any(
            change.line <= one.line <= until and one.number == change.number
            for one in motions.tool_lengths
        )
        if change.number != mounted and not stopped and not taken:
            what = (
                f"cutter {change.number} goes to work at the height of cutter {mounted}: no stop "
                "to measure it, no length from the table"
            )
            return _fault(what, change.line, float(change.number), float(mounted))
        mounted = change.number
    return None


def _fault(what: str, line: int, value: float, limit: float) -> Check:
    return Check(name=_NAME, ok=False, detail=what, line=line, value=value, limit=limit)
