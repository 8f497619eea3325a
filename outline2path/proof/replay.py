"""Replay: a program's text becomes pieces of path, as the checks want them.

In: the text, and where the tool stands before. Out: a fine replay for what is measured in
micrometres, a coarse one for what is counted. Rapids are kept apart from feeds: only what was fed
counts as cut, but a rapid in the stock cuts all the same. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

import numpy as np
from numpy.typing import NDArray

from outline2path.errors import ProgramError
from outline2path.proof.body import Body
from outline2path.proof.chords import chords
from outline2path.proof.conduct import known
from outline2path.proof.sweep import Ran
from outline2path.proof.tracks import Pieces
from outline2path.rs274.motion import ARC, RAPID, Motions
from outline2path.rs274.reader import read_program

if TYPE_CHECKING:
    from outline2path.proof.expected_program import Earlier

__all__ = ["Replay", "lowered", "ran_before", "replay"]

_SAGITTA_MM = 0.0001
_COARSE_MM = 0.005
_EVEN = 0.001
_UNKNOWN = float("nan")
_READ: WeakKeyDictionary[Earlier, dict[float, tuple[Ran, Ran] | None]] = WeakKeyDictionary()
"""What programs run before took, by the stock's top they were asked for with."""


@dataclass(frozen=True, eq=False)
class Replay:
    """A program's moves.

    Attributes
    ----------
    table : ndarray of MOTION
        All motions.
    everywhere : Pieces
        All known moves, fine.
    low : Pieces
        What of them runs below the stock's top, rapids included.
    feeds, coarse : Pieces
        Feed moves below the top, fine and coarse.
    """

    table: NDArray[np.void]
    everywhere: Pieces
    low: Pieces
    feeds: Pieces
    coarse: Pieces

    def as_earlier(self, body: Body) -> tuple[Ran, Ran]:
        """Return what ran, fine and coarse, as something that ran before: with rows of -1."""
        fine, coarse = (
            Pieces(part.start, part.end, np.full(len(part), -1))
            for part in (self.feeds, self.coarse)
        )
        return (fine, body), (coarse, body)

    @property
    def lines(self) -> NDArray[np.int32]:
        """Line of the text by row of the table."""
        lines: NDArray[np.int32] = self.table["line"]
        return lines


def replay(motions: Motions, *, top_mm: float) -> Replay:
    r"""Turn motions into pieces.

    Examples
    --------
    >>> motions = read_program("G21 G17 G90\nG0 X0 Y0 Z5\nG1 Z-1 F99\nX9\nG0 Z5\nM2")
    >>> [len(part) for part in (replay(motions, top_mm=0.0).everywhere,
    ...                         replay(motions, top_mm=0.0).feeds)]
    [3, 2]
    """
    table = known(motions.table)
    sure = np.isfinite(table["start"]).all(axis=1) & np.isfinite(table["end"]).all(axis=1)
    rows = np.flatnonzero(sure)
    exact = _pieces(table, rows, _SAGITTA_MM)
    low = exact.below(top_mm - _EVEN)
    feeds = low.where(table["kind"][low.row] != RAPID)
    if not (table["kind"] == ARC).any():  # without arcs coarse is fine, and is not kept twice
        return Replay(table, exact, low, feeds, feeds)
    coarse = _pieces(table, rows, _COARSE_MM)
    coarse = coarse.where(table["kind"][coarse.row] != RAPID)
    return Replay(table, exact, low, feeds, coarse.below(top_mm - _EVEN))


def _pieces(table: NDArray[np.void], rows: NDArray[np.int64], sagitta_mm: float) -> Pieces:
    part = chords(table[rows], sagitta_mm=sagitta_mm)
    return Pieces(part.start, part.end, rows[part.row])


def ran_before(before: Sequence[Earlier], *, top_mm: float) -> list[tuple[Ran, Ran]]:
    """Replay the programs run before; return what ran, fine and coarse, with rows of -1.

    A text that cannot be read took nothing, nor did one that is empty. Each is read once for as
    long as somebody holds it, however many later programs are judged after it.
    """
    found = []
    for earlier in before:
        kept = _READ.setdefault(earlier, {})
        if top_mm not in kept:
            kept[top_mm] = _ran(earlier, top_mm)
        ran = kept[top_mm]
        if ran is not None:
            found.append(ran)
    return found


def _ran(earlier: Earlier, top_mm: float) -> tuple[Ran, Ran] | None:
    if not earlier.text:
        return None
    try:
        start = (_UNKNOWN, _UNKNOWN, _UNKNOWN)
        motions = read_program(earlier.text, strict=False, start_mm=start)
    except ProgramError:
        return None
    return replay(motions, top_mm=top_mm).as_earlier(Body(earlier.cutter))


def lowered(ran: tuple[Ran, Ran], *, top_mm: float) -> tuple[Ran, Ran]:
    """Return of what ran before, fine and coarse, that which went below a surface made since.

    What made the surface took nothing from the work that begins there.
    """
    (fine, body), (coarse, _) = ran
    high = top_mm - _EVEN
    return (fine.below(high), body), (coarse.below(high), body)
