"""Bore: a round hole wider than the cutter, wound down as a helix.

In: the hole's middle and radius, a flat cutter, z of the surface and of the floor, mm. Out: the
cuts, in order: for each ring, from the middle outwards, a helix down, a full circle at the floor
and half a circle back to the middle, so that the wall keeps no mark; then, where something is
left for finishing, one full circle at full depth.

One ring does where it is narrower than the cutter, so that no post stays in the middle (a post
stays where its radius is more than the cutter's: elementary geometry). Else the first runs on 0.9
of the cutter's radius (usual 0.5 to 0.9) and the others follow at the stepover. The last ring
keeps cutter radius + `Budget.margin_mm` from the wall.

A turn goes down by at most the depth per pass and no steeper than the ramp angle; where a ring is
so small that this would wind for ever, by a tenth of the depth per pass, at the plunge feed.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.operations.cut import Cut, Role, Span
from outline2path.operations.entries import helix_spans
from outline2path.operations.leads import chord_angles
from outline2path.tolerance import DEFAULT_TOLERANCE_MM, Budget

if TYPE_CHECKING:
    from outline2path.operations.drill_settings import DrillSettings
    from outline2path.operations.holes import Hole
    from outline2path.shop.cutter import Cutter

__all__ = ["bore_cuts", "bore_radii"]

Floats = NDArray[np.float64]

_FIRST_RING = 0.9
_SURE_MM = DEFAULT_TOLERANCE_MM / 4
"""Where one ring covers the middle by this much, it is enough."""
_LEAST_FALL = 0.1


def bore_cuts(
    hole: Hole, cutter: Cutter, *, settings: DrillSettings, top_mm: float, floor_mm: float
) -> tuple[Cut, ...]:
    """Return the cuts of one bored hole.

    Parameters
    ----------
    hole : Hole
        Wider than the cutter by more than twice the tolerance.
    cutter : Cutter
        A flat end mill.
    settings : DrillSettings
        Depth per pass, stepover, finish allowance, direction, tolerance.
    top_mm, floor_mm : float
        z of the surface and of the floor.

    Examples
    --------
    >>> from outline2path.operations.drill_settings import DrillSettings
    >>> from outline2path.operations.holes import Hole
    >>> from outline2path.shop.cutter import Cutter
    >>> (cut,) = bore_cuts(Hole((5.0, 5.0), 4.0, 4.0), Cutter(6), settings=DrillSettings(),
    ...                    top_mm=0.0, floor_mm=-3.0)
    >>> sorted({span.role for span in cut.spans}), cut.spans[0].points[0].round(4).tolist()
    (['cut', 'lead-out', 'ramp'], [5.9905, 5.0, 0.0])
    """
    budget = Budget(settings.tolerance_mm)
    rough, finish = bore_radii(hole, cutter, settings=settings)
    turn = 1.0 if settings.direction == "climb" else -1.0
    chords = budget.arcs_mm / 2
    cuts = []
    for radius in rough:
        circle = _arc(hole, radius, turn, chords)
        spans = _turns(
            circle, from_z=top_mm, to_z=floor_mm, angle_deg=_angle_deg(radius, settings)
        )
        spans += [_level("cut", circle, floor_mm), _out(hole, radius, turn, chords, floor_mm)]
        cuts.append(Cut("bore", cutter, floor_mm, tuple(spans)))
    if finish is not None:
        x, y = hole.at_mm
        down = Span("plunge", np.array([[x, y, top_mm], [x, y, floor_mm]]))
        out = _out(hole, finish, turn, chords, floor_mm)
        into = Span("lead-in", _mirrored(out.points, y))
        round_ = _level("cut", _arc(hole, finish, turn, chords), floor_mm)
        cuts.append(Cut("bore", cutter, floor_mm, (down, into, round_, out)))
    return tuple(cuts)


def bore_radii(
    hole: Hole, cutter: Cutter, *, settings: DrillSettings
) -> tuple[list[float], float | None]:
    """Return the radii of the rings from the middle outwards, and of the finishing circle, mm.

    Examples
    --------
    >>> from outline2path.operations.drill_settings import DrillSettings
    >>> from outline2path.operations.holes import Hole
    >>> from outline2path.shop.cutter import Cutter
    >>> rough, finish = bore_radii(Hole((0.0, 0.0), 10.0, 10.0), Cutter(6),
    ...                            settings=DrillSettings(finish_allowance_mm=0.2))
    >>> [round(r, 3) for r in rough], round(finish, 3)
    ([2.7, 4.745, 6.79], 6.99)
    """
    last = hole.inner_mm - cutter.radius_mm - Budget(settings.tolerance_mm).margin_mm
    left = settings.finish_allowance_mm
    finish = last if 0 < left < last else None
    outer = last - left if finish is not None else last
    if outer < cutter.radius_mm - _SURE_MM:
        return [outer], finish
    first = _FIRST_RING * cutter.radius_mm
    count = math.ceil((outer - first) / (settings.stepover * cutter.diameter_mm))
    return np.linspace(first, outer, count + 1).tolist(), finish


def _turns(circle: Floats, *, from_z: float, to_z: float, angle_deg: float) -> list[Span]:
    """Wind down, each turn a span of its own: alike seen from above, so its arcs are too."""
    (helix,) = helix_spans(circle, from_z=from_z, to_z=to_z, angle_deg=angle_deg)
    once = len(circle) - 1
    return [
        Span("ramp", helix.points[first : first + once + 1])
        for first in range(0, len(helix.points) - 1, once)
    ]


def _angle_deg(radius_mm: float, settings: DrillSettings) -> float:
    """Angle of a helix on a ring of this radius."""
    once = 2 * math.pi * radius_mm
    most = settings.depth_per_pass_mm
    fall = once * math.tan(math.radians(settings.ramp_angle_deg))
    return math.degrees(math.atan(min(max(fall, _LEAST_FALL * most), most) / once))


def _arc(hole: Hole, radius_mm: float, turn: float, chords_mm: float) -> Floats:
    """Once round from the hole's right, shape (n, 2); the last point is the first."""
    t = chord_angles(radius_mm, turn * 2 * math.pi, chords_mm)
    points: Floats = np.array(hole.at_mm) + radius_mm * np.column_stack((np.cos(t), np.sin(t)))
    points[-1] = points[0]
    return points


def _out(hole: Hole, radius_mm: float, turn: float, chords_mm: float, z_mm: float) -> Span:
    """Half a circle from the hole's right to its middle, tangent to the ring."""
    t = chord_angles(radius_mm / 2, turn * math.pi, chords_mm)
    middle = np.array(hole.at_mm) + np.array((radius_mm / 2, 0.0))
    points = middle + radius_mm / 2 * np.column_stack((np.cos(t), np.sin(t)))
    points[-1] = hole.at_mm
    return _level("lead-out", points, z_mm)


def _mirrored(points: Floats, y_mm: float) -> Floats:
    """Return the way back on the other side: reversed, and mirrored about a level line."""
    back = points[::-1].copy()
    back[:, 1] = 2 * y_mm - back[:, 1]
    return back


def _level(role: Role, points: Floats, z_mm: float) -> Span:
    return Span(role, np.column_stack((points, np.full(len(points), z_mm))))
