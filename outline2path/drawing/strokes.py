"""Strokes: a line with its width, caps, joins and dashes -> the rings of the area it covers.

In: segments in the space in which the line has its width (user units), the `Stroke`, a tolerance
in the same unit. Out: rings to be filled by the nonzero rule. Each piece of the line is a
rectangle, each turn a wedge on its outer side (SVG 2 section 13.5, from memory). Walked
along the left side there and the right side back, their sum is one ring whose winding number
counts the pieces covering a point, so the nonzero area is exactly their union. Inside a curve
the turns between chords are round, so that the sweep of the true curve is met within the
tolerance; at the corners of the drawing the asked join is made between the true tangents. Only
inside a bend tighter than half the width can the edge be off by more, half a chord at most.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.drawing.curves import ARC, LINE
from outline2path.drawing.flatten import Bends, as_pairs

if TYPE_CHECKING:
    from outline2path.drawing.curves import Curves
    from outline2path.drawing.figures import Stroke

__all__ = ["stroke_rings", "too_many_dashes"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_FINEST = 10_000
_MOST_DASHES = 20_000
_TIGHT = 48
"""Pieces spent on bends tighter than half the line's width, where all of them cross."""


@dataclass(frozen=True)
class _Edges:
    """Pieces of one line: ends, unit directions at both, and whether each begins a corner."""

    start: Floats
    end: Floats
    leave: Floats
    arrive: Floats
    corner: NDArray[np.bool_]

    def __len__(self) -> int:
        return len(self.start)

    @property
    def length(self) -> float:
        """Length of the line."""
        return float(np.hypot(*(self.end - self.start).T).sum())

    def reversed(self) -> _Edges:
        """Return the same line the other way round."""
        corner = np.roll(self.corner, -1)[::-1]
        back = slice(None, None, -1)
        return _Edges(
            self.end[back], self.start[back], -self.arrive[back], -self.leave[back], corner
        )


def stroke_rings(curves: Curves, stroke: Stroke, tolerance: float) -> list[Floats]:
    """Return rings, shape (n, 2) each, whose nonzero area is what the line covers.

    Parameters
    ----------
    curves : Curves
        In the units of the stroke's width.
    stroke : Stroke
    tolerance : float
        Greatest error of the area's edge, in the same unit.

    Examples
    --------
    >>> from outline2path.drawing.curves import Curves
    >>> from outline2path.drawing.figures import Stroke
    >>> line = Curves.from_points([[0, 0], [10, 0]], closed=False)
    >>> stroke_rings(line, Stroke(width=2.0), 0.01)[0].tolist()
    [[0.0, 1.0], [10.0, 1.0], [10.0, -1.0], [0.0, -1.0]]
    """
    rings: list[Floats] = []
    lasts = [*curves.firsts.tolist()[1:], len(curves.rows)]
    for first, last, closed in zip(
        curves.firsts.tolist(), lasts, curves.closed.tolist(), strict=True
    ):
        fine = tolerance / (20 if stroke.dashes else 2)
        edges = _edges(curves.rows[first:last], stroke.width / 2, fine)
        if not len(edges):
            rings.extend(_dot(curves.rows[first, 1:3], stroke, tolerance))
        elif stroke.dashes and not too_many_dashes(edges.length, stroke):
            for dash in _dashes(edges, stroke, closed=closed):
                rings.extend(_rings(dash, stroke, tolerance / 2, closed=False))
        else:
            rings.extend(_rings(edges, stroke, tolerance / 2, closed=closed))
    return rings


def too_many_dashes(length: float, stroke: Stroke) -> bool:
    """Tell whether a line of this length falls into more dashes than any drawing has.

    Examples
    --------
    >>> from outline2path.drawing.figures import Stroke
    >>> too_many_dashes(1000.0, Stroke(dashes=(0.001, 0.001)))
    True
    """
    return length > sum(stroke.dashes) * _MOST_DASHES


def _edges(rows: Floats, half: float, tolerance: float) -> _Edges:
    """Pieces of one sub-path, with empty ones along the true tangents at the ends of curves."""
    curved = np.flatnonzero(rows[:, 0] != LINE)
    straight = np.flatnonzero(rows[:, 0] == LINE)
    bends = Bends.of(rows[curved])
    owner, low, high = _fine_pieces(bends, half, tolerance)
    inner = _Edges(
        as_pairs(bends.at(owner, low)),
        as_pairs(bends.at(owner, high)),
        _tangents(bends, owner, low),
        _tangents(bends, owner, high),
        np.zeros(len(owner), dtype=bool),
    )
    ends = _end_tangents(rows[curved])
    parts = [
        _straight(rows[straight, 1:3], rows[straight, 7:9]),
        _proper(inner, half),
        *(_at(rows[curved, c : c + 2], d) for c, d in zip((1, 7), ends, strict=True)),
    ]
    segment = np.concatenate([straight, curved[owner], curved, curved])
    place = np.concatenate(
        [np.zeros(len(straight)), low, np.full(len(curved), -1.0), np.full(len(curved), 2.0)]
    )
    order = np.lexsort((place, segment))
    start, end, leave, arrive = (
        np.concatenate([getattr(p, key) for p in parts])[order]
        for key in ("start", "end", "leave", "arrive")
    )
    sound = (np.abs(leave).sum(axis=1) > 0) & (np.abs(arrive).sum(axis=1) > 0)
    segment = segment[order][sound]
    corner = np.ones(len(segment), dtype=bool)
    corner[1:] = segment[1:] != segment[:-1]
    return _Edges(start[sound], end[sound], leave[sound], arrive[sound], corner)


def _straight(start: Floats, end: Floats) -> _Edges:
    """Straight pieces; without direction where they have no length."""
    along = _unit(end - start)
    return _Edges(start, end, along, along, np.zeros(len(start), dtype=bool))


def _at(point: Floats, direction: Floats) -> _Edges:
    """Pieces without length."""
    return _Edges(point, point, direction, direction, np.zeros(len(point), dtype=bool))


def _tangents(bends: Bends, owner: Ints, t: Floats) -> Floats:
    """Return unit directions at parameters; zero where a curve stands still."""
    return _unit(as_pairs(bends.slopes(owner, t)[0]))


def _fine_pieces(bends: Bends, half: float, tolerance: float) -> tuple[Ints, Floats, Floats]:
    """Pieces of curves so short that the edge of the stroke, too, keeps to the tolerance."""
    owner, low, high = bends.pieces(tolerance)
    if not len(owner):
        return owner, low, high
    u, v = _tangents(bends, owner, low), _tangents(bends, owner, high)
    turn = np.abs(np.arctan2(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0], (u * v).sum(axis=1)))
    length = np.abs(bends.at(owner, high) - bends.at(owner, low))
    bulge = (length + half * turn) * turn / 8
    parts = np.ceil(np.sqrt(bulge / tolerance))
    tight = half * turn > length
    most = max(_TIGHT // max(int(tight.sum()), 1), 1)
    parts = np.where(tight, np.minimum(np.ceil(length / (4 * tolerance)), most), parts)
    parts = np.clip(parts, 1, _FINEST).astype(np.int64)
    row = np.repeat(np.arange(len(parts)), parts)
    k = np.arange(len(row)) - np.repeat(np.cumsum(parts) - parts, parts)
    width = (high - low)[row] / parts[row]
    begin = low[row] + k * width
    finish = np.where(k + 1 == parts[row], high[row], begin + width)
    return owner[row], begin, finish


def _proper(edges: _Edges, half: float) -> _Edges:
    """Take the chord's own direction where the sides of a piece would run backwards."""
    chord = edges.end - edges.start
    swing = half * (_left(edges.arrive) - _left(edges.leave))
    forward = (chord * (chord + swing)).sum(axis=1) > 0
    forward &= (chord * (chord - swing)).sum(axis=1) > 0
    forward &= (np.abs(edges.leave).sum(axis=1) > 0) & (np.abs(edges.arrive).sum(axis=1) > 0)
    along = _unit(chord)
    return _Edges(
        edges.start,
        edges.end,
        np.where(forward[:, None], edges.leave, along),
        np.where(forward[:, None], edges.arrive, along),
        edges.corner,
    )


def _end_tangents(rows: Floats) -> tuple[Floats, Floats]:
    """Return unit directions in which curves leave and arrive; zero without extent."""
    p = rows[:, 1:9].reshape(-1, 4, 2)
    leave, arrive = np.zeros((len(rows), 2)), np.zeros((len(rows), 2))
    for k in (3, 2, 1):
        ahead, behind = p[:, k] - p[:, 0], p[:, 3] - p[:, 3 - k]
        leave = np.where((ahead != 0).any(axis=1, keepdims=True), ahead, leave)
        arrive = np.where((behind != 0).any(axis=1, keepdims=True), behind, arrive)
    arcs = rows[:, 0] == ARC
    bends, which = Bends.of(rows), np.flatnonzero(arcs)
    leave[arcs] = _tangents(bends, which, np.zeros(len(which)))
    arrive[arcs] = _tangents(bends, which, np.ones(len(which)))
    return _unit(leave), _unit(arrive)


def _unit(v: Floats) -> Floats:
    length = np.hypot(v[:, 0], v[:, 1])[:, None]
    return np.asarray(np.divide(v, length, out=np.zeros_like(v), where=length > 0))


def _left(direction: Floats) -> Floats:
    """Directions turned a quarter to the left."""
    return np.stack([-direction[:, 1], direction[:, 0]], axis=1)


def _rings(edges: _Edges, stroke: Stroke, tolerance: float, *, closed: bool) -> list[Floats]:
    """Rings of one line: one for an open line, one for each side of a closed one."""
    back = edges.reversed()
    there = _side(edges, stroke, tolerance, closed=closed)
    home = _side(back, stroke, tolerance, closed=closed)
    if closed:
        return [there, home]
    caps = [_cap(e.end[-1], e.arrive[-1], stroke, tolerance) for e in (edges, back)]
    return [np.concatenate([there, caps[0], home, caps[1]])]


def _side(edges: _Edges, stroke: Stroke, tolerance: float, *, closed: bool) -> Floats:
    """Points along the left side of a line, its joins included."""
    half = stroke.width / 2
    normal, d = _left(edges.arrive), edges.arrive
    following = np.roll(edges.leave, -1, axis=0)
    turn = np.arctan2(
        d[:, 0] * following[:, 1] - d[:, 1] * following[:, 0], (d * following).sum(axis=1)
    )
    corner = np.roll(edges.corner, -1)
    steps = _steps(turn, corner, stroke, tolerance)
    if not closed:
        steps[-1] = 0
    owner = np.repeat(np.arange(len(edges)), steps + 2)
    k = np.arange(len(owner)) - np.repeat(np.cumsum(steps + 2) - (steps + 2), steps + 2)
    points = edges.end[owner] + half * normal[owner]
    points[k == 0] = edges.start + half * _left(edges.leave)
    extra = k >= 2
    points[extra] = edges.end[owner[extra]] + _joins(
        normal[owner[extra]], turn[owner[extra]], k[extra] - 1, steps[owner[extra]], half
    )
    tips = extra & (corner & (stroke.join != "round"))[owner] & (turn < 0)[owner]
    if tips.any():
        o = owner[tips]
        grow = half / np.cos(turn[o] / 2)
        angle = turn[o] / 2
        points[tips] = edges.end[o] + grow[:, None] * _turned(normal[o], angle)
    return points


def _steps(turn: Floats, corner: NDArray[np.bool_], stroke: Stroke, tolerance: float) -> Ints:
    """Extra points of each join on the left side: the pivot inside a turn, a fan outside."""
    half = stroke.width / 2
    widest = 2 * math.acos(max(1 - tolerance / half, -1.0)) if tolerance < 2 * half else math.pi
    fan = np.ceil(np.abs(turn) / max(widest, 1e-3) - 1e-9).astype(np.int64) - 1
    outer = turn < 0
    steps = np.where(outer, np.maximum(fan, 0), (turn > 0).astype(np.int64))
    if stroke.join != "round":
        ratio = 1 / np.maximum(np.cos(turn / 2), 1e-9)
        tip = (stroke.join == "miter") & (ratio <= stroke.miter_limit)
        steps = np.where(corner & outer, tip.astype(np.int64), steps)
    return np.asarray(steps, dtype=np.int64)


def _joins(normal: Floats, turn: Floats, k: Ints, steps: Ints, half: float) -> Floats:
    """Offsets from the pivot: a fan on the outer side of a turn, nothing on the inner one."""
    fan = half * _turned(normal, turn * k / (steps + 1))
    return np.where((turn < 0)[:, None], fan, 0.0)


def _turned(v: Floats, angle: Floats) -> Floats:
    c, s = np.cos(angle), np.sin(angle)
    return np.stack([v[:, 0] * c - v[:, 1] * s, v[:, 0] * s + v[:, 1] * c], axis=1)


def _cap(end: Floats, direction: Floats, stroke: Stroke, tolerance: float) -> Floats:
    """Points of a cap between the left and the right side."""
    half = stroke.width / 2
    normal = np.array([-direction[1], direction[0]])
    if stroke.cap == "square":
        far = end + half * direction
        return np.array([far + half * normal, far - half * normal])
    if stroke.cap == "round":
        n = _fan(half, math.pi, tolerance)
        angle = -math.pi * np.arange(1, n) / n
        return np.asarray(end + half * _turned(np.tile(normal, (n - 1, 1)), angle))
    return np.zeros((0, 2))


def _fan(radius: float, angle: float, tolerance: float) -> int:
    """Return the number of chords for an arc within the tolerance."""
    widest = 2 * math.acos(max(1 - tolerance / radius, -1.0))
    return max(2, math.ceil(angle / max(widest, 1e-3)))


def _dot(at: Floats, stroke: Stroke, tolerance: float) -> list[Floats]:
    """Area of a line without length: a dot where its caps are round or square."""
    if stroke.cap == "butt":
        return []
    spot = _at(at[None], np.array([[1.0, 0.0]]))
    return _rings(spot, stroke, tolerance, closed=False)


def _dashes(edges: _Edges, stroke: Stroke, *, closed: bool) -> list[_Edges]:
    """Cut a line into its dashes; a dash across the start of a closed line stays whole."""
    delta = edges.end - edges.start
    length = np.hypot(delta[:, 0], delta[:, 1])
    ends = np.cumsum(length)
    total = float(ends[-1])
    spans = _spans(total, stroke)
    pieces = [_cut(edges, ends - length, ends, a, b) for a, b in spans]
    pieces = [p for p in pieces if len(p)]
    whole = closed and len(spans) > 1 and spans[0][0] <= 0 and spans[-1][1] >= total
    if whole and len(pieces) > 1:
        last, first = pieces.pop(), pieces[0]
        keys = ("start", "end", "leave", "arrive", "corner")
        pieces[0] = _Edges(
            *(np.concatenate([getattr(last, key), getattr(first, key)]) for key in keys)
        )
    return pieces


def _spans(total: float, stroke: Stroke) -> list[tuple[float, float]]:
    """Where along the line the dashes lie."""
    period = sum(stroke.dashes)
    at = -(stroke.dash_offset % period)
    spans: list[tuple[float, float]] = []
    k = 0
    while at < total:
        step = stroke.dashes[k % len(stroke.dashes)]
        if k % 2 == 0 and at + step >= 0:
            spans.append((max(at, 0.0), min(at + step, total)))
        at += step
        k += 1
    return spans


def _cut(edges: _Edges, low: Floats, high: Floats, a: float, b: float) -> _Edges:
    """Return the part of a line between two lengths along it."""
    first = int(np.searchsorted(high, a, side="right"))
    last = int(np.searchsorted(low, b, side="left"))
    part = slice(first, min(max(last, first + (a == b)), len(edges)))
    start, end = edges.start[part].copy(), edges.end[part].copy()
    leave, arrive = edges.leave[part].copy(), edges.arrive[part].copy()
    if len(start):
        along = _unit(end - start)
        if low[part][0] < a:
            leave[0] = along[0]
            start[0] = start[0] + along[0] * (a - low[part][0])
        if high[part][-1] > b:
            arrive[-1] = along[-1]
            end[-1] = edges.start[part][-1] + along[-1] * (b - low[part][-1])
    return _Edges(start, end, leave, arrive, edges.corner[part])
