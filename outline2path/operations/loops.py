"""Loop: a closed path measured along its length, in mm.

In: the points of a ring, in the order the cutter follows them. Out: places, directions, pieces
and turning by distance along the ring. A distance beyond the ring's length goes round again, so
a piece from 90 to 130 on a ring of 100 mm runs over its start. Refused: rings without length.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.errors import DrawingError
from outline2path.tolerance import LENGTH_EPSILON_MM

__all__ = ["Loop"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Loop:
    """A closed path.

    Parameters
    ----------
    points : ndarray, shape (n + 1, 2)
        mm, in the direction of motion, the last point the same as the first, none doubled.

    Examples
    --------
    >>> loop = Loop.of([(0, 0), (10, 0), (10, 10), (0, 10)])
    >>> loop.length_mm, loop.at(45.0).tolist()
    (40.0, [5.0, 0.0])
    >>> loop.piece(5.0, 15.0).tolist()
    [[5.0, 0.0], [10.0, 0.0], [10.0, 5.0]]
    """

    points: Floats

    @classmethod
    def of(cls, ring: object, *, clockwise: bool | None = None) -> Loop:
        """Make a loop from points (open or closed), turned round where a direction is asked.

        Raises
        ------
        DrawingError
            When the points all coincide.
        """
        points = np.asarray(ring, dtype=np.float64)[:, :2]
        if not np.array_equal(points[0], points[-1]):
            points = np.vstack((points, points[:1]))
        steps = np.hypot(*np.diff(points, axis=0).T)
        points = np.vstack((points[:1], points[1:][steps > LENGTH_EPSILON_MM]))
        if len(points) < 3:
            raise DrawingError(f"a ring of {len(points)} points has no length")
        points[-1] = points[0]
        loop = cls(points)
        if clockwise is not None and (loop.area_mm2 < 0) != clockwise:
            return cls(points[::-1])
        return loop

    @cached_property
    def marks(self) -> Floats:
        """Distance from the first point to each point, shape (n + 1,), mm."""
        return np.append(0.0, np.cumsum(np.hypot(*np.diff(self.points, axis=0).T)))

    @property
    def length_mm(self) -> float:
        """Length once round, mm."""
        return float(self.marks[-1])

    @cached_property
    def area_mm2(self) -> float:
        """Area inside, mm2; negative where the motion is clockwise."""
        x, y = (self.points - self.points[0]).T
        return float(np.sum(x[:-1] * y[1:] - x[1:] * y[:-1]) / 2)

    @cached_property
    def polygon(self) -> shapely.Polygon:
        """The area inside."""
        return shapely.Polygon(self.points)

    @cached_property
    def _headings(self) -> Floats:
        """Heading of each edge in radians, unrolled, so that differences are turns."""
        x, y = np.diff(self.points, axis=0).T
        return np.unwrap(np.arctan2(y, x))

    def at(self, along_mm: Floats | float) -> Floats:
        """Return the places at distances along the ring, shape (..., 2), mm."""
        s = np.mod(along_mm, self.length_mm)
        x = np.interp(s, self.marks, self.points[:, 0])
        y = np.interp(s, self.marks, self.points[:, 1])
        return np.stack((x, y), axis=-1)

    def heading(self, along_mm: Floats | float) -> Floats:
        """Return unit vectors of motion at distances along the ring, shape (..., 2)."""
        angle = self._headings[self._edge(along_mm)]
        return np.stack((np.cos(angle), np.sin(angle)), axis=-1)

    def turning(self, along_mm: Floats, half_mm: float) -> tuple[Floats, Floats]:
        """Return how far the path turns within `half_mm` to both sides of each distance.

        Returns
        -------
        total, net : ndarray
            Sum of the sizes of all turns, and their sum with sign (left positive), radians.
        """
        turns = np.diff(self._headings, append=self._headings[0])
        turns[-1] = np.mod(turns[-1] + np.pi, 2 * np.pi) - np.pi
        low, high = along_mm - half_mm, along_mm + half_mm
        return self._summed(np.abs(turns), low, high), self._summed(turns, low, high)

    def _summed(self, values: Floats, low: Floats, high: Floats) -> Floats:
        """Add the values at the ends of edges between two distances, going round as needed."""
        sums = np.append(0.0, np.cumsum(values))

        def until(s: Floats) -> Floats:
            rounds = np.floor(s / self.length_mm)
            passed = np.searchsorted(self.marks[1:], s - rounds * self.length_mm, side="right")
            return np.asarray(rounds * sums[-1] + sums[passed])

        return until(high) - until(low)

    def _edge(self, along_mm: Floats | float) -> NDArray[np.intp]:
        s = np.mod(along_mm, self.length_mm)
        edge = np.searchsorted(self.marks, s, side="right") - 1
        return np.clip(edge, 0, len(self.marks) - 2)

    def piece(self, start_mm: float, end_mm: float) -> Floats:
        """Return the points from one distance to a later one, shape (n, 2), n >= 2."""
        return self.at(self.stops(start_mm, end_mm))

    def stops(self, start_mm: float, end_mm: float) -> Floats:
        """Return both distances and those of all the ring's points between them, in order."""
        rounds = np.arange(
            np.floor(start_mm / self.length_mm), np.floor(end_mm / self.length_mm) + 1
        )
        every = (rounds[:, None] * self.length_mm + self.marks[None, :-1]).ravel()
        first = np.searchsorted(every, start_mm + LENGTH_EPSILON_MM, side="right")
        last = np.searchsorted(every, end_mm - LENGTH_EPSILON_MM, side="left")
        return np.concatenate(([start_mm], every[first:last], [end_mm]))

    def nearest(self, places: Floats) -> Floats:
        """Return the distances along the ring of the points nearest to given places (n, 2)."""
        line = shapely.LineString(self.points)
        return np.asarray(shapely.line_locate_point(line, shapely.points(places)))
