"""Profile: a drawn region cut out along its edge, in several depths.

In: an Outline, a Cutter, the settings, z of the stock's top and bottom in work coordinates, mm.
Out: Cuts: contours (ordered cuts with their tabs) and findings. Polylines only; arcs are
fitted later by `path`.

Sides. outside: the drawn region is the part; its outer edges are cut on their outside, its holes
on their inside. inside: the drawn region is an opening; the stock round it, and islands drawn in
it, stay. on: the cutter's centre runs along the drawn edge, with no allowance and no lead.

Distance from the drawn edge: cutter radius + allowance + `Budget.margin_mm`, so that no sum of
errors cuts into the part. With a finish allowance, all roughing depths are cut that much farther
out, then all depths again at the final distance. After a larger cutter only what that one left is
cut, along open stretches at the final distance.

Order: a ring inside another is cut before it, to any depth of nesting, since what the outer ring
holds is loose afterwards. `Contour.number` follows a lawful order; `Contour.after` is the law.

Refused: settings that contradict each other, the stock or the cutter (SettingError), and a job in
which the cutter fits nowhere (RefusedError). What it cannot reach is a finding.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING

import shapely

from outline2path.errors import RefusedError
from outline2path.findings import Finding
from outline2path.operations.contours import Kit, contours_of
from outline2path.operations.cut import Cuts
from outline2path.operations.feed_shares import lowered_findings
from outline2path.operations.offset import offset
from outline2path.operations.passes import pass_depths
from outline2path.operations.profile_settings import ProfileSettings
from outline2path.operations.rest import default_overlap_mm, nothing_left, rest_region
from outline2path.operations.rings import Ring, rings_of
from outline2path.operations.shortfalls import flute_findings
from outline2path.operations.stretches import rest_contours, share_of
from outline2path.operations.unreached import joined_parts, unreached_edges, widest_mm
from outline2path.shop.cutter import Cutter
from outline2path.tolerance import Budget

if TYPE_CHECKING:
    from outline2path.drawing.outline import Outline
    from outline2path.operations.cut import Contour

__all__ = ["ProfileSettings", "profile"]

_FINER = 8
"""Times finer chords that tell a drawn ring from one that chords made."""


def profile(
    outline: Outline,
    cutter: Cutter,
    *,
    settings: ProfileSettings | None = None,
    top_mm: float,
    bottom_mm: float,
) -> Cuts:
    """Plan the cuts that free a drawn region from the stock.

    Parameters
    ----------
    outline : Outline
        What is drawn, in mm, y up, in work coordinates.
    cutter : Cutter
        A flat end mill.
    settings : ProfileSettings, optional
        Side, depths, tabs, leads, entry; lengths in mm.
    top_mm, bottom_mm : float
        z of the stock's top and bottom in work coordinates.

    Raises
    ------
    SettingError
        When the settings contradict each other, the stock or the cutter.
    RefusedError
        When the cutter fits nowhere, or a larger one before it left nothing.

    Examples
    --------
    >>> from outline2path.drawing.outline import Outline
    >>> from outline2path.shop.cutter import Cutter
    >>> plan = profile(Outline.from_shapely(shapely.box(0, 0, 40, 30)), Cutter(3),
    ...                settings=ProfileSettings(tabs=2, depth_per_pass_mm=2),
    ...                top_mm=0, bottom_mm=-6)
    >>> [round(cut.z_mm, 3) for cut in plan.contours[0].cuts], len(plan.contours[0].tabs)
    ([-1.575, -3.15, -4.725, -6.3], 2)
    """
    settings = settings or ProfileSettings()
    settings.check_against(cutter_mm=cutter.diameter_mm, thickness_mm=top_mm - bottom_mm)
    depths = pass_depths(
        top_mm=top_mm,
        bottom_mm=bottom_mm,
        depth_per_pass_mm=settings.depth_per_pass_mm,
        through_mm=settings.through_mm,
    )
    budget = Budget(settings.tolerance_mm)
    region = outline.region_within(budget.flatten_mm)
    area = _centre_area(region, cutter, settings, budget, 0.0)
    rings = rings_of(area, side=settings.side, direction=settings.direction)
    if settings.side == "on":
        rings = _drawn(rings, outline, budget)
    if not rings:
        raise _fits_nowhere(region, cutter)
    rough_area, rough = None, list[Ring]()
    if settings.finish_allowance_mm > 0:
        more = settings.finish_allowance_mm
        rough_area = _centre_area(region, cutter, settings, budget, more)
        rough = rings_of(rough_area, side=settings.side, direction=settings.direction)
    edge = region.boundary
    shapely.prepare(edge)
    kit = Kit(
        cutter=cutter,
        settings=settings,
        budget=budget,
        depths=depths,
        top_mm=top_mm,
        bottom_mm=bottom_mm,
        edge=None if settings.side == "on" else edge,
    )
    if settings.rest_of_mm is None:
        contours, findings = contours_of(rings, rough, areas=(area, rough_area), kit=kit)
    else:
        contours, findings = _rest(outline, settings.rest_of_mm, rings, area, kit)
    findings += lowered_findings(contours)
    deep = top_mm - depths[-1]
    findings += flute_findings(cutter, deep_mm=deep, step_mm=deep / len(depths))
    if settings.side != "on":
        need = cutter.diameter_mm + 2 * (settings.allowance_mm + budget.margin_mm)
        findings += unreached_edges(region, rings, side=settings.side, need_mm=need)
        findings += joined_parts(region, area, side=settings.side, need_mm=need)
    return Cuts(tuple(contours), tuple(findings))


def _centre_area(
    region: shapely.MultiPolygon,
    cutter: Cutter,
    settings: ProfileSettings,
    budget: Budget,
    more_mm: float,
) -> shapely.MultiPolygon:
    """Return the area whose edge the cutter's centre follows."""
    if settings.side == "on":
        return offset(region, 0.0, budget=budget)
    distance = cutter.radius_mm + settings.allowance_mm + budget.margin_mm + more_mm
    return offset(region, distance if settings.side == "outside" else -distance, budget=budget)


def _drawn(rings: list[Ring], outline: Outline, budget: Budget) -> list[Ring]:
    """Leave out rings that the chords alone drew.

    Where two curves all but touch, their chords may shut in a speck that finer chords do not.
    """
    edge = outline.region_within(budget.flatten_mm / _FINER).boundary
    shapely.prepare(edge)
    lines = [shapely.LinearRing(ring.loop.points) for ring in rings]
    drawn = shapely.dwithin(lines, edge, 2 * budget.flatten_mm)
    return [ring for ring, is_drawn in zip(rings, drawn.tolist(), strict=True) if is_drawn]


def _rest(
    outline: Outline,
    larger_mm: float,
    rings: list[Ring],
    area: shapely.MultiPolygon,
    kit: Kit,
) -> tuple[list[Contour], list[Finding]]:
    """Cut what a larger cutter left of the same profile, round the tabs that one left."""
    settings, large = kit.settings, Cutter(larger_mm)
    before: tuple[Contour, ...] = ()
    if settings.tabs:
        with suppress(RefusedError):  # where it fits nowhere it leaves no tabs
            before = profile(
                outline,
                large,
                settings=replace(settings, rest_of_mm=None),
                top_mm=kit.top_mm,
                bottom_mm=kit.bottom_mm,
            ).contours
    left = rest_region(
        outline,
        large,
        kit.cutter,
        side="inside" if settings.side == "inside" else "outside",
        allowance_mm=settings.allowance_mm,
        tolerance_mm=settings.tolerance_mm,
        overlap_mm=0.0,
    )
    more = default_overlap_mm(large, kit.cutter, tolerance_mm=settings.tolerance_mm)
    near = offset(left, kit.cutter.radius_mm + more, budget=kit.budget)
    tabs = [tab for contour in before for tab in contour.tabs]
    share, findings = share_of(rings, near), list[Finding]()
    whole: list[Contour] = []
    if share.whole:
        whole, findings = contours_of(list(share.whole), [], areas=(area, None), kit=kit)
    contours = rest_contours(share, whole, tabs, kit=kit)
    if not contours:
        raise nothing_left(larger_mm, kit.cutter.diameter_mm)
    return contours, findings


def _fits_nowhere(region: shapely.MultiPolygon, cutter: Cutter) -> RefusedError:
    widest, place = widest_mm(region)
    return RefusedError(
        f"a cutter of {cutter.diameter_mm:g} mm fits in none of the openings",
        at_mm=place,
        value=cutter.diameter_mm,
        limit=widest,
        remedy=f"use a cutter below {widest:.2f} mm, or scale the drawing up by "
        f"{1.01 * cutter.diameter_mm / widest:.2f}",
    )
