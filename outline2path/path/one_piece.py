"""One piece: the line or the arc that may stand for a stretch of a polyline.

In: points (n, 2) in mm, and many stretches at once, each from vertex `first` to vertex `last`.
Out: for each, whether one line or one circular arc through both end vertices stays within the
tolerance, and which. "Within" holds both ways: every point of the polyline, chord interiors
included, is within the tolerance of the piece, and every point of the piece of the polyline.

Method. A line fits when all vertices are within the tolerance of it. The arcs through two points
form one family, ordered by the height t of the centre over the middle of the chord; those that
pass within the tolerance of one vertex are an interval of t (closed form, the roots of one
quadratic), so a stretch fits when all intervals meet (the idea of tolerance gates: Drysdale, Rote
and Sturm 2008). The least-squares t inside the common interval is taken, which is exact for points
of a true circle, and then proved: vertices, chords, and angles that only ever go forward.

Refused as degenerate: radii under 3 tolerances or above 5 m, sweeps above 270 degrees.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["LARGEST_RADIUS_MM", "LARGEST_SWEEP_RAD", "PIECE", "Stretches"]

LARGEST_SWEEP_RAD = math.radians(270)
"""No arc turns further: near-full circles are where rounding changes what an arc means."""
LARGEST_RADIUS_MM = 5000.0
"""Flatter arcs become lines: small controllers count with 24 bits, 0.0003 mm at 5 m."""
SMALLEST_RADIUS_IN_TOLERANCES = 3.0
"""Tighter arcs become lines: common practice, short arcs are where controllers stumble."""
NOISE = float(np.finfo(np.float32).eps)
"""Share of the tolerance that float noise may add to a proved distance."""
TINY = float(np.finfo(np.float64).tiny)
"""Keeps a division by nothing finite."""
SAMPLES = 512
"""Points of a long stretch that a forecast looks at."""

PIECE = np.dtype(
    [
        ("first", np.int64),
        ("last", np.int64),
        ("turn", np.int8),  # 0 line, 1 counter-clockwise, -1 clockwise
        ("cx", np.float64),  # centre of an arc in mm, 0 on lines
        ("cy", np.float64),
    ]
)
"""One piece: the vertices it joins, which way it turns, and its centre."""

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Stretches:
    """A polyline prepared for trying pieces on it.

    Parameters
    ----------
    points : ndarray, shape (n, 2)
        Vertices in mm.
    tolerance_mm : float
        Greatest distance between polyline and piece.
    arcs : bool
        Try arcs where a line does not fit.

    Examples
    --------
    >>> import numpy as np
    >>> angle = np.linspace(0, np.pi / 2, 10)
    >>> quarter = np.column_stack([5 * np.cos(angle), 5 * np.sin(angle)])
    >>> ok, piece = Stretches(quarter, 0.02).try_pieces(np.array([0]), np.array([9]))
    >>> bool(ok[0]), int(piece["turn"][0]), bool(abs(piece["cx"][0]) < 1e-9)
    (True, 1, True)
    """

    points: Floats
    tolerance_mm: float
    arcs: bool = True

    def chords(self, first: Integers) -> NDArray[np.void]:
        """Return the PIECE rows of single chords, which always fit: from each vertex to the next.

        Examples
        --------
        >>> import numpy as np
        >>> Stretches(np.zeros((3, 2)), 0.02).chords(np.array([1]))[["first", "last"]].tolist()
        [(1, 2)]
        """
        piece = np.zeros(len(first), PIECE)
        piece["first"], piece["last"] = first, first + 1
        return piece

    def try_pieces(
        self, first: Integers, last: Integers, *, sampled: bool = False
    ) -> tuple[NDArray[np.bool_], NDArray[np.void]]:
        """Try one piece on each stretch, a line before an arc.

        Parameters
        ----------
        first, last : ndarray of int, shape (m,)
            Vertex numbers, first < last.
        sampled : bool
            Look at 500 or so points of each stretch only, and prove nothing: a quick forecast
            for long stretches.

        Returns
        -------
        tuple
            ok, shape (m,), and PIECE rows, shape (m,), whose centres count only where ok.
        """
        piece = np.zeros(len(first), PIECE)
        piece["first"], piece["last"] = first, last
        seen = self._seen(first, last, SAMPLES if sampled else None)
        ok = self._line_fits(seen)
        bent = ~ok & (last - first >= 2) & (seen.half > 0)
        if self.arcs and bent.any():
            rows, heights, side = self._heights(seen.only(bent))
            rows = np.flatnonzero(bent)[rows]
            for height in heights:
                again = ~ok[rows]
                self._place(piece, rows[again], height[again], side[again])
                ok[rows[again]] = True if sampled else self._prove(piece[rows[again]])
        return ok, piece

    def _seen(self, first: Integers, last: Integers, samples: int | None) -> _Seen:
        """Vertices and chord middles of each stretch, along and across its own chord."""
        begin, end = self.points[first], self.points[last]
        chord = end - begin
        size = np.hypot(chord[:, 0], chord[:, 1])
        real = size[:, None] > 0
        unit = np.where(real, chord, (1.0, 0.0)) / np.where(real, size[:, None], 1.0)
        middle = (begin + end) / 2
        steps = 2 * (last - first)
        stride = np.ones_like(steps) if samples is None else -(-steps // samples)
        owner, step, begins = _ragged(-(-steps // stride) + 1)
        number = np.minimum(step * stride[owner], steps[owner]) + 2 * first[owner]
        here = self.points[number >> 1]
        there = self.points[(number + 1) >> 1]
        dx = (here[:, 0] + there[:, 0]) / 2 - middle[owner, 0]
        dy = (here[:, 1] + there[:, 1]) / 2 - middle[owner, 1]
        ux, uy = unit[owner, 0], unit[owner, 1]
        return _Seen(
            dx * ux + dy * uy, dy * ux - dx * uy, 1 - (number & 1), size / 2, owner, begins
        )

    def _line_fits(self, seen: _Seen) -> NDArray[np.bool_]:
        beyond = np.maximum(np.abs(seen.along) - seen.half[seen.owner], 0.0)
        off = beyond * beyond + seen.across * seen.across
        fits: NDArray[np.bool_] = np.maximum.reduceat(off, seen.begins) <= self.tolerance_mm**2
        return fits

    def _heights(self, seen: _Seen) -> tuple[Integers, list[Floats], Floats]:
        """Find where an arc may fit: row, heights of its centre to try, side of the bulge.

        The middle of a chord stands for the whole chord here, which is nearly but not quite true;
        so the least bulge is tried last, which the vertices alone decide.
        """
        tol, begins = self.tolerance_mm, seen.begins
        side = np.where(np.add.reduceat(seen.across, begins) < 0, -1.0, 1.0)
        w = seen.across * side[seen.owner]
        h2 = seen.half[seen.owner] ** 2
        power = seen.along * seen.along + w * w - h2
        low, high = _gates(power - tol * tol, w, h2, tol)
        lowest = np.maximum.reduceat(low, begins)
        highest = np.minimum.reduceat(high, begins)
        pull = w * seen.vertex
        square = np.maximum(2 * np.add.reduceat(pull * w, begins), TINY)
        fitted = np.add.reduceat(pull * power, begins) / square
        middle = _between(lowest, highest, seen.half, 0.5)
        least = _between(lowest, highest, seen.half, 0.01)
        fitted = np.where((fitted >= lowest) & (fitted <= highest), fitted, middle)
        radius = np.hypot(fitted, seen.half)
        fine = (np.minimum.reduceat(w, begins) >= -tol) & (lowest <= highest)
        fine &= radius >= SMALLEST_RADIUS_IN_TOLERANCES * tol
        fine &= radius <= LARGEST_RADIUS_MM
        fine &= 2 * np.arctan2(seen.half, -fitted) <= LARGEST_SWEEP_RAD
        heights = [fitted[fine], middle[fine], least[fine]]
        return np.flatnonzero(fine), heights, side[fine]

    def _place(
        self, piece: NDArray[np.void], rows: Integers, height: Floats, side: Floats
    ) -> None:
        """Write centre and turn: an arc bulging to the left of its chord turns clockwise."""
        begin, end = self.points[piece["first"][rows]], self.points[piece["last"][rows]]
        chord = end - begin
        size = np.hypot(chord[:, 0], chord[:, 1])
        lift = height * side / size
        piece["cx"][rows] = (begin[:, 0] + end[:, 0]) / 2 - chord[:, 1] * lift
        piece["cy"][rows] = (begin[:, 1] + end[:, 1]) / 2 + chord[:, 0] * lift
        piece["turn"][rows] = -side

    def _prove(self, piece: NDArray[np.void]) -> NDArray[np.bool_]:
        """Check the chosen arcs against every vertex, chord and angle."""
        if not len(piece):
            return np.zeros(0, bool)
        owner, step, begins = _ragged(piece["last"] - piece["first"])
        number = step + piece["first"][owner]
        px = self.points[number, 0] - piece["cx"][owner]
        py = self.points[number, 1] - piece["cy"][owner]
        dx = self.points[number + 1, 0] - self.points[number, 0]
        dy = self.points[number + 1, 1] - self.points[number, 1]
        size = np.hypot(px[begins], py[begins])
        radius = size[owner]
        share = -(px * dx + py * dy) / np.maximum(dx * dx + dy * dy, TINY)
        share = np.clip(share, 0.0, 1.0)
        off = np.maximum(
            radius - np.hypot(px + share * dx, py + share * dy), np.hypot(px, py) - radius
        )
        slack = self.tolerance_mm * (1 + NOISE)
        angle = np.arctan2(px * dy - py * dx, px * (px + dx) + py * (py + dy))
        angle *= piece["turn"][owner]
        proved: NDArray[np.bool_] = (
            (np.maximum.reduceat(off, begins) <= slack)
            & (np.minimum.reduceat(angle, begins) >= 0)
            & (np.add.reduceat(angle, begins) <= LARGEST_SWEEP_RAD)
            & (size >= SMALLEST_RADIUS_IN_TOLERANCES * self.tolerance_mm)
            & (size <= LARGEST_RADIUS_MM)
        )
        return proved


@dataclass(frozen=True, eq=False)
class _Seen:
    """Points of several stretches in the frames of their chords; `vertex` is 1, a middle 0."""

    along: Floats
    across: Floats
    vertex: Integers
    half: Floats
    owner: Integers
    begins: Integers

    def only(self, chosen: NDArray[np.bool_]) -> _Seen:
        """Keep the chosen stretches."""
        keep = chosen[self.owner]
        sizes = np.bincount(self.owner, minlength=len(chosen))[chosen]
        return _Seen(
            self.along[keep],
            self.across[keep],
            self.vertex[keep],
            self.half[chosen],
            (np.cumsum(chosen) - 1)[self.owner[keep]],
            np.cumsum(sizes) - sizes,
        )


def _ragged(sizes: Integers) -> tuple[Integers, Integers, Integers]:
    """Count the items of groups of given sizes: group, place in the group, first item."""
    begins = np.cumsum(sizes) - sizes
    owner = np.repeat(np.arange(len(sizes)), sizes)
    return owner, np.arange(len(owner)) - begins[owner], begins


def _between(lowest: Floats, highest: Floats, half: Floats, share: float) -> Floats:
    """Height of an arc between two others in bulge, the tangent of a quarter of the sweep."""
    bulges = []
    for bound in (lowest, highest):
        height = np.clip(bound, -2 * LARGEST_RADIUS_MM, 2 * LARGEST_RADIUS_MM)
        radius = np.hypot(height, half)
        low = half / np.maximum(radius - height, half)
        bulges.append(np.where(height < 0, low, (radius + height) / half))
    flattest = half / (4 * LARGEST_RADIUS_MM)  # half of what the largest radius gives
    bulge = bulges[0] + share * (bulges[1] - bulges[0])
    bulge = np.clip(bulge, flattest, math.tan(LARGEST_SWEEP_RAD / 4))
    middle: Floats = half * (bulge - 1 / bulge) / 2
    return middle


def _gates(a: Floats, w: Floats, h2: Floats, tol: float) -> tuple[Floats, Floats]:
    """Interval of centre heights whose arc passes within `tol` of the point (along, w).

    With h half the chord, R**2 = h**2 + t**2 and a = along**2 + w**2 - h**2 - tol**2, the limits
    |distance - R| = tol are the roots of (w**2 - tol**2) t**2 - a w t + a**2 / 4 - tol**2 h**2.
    Above the band |w| < tol they enclose t; inside it only one of them binds: points beyond the
    chord's ends ask for more bulge, points between them for less.
    """
    gap = w * w - tol * tol
    gap = np.where(np.abs(gap) < NOISE * tol * tol, NOISE * tol * tol, gap)
    inner = a * a + 4 * h2 * gap
    root = tol * np.sqrt(np.maximum(inner, 0.0))
    one, other = (a * w - root) / (2 * gap), (a * w + root) / (2 * gap)
    least, most = np.minimum(one, other), np.maximum(one, other)
    flat = gap < 0
    free = flat & (inner < 0)
    low = np.where(flat, np.where(a > 0, most, -np.inf), least)
    high = np.where(flat, np.where(a > 0, np.inf, least), most)
    low[free], high[free] = -np.inf, np.inf
    return low, high
