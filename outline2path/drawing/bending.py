"""Bending: cubics and arcs -> the pieces into which they must be cut to be flat enough.

In: curves as tables of complex numbers in one unit. Out: stretches (which curve, between which
two parameters, in order) no farther than a tolerance from their chords. Each curve is first
cut where it turns in x or in y, so that bounds are exact. Then it is cut into pieces of equal
bend: a chord over a share s of the integral of the root of what stands off the curve in its
second derivative is about s^2 / 8 away (elementary). What still misses the bound is halved
until nothing does. Whole tables are worked at once.

The bounds are proven ones. Cubics: by convexity no point is farther from the chord than its inner
controls d1 and d2 let it be, 3 (1-t)^2 t d1 + 3 (1-t) t^2 d2 <= min(3/4 max(d1, d2),
4/9 (d1 + d2)); compare Sederberg's notes on flatness (from memory). Arcs: a chord over an angle h
of a circle of radius r is r (1 - cos(h/2)) away; of an ellipse, seen from the middle of the
piece, that times the part of the point there that stands off the chord.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outline2path.drawing.curves import complex_points
from outline2path.errors import DrawingError
from outline2path.tolerance import PARAMETER_EPSILON, TINY

__all__ = ["Arcs", "Cubics", "Stretches", "as_pairs", "refuse_many"]

_SAMPLES = 12
_SHARES = np.linspace(0.0, 1.0, _SAMPLES + 1)
_PART = math.sqrt(6) / (2 * _SAMPLES)
"""Six times across over slope is the bend squared; steps between samples are trapezia."""
_AIM = 0.97
"""Share of the tolerance aimed at, so that few pieces miss the whole of it by a little."""
_HALVINGS = 40
_AT_ONCE = 20_000
"""Stretches sampled at once, to bound memory."""
_MOST_PIECES = 100_000
_MOST_POINTS = 4_000_000

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
Ints = NDArray[np.int64]
Stretches = tuple[Ints, Floats, Floats]
"""Which curve, and between which two parameters, in order along each curve."""


@dataclass(frozen=True, eq=False)
class Cubics:
    """Cubic curves.

    Attributes
    ----------
    start, a, b, c : ndarray of complex, shape (n,)
        A point at t is start + 3 c t + 3 b t^2 + a t^3; a third of the slope there is
        c + 2 b t + a t^2, a sixth of the second derivative b + a t.

    Examples
    --------
    >>> arch = Cubics.of(np.array([[1, 0, 0, 0, 1, 1, 1, 1, 0, 0, 0, 0, 0.0]]))
    >>> [round(t, 6) for t in arch.pieces(0.1)[1].tolist()]
    [0.0, 0.25, 0.5, 0.75]
    """

    start: Complexes
    a: Complexes
    b: Complexes
    c: Complexes

    @classmethod
    def of(cls, rows: Floats) -> Cubics:
        """Take segments, shape (n, 13), all of them cubics."""
        p0, p1, p2, p3 = complex_points(rows)[:, :4].T
        c, d = p1 - p0, p2 - p1
        b = d - c
        return cls(p0, p3 - p2 - d - b, b, c)

    def at(self, owner: Ints, t: Floats) -> Complexes:
        """Return the point at parameter t (0 to 1) of each curve named by `owner`."""
        a, b, c = self.a[owner], 3 * self.b[owner], 3 * self.c[owner]
        return np.asarray(((a * t + b) * t + c) * t + self.start[owner])

    def pieces(self, tolerance: float) -> Stretches:
        """Cut into pieces no farther than the tolerance from their chords."""
        turning = self._between_turns()
        if tolerance == np.inf or not len(self.a):
            return turning
        return _in_parts(turning, lambda *part: self._flat(part, tolerance), tolerance)

    def _between_turns(self) -> Stretches:
        """Cut where the slope along x or along y is zero, by the stable quadratic formula."""
        a, b, c = as_pairs(self.a), as_pairs(self.b), as_pairs(self.c)
        places = np.empty((len(a), 4))
        with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
            q = -(b + np.copysign(np.sqrt(b * b - a * c), b))
            np.divide(q, a, out=places[:, :2])
            np.divide(c, q, out=places[:, 2:])
        return _cut_stretches(places)

    def _flat(self, stretches: Stretches, tolerance: float) -> Stretches:
        """Cut stretches without turns into pieces that are flat enough."""
        pieces = _spread(stretches, self._steps(*stretches), _AIM * tolerance)
        return _until_flat(pieces, self.sagitta, tolerance)

    def _steps(self, owner: Ints, low: Floats, high: Floats) -> Floats:
        """Bend of stretches between evenly spaced parameters, shape (n, samples)."""
        a, b = self.a[owner, None], self.b[owner, None]
        wide = high - low
        t = low[:, None] + wide[:, None] * _SHARES
        at = a * t
        slope, turn = (at + 2 * b) * t + self.c[owner, None], at + b
        speed = np.abs(slope)
        speed += PARAMETER_EPSILON * speed.max(axis=1, keepdims=True) + TINY
        bend = np.sqrt(np.abs((np.conj(slope) * turn).imag) / speed)
        return np.asarray((bend[:, 1:] + bend[:, :-1]) * (wide * _PART)[:, None])

    def sagitta(self, owner: Ints, low: Floats, high: Floats) -> Floats:
        """Return a bound on the distance between each piece and its chord."""
        t = np.array([low, (low + high) / 2, high])
        a, b, c = self.a[owner], self.b[owner], self.c[owner]
        slopes = ((a * t + 2 * b) * t + c) * (high - low)
        ends = slopes[::2]
        chord = 2 * slopes[1] + (ends[0] + ends[1]) / 2  # Simpson's rule, exact here
        back = np.conj(chord)
        square = np.maximum((chord * back).real, TINY)
        share = np.minimum(np.maximum((back * ends).real / square, 0.0), 1.0)
        first, second = np.abs(ends - share * chord)
        return np.asarray(np.minimum(0.75 * np.maximum(first, second), 4 / 9 * (first + second)))


@dataclass(frozen=True, eq=False)
class Arcs:
    """Arcs of circles and ellipses.

    Attributes
    ----------
    centre, u, v : ndarray of complex, shape (n,)
        A point at t is centre + u cos s + v sin s, s = angle + sweep t.
    angle, sweep : ndarray, shape (n,)
        Radians.

    Examples
    --------
    >>> half = Arcs(*(np.array([x]) for x in (0j, 2 + 0j, 2j, 0.0, np.pi)))
    >>> half.pieces(0.2)[1].tolist()
    [0.0, 0.25, 0.5, 0.75]
    """

    centre: Complexes
    u: Complexes
    v: Complexes
    angle: Floats
    sweep: Floats

    @classmethod
    def of(cls, rows: Floats) -> Arcs:
        """Take segments, shape (n, 13), all of them arcs."""
        points = complex_points(rows)
        return cls(points[:, 4], points[:, 1], points[:, 2], rows[:, 11], rows[:, 12])

    def at(self, owner: Ints, t: Floats) -> Complexes:
        """Return the point at parameter t (0 to 1) of each arc named by `owner`."""
        s = self.angle[owner] + self.sweep[owner] * t
        u, v = self.u[owner], self.v[owner]
        return np.asarray(self.centre[owner] + u * np.cos(s) + v * np.sin(s))

    def pieces(self, tolerance: float) -> Stretches:
        """Cut into pieces no farther than the tolerance from their chords."""
        turning = self._between_turns()
        if tolerance == np.inf or not len(self.u):
            return turning
        square = self.u * self.u
        off = np.abs(square + self.v * self.v)
        cut = self._even if (off <= PARAMETER_EPSILON * np.abs(square)).all() else self._flat
        return _in_parts(turning, lambda *part: cut(part, tolerance), tolerance)

    def _between_turns(self) -> Stretches:
        """Cut at the extreme points along x and along y."""
        turn = np.arctan2(as_pairs(self.v), as_pairs(self.u)) - self.angle[:, None]
        turn = np.concatenate([turn, turn + np.pi], axis=1) * np.sign(self.sweep)[:, None]
        size = np.maximum(np.abs(self.sweep), TINY)
        return _cut_stretches(turn % (2 * np.pi) / size[:, None])

    def _even(self, stretches: Stretches, tolerance: float) -> Stretches:
        """Cut circular arcs into equal pieces."""
        owner, low, high = stretches
        steps = (np.sqrt(np.abs(self.u)) * np.abs(self.sweep))[owner] * (high - low)
        return _spread(stretches, steps[:, None], tolerance)

    def _flat(self, stretches: Stretches, tolerance: float) -> Stretches:
        """Cut arcs without turns into pieces that are flat enough."""
        pieces = _spread(stretches, self._steps(*stretches), _AIM * tolerance)
        return _until_flat(pieces, self.sagitta, tolerance)

    def _steps(self, owner: Ints, low: Floats, high: Floats) -> Floats:
        """Bend of stretches between evenly spaced parameters, shape (n, samples)."""
        u, v, sweep = self.u[owner], self.v[owner], self.sweep[owner]
        t = low[:, None] + (high - low)[:, None] * _SHARES
        s = self.angle[owner, None] + sweep[:, None] * t
        slope = np.abs(v[:, None] * np.cos(s) - u[:, None] * np.sin(s))
        slope += (PARAMETER_EPSILON * (np.abs(u) + np.abs(v)) + TINY)[:, None]
        bend = np.sqrt(np.abs((np.conj(u) * v).imag)[:, None] / slope)
        wide = (high - low) * np.abs(sweep) / (2 * _SAMPLES)
        return np.asarray((bend[:, 1:] + bend[:, :-1]) * wide[:, None])

    def sagitta(self, owner: Ints, low: Floats, high: Floats) -> Floats:
        """Return the distance between each piece and its chord."""
        u, v, half = self.u[owner], self.v[owner], self.sweep[owner] * (high - low) / 2
        middle = self.angle[owner] + self.sweep[owner] * (low + high) / 2
        along = np.abs(v * np.cos(middle) - u * np.sin(middle))
        area = np.abs((np.conj(u) * v).imag)
        return np.asarray(2 * np.sin(half / 2) ** 2 * area / np.maximum(along, TINY))


def _cut_stretches(places: Floats) -> Stretches:
    """Cut every curve from 0 to 1 at parameters, shape (n, k); those outside count for none."""
    inside = (places > PARAMETER_EPSILON) & (places < 1 - PARAMETER_EPSILON)
    n, k = places.shape
    if not inside.any():
        return np.arange(n), np.zeros(n), np.ones(n)
    cuts = np.ones((n, k + 2))
    cuts[:, 0] = 0.0
    cuts[:, 1:-1][inside] = places[inside]
    cuts.sort(axis=1)
    low, high = cuts[:, :-1], cuts[:, 1:]
    kept = low < high
    return np.nonzero(kept)[0], low[kept], high[kept]


def _spread(stretches: Stretches, steps: Floats, tolerance: float) -> Stretches:
    """Cut stretches into pieces of equal bend, so many that each is about within the tolerance.

    `steps`, shape (n, k), is the bend between k + 1 evenly spaced parameters; it is changed.
    """
    owner, low, high = stretches
    n = steps.shape[1]
    steps += (PARAMETER_EPSILON * steps.sum(axis=1) + TINY)[:, None]
    total = np.zeros((len(steps), n + 1))
    np.cumsum(steps, axis=1, out=total[:, 1:])
    wanted = np.ceil(total[:, -1] / math.sqrt(8 * tolerance) - PARAMETER_EPSILON)
    pieces = np.minimum(np.maximum(wanted, 1), _MOST_PIECES).astype(np.int64)
    ends = pieces.cumsum()
    refuse_many(int(ends[-1]), tolerance)
    row = np.arange(len(pieces)).repeat(pieces)
    k = np.arange(len(row)) - (ends - pieces)[row]
    if n == 1:
        share = k / pieces[row]
    else:
        goal = total[row, -1] * k / pieces[row]
        column = (total[row, 1:-1] <= goal[:, None]).sum(axis=1)
        share = (column + (goal - total[row, column]) / steps[row, column]) / n
    start = low[row] + (high - low)[row] * share
    finish = np.empty(len(row))
    finish[:-1] = start[1:]
    finish[ends - 1] = high
    return owner[row], start, finish


def _in_parts(
    stretches: Stretches, cut: Callable[[Ints, Floats, Floats], Stretches], tolerance: float
) -> Stretches:
    """Cut stretches a part at a time, which bounds memory."""
    owner, low, high = stretches
    if len(owner) <= _AT_ONCE:
        return cut(owner, low, high)
    parts, count = [], 0
    for k in range(0, len(owner), _AT_ONCE):
        some = slice(k, k + _AT_ONCE)
        parts.append(cut(owner[some], low[some], high[some]))
        count += len(parts[-1][0])
        refuse_many(count, tolerance)
    owner, low, high = map(np.concatenate, zip(*parts, strict=True))
    return owner, low, high


def _until_flat(
    pieces: Stretches, sagitta: Callable[[Ints, Floats, Floats], Floats], tolerance: float
) -> Stretches:
    """Halve pieces until none is farther from its chord than the tolerance."""
    for _ in range(_HALVINGS):
        far = sagitta(*pieces) > tolerance
        if not far.any():
            break
        pieces = _halved(pieces, far)
    return pieces


def _halved(stretches: Stretches, far: NDArray[np.bool_]) -> Stretches:
    """Halve some stretches; the order is kept."""
    owner, low, high = stretches
    row = np.arange(len(far)).repeat(1 + far)
    second = np.zeros(len(row), dtype=bool)
    second[1:] = row[1:] == row[:-1]
    low, high = low[row], high[row]
    middle = (low[second] + high[second]) / 2
    low[second] = middle
    high[:-1][second[1:]] = middle
    return owner[row], low, high


def refuse_many(points: int, tolerance: float) -> None:
    """Refuse curves that need more points than any drawing has.

    Raises
    ------
    DrawingError
        When they need more than four million.

    Examples
    --------
    >>> refuse_many(1000, 0.01)
    """
    if points > _MOST_POINTS:
        raise DrawingError(
            f"{points} points are needed to follow the curves within {tolerance:g}",
            value=points,
            limit=_MOST_POINTS,
            remedy="simplify the drawing, make it smaller, or ask for a wider tolerance",
        )


def as_pairs(points: Complexes) -> Floats:
    """Return complex points as x and y, shape (n, 2).

    Examples
    --------
    >>> as_pairs(np.array([1 + 2j])).tolist()
    [[1.0, 2.0]]
    """
    return np.ascontiguousarray(points).view(np.float64).reshape(-1, 2)
