"""Flattening: curves -> points, no curve farther than the tolerance from its chords.

In: segments already under their full matrix, and the tolerance in the same unit. Out: points on
the curves. Each curve is first cut where it turns in x or in y, so that bounds are exact; then,
where it is not flat enough, into pieces of equal sagitta, the parameter spaced by the square
root of the curve's bending; and pieces that still miss the bound are halved until none does.

The bound is a proven one. Circles and ellipses: sagitta (1 - cos(h/2)) |r x chord| / |chord|.
Cubics: by convexity no point is farther from the chord than its controls d1 and d2 let it be,
3 (1-t)^2 t d1 + 3 (1-t) t^2 d2 <= min(3/4 max(d1, d2), 4/9 (d1 + d2)); compare Sederberg's notes
on flatness (from memory). Whole tables are worked at once, points as complex numbers.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outline2path.drawing.curves import ARC, LINE
from outline2path.errors import DrawingError
from outline2path.tolerance import PARAMETER_EPSILON, TINY

__all__ = ["Bends", "flatten"]

_SAMPLES = 12
_HALVINGS = 40
_AT_ONCE = 20_000
"""Pieces sampled at once, to bound memory."""
_MOST_PIECES = 100_000
_MOST_POINTS = 4_000_000

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
Ints = NDArray[np.int64]


def flatten(rows: Floats, tolerance: float) -> tuple[Floats, Ints]:
    """Return points of every segment, the end of each left to the next one's start.

    Parameters
    ----------
    rows : ndarray, shape (n, 13)
        Segments, see `Curves`.
    tolerance : float
        Greatest distance between curve and chords, in the unit of the rows.

    Returns
    -------
    points : ndarray, shape (m, 2)
        Start and inner points of each segment, in order.
    counts : ndarray of int, shape (n,)
        Points of each segment, at least 1.

    Examples
    --------
    A circle of radius 10 to within 0.01 needs 71 chords, 72 with the four extreme points kept
    (ceil(pi / acos(1 - tol / R))):

    >>> from outline2path.drawing.curves import circle_rows
    >>> points, counts = flatten(np.array(circle_rows(0, 0, 10, 10)), 0.01)
    >>> len(points), counts.tolist()
    (72, [18, 18, 18, 18])
    """
    curved = np.flatnonzero(rows[:, 0] != LINE)
    counts = np.ones(len(rows), dtype=np.int64)
    if not len(curved):
        return rows[:, 1:3].copy(), counts
    bends = Bends.of(rows[curved])
    owner, low, _ = bends.pieces(tolerance)
    inside = low > 0
    counts[curved] += np.bincount(owner[inside], minlength=len(curved))
    points = np.empty((int(counts.sum()), 2))
    is_start = np.zeros(len(points), dtype=bool)
    is_start[np.cumsum(counts) - counts] = True
    points[is_start] = rows[:, 1:3]
    points[~is_start] = as_pairs(bends.at(owner[inside], low[inside]))
    return points, counts


def as_pairs(points: Complexes) -> Floats:
    """Return complex points as x and y, shape (n, 2).

    Examples
    --------
    >>> as_pairs(np.array([1 + 2j])).tolist()
    [[1.0, 2.0]]
    """
    return np.ascontiguousarray(points).view(np.float64).reshape(-1, 2)


@dataclass(frozen=True, eq=False)
class Bends:
    """Curved segments, points as complex numbers.

    Attributes
    ----------
    control : ndarray of complex, shape (n, 4)
        Start, two controls (axes of an arc), end.
    centre : ndarray of complex, shape (n,)
    angle, sweep : ndarray, shape (n,)
        Of arcs, in radians.
    arc : ndarray of bool, shape (n,)
        Which are arcs; the others are cubics.
    """

    control: Complexes
    centre: Complexes
    angle: Floats
    sweep: Floats
    arc: NDArray[np.bool_]

    @classmethod
    def of(cls, rows: Floats) -> Bends:
        """Take the table of curved segments, shape (n, 13)."""
        points = np.ascontiguousarray(rows[:, 1:11]).view(np.complex128)
        return cls(points[:, :4], points[:, 4], rows[:, 11], rows[:, 12], rows[:, 0] == ARC)

    def at(self, owner: Ints, t: Floats) -> Complexes:
        """Return the point at parameter t (0 to 1) of each segment named by `owner`."""
        p, s = self.control[owner], 1 - t
        points = s * s * (s * p[:, 0] + 3 * t * p[:, 1]) + t * t * (3 * s * p[:, 2] + t * p[:, 3])
        k = np.flatnonzero(self.arc[owner])
        if len(k):
            o = owner[k]
            a = self.angle[o] + self.sweep[o] * t[k]
            points[k] = self.centre[o] + p[k, 1] * np.cos(a) + p[k, 2] * np.sin(a)
        return np.asarray(points)

    def slopes(self, owner: Ints, t: Floats) -> tuple[Complexes, Complexes]:
        """Return first and second derivatives at parameters t, shape (n,) or (n, k)."""
        p = self.control[owner]
        e, f, g = p[:, 1] - p[:, 0], p[:, 2] - p[:, 1], p[:, 3] - p[:, 2]
        if t.ndim == 2:
            e, f, g = e[:, None], f[:, None], g[:, None]
        s = 1 - t
        first = 3 * (s * (s * e + 2 * t * f) + t * t * g)
        second = 6 * (s * (f - e) + t * (g - f))
        k = np.flatnonzero(self.arc[owner])
        if len(k):
            o, u, v = owner[k], p[k, 1], p[k, 2]
            sweep, start = self.sweep[o], self.angle[o]
            if t.ndim == 2:
                u, v, sweep, start = u[:, None], v[:, None], sweep[:, None], start[:, None]
            c, d = np.cos(start + sweep * t[k]), np.sin(start + sweep * t[k])
            first[k] = sweep * (v * c - u * d)
            second[k] = -(sweep**2) * (u * c + v * d)
        return first, second

    def pieces(self, tolerance: float) -> tuple[Ints, Floats, Floats]:
        """Cut into pieces no farther than the tolerance from their chords.

        Returns
        -------
        owner : ndarray of int, shape (m,)
            The segment each piece belongs to; pieces come in order along each segment.
        low, high : ndarray, shape (m,)
            Parameters (0 to 1) between which each piece lies.
        """
        owner, low, high = self._between_turns()
        if tolerance == np.inf:
            return owner, low, high
        parts, count = [], 0
        for k in range(0, max(len(owner), 1), _AT_ONCE):
            some = slice(k, k + _AT_ONCE)
            parts.append(self._spread(owner[some], low[some], high[some], tolerance))
            count += len(parts[-1][0])
            _refuse_many(count, tolerance)
        owner, low, high = map(np.concatenate, zip(*parts, strict=True))
        for _ in range(_HALVINGS):
            far = self.sagitta(owner, low, high) > tolerance
            if not far.any():
                break
            middle = (low[far] + high[far]) / 2
            owner = np.concatenate([owner, owner[far]])
            low, end = np.concatenate([low, middle]), high[far]
            high[far] = middle
            high = np.concatenate([high, end])
        order = np.lexsort((low, owner))
        return owner[order], low[order], high[order]

    def _between_turns(self) -> tuple[Ints, Floats, Floats]:
        """Cut each segment where it turns in x or in y."""
        cubic, arc = np.flatnonzero(~self.arc), np.flatnonzero(self.arc)
        owners, cuts = [np.arange(len(self.arc))], [np.zeros(len(self.arc))]
        for which, turns in ((cubic, self._cubic_turns(cubic)), (arc, self._arc_turns(arc))):
            for t in turns:
                inside = (t > PARAMETER_EPSILON) & (t < 1 - PARAMETER_EPSILON)
                owners.append(which[inside])
                cuts.append(t[inside])
        owner, low = np.concatenate(owners), np.concatenate(cuts)
        order = np.lexsort((low, owner))
        owner, low = owner[order], low[order]
        same = np.append(owner[1:] == owner[:-1], False)
        return owner, low, np.where(same, np.append(low[1:], 1.0), 1.0)

    def _cubic_turns(self, which: Ints) -> list[Floats]:
        """Roots of the derivative along x and along y, by the stable quadratic formula."""
        p0, p1, p2, p3 = self.control[which].T
        found: list[Floats] = []
        a3, b3, c3 = p3 - 3 * p2 + 3 * p1 - p0, 2 * (p2 - 2 * p1 + p0), p1 - p0
        for a, b, c in ((a3.real, b3.real, c3.real), (a3.imag, b3.imag, c3.imag)):
            square = b * b - 4 * a * c
            q = -(b + np.copysign(np.sqrt(np.maximum(square, 0.0)), b)) / 2
            for over, under in ((q, a), (c, q)):
                sound = (square >= 0) & (under != 0) & (np.abs(over) < np.abs(under))
                found.append(np.divide(over, under, out=np.full(len(a), -1.0), where=sound))
        return found

    def _arc_turns(self, which: Ints) -> list[Floats]:
        """Parameters of the extreme points along x and along y."""
        u, v, sweep = self.control[which, 1], self.control[which, 2], self.sweep[which]
        size = np.maximum(np.abs(sweep), TINY)
        found = []
        for x, y in ((u.real, v.real), (u.imag, v.imag)):
            for half in (0.0, np.pi):
                turn = np.arctan2(y, x) + half - self.angle[which]
                found.append((turn * np.sign(sweep)) % (2 * np.pi) / size)
        return found

    def _spread(
        self, owner: Ints, low: Floats, high: Floats, tolerance: float
    ) -> tuple[Ints, Floats, Floats]:
        """Cut intervals into pieces of about equal sagitta."""
        share = np.linspace(0.0, 1.0, _SAMPLES + 1)
        first, second = self.slopes(owner, low[:, None] + (high - low)[:, None] * share)
        bend = np.sqrt(_across(first, second))
        step = (bend[:, 1:] + bend[:, :-1]) / 2 * ((high - low)[:, None] / _SAMPLES)
        step += PARAMETER_EPSILON * step.sum(axis=1, keepdims=True) + TINY
        total = np.concatenate([np.zeros((len(step), 1)), np.cumsum(step, axis=1)], axis=1)
        wanted = np.ceil(total[:, -1] / np.sqrt(8 * tolerance) - PARAMETER_EPSILON)
        pieces = np.clip(wanted, 1, _MOST_PIECES).astype(np.int64)
        _refuse_many(int(pieces.sum()), tolerance)
        row = np.repeat(np.arange(len(pieces)), pieces)
        k = np.arange(len(row)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
        goal = total[row, -1] * k / pieces[row]
        column = np.clip((total[row] <= goal[:, None]).sum(axis=1) - 1, 0, _SAMPLES - 1)
        within = (goal - total[row, column]) / step[row, column]
        start = low[row] + (high - low)[row] * (column + within) / _SAMPLES
        start = np.where(k == 0, low[row], start)
        same = np.append(row[1:] == row[:-1], False)
        return owner[row], start, np.where(same, np.append(start[1:], 0.0), high[row])

    def sagitta(self, owner: Ints, low: Floats, high: Floats) -> Floats:
        """Return a bound on the distance between each piece and its chord."""
        p, q = self.at(owner, low), self.at(owner, high)
        third = (high - low) / 3
        leave, arrive = self.slopes(owner, low)[0], self.slopes(owner, high)[0]
        d1 = _to_chord(p + third * leave, p, q)
        d2 = _to_chord(q - third * arrive, p, q)
        bound = np.minimum(0.75 * np.maximum(d1, d2), 4 / 9 * (d1 + d2))
        k = np.flatnonzero(self.arc[owner])
        if len(k):
            o, half = owner[k], (high - low)[k] / 2
            u, v = self.control[o, 1], self.control[o, 2]
            middle = self.angle[o] + self.sweep[o] * (low[k] + half)
            out = u * np.cos(middle) + v * np.sin(middle)
            along = v * np.cos(middle) - u * np.sin(middle)
            area = np.abs((np.conj(out) * along).imag)
            rise = 2 * np.sin(self.sweep[o] * half / 2) ** 2
            bound[k] = rise * area / np.maximum(np.abs(along), TINY)
        return np.asarray(bound)


def _refuse_many(points: int, tolerance: float) -> None:
    if points > _MOST_POINTS:
        raise DrawingError(
            f"{points} points are needed to follow the curves within {tolerance:g}",
            value=points,
            limit=_MOST_POINTS,
            remedy="simplify the drawing, make it smaller, or ask for a wider tolerance",
        )


def _across(first: Complexes, second: Complexes) -> Floats:
    """Part of the second derivative that stands off the curve."""
    speed, whole = np.abs(first), np.abs(second)
    cross = np.abs((np.conj(first) * second).imag)
    part = np.divide(cross, speed, out=whole.copy(), where=speed > TINY)
    return np.asarray(np.minimum(part, whole))


def _to_chord(point: Complexes, p: Complexes, q: Complexes) -> Floats:
    """Distance from points to the straight pieces p q."""
    chord, away = q - p, point - p
    square = np.maximum(chord.real**2 + chord.imag**2, TINY)
    share = np.clip((np.conj(chord) * away).real / square, 0.0, 1.0)
    return np.asarray(np.abs(away - share * chord))
