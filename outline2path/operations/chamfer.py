"""Chamfer: edges of a drawn region broken with a V or chamfer cutter.

In: an Outline, a Cutter, the settings, z of the surface and of the lowest ground the tip may
reach, mm. Out: Cuts, one contour for each edge, its passes going deeper on one and the same path.

One-sided promise. The tip's centre keeps the cone's radius at the wall's new edge, plus
`Budget.margin_mm`, from all that stands. Let a point of what stands lie s inside the drawn edge.
Any way from it to the centre crosses that edge, so the centre is at least s + that radius away,
and the cone, at the surface wider by the asked width, takes the point only where s is less than
the width. Hence no chamfer is ever wider than asked, at no edge, near or far; it is narrower by at
most T wherever the cutter reaches. Higher passes cut inside what the last one takes.

Neighbours. Edges that are not to be chamfered, and `keep` if given, must not be touched at all:
from them the centre keeps the cone's radius at the surface. Where that leaves no way the edge
stays sharp, and a finding names the place. So it does where a gap is too narrow for the cone at
the wall's edge, and where a wall is so thin that the chamfers of its two sides would meet.

Refused: cutters without a cone or too narrow for the width, and a tip that would go below the
given floor (SettingError); a job in which no edge can be chamfered (RefusedError).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from outline2path.errors import RefusedError, SettingError
from outline2path.operations.chamfer_settings import ChamferSettings, Cone, cone_for
from outline2path.operations.crowded import cone_findings, crowded_finding, drawn_edges
from outline2path.operations.cut import Contour, Cut, Cuts, Span
from outline2path.operations.leads import Lead, find_lead
from outline2path.operations.offset import offset
from outline2path.operations.passes import pass_depths
from outline2path.operations.rings import Ring, rings_of
from outline2path.operations.shortfalls import flute_findings
from outline2path.operations.telling import at_most
from outline2path.tolerance import GRID_MM, LENGTH_EPSILON_MM, Budget

if TYPE_CHECKING:
    from outline2path.drawing.outline import Outline
    from outline2path.findings import Finding
    from outline2path.shop.cutter import Cutter

__all__ = ["ChamferSettings", "chamfer"]

_QUADRANT = 32
"""Chords to a quarter turn round what must not be touched, laid outside the true circle."""


@dataclass(frozen=True, eq=False, kw_only=True)
class _Kit:
    """What every edge of one chamfer shares."""

    cutter: Cutter
    settings: ChamferSettings
    cone: Cone
    depths: tuple[float, ...]
    top_mm: float
    chords_mm: float
    closed_to: BaseGeometry


def chamfer(
    outline: Outline,
    cutter: Cutter,
    *,
    settings: ChamferSettings,
    top_mm: float,
    bottom_mm: float,
    keep: BaseGeometry | None = None,
) -> Cuts:
    """Plan the cuts that chamfer a region's edges.

    Parameters
    ----------
    outline : Outline
        What is drawn, in mm, y up, in work coordinates.
    cutter : Cutter
        A V or chamfer cutter.
    settings : ChamferSettings
        Width or depth, overrun, edges; lengths in mm.
    top_mm, bottom_mm : float
        z of the surface, and the lowest z the tip may reach: the stock's underside, or the floor
        of a pocket whose edge it is.
    keep : geometry, optional
        Other ground at the surface that must not be touched, mm.

    Raises
    ------
    SettingError
        When the settings contradict the cutter, or the tip would go below the floor.
    RefusedError
        When no edge can be chamfered.

    Examples
    --------
    >>> from outline2path.drawing.outline import Outline
    >>> from outline2path.shop.cutter import Cutter
    >>> plan = chamfer(Outline.from_shapely(shapely.box(0, 0, 40, 30)),
    ...                Cutter(6, shape="v", angle=90),
    ...                settings=ChamferSettings(width_mm=1, overrun_mm=0.5, depth_per_pass_mm=1),
    ...                top_mm=0.0, bottom_mm=-6.0)
    >>> [round(cut.z_mm, 6) for cut in plan.contours[0].cuts]
    [-0.75, -1.5]
    """
    cone = cone_for(cutter, settings)
    _check_floor(cone, top_mm=top_mm, bottom_mm=bottom_mm)
    budget = Budget(settings.tolerance_mm)
    region = outline.region_within(budget.flatten_mm)
    if region.is_empty:
        raise RefusedError(
            f"{outline!r} has lines, but no area with an edge to chamfer",
            remedy="engrave lines, or draw closed shapes",
        )
    inside = settings.side == "inside"
    near = cone.edge_radius_mm + budget.margin_mm
    area = offset(region, -near if inside else near, budget=budget)
    every = rings_of(area, side=settings.side, direction=settings.direction)
    edges = drawn_edges(region, settings.edges)
    rings = [ring for ring in every if edges.owns(ring.loop.points[0])]
    closed = edges.crowded_by(
        keep, cone.top_radius_mm + budget.margin_mm + budget.simplify_mm, quad_segs=_QUADRANT
    )
    kit = _Kit(
        cutter=cutter,
        settings=settings,
        cone=cone,
        depths=pass_depths(
            top_mm=top_mm,
            bottom_mm=top_mm - cone.tip_depth_mm,
            depth_per_pass_mm=settings.depth_per_pass_mm,
            through_mm=0.0,
        ),
        top_mm=top_mm,
        chords_mm=budget.arcs_mm / 2,
        closed_to=_closed_to(area, closed, inside=inside),
    )
    ways, findings = _ways(rings, closed, kit)
    findings += cone_findings(
        region, [ring.loop.points for ring in rings], cone, settings=settings
    )
    if not ways:
        raise _no_way(findings, cone)
    contours = tuple(Contour(number=n, cuts=cuts) for n, cuts in enumerate(ways))
    step = cone.tip_depth_mm / len(kit.depths)
    findings += flute_findings(cutter, deep_mm=cone.tip_depth_mm, step_mm=step)
    return Cuts(contours, tuple(at_most(findings)))


def _check_floor(cone: Cone, *, top_mm: float, bottom_mm: float) -> None:
    deepest = top_mm - cone.tip_depth_mm
    if deepest < bottom_mm - LENGTH_EPSILON_MM:
        raise SettingError(
            f"the tip would run {cone.tip_depth_mm:.3f} mm deep, into the floor "
            f"{top_mm - bottom_mm:.3f} mm below the surface",
            value=cone.tip_depth_mm,
            limit=top_mm - bottom_mm,
            remedy="use less overrun, or a narrower chamfer",
        )


def _closed_to(area: shapely.MultiPolygon, crowded: BaseGeometry, *, inside: bool) -> BaseGeometry:
    """Return all that the tip's centre may not enter, prepared."""
    closed: BaseGeometry = area
    if inside and not area.is_empty:
        room = np.ptp(np.reshape(area.bounds, (2, 2)), axis=0).max()
        closed = shapely.box(*shapely.buffer(area, room).bounds).difference(area)
    if not crowded.is_empty:
        closed = closed.union(crowded)
    shapely.prepare(closed)
    return closed


def _ways(
    rings: list[Ring], crowded: BaseGeometry, kit: _Kit
) -> tuple[list[tuple[Cut, ...]], list[Finding]]:
    """Turn each ring into cuts: once round, or in the pieces that keep clear of neighbours."""
    ways, findings = list[tuple[Cut, ...]](), list["Finding"]()
    for ring in rings:
        line = shapely.LineString(ring.loop.points)
        if crowded.is_empty or crowded.disjoint(line):
            ways.append(_round(ring, kit))
            continue
        lost = line.intersection(crowded)
        findings.append(crowded_finding(lost, crowded, kit.cone))
        ways += [_along(piece, kit) for piece in _pieces(line.difference(crowded))]
    return ways, findings


def _pieces(rest: BaseGeometry) -> list[NDArray[np.float64]]:
    """Return the points of the pieces left of a ring, those across its start joined."""
    lines = shapely.get_parts(rest)
    lines = lines[(shapely.get_type_id(lines) == 1) & (shapely.length(lines) > GRID_MM)]
    points = [shapely.get_coordinates(line) for line in lines]
    if len(points) > 1 and np.array_equal(points[-1][-1], points[0][0]):
        points = [np.vstack((points[-1], points[0][1:])), *points[1:-1]]
    return points


def _round(ring: Ring, kit: _Kit) -> tuple[Cut, ...]:
    """All passes of a closed edge, on one path."""
    settings = kit.settings
    lead = find_lead(
        ring,
        kind=settings.lead,
        size_mm=settings.lead_mm or kit.cone.top_radius_mm,
        cutter_mm=2 * kit.cone.top_radius_mm,
        chords_mm=kit.chords_mm,
        forbidden=kit.closed_to,
    )
    return tuple(
        Cut("chamfer", kit.cutter, z, _spans(ring, lead, from_z=above, to_z=z))
        for above, z in zip((kit.top_mm, *kit.depths), kit.depths, strict=False)
    )


def _spans(ring: Ring, lead: Lead, *, from_z: float, to_z: float) -> tuple[Span, ...]:
    x, y = lead.into[0]
    spans = [Span("plunge", np.array([[x, y, from_z], [x, y, to_z]]))]
    if len(lead.into) > 1:
        spans.append(Span("lead-in", _level(lead.into, to_z)))
    end = lead.start_mm + ring.loop.length_mm + lead.overlap_mm
    spans.append(Span("cut", _level(ring.loop.piece(lead.start_mm, end), to_z)))
    if len(lead.out) > 1:
        spans.append(Span("lead-out", _level(lead.out, to_z)))
    return tuple(spans)


def _along(points: NDArray[np.float64], kit: _Kit) -> tuple[Cut, ...]:
    """All passes of an open piece of an edge, each in the same sense."""
    x, y = points[0]
    return tuple(
        Cut(
            "chamfer",
            kit.cutter,
            z,
            (
                Span("plunge", np.array([[x, y, above], [x, y, z]])),
                Span("cut", _level(points, z)),
            ),
        )
        for above, z in zip((kit.top_mm, *kit.depths), kit.depths, strict=False)
    )


def _level(points: NDArray[np.float64], z: float) -> NDArray[np.float64]:
    return np.column_stack((points, np.full(len(points), z)))


def _no_way(findings: list[Finding], cone: Cone) -> RefusedError:
    first = findings[0] if findings else None
    return RefusedError(
        f"no edge has room for a cone {2 * cone.edge_radius_mm:.2f} mm wide at the wall and "
        f"{2 * cone.top_radius_mm:.2f} mm at the surface",
        at_mm=first.at_mm if first else None,
        value=2 * cone.edge_radius_mm,
        limit=first.value if first else None,
        remedy="use less overrun, a sharper tip or a narrower chamfer",
    )
