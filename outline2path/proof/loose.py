"""Loose pieces: what nothing holds any more, and whether the cutter comes back to it.

In: what ran through at the stock's underside, and all of the path in the stock. Out: the pieces
that are cut free all around, since when, and the first later move that works inside one. A piece
may come free where no tabs were asked for (tape holds it, or it may drop), or where it is small;
but nothing may be cut in it afterwards: it would move, jam or fly. The pieces are the holes of the
cutter's sweep, united by shapely; counting them needs no micrometres.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.proof.sweep import Ran, Sweep, sweep_at
from outline2path.proof.tracks import Pieces
from outline2path.proof.verdict import Check

if TYPE_CHECKING:
    from outline2path.proof.expected_program import ExpectedProgram

__all__ = ["LoosePiece", "loose", "loose_pieces"]

_SIMPLER_MM = 0.005
_SMALLEST_PIECE = 0.5
_QUADRANT = 12
_BESIDE = 1.05
_NEVER = -2
_TOLD = 5
"""Pieces told one by one."""


@dataclass(frozen=True)
class LoosePiece:
    """A piece cut free.

    Attributes
    ----------
    area_mm2 : float
        Seen from above, holes in it filled.
    at_mm : tuple of float
        A point of it.
    free_row, worked_row : int or None
        Rows of the table: the cut that freed it (below 0 where a program before did), and the
        first cut inside it after that.
    """

    area_mm2: float
    at_mm: tuple[float, float]
    free_row: int
    worked_row: int | None


def loose_pieces(ran: Sequence[Ran], *, bottom_mm: float) -> list[LoosePiece]:
    """Return every piece of stock that is cut free all around.

    Parameters
    ----------
    ran : sequence of (Pieces, Body)
        Feed moves below the stock's top, its own first; those of programs before have rows of -1.
    bottom_mm : float
        z of the stock's underside.

    Examples
    --------
    >>> from outline2path.proof.body import Body
    >>> from outline2path.shop.cutter import Cutter
    >>> ring = np.array([[-1.0, -1, -2], [10, -1, -2], [10, 10, -2], [-1, 10, -2]])
    >>> path = Pieces(ring, np.roll(ring, -1, axis=0), np.arange(4))
    >>> [round(one.area_mm2) for one in loose_pieces([(path, Body(Cutter(2.0)))], bottom_mm=-2)]
    [81]
    """
    through = sweep_at(bottom_mm, ran)
    if not through.parts:
        return []
    swept = through.ground(within_mm=_SIMPLER_MM, quad_segs=_QUADRANT)
    least = _SMALLEST_PIECE * max(radius for _, radius in through.parts)
    shapes = [
        shapely.Polygon(ring)
        for part in shapely.get_parts(swept).tolist()
        for ring in part.interiors
    ]
    shapes = [s for s in shapes if not shapely.is_empty(shapely.buffer(s, -least))]
    return [_piece(shape, through, ran[0][0]) for shape in shapes]


def _piece(shape: shapely.Polygon, through: Sweep, feeds: Pieces) -> LoosePiece:
    rim = shapely.get_coordinates(shape.exterior)
    free = _NEVER
    for (path, radius), pieces in zip(through.parts, through.pieces, strict=True):
        _, beside = path.near(rim, _BESIDE * radius)
        beside = beside[~_inside(shape, pieces.where(beside))]
        free = max(free, int(pieces.row[beside].max(initial=_NEVER)))
    after = feeds.where(feeds.row > free)
    later = after.row[_inside(shape, after)]
    point = shape.representative_point()
    worked = int(later.min()) if len(later) and free > _NEVER else None
    return LoosePiece(float(shape.area), (float(point.x), float(point.y)), free, worked)


def _inside(shape: shapely.Polygon, pieces: Pieces) -> NDArray[np.bool_]:
    """Tell which pieces have their middle inside a shape."""
    x, y = ((pieces.start[:, :2] + pieces.end[:, :2]) / 2).T
    x0, y0, x1, y1 = shape.bounds
    inside: NDArray[np.bool_] = (x0 <= x) & (x <= x1) & (y0 <= y) & (y <= y1)
    shapely.prepare(shape)
    inside[inside] = shapely.contains_xy(shape, x[inside], y[inside])
    return inside


def loose(pieces: list[LoosePiece], lines: NDArray[np.int32], expected: ExpectedProgram) -> Check:
    """Check that nothing comes free in spite of tabs, and nothing free is worked on.

    Parameters
    ----------
    pieces : list of LoosePiece
        What comes free.
    lines : ndarray of int
        Line of the text by row of the table.
    expected : ExpectedProgram
        Whether tabs were asked for, and how large a piece may come free all the same.
    """
    count = float(len(pieces))
    faults = [(p, p.worked_row) for p in pieces if p.worked_row is not None]
    what = (
        "has come free, and then the cutter works in it: it would jam or fly; "
        "cut it free last, or leave tabs on it"
    )
    if not faults and expected.tabs:
        faults = [(p, p.free_row) for p in pieces if p.area_mm2 > expected.largest_loose_mm2]
        what = "comes free in spite of tabs: it may be thrown; leave tabs on it too"
    if not faults:
        return _none_wrong(pieces, lines)
    piece, row = max(faults, key=lambda fault: fault[0].area_mm2)
    return Check(
        name="loose pieces",
        ok=False,
        detail=f"a piece of {piece.area_mm2:.0f} mm2 {what}",
        at_mm=piece.at_mm,
        line=_line(row, lines),
        value=count,
        limit=0.0,
    )


def _none_wrong(pieces: list[LoosePiece], lines: NDArray[np.int32]) -> Check:
    """Tell what comes free and when; the place is that of the largest."""
    largest = sorted(pieces, key=lambda piece: -piece.area_mm2)
    told = [
        f"{piece.area_mm2:.0f} mm2" + (f" at line {line}" if line else " before this program")
        for piece in largest[:_TOLD]
        for line in [_line(piece.free_row, lines)]
    ]
    more = f" and {len(pieces) - _TOLD} more" if len(pieces) > _TOLD else ""
    words = f": {', '.join(told)}{more}; be ready to stop there" if pieces else ""
    return Check(
        name="loose pieces",
        ok=True,
        detail=f"come free: {len(pieces)}{words}",
        at_mm=largest[0].at_mm if pieces else None,
        line=_line(largest[0].free_row, lines) if pieces else None,
        value=float(len(pieces)),
    )


def _line(row: int, lines: NDArray[np.int32]) -> int | None:
    """Line of the text of a row; None where a program before did it."""
    return int(lines[row]) if row >= 0 else None
