"""Sweep: the ground that is gone at one height, whoever took it.

In: pieces of path, the bodies that ran along them, a height. Out: how far a point is from ground
that was swept. A body whose tip ran lower than the height swept a disc as wide as the body is
there; pieces are grouped by that radius, so that every question is one about distances to
straight pieces (see `tracks`). Exact for flat cutters and level pieces; of a sloping piece cut
with a cone no more is counted than was surely swept. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.proof.body import Body
from outline2path.proof.tracks import Floats, Nearest, Pieces

__all__ = ["Ran", "Sweep", "sweep_at"]

Ran = tuple[Pieces, Body]
"""Pieces of path in mm, and what ran along them."""
_EVEN = 0.001
_EXACT = 300
"""How many points, those that may be farthest, are measured without a guess."""
_RISE_MM = 0.02
"""Pieces that slope are counted by their higher end, in steps this high (only behind a cone)."""


class Sweep:
    """Discs along pieces of path, seen from above.

    Parameters
    ----------
    parts : sequence of (Nearest, float)
        Centres and the radius that ran along them, mm.
    pieces : sequence of Pieces, optional
        What each part was made of, to find the motion at a place.

    Examples
    --------
    >>> run = Nearest(np.array([[0.0, 0.0]]), np.array([[10.0, 0.0]]))
    >>> Sweep([(run, 1.5)]).short(np.array([[5.0, 2.0], [13.0, 4.0]])).tolist()
    [0.5, 3.5]
    """

    def __init__(
        self, parts: Sequence[tuple[Nearest, float]], pieces: Sequence[Pieces] = ()
    ) -> None:
        self.parts = [part for part in parts if part[0].pieces]
        self.pieces = [one for one in pieces if len(one)]

    def short(self, xy: Floats) -> Floats:
        """Return how far each point is from swept ground, mm; below 0 inside, inf without any."""
        found = np.full(len(xy), np.inf)
        for path, radius in self.parts:
            np.minimum(found, path.distance(xy) - radius, out=found)
        return found

    def about(self, xy: Floats) -> Floats:
        """Return `short` or more than it for points in a row, cheaply; where high it is exact."""
        found = np.full(len(xy), np.inf)
        for path, radius in self.parts:
            np.minimum(found, path.guess(xy)[0] - radius, out=found)
        few = np.argsort(found)[-_EXACT:]
        found[few] = self.short(xy[few])
        high = np.flatnonzero(found > found[few].max(initial=-np.inf))
        found[high] = self.short(xy[high])
        return found

    def reach(self, xy: Floats, other: Floats, *, enough_mm: float) -> tuple[Floats, Floats]:
        """Return how far points are from swept ground, and others from the disc found for each.

        Where the second is no more than `enough_mm`, one disc holds both, and the first may be
        more than the least.
        """
        found, beyond = np.full(len(xy), np.inf), np.full(len(xy), np.inf)
        for path, radius in self.parts:
            distance, feet = path.guess(xy)
            _note(found, beyond, np.arange(len(xy)), (distance, feet, radius, other))
        left = np.flatnonzero(np.maximum(beyond, found) > enough_mm)
        found[left] = beyond[left] = np.inf
        for path, radius in self.parts:
            distance, chain = path.locate(xy[left])
            known = np.flatnonzero(chain >= 0)
            feet = np.full((len(left), 2), np.inf)
            feet[known] = path.feet(xy[left[known]], chain[known])
            _note(found, beyond, left, (distance, feet, radius, other[left]))
        return found, beyond

    def row_near(self, xy: tuple[float, float] | None) -> int | None:
        """Row of the motion that ran nearest to a place; None where it was another program's."""
        if xy is None or not self.parts:
            return None
        at = np.array([xy])
        short = [float(path.distance(at)[0]) - radius for path, radius in self.parts]
        best = int(np.argmin(short))
        path = self.parts[best][0]
        if best >= len(self.pieces):
            return None
        row = int(self.pieces[best].row[path.first[int(path.locate(at)[1][0])]])
        return row if row >= 0 else None

    def ground(
        self, *, within_mm: float = 0.001, quad_segs: int = 32
    ) -> shapely.MultiPolygon | shapely.Polygon:
        """Return the swept ground as a region; chords of its round ends lie inside it.

        Parameters
        ----------
        within_mm : float
            How far the paths may be simplified.
        quad_segs : int
            Chords to a quarter turn.
        """
        grown = []
        for path, radius in self.parts:
            long = shapely.length(path.lines) > 0
            lines = shapely.line_merge(shapely.multilinestrings(path.lines[long]))
            simple = shapely.simplify(lines, within_mm)
            grown.append(shapely.buffer(simple, radius, quad_segs=quad_segs))
            spots = shapely.multipoints(shapely.get_coordinates(path.lines[~long])[::2])
            grown.append(shapely.buffer(spots, radius, quad_segs=quad_segs))
        return shapely.union_all(grown)


def _note(
    found: Floats,
    beyond: Floats,
    rows: NDArray[np.int64],
    disc: tuple[Floats, Floats, float, Floats],
) -> None:
    """Keep what one part tells, where it is nearer than what was known."""
    distance, feet, radius, other = disc
    better = np.flatnonzero(distance - radius < found[rows])
    found[rows[better]] = distance[better] - radius
    beyond[rows[better]] = np.hypot(*(feet[better] - other[better]).T) - radius


def sweep_at(z: float, ran: Sequence[Ran]) -> Sweep:
    """Return what is swept at a height.

    Parameters
    ----------
    z : float
        The height, mm; tips within a micrometre of it count as there.
    ran : sequence of (Pieces, Body)
        What ran, in any order.

    Examples
    --------
    >>> from outline2path.shop.cutter import Cutter
    >>> run = Pieces(np.array([[0.0, 0, -2]]), np.array([[9.0, 0, -2]]), np.array([3]))
    >>> [len(sweep_at(at, [(run, Body(Cutter(3.0)))]).parts) for at in (-1.0, -3.0)]
    [1, 0]
    """
    parts: list[tuple[Nearest, float]] = []
    used: list[Pieces] = []
    for pieces, body in ran:
        low = pieces.below(z + _EVEN)
        for some, radius in _by_radius(low, body, z):
            thin = some.lowest_once().thinned()
            if len(thin):
                parts.append((Nearest(thin.start, thin.end), radius))
                used.append(thin)
    return Sweep(parts, used)


def _by_radius(pieces: Pieces, body: Body, z: float) -> list[tuple[Pieces, float]]:
    if body.is_flat or not len(pieces):
        return [(pieces, body.radius_mm)]
    slopes = (pieces.high - pieces.low > _EVEN) & (pieces.start[:, :2] != pieces.end[:, :2]).any(
        axis=1
    )
    height = z - np.where(slopes, pieces.high, pieces.low)
    height = np.clip(height, 0.0, body.widens_mm)
    height[slopes] = np.floor(height[slopes] / _RISE_MM) * _RISE_MM
    radius = body.radius_at(height)
    return [(pieces.where(radius == one), float(one)) for one in np.unique(radius) if one > 0]
