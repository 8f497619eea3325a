"""Strokes: a line with its width, caps, joins and dashes -> the rings of the area it covers.

In: curves in the space in which the line has its width (user units), the `Stroke`, a tolerance
in the same unit. Out: polygons. Each piece of the line is a
rectangle, each turn a wedge on its outer side (SVG 2 section 13.5, from memory). Walked
along the left side there and the right side back, their sum is one ring whose winding number
counts the pieces covering a point, so the nonzero area is exactly their union. Inside a curve
the turns between chords are round, so that the sweep of the true curve is met within the
tolerance; at the corners of the drawing the asked join is made between the true tangents. Only
inside a bend tighter than half the width can the edge be off by more, half a chord at most.
"""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.drawing.dashes import dashes_of, too_many_dashes
from outline2path.drawing.fillrule import EMPTY, filled_area, sound_area
from outline2path.drawing.pieces import Pieces, left_of, point_piece
from outline2path.drawing.tracing import pieces_of
from outline2path.tolerance import PARAMETER_EPSILON

if TYPE_CHECKING:
    from outline2path.drawing.curves import Curves
    from outline2path.drawing.figures import Stroke

__all__ = ["stroke_area"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_FINEST_STEP = 0.001
"""Radians between points of a round end or corner, at least."""
_RUN = 32
"""Pieces taken together where a line's ring crosses itself."""


def stroke_area(curves: Curves, stroke: Stroke, tolerance: float) -> Any:
    """Return the area that a line covers, as polygons.

    Parameters
    ----------
    curves : Curves
        In the units of the stroke's width.
    stroke : Stroke
    tolerance : float
        Greatest error of the area's edge, in the same unit.

    Examples
    --------
    >>> from outline2path.drawing.figures import Stroke
    >>> from outline2path.drawing.pathdata import parse_path
    >>> stroke_area(parse_path("M0 0H10")[0], Stroke(width=2.0), 0.01).area
    20.0
    """
    areas: list[Any] = []
    firsts = curves.firsts.tolist()
    lasts = [*firsts[1:], len(curves.rows)]
    for first, last, closed in zip(firsts, lasts, curves.closed.tolist(), strict=True):
        fine = tolerance / (20 if stroke.dashes else 2)
        line = pieces_of(curves.rows[first:last], stroke.width / 2, fine)
        if not len(line):
            areas.extend(_dot(curves.rows[first, 1:3], stroke, tolerance))
        elif stroke.dashes and not too_many_dashes(line.length, stroke):
            for dash in dashes_of(line, stroke, closed=closed):
                areas.extend(_areas(dash, stroke, tolerance / 2, closed=False))
        else:
            areas.extend(_areas(line, stroke, tolerance / 2, closed=closed))
    return shapely.union_all(areas) if areas else EMPTY


def _areas(line: Pieces, stroke: Stroke, tolerance: float, *, closed: bool) -> list[Any]:
    """Areas whose union one line covers: one where its ring is sound, else one for each run."""
    caps = ("butt", "butt") if closed else (stroke.cap, stroke.cap)
    area = sound_area(_rings(line, stroke, tolerance, caps, closed=closed), "nonzero")
    if area is not None:
        return [area]
    if closed:
        line = line.then(line.part(0, 1))
    cuts = [*range(0, max(len(line) - 1, 1), _RUN), len(line)]
    areas = []
    for k, (a, b) in enumerate(itertools.pairwise(cuts)):
        ends = (caps[0] if k == 0 else "butt", caps[1] if k == len(cuts) - 2 else "butt")
        rings = _rings(line.part(a, b + 1), stroke, tolerance, ends, closed=False)
        areas.append(filled_area(rings, "nonzero"))
    return areas


def _rings(
    line: Pieces, stroke: Stroke, tolerance: float, caps: tuple[str, str], *, closed: bool
) -> list[Floats]:
    """Rings of one line: one for an open line, one for each side of a closed one."""
    back = line.reversed()
    there = _side(line, stroke, tolerance, closed=closed, about=math.pi)
    home = _side(back, stroke, tolerance, closed=closed, about=-math.pi)
    if closed:
        return [there, home]
    half = stroke.width / 2
    finish = _cap(line.end[-1], line.arrive[-1], half, caps[1], tolerance)
    begin = _cap(back.end[-1], back.arrive[-1], half, caps[0], tolerance)
    return [np.concatenate([there, finish, home, begin])]


def _side(line: Pieces, stroke: Stroke, tolerance: float, *, closed: bool, about: float) -> Floats:
    """Points along the left side of a line, its joins included; `about` is a turn right about."""
    half = stroke.width / 2
    normal, d = left_of(line.arrive), line.arrive
    following = np.roll(line.leave, -1, axis=0)
    turn = np.arctan2(
        d[:, 0] * following[:, 1] - d[:, 1] * following[:, 0], (d * following).sum(axis=1)
    )
    corner = np.roll(line.corner, -1)
    turn = np.where(np.abs(turn) == math.pi, about, turn)
    steps = _steps(turn, corner, stroke, tolerance)
    if not closed:
        steps[-1] = 0
    owner = np.repeat(np.arange(len(line)), steps + 2)
    k = np.arange(len(owner)) - np.repeat(np.cumsum(steps + 2) - (steps + 2), steps + 2)
    points = line.end[owner] + half * normal[owner]
    points[k == 0] = line.start + half * left_of(line.leave)
    extra = k >= 2
    points[extra] = line.end[owner[extra]] + _joins(
        normal[owner[extra]], turn[owner[extra]], k[extra] - 1, steps[owner[extra]], half
    )
    tips = extra & (corner & (stroke.join != "round"))[owner] & (turn < 0)[owner]
    if tips.any():
        o = owner[tips]
        grow = half / np.cos(turn[o] / 2)
        angle = turn[o] / 2
        points[tips] = line.end[o] + grow[:, None] * _turned(normal[o], angle)
    return points


def _steps(turn: Floats, corner: NDArray[np.bool_], stroke: Stroke, tolerance: float) -> Ints:
    """Extra points of each join on the left side: the pivot inside a turn, a fan outside."""
    half = stroke.width / 2
    widest = 2 * math.acos(max(1 - tolerance / half, -1.0)) if tolerance < 2 * half else math.pi
    fan = (
        np.ceil(np.abs(turn) / max(widest, _FINEST_STEP) - PARAMETER_EPSILON).astype(np.int64) - 1
    )
    outer = turn < 0
    steps = np.where(outer, np.maximum(fan, 0), (turn > 0).astype(np.int64))
    if stroke.join != "round":
        ratio = 1 / np.maximum(np.cos(turn / 2), PARAMETER_EPSILON)
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


def _cap(end: Floats, direction: Floats, half: float, cap: str, tolerance: float) -> Floats:
    """Points of a cap between the left and the right side."""
    normal = np.array([-direction[1], direction[0]])
    if cap == "square":
        far = end + half * direction
        return np.array([far + half * normal, far - half * normal])
    if cap == "round":
        n = _fan(half, math.pi, tolerance)
        angle = -math.pi * np.arange(1, n) / n
        return np.asarray(end + half * _turned(np.tile(normal, (n - 1, 1)), angle))
    return np.zeros((0, 2))


def _fan(radius: float, angle: float, tolerance: float) -> int:
    """Return the number of chords for an arc within the tolerance."""
    widest = 2 * math.acos(max(1 - tolerance / radius, -1.0))
    return max(2, math.ceil(angle / max(widest, _FINEST_STEP)))


def _dot(at: Floats, stroke: Stroke, tolerance: float) -> list[Any]:
    """Area of a line without length: a dot where its caps are round or square."""
    if stroke.cap == "butt":
        return []
    spot = point_piece(at[None], np.array([[1.0, 0.0]]))
    return _areas(spot, stroke, tolerance, closed=False)
