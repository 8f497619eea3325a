"""Pocket: everything inside a drawn region cleared to a floor, islands left standing.

In: an Outline (its regions are the openings, holes in them islands), a Cutter, the settings, z of
the surface and of the floor in work coordinates, mm. Out: Cuts; arcs are fitted later by `path`.

Distance of the last ring from the drawn edge: cutter radius + allowance + `Budget.margin_mm`, as
in a profile. Rings a stepover apart run inside it, cut from the inside out and linked level; what
lies farther than the cutter's radius from every ring (sharp corners, ridges, at stepovers above
half the cutter) is cut by detours. With a finish allowance the rings stop that much short, and the
walls are cut last, at all depths; with a floor allowance the floor is cut once more before them.
After a larger cutter only what that one left is cut, and the ground round it.

Refused: settings that contradict each other or the cutter (SettingError), and a pocket in which
the cutter fits nowhere (RefusedError). What it cannot reach is a finding.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from outline2path.errors import RefusedError
from outline2path.findings import Finding
from outline2path.operations.checks import check_holds_area
from outline2path.operations.cut import Cuts
from outline2path.operations.feed_shares import LEAST_SHARE, thin_chip_share
from outline2path.operations.offset import offset
from outline2path.operations.passes import pass_depths
from outline2path.operations.pocket_cuts import PocketKit, pocket_contours
from outline2path.operations.pocket_settings import PocketSettings
from outline2path.operations.rest import default_overlap_mm, nothing_left, rest_region
from outline2path.operations.rings import rings_of
from outline2path.operations.shortfalls import flute_findings
from outline2path.operations.unreached import narrow_parts, unreached_edges, widest_mm
from outline2path.shop.cutter import Cutter
from outline2path.tolerance import GRID_MM, Budget

if TYPE_CHECKING:
    from outline2path.drawing.outline import Outline
    from outline2path.operations.descent import Descent

__all__ = ["PocketSettings", "pocket"]


def pocket(
    outline: Outline,
    cutter: Cutter,
    *,
    settings: PocketSettings | None = None,
    top_mm: float,
    bottom_mm: float,
) -> Cuts:
    """Plan the cuts that clear a drawn region down to a floor.

    Parameters
    ----------
    outline : Outline
        What is drawn, in mm, y up, in work coordinates; holes are islands that stay.
    cutter : Cutter
        A flat end mill.
    settings : PocketSettings, optional
        Stepover, depths, allowances, entry; lengths in mm.
    top_mm, bottom_mm : float
        z of the surface the pocket starts from and of its floor, in work coordinates.

    Raises
    ------
    SettingError
        When the settings contradict each other, the depth or the cutter.
    RefusedError
        When the cutter fits nowhere, or a larger one before it left nothing.

    Examples
    --------
    >>> from outline2path.drawing.outline import Outline
    >>> from outline2path.shop.cutter import Cutter
    >>> plan = pocket(Outline.from_shapely(shapely.box(0, 0, 30, 20)), Cutter(4),
    ...               settings=PocketSettings(depth_per_pass_mm=2), top_mm=0, bottom_mm=-4)
    >>> [(cut.z_mm, cut.spans[0].role) for cut in plan.contours[0].cuts]
    [(-2.0, 'ramp'), (-4.0, 'ramp')]
    """
    settings = settings or PocketSettings()
    deep = top_mm - bottom_mm
    settings.check_against(cutter_mm=cutter.diameter_mm, deep_mm=deep)
    kit = PocketKit(
        cutter=cutter,
        settings=settings,
        budget=Budget(settings.tolerance_mm),
        depths=_depths(settings, top_mm, bottom_mm),
        top_mm=top_mm,
    )
    region = outline.region_within(kit.budget.flatten_mm)
    check_holds_area(region, doing="clear")
    need = cutter.radius_mm + settings.allowance_mm + kit.budget.margin_mm
    area = offset(region, -need, budget=kit.budget)
    if area.is_empty:
        raise _fits_nowhere(region, cutter)
    walls = rings_of(area, side="inside", direction=settings.direction)
    findings = flute_findings(cutter, deep_mm=top_mm - kit.depths[-1], step_mm=kit.fall_mm)
    findings += unreached_edges(region, walls, side="inside", need_mm=2 * need)
    findings += narrow_parts(region, area, need_mm=2 * need)
    inner, uncut = area, None
    if settings.finish_allowance_mm > 0:
        inner = offset(region, -need - settings.finish_allowance_mm, budget=kit.budget)
    if settings.rest_of_mm is not None:
        uncut, near = _rest(outline, settings.rest_of_mm, kit)
        whole = inner is area
        area = _near(area, near, uncut, cutter)
        inner = area if whole else _near(inner, near, uncut, cutter)
    contours, descents = pocket_contours(area, inner, uncut, kit)
    findings += _entry_findings(descents, settings) + _feed_findings(settings)
    if not contours:
        raise nothing_left(settings.rest_of_mm or 0.0, cutter.diameter_mm)
    return Cuts(tuple(contours), tuple(findings))


def _depths(settings: PocketSettings, top_mm: float, bottom_mm: float) -> tuple[float, ...]:
    """Return the depths of all passes, the last one on the floor."""
    kept = settings.floor_allowance_mm
    depths = pass_depths(
        top_mm=top_mm,
        bottom_mm=bottom_mm + kept,
        depth_per_pass_mm=settings.depth_per_pass_mm,
        through_mm=0.0 if kept else settings.through_mm,
    )
    return (*depths, bottom_mm - settings.through_mm) if kept else depths


def _rest(
    outline: Outline, larger_mm: float, kit: PocketKit
) -> tuple[shapely.MultiPolygon, shapely.MultiPolygon]:
    """Return what the larger cutter left, and where a centre must be that cuts it."""
    settings, large = kit.settings, Cutter(larger_mm)
    uncut = rest_region(
        outline,
        large,
        kit.cutter,
        side="pocket",
        allowance_mm=settings.allowance_mm,
        tolerance_mm=settings.tolerance_mm,
        overlap_mm=0.0,
    )
    more = default_overlap_mm(large, kit.cutter, tolerance_mm=settings.tolerance_mm)
    return uncut, offset(uncut, kit.cutter.radius_mm + more, budget=kit.budget)


def _near(
    area: shapely.MultiPolygon,
    near: shapely.MultiPolygon,
    uncut: shapely.MultiPolygon,
    cutter: Cutter,
) -> shapely.MultiPolygon:
    """Keep of an area what lies near enough to cut what is left, and does cut some of it."""
    parts = shapely.get_parts(shapely.get_parts(area.intersection(near)))
    parts = parts[(shapely.get_type_id(parts) == 3) & (shapely.area(parts) > GRID_MM)]
    parts = parts[shapely.dwithin(parts, uncut, cutter.radius_mm)]
    return shapely.orient_polygons(shapely.MultiPolygon(list(parts)))


def _entry_findings(descents: list[Descent], settings: PocketSettings) -> list[Finding]:
    """Tell where the cutter must come down another way than asked, or straight down."""
    poor = [d for d in descents if d.way == "plunge" != settings.entry]
    poor += [d for d in descents if d.way == "ramp" and settings.entry == "helix"]
    if not poor:
        return []
    asked = "a helix or a ramp" if settings.entry == "auto" else f"a {settings.entry}"
    straight = any(d.way == "plunge" for d in poor)
    x, y = poor[0].start.tolist()
    return [
        Finding(
            code="entry-replaced",
            severity="warning" if straight else "info",
            message=f"{len(poor)} of {len(descents)} pieces of the pocket "
            f"{'has' if len(poor) == 1 else 'have'} no room for {asked}: "
            f"a {poor[0].way} instead",
            at_mm=(x, y),
            value=len(poor),
            remedy="use a cutter that may plunge, or take less depth per pass"
            if straight
            else None,
        )
    ]


def _feed_findings(settings: PocketSettings) -> list[Finding]:
    """Tell of feeds that differ from the cutting feed."""
    found = []
    share = thin_chip_share(settings.stepover)
    if settings.raise_thin_chips and share > 1:
        found.append(
            Finding(
                code="feed-raised",
                severity="info",
                message=f"the feed is {share:.2f} of the cutting feed where the stepover of "
                f"{settings.stepover:g} thins the chip",
                value=share,
            )
        )
    if settings.slow_inside_arcs:
        found.append(
            Finding(
                code="feed-lowered",
                severity="info",
                message="the feed is lowered on inside arcs and in corners, down to "
                f"{LEAST_SHARE:g} of the cutting feed",
                value=LEAST_SHARE,
            )
        )
    return found


def _fits_nowhere(region: shapely.MultiPolygon, cutter: Cutter) -> RefusedError:
    widest, place = widest_mm(region)
    return RefusedError(
        f"a cutter of {cutter.diameter_mm:g} mm fits nowhere in the pocket",
        at_mm=place,
        value=cutter.diameter_mm,
        limit=widest,
        remedy=f"use a cutter below {widest:.2f} mm, or scale the drawing up by "
        f"{1.01 * cutter.diameter_mm / widest:.2f}",
    )
