"""Slot ends: the last disc that fits before the end of a slot whose walls close in, or run level.

In: a Boundary and the Mesh of its samples. Out: discs that touch two walls facing one another
(at FACING or more, seen from the centre) and the end of the slot between them. A slot that narrows
toward its end has no neck, yet a cutter wider than this disc cannot get to the end of it.

Each triangle whose corners could be such a triple gives a first guess; Newton's method then moves
the centre until its distances to the three edges agree, and the disc must be empty. Where walls
run together in a point there is no such disc: that is a corner, however acute.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.reach.contacts import Contacts, one_of_each

if TYPE_CHECKING:
    from outline2path.reach.boundary import Boundary, Floats, Ints
    from outline2path.reach.mesh import Mesh

__all__ = ["FACING", "slot_ends"]

FACING = math.radians(170)
"""Walls that face one another: the angle between their touching points, from the centre."""
GUESS = math.radians(140)
"""The same for the first guess, whose corners are samples near the touching points."""
APART = math.radians(20)
"""The end of the slot must be touched at least this far from both walls."""
STEPS = 8
"""Newton steps; from a fair guess six are enough."""


def slot_ends(boundary: Boundary, mesh: Mesh, *, touch_mm: float) -> Contacts:
    """Find the last disc before the end of every slot.

    Parameters
    ----------
    boundary, mesh : Boundary, Mesh
        Edges in mm and their samples.
    touch_mm : float
        An edge may reach this far into the disc and still count as touching it: as far as the
        chords of a round end lie off their curve. The width is that of the empty disc.

    Examples
    --------
    >>> import shapely
    >>> from outline2path.reach.boundary import Boundary
    >>> from outline2path.reach.mesh import sample
    >>> slot = shapely.MultiPolygon([shapely.box(0, 0, 20, 3)])
    >>> edges = Boundary.of(slot, free_inside=True)
    >>> ends = slot_ends(edges, sample(edges, finest_mm=0.01), touch_mm=0.001)
    >>> ends.width_mm.round(6).tolist(), ends.centre.round(6).tolist()
    ([3.0, 3.0], [[1.5, 1.5], [18.5, 1.5]])
    """
    guesses = (_guesses(boundary, mesh), _floors(boundary))
    centre, edges = (np.concatenate(both) for both in zip(*guesses, strict=True))
    one = one_of_each(np.sort(edges, axis=1).astype(np.float64), within=1.0)
    centre, edges = centre[one], edges[one]
    centre, radius, touch = _touching_three(boundary, centre, edges)
    order, good = _facing(centre, touch, FACING)
    good &= radius > touch_mm
    touch = np.take_along_axis(touch, order[:, :, None], axis=1)[good]
    edges = np.take_along_axis(edges, order, axis=1)[good]
    centre, radius = centre[good], radius[good]
    best = np.argsort(_nearness(centre, touch))
    one = best[one_of_each(centre[best], within=touch_mm)]
    room = boundary.distance_mm(centre[one])
    empty = room >= radius[one] - touch_mm
    one, room = one[empty], room[empty]
    ended = _ended(boundary, centre[one], touch[one], touch_mm)
    centre, touch, edges, radius = centre[one], touch[one], edges[one], room
    centre, touch, edges, radius = centre[ended], touch[ended], edges[ended], radius[ended]
    arc = boundary.arc_mm(edges[:, 0], touch[:, 0], edges[:, 1], touch[:, 1])
    straight = np.hypot(*(touch[:, 0] - touch[:, 1]).T)
    return Contacts(centre, 2 * radius, touch, (arc - straight) / 2)


def _guesses(boundary: Boundary, mesh: Mesh) -> tuple[Floats, Ints]:
    """Centres and edges of triangles whose corners may lie on two walls and the end between."""
    corners = mesh.xy[mesh.triangles]
    centre = _circumcentre(corners)
    _, good = _facing(centre, corners, GUESS)
    triangles, corners, centre = mesh.triangles[good], corners[good], centre[good]
    edges = np.empty(triangles.shape, dtype=np.intp)
    free = np.ones(len(triangles), dtype=bool)
    for k in range(3):
        inward = centre - corners[:, k]
        lower, upper = mesh.lower[triangles[:, k]], mesh.upper[triangles[:, k]]
        left_lower, left_upper = (_left(boundary, e, inward) for e in (lower, upper))
        edges[:, k] = np.where(left_upper >= left_lower, upper, lower)
        free &= np.maximum(left_lower, left_upper) > 0
    different = (edges != np.roll(edges, 1, axis=1)).all(axis=1)
    return centre[free & different], edges[free & different]


def _floors(boundary: Boundary) -> tuple[Floats, Ints]:
    """Centres and edges of flat ends: an edge square, or nearly, to the walls on either side."""
    floor = np.arange(len(boundary.points))
    before, after = boundary.before, boundary.after
    total = boundary.turn + boundary.turn[after]
    inner = (boundary.turn > 0) & (boundary.turn[after] > 0)
    floor = floor[inner & (np.abs(total - math.pi) <= math.pi - GUESS)]
    middle = (boundary.points[floor] + boundary.points[after[floor]]) / 2
    along = boundary.direction[floor]
    left = np.column_stack([-along[:, 1], along[:, 0]])
    centre = middle + left * boundary.length_mm[floor, None] / 2
    return centre, np.column_stack([before[floor], floor, after[floor]])


def _left(boundary: Boundary, edges: Ints, vector: Floats) -> Floats:
    """Component of a vector square to an edge, toward its free side."""
    along = boundary.direction[edges]
    return np.asarray(along[:, 0] * vector[:, 1] - along[:, 1] * vector[:, 0])


def _circumcentre(corners: Floats) -> Floats:
    """Centre of the circle through each triangle's corners; not finite where they are in line."""
    b, c = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    double = 2 * (b[:, 0] * c[:, 1] - b[:, 1] * c[:, 0])
    bb, cc = (b * b).sum(axis=1), (c * c).sum(axis=1)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        x = (c[:, 1] * bb - b[:, 1] * cc) / double
        y = (b[:, 0] * cc - c[:, 0] * bb) / double
        return np.asarray(corners[:, 0] + np.column_stack([x, y]))


def _facing(centre: Floats, touch: Floats, widest: float) -> tuple[Ints, NDArray[np.bool_]]:
    """Order the touching points, the facing pair first, and say whether it faces well enough."""
    with np.errstate(invalid="ignore"):
        arm = touch - centre[:, None]
        heading = np.arctan2(arm[:, :, 1], arm[:, :, 0])
        across = np.abs(np.stack([heading[:, i] - heading[:, j] for i, j in _SIDES], axis=1))
        across = np.minimum(across, 2 * math.pi - across)
        pair = np.argmax(across, axis=1)
        good = (across.max(axis=1) >= widest) & (across.min(axis=1) > 0)
    return _ORDER[pair], good


def _ended(
    boundary: Boundary, centre: Floats, touch: Floats, touch_mm: float
) -> NDArray[np.bool_]:
    """Whether the disc touches the end of the slot well apart from both walls.

    That is the third point, or, in a round end that is touched all round, the place half-way
    between the walls on the third point's side.
    """
    p, q, third = np.moveaxis(touch - centre[:, None], 1, 0)
    apart = _nearness(centre, touch) <= math.cos(APART)
    square = np.column_stack([p[:, 1] - q[:, 1], q[:, 0] - p[:, 0]])
    side = np.sign((square * third).sum(axis=1))
    square *= (side * np.hypot(*third.T) / np.hypot(*square.T))[:, None]
    rest = np.flatnonzero(~apart)
    apart[rest] = boundary.distance_mm((centre + square)[rest]) <= touch_mm
    return apart


def _nearness(centre: Floats, touch: Floats) -> Floats:
    """Cosine of the angle between the third point and the nearer of the facing pair."""
    p, q, third = np.moveaxis(touch - centre[:, None], 1, 0)
    near = np.maximum((p * third).sum(axis=1), (q * third).sum(axis=1))
    return np.asarray(near / (third * third).sum(axis=1))


_SIDES = ((0, 1), (1, 2), (2, 0))
_ORDER = np.array([[0, 1, 2], [1, 2, 0], [2, 0, 1]])


def _touching_three(
    boundary: Boundary, centre: Floats, edges: Ints
) -> tuple[Floats, Floats, Floats]:
    """Move each centre until three edges are equally far; edges slide to their neighbours."""
    touch = np.empty((len(centre), 3, 2))
    radius = np.zeros(len(centre))
    for _ in range(STEPS):
        for k in range(3):
            edges[:, k], touch[:, k] = _slide(boundary, edges[:, k], centre)
        arm = centre[:, None] - touch
        away = np.hypot(arm[:, :, 0], arm[:, :, 1])
        radius = away.mean(axis=1)
        step = _step(arm, away)
        centre = centre + np.where(np.isfinite(step), step, 0.0)
    return centre, radius, touch


def _slide(boundary: Boundary, edges: Ints, points: Floats) -> tuple[Ints, Floats]:
    """Nearest point of each edge; where it is the edge's end, the next edge is taken if nearer."""
    start, along = boundary.points[edges], boundary.direction[edges]
    place = ((points - start) * along).sum(axis=1)
    onward = np.where(place < 0, boundary.before[edges], boundary.after[edges])
    ended = (place < 0) | (place > boundary.length_mm[edges])
    foot, other = boundary.foot(edges, points), boundary.foot(onward, points)
    nearer = np.hypot(*(other - points).T) <= np.hypot(*(foot - points).T)
    move = ended & nearer
    return np.where(move, onward, edges), np.where(move[:, None], other, foot)


def _step(arm: Floats, away: Floats) -> Floats:
    """Newton's step toward equal distances: the radius is eliminated, two equations stay."""
    with np.errstate(all="ignore"):
        unit = arm / away[:, :, None]
        m, n = unit[:, 1] - unit[:, 0], unit[:, 2] - unit[:, 0]
        e, f = away[:, 0] - away[:, 1], away[:, 0] - away[:, 2]
        det = m[:, 0] * n[:, 1] - m[:, 1] * n[:, 0]
        return np.column_stack(
            [(e * n[:, 1] - f * m[:, 1]) / det, (f * m[:, 0] - e * n[:, 0]) / det]
        )
