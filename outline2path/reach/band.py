"""Bands: everything within a width of some edges, on their free side.

In: a Boundary, the edges chosen, a width in mm. Out: one region. Each edge gives one piece: the
rectangle on it, and at its start the turn of a disc round the corner. At an inner corner the
rectangles overlap: each is cut back along the line that halves the corner, beyond which the other
edge is nearer, as long as that edge is long enough to reach all that is cut away.

Edges that follow one another give one strip: the lines between their pieces are gone through both
ways and cancel. A strip may cross itself, but nowhere less than once round; filling it by that
count (a buffer of 0) unites its pieces in one sweep, and few strips are left to unite. Where the
filling takes a strip to run the other way round, nothing is left of it: told by its area, which
counts each place no oftener than there are edges, and then its pieces are united one by one.

Nothing is smoothed away beforehand (general buffers leave out shallow hollows, up to a hundredth
of the distance): the band is exact where edges are straight, and short by a sagitta where corners
turn. Strips reach a little back over the strip before, so that no hair line is left open between
them. A piece may reach across a thin part into the free space behind it, where it is as near an
edge as it says.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from numpy.typing import NDArray

if TYPE_CHECKING:
    from outline2path.reach.boundary import Boundary, Floats, Ints

__all__ = ["band", "chords_for"]

BACK = 0.02
"""Strips reach back by a sector of this many radians."""
MOST_EDGES = 12
"""Edges in a strip: the fastest of 4 to 128, measured. A strip is filled in the square of them."""
NEARLY = 0.999
"""An edge this share of the needed length is long enough; round fans are short of it by a hair,
and their next edge reaches the rest."""


def chords_for(radius_mm: float, *, sagitta_mm: float) -> int:
    """Return how many chords to a quarter turn lie no farther from the circle than a sagitta.

    Examples
    --------
    >>> chords_for(10.0, sagitta_mm=0.01)  # 71 round the whole circle, sources.md W8
    18
    """
    half_turn = math.acos(max(0.0, 1 - sagitta_mm / radius_mm))
    return math.ceil(math.pi / (4 * half_turn))


def band(
    boundary: Boundary,
    chosen: NDArray[np.bool_],
    width_mm: float,
    *,
    chords: int,
    even: bool = False,
) -> shapely.Geometry:
    """Unite the strips along chosen edges, on their free side.

    Parameters
    ----------
    boundary : Boundary
        Edges in mm.
    chosen : ndarray of bool
        The edges that get a strip.
    width_mm : float
        Width of the strips, and radius of the turns.
    chords : int
        Chords to a quarter turn; their ends lie on the circle.
    even : bool
        Whether turns are a little larger, so that their chords enclose as much as the circle;
        strips are then as wide as the largest turn.

    Examples
    --------
    >>> from outline2path.reach.boundary import Boundary
    >>> square = Boundary.of(shapely.MultiPolygon([shapely.box(0, 0, 9, 9)]), free_inside=True)
    >>> strips = band(square, square.turn > 0, 1.0, chords=8)
    >>> round(shapely.difference(shapely.box(0, 0, 9, 9), strips).area, 6)
    49.0
    """
    edges = np.flatnonzero(chosen)
    if not len(edges):
        return shapely.MultiPolygon()
    wide_mm = width_mm * float(_evened(np.pi / (2 * chords))) if even else width_mm

    def drawn(edges: Ints, strip: Ints, first: NDArray[np.bool_]) -> NDArray[np.object_]:
        turns = _turns(boundary, edges, first, width_mm, chords=chords, even=even)
        return _outlines(boundary, edges, strip, first, wide_mm, turns)

    strip, first = _strips(boundary, edges)
    crossing = drawn(edges, strip, first)
    filled = shapely.buffer(crossing, 0.0)
    emptied = shapely.area(crossing) > 2 * MOST_EDGES * shapely.area(filled)
    again = edges[emptied[strip]]
    if not len(again):
        return shapely.union_all(filled)
    single = drawn(again, np.arange(len(again)), np.ones(len(again), dtype=bool))
    return shapely.union_all(np.concatenate([filled[~emptied], single]))


def _strips(boundary: Boundary, edges: Ints) -> tuple[Ints, NDArray[np.bool_]]:
    """Give each edge the number of its strip, and flag the first edge of each strip."""
    number = np.arange(len(edges))
    begins = np.r_[True, boundary.after[edges[:-1]] != edges[1:]]
    place = number - np.maximum.accumulate(np.where(begins, number, 0))
    first = place % MOST_EDGES == 0
    return np.cumsum(first) - 1, first


def _outlines(
    boundary: Boundary,
    edges: Ints,
    strip: Ints,
    first: NDArray[np.bool_],
    width_mm: float,
    turns: tuple[Floats, Ints],
) -> NDArray[np.object_]:
    """Draw each strip: along the far sides of its pieces, and back along its edges."""
    start, end = boundary.points[edges], boundary.points[boundary.after[edges]]
    along = boundary.direction[edges]
    normal = np.column_stack([-along[:, 1], along[:, 0]])
    lean = _leans(boundary, edges, first, width_mm)
    onward = np.append(lean[1:], 0.0)
    with np.errstate(divide="ignore"):
        height = np.minimum(width_mm, boundary.length_mm[edges] / (lean + onward))
    left = start + height[:, None] * (normal + lean[:, None] * along)
    right = end + height[:, None] * (normal - onward[:, None] * along)
    turning, turned = turns
    every, last = np.arange(len(edges)), np.append(first[1:], True)
    square, lowered = lean == 0, height < width_mm
    begun = first | (square & (boundary.turn[edges] > 0))
    way = (
        (start, every[begun]),
        (turning, turned),
        (start + width_mm * normal, every[square & lowered]),
        (left, every),
        (right, every[~lowered]),
        (end, every[last]),
        (start, every[~first]),
    )
    points = [at if at is turning else at[owner] for at, owner in way]
    owners = np.concatenate([owner for _, owner in way])
    back = len(owners) - np.count_nonzero(~first)
    place = owners.copy()
    place[back:] = 2 * len(edges) - owners[back:]
    order = np.lexsort((place, strip[owners]))
    rings = shapely.linearrings(np.concatenate(points)[order], indices=strip[owners][order])
    drawn: NDArray[np.object_] = shapely.polygons(rings)
    return drawn


def _leans(boundary: Boundary, edges: Ints, first: NDArray[np.bool_], width_mm: float) -> Floats:
    """Lean of the line two pieces are cut back to, at each edge's start; 0 where they are not.

    A place over one edge and beyond that line is nearer to the other edge, if that one is long
    enough to lie under it: as long as the width times the sine of the turn.
    """
    turn, long = boundary.turn[edges], boundary.length_mm[edges]
    shorter = np.minimum(long, np.roll(long, 1))
    inner = ~first & (turn > 0) & (turn < np.pi / 2)
    halved = inner & (shorter >= NEARLY * width_mm * np.sin(turn))
    return np.where(halved, np.tan(turn / 2), 0.0)


def _turns(
    boundary: Boundary,
    edges: Ints,
    first: NDArray[np.bool_],
    width_mm: float,
    *,
    chords: int,
    even: bool,
) -> tuple[Floats, Ints]:
    """Points on the turns round poking corners, and the place of the edge each belongs to."""
    along = boundary.direction[edges]
    sweep = np.maximum(-boundary.turn[edges], 0.0) + np.where(first, BACK, 0.0)
    steps = np.ceil(sweep * (2 * chords / np.pi)).astype(np.intp)
    owner = np.repeat(np.arange(len(edges)), steps)
    number = np.arange(len(owner)) - (np.cumsum(steps) - steps)[owner]
    heading = np.arctan2(along[:, 0], -along[:, 1])[owner]
    heading += sweep[owner] * (1 - number / steps[owner])
    arm = width_mm * np.column_stack([np.cos(heading), np.sin(heading)])
    if even:
        arm *= _evened(sweep[owner] / steps[owner])[:, None]
    return boundary.points[edges[owner]] + arm, owner


def _evened(step: Any) -> Any:
    """How many times larger a polygon is to be drawn to enclose as much as its circle.

    `step` is the angle in radians from corner to corner.
    """
    return np.sqrt(step / np.sin(step))
