"""Walls: the finishing pass along the walls of a pocket.

In: one connected piece of the area the cutter's centre may be in, what clearing has already swept
of it, the depths, cutter and settings. Out: one Cut for each depth and group of rings that is
reached without lifting, mm. Each wall is come to and left on an arc where there is room. Between
rings the cutter stays down where it can go level over cleared ground; in necks that
clearing could not enter the finishing pass is the first to cut, so it keeps to the depths too.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.operations.cut import Cut, Span
from outline2path.operations.leads import Lead, find_lead
from outline2path.operations.rings import Ring, rings_of
from outline2path.operations.ways import way_within

if TYPE_CHECKING:
    from outline2path.operations.rings import Direction
    from outline2path.shop.cutter import Cutter
    from outline2path.tolerance import Budget

__all__ = ["finish_walls"]

Floats = NDArray[np.float64]
Pace = Callable[[Floats, float], list[Span]]
"""Level spans along a closed ring at a depth, mm."""


@dataclass(frozen=True, eq=False)
class _Wall:
    """One wall to finish: its ring, how it is come to, and the cleared ground it begins in."""

    ring: Ring
    lead: Lead
    home: int
    pace: Pace | None

    def spans(self, z: float) -> list[Span]:
        into, out, loop = self.lead.into, self.lead.out, self.ring.loop
        start = self.lead.start_mm
        end = start + loop.length_mm
        spans = [Span.level("lead-in", into, z)] if len(into) > 1 else []
        if self.pace is not None:
            spans += self.pace(loop.piece(start, end), z)
            start = end
        over = loop.piece(start, end + self.lead.overlap_mm)
        share = spans[-1].feed_factor if self.pace is not None else 1.0
        spans.append(Span.level("cut", over, z, feed_factor=share))
        return spans + ([Span.level("lead-out", out, z)] if len(out) > 1 else [])


def finish_walls(
    part: shapely.Polygon,
    cleared: Sequence[shapely.Polygon],
    *,
    at: Floats | None,
    depths: tuple[float, ...],
    top_mm: float,
    cutter: Cutter,
    direction: Direction,
    budget: Budget,
    pace: Pace | None = None,
) -> list[Cut]:
    """Cut all walls of a piece at every depth.

    Parameters
    ----------
    part : Polygon
        Where the cutter's centre may be; its edge is followed, mm.
    cleared : sequence of Polygon
        Where the centre meets no uncut stock down to the last depth.
    at : ndarray, shape (2,), or None
        Where the cutter comes from, mm.
    depths : tuple of float
        z of the passes, from the top down, mm.
    top_mm : float
        z of the surface, mm.
    cutter, direction, budget
        Of the pocket.
    pace : callable, optional
        Makes level spans of a closed ring, shape (n, 2), at a depth, with feeds of its own.

    Examples
    --------
    >>> from outline2path.shop.cutter import Cutter
    >>> from outline2path.tolerance import Budget
    >>> part = shapely.box(0, 0, 30, 20)
    >>> cuts = finish_walls(part, [part.buffer(-0.2)], at=None, depths=(-1.0, -2.0), top_mm=0.0,
    ...                     cutter=Cutter(3), direction="climb", budget=Budget())
    >>> [[span.role for span in cut.spans] for cut in cuts]  # doctest: +NORMALIZE_WHITESPACE
    [['plunge', 'lead-in', 'cut', 'lead-out', 'link'], ['plunge', 'lead-in', 'cut', 'lead-out']]
    """
    walls = _in_turn(_walls(part, cleared, cutter, direction, budget, pace), at)
    groups: list[list[_Wall]] = []
    for wall in walls:
        if groups and wall.home >= 0 and groups[-1][-1].home == wall.home:
            groups[-1].append(wall)
        else:
            groups.append([wall])
    cuts = []
    for group in groups:
        above = top_mm
        for z in depths:
            ground = cleared[group[0].home] if group[0].home >= 0 else None
            again = z != depths[-1]
            spans = _group(group, ground, from_z=above, z=z, back=again)
            cuts.append(Cut(operation="pocket", cutter=cutter, z_mm=z, spans=tuple(spans)))
            above = z
    return cuts


def _walls(
    part: shapely.Polygon,
    cleared: Sequence[shapely.Polygon],
    cutter: Cutter,
    direction: Direction,
    budget: Budget,
    pace: Pace | None,
) -> list[_Wall]:
    """Choose a lead for each ring, and find the cleared ground both its ends lie in."""
    x0, y0, x1, y1 = part.bounds
    room = cutter.diameter_mm
    forbidden = shapely.box(x0 - room, y0 - room, x1 + room, y1 + room).difference(part)
    shapely.prepare(forbidden)
    walls = []
    for ring in rings_of(shapely.MultiPolygon([part]), side="inside", direction=direction):
        lead = find_lead(
            ring,
            kind="arc",
            size_mm=cutter.radius_mm,
            cutter_mm=cutter.diameter_mm,
            chords_mm=budget.arcs_mm / 2,
            forbidden=forbidden,
        )
        ends = shapely.points(np.stack((lead.into[0], lead.out[-1])))
        homes = [k for k, ground in enumerate(cleared) if shapely.covers(ground, ends).all()]
        walls.append(_Wall(ring, lead, homes[0] if homes else -1, pace))
    return walls


def _in_turn(walls: list[_Wall], at: Floats | None) -> list[_Wall]:
    """Put walls in order: by cleared ground, each the nearest to the one before."""
    todo = list(walls)
    order: list[_Wall] = []
    while todo:
        home = order[-1].home if order else None
        here = order[-1].lead.out[-1] if order else at
        some = [wall for wall in todo if wall.home == home] or todo
        if here is None:
            wall = some[0]
        else:
            wall = min(some, key=lambda w: float(np.hypot(*(w.lead.into[0] - here))))
        todo.remove(wall)
        order.append(wall)
    return order


def _group(
    group: list[_Wall],
    ground: shapely.Polygon | None,
    *,
    from_z: float,
    z: float,
    back: bool,
) -> list[Span]:
    """Cut walls one after the other at one depth; go back to the first where there is more."""
    x, y = group[0].lead.into[0]
    spans = [Span("plunge", np.array([[x, y, from_z], [x, y, z]]))]
    for k, wall in enumerate(group):
        if k and ground is not None:
            way = way_within(ground, group[k - 1].lead.out[-1], wall.lead.into[0])
            spans.append(Span.level("link", way, z))
        spans += wall.spans(z)
    if back and ground is not None:
        way = way_within(ground, group[-1].lead.out[-1], group[0].lead.into[0])
        spans.append(Span.level("link", way, z))
    return spans
