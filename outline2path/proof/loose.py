"""Loose pieces: what nothing holds any more, and whether the cutter comes back to it.

In: what ran through at the stock's underside, and all of the path in the stock. Out: the pieces
that are cut free all around, since when, and the first later move that works inside one. A piece
may come free where no tabs were asked for (tape holds it, or it may drop), or where it is small;
but nothing may be cut in it afterwards: it would move, jam or fly. The pieces are the holes of the
cutter's sweep, united by shapely; counting them needs no micrometres.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.proof.expected import Expected
from outline2path.proof.tracks import Nearest, Pieces
from outline2path.proof.verdict import Check

__all__ = ["LoosePiece", "loose", "loose_pieces"]

_SIMPLER_MM = 0.005
_SMALLEST_PIECE = 0.5
_QUADRANT = 12
_BESIDE = 1.05


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
        Rows of the table: the cut that freed it, and the first cut inside it after that.
    """

    area_mm2: float
    at_mm: tuple[float, float]
    free_row: int
    worked_row: int | None


def loose_pieces(feeds: Pieces, expected: Expected, *, within_mm: float) -> list[LoosePiece]:
    """Return every piece of stock that is cut free all around.

    Parameters
    ----------
    feeds : Pieces
        Feed moves below the stock's top.
    expected : Expected
        Cutter and underside.
    within_mm : float
        How far above the underside still counts as through.

    Examples
    --------
    >>> wanted = Expected(region_fine=shapely.box(0, 0, 9, 9), side="outside", cutter_mm=2.0,
    ...                   top_mm=0.0, bottom_mm=-2.0, clearance_mm=5.0)
    >>> ring = np.array([[-1.0, -1, -2], [10, -1, -2], [10, 10, -2], [-1, 10, -2]])
    >>> path = Pieces(ring, np.roll(ring, -1, axis=0), np.arange(4))
    >>> [round(piece.area_mm2) for piece in loose_pieces(path, wanted, within_mm=0.001)]
    [81]
    """
    path = feeds.below(expected.bottom_mm + within_mm).lowest_once()
    if not len(path):
        return []
    lines = shapely.linestrings(np.stack([path.start[:, :2], path.end[:, :2]], axis=1))
    joined = shapely.line_merge(shapely.multilinestrings(lines))
    swept = shapely.buffer(
        shapely.simplify(joined, _SIMPLER_MM), expected.radius_mm, quad_segs=_QUADRANT
    )
    least = _SMALLEST_PIECE * expected.radius_mm
    shapes = [shapely.Polygon(r) for p in shapely.get_parts(swept) for r in p.interiors]
    shapes = [s for s in shapes if not shapely.is_empty(shapely.buffer(s, -least))]
    search = Nearest(path.start, path.end)
    return [_piece(shape, (path, search), feeds, expected) for shape in shapes]


def _piece(
    shape: shapely.Polygon, through: tuple[Pieces, Nearest], feeds: Pieces, expected: Expected
) -> LoosePiece:
    path, search = through
    rim = shapely.get_coordinates(shape.exterior)
    _, beside = search.near(rim, _BESIDE * expected.radius_mm)
    beside = beside[~_inside(shape, path.where(beside))]
    free = int(path.row[beside].max(initial=-1))
    after = feeds.where(feeds.row > free)
    later = after.row[_inside(shape, after)]
    point = shape.representative_point()
    worked = int(later.min()) if len(later) and free >= 0 else None
    return LoosePiece(float(shape.area), (float(point.x), float(point.y)), free, worked)


def _inside(shape: shapely.Polygon, pieces: Pieces) -> NDArray[np.bool_]:
    """Tell which pieces have their middle inside a shape."""
    x, y = ((pieces.start[:, :2] + pieces.end[:, :2]) / 2).T
    x0, y0, x1, y1 = shape.bounds
    inside: NDArray[np.bool_] = (x0 <= x) & (x <= x1) & (y0 <= y) & (y <= y1)
    shapely.prepare(shape)
    inside[inside] = shapely.contains_xy(shape, x[inside], y[inside])
    return inside


def loose(pieces: list[LoosePiece], lines: NDArray[np.int32], expected: Expected) -> Check:
    """Check that nothing comes free in spite of tabs, and nothing free is worked on.

    Parameters
    ----------
    pieces : list of LoosePiece
        What comes free.
    lines : ndarray of int
        Line of the text by row of the table.
    expected : Expected
        Whether tabs were asked for, and how large a piece may come free all the same.
    """
    count = float(len(pieces))
    faults = [(p, p.worked_row) for p in pieces if p.worked_row is not None]
    what = "has come free, and then the cutter works in it: it would fly"
    if not faults and expected.tabs:
        faults = [(p, p.free_row) for p in pieces if p.area_mm2 > expected.largest_loose_mm2]
        what = "comes free in spite of tabs"
    if not faults:
        return Check(name="loose pieces", ok=True, detail=f"come free: {len(pieces)}", value=count)
    piece, row = max(faults, key=lambda fault: fault[0].area_mm2)
    return Check(
        name="loose pieces",
        ok=False,
        detail=f"a piece of {piece.area_mm2:.0f} mm2 {what}",
        at_mm=piece.at_mm,
        line=int(lines[row]),
        value=count,
        limit=0.0,
    )
