"""Pocket: everything inside a drawn region cleared to a floor, islands left standing.

In: an Outline (its regions are the openings, holes in them islands), a Cutter, the settings, z of
the surface and of the floor in work coordinates, mm. Out: Cuts; arcs are fitted later by `path`.

Distance of the last ring from the drawn edge: cutter radius + allowance + `Budget.margin_mm`, as
in a profile. Rings a stepover apart run inside it, cut from the inside out and linked level; what
lies farther than the cutter's radius from every ring (sharp corners, ridges, at stepovers above
half the cutter) is cut by detours. With a finish allowance the rings stop that much short, and the
walls are cut last, at all depths; with a floor allowance the floor is cut once more before them.

Refused: settings that contradict each other or the cutter (SettingError), and a pocket in which
the cutter fits nowhere (RefusedError). What it cannot reach is a finding.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from outline2path.errors import RefusedError
from outline2path.operations.clearing import Walk, hop, walks_of
from outline2path.operations.cut import Contour, Cut, Cuts
from outline2path.operations.descent import Descent, descent_for
from outline2path.operations.levels import levels_of
from outline2path.operations.offset import offset
from outline2path.operations.passes import pass_depths
from outline2path.operations.pocket_settings import PocketSettings
from outline2path.operations.rings import rings_of
from outline2path.operations.shortfalls import flute_findings
from outline2path.operations.specks import with_detours
from outline2path.operations.unreached import unreached_edges, widest_mm
from outline2path.operations.walls import finish_walls, level
from outline2path.tolerance import GRID_MM, LARGEST_TOLERANCE_MM, SMALLEST_TOLERANCE_MM, Budget

if TYPE_CHECKING:
    from outline2path.drawing.outline import Outline
    from outline2path.operations.loops import Loop
    from outline2path.shop.cutter import Cutter

__all__ = ["PocketSettings", "pocket"]


@dataclass(frozen=True, eq=False, kw_only=True)
class _Kit:
    """What all pieces of one pocket share."""

    cutter: Cutter
    settings: PocketSettings
    budget: Budget
    depths: tuple[float, ...]
    top_mm: float

    @property
    def loose(self) -> Budget:
        """Budget of rings that touch no wall: coarser, so that they cost less."""
        asked = self.settings.stepover * self.cutter.diameter_mm
        finest = min(self.cutter.radius_mm / 20, asked / 4)
        tolerance = self.budget.tolerance_mm
        return Budget(min(2 * tolerance, max(finest, SMALLEST_TOLERANCE_MM), LARGEST_TOLERANCE_MM))

    @property
    def wrong_mm(self) -> float:
        """How far a ring may lie from where it should."""
        return self.loose.simplify_mm + self.loose.chords_mm + 4 * GRID_MM

    @property
    def cover_mm(self) -> float:
        """How far from a ring everything is surely cut, with a reserve for fitted arcs."""
        return self.cutter.radius_mm - 4 * self.wrong_mm

    @property
    def step_mm(self) -> float:
        """Distance between rings; at a whole cutter's width they overlap by a hair."""
        return min(self.settings.stepover * self.cutter.diameter_mm, 2 * self.cover_mm)

    @property
    def fall_mm(self) -> float:
        """Greatest depth of one pass."""
        steps = np.diff((self.top_mm, *self.depths))
        return float(np.max(np.abs(steps)))


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
        When the cutter fits nowhere.

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
    kit = _Kit(
        cutter=cutter,
        settings=settings,
        budget=Budget(settings.tolerance_mm),
        depths=_depths(settings, top_mm, bottom_mm),
        top_mm=top_mm,
    )
    region = outline.region_within(kit.budget.flatten_mm)
    need = cutter.radius_mm + settings.allowance_mm + kit.budget.margin_mm
    area = offset(region, -need, budget=kit.budget)
    if area.is_empty:
        raise _fits_nowhere(region, cutter)
    walls = rings_of(area, side="inside", direction=settings.direction)
    inner = area
    if settings.finish_allowance_mm > 0:
        inner = offset(region, -need - settings.finish_allowance_mm, budget=kit.budget)
    contours = _contours(area, inner, kit)
    findings = flute_findings(
        cutter, deep_mm=top_mm - kit.depths[-1], step_mm=kit.fall_mm
    ) + unreached_edges(region, walls, side="inside", need_mm=2 * need)
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


def _contours(area: shapely.MultiPolygon, inner: shapely.MultiPolygon, kit: _Kit) -> list[Contour]:
    """Clear each connected piece, then finish its walls."""
    walks = _walks(inner, kit)
    parts = list(area.geoms)
    spots = shapely.points([walk.start for walk in walks]) if walks else np.array([])
    mine: list[list[Walk]] = [[] for _ in parts]
    for walk, spot in zip(walks, spots, strict=True):
        mine[int(np.argmin(shapely.distance(np.array(parts, dtype=object), spot)))].append(walk)
    contours = []
    for number, (part, own) in enumerate(zip(parts, mine, strict=True)):
        cuts = [cut for walk in own for cut in _clear(walk, kit)]
        if inner is not area:
            cuts += _finish(part, own, kit)
        contours.append(Contour(number=number, cuts=tuple(cuts)))
    return contours


def _walks(inner: shapely.MultiPolygon, kit: _Kit) -> list[Walk]:
    """Plan how each connected piece is cleared at one depth."""
    step, cover, budget = kit.step_mm, kit.cover_mm, kit.loose
    levels = levels_of(inner, step_mm=step, cover_mm=cover, budget=budget)
    rings = with_detours(
        levels,
        [_rings(level.area, kit) for level in levels],
        step_mm=step,
        cover_mm=cover,
        fine_mm=kit.wrong_mm,
        budget=budget,
    )
    return walks_of(levels, rings, step_mm=step)


def _rings(area: shapely.Polygon, kit: _Kit) -> list[Loop]:
    whole = shapely.MultiPolygon([area])
    return [r.loop for r in rings_of(whole, side="inside", direction=kit.settings.direction)]


def _clear(walk: Walk, kit: _Kit) -> list[Cut]:
    """Clear one piece at every depth, without lifting in between."""
    down = _descent(walk, kit)
    cuts, above = [], kit.top_mm
    for n, z in enumerate(kit.depths):
        spans = down.spans(from_z=above, to_z=z)
        spans += [level(leg.role, leg.points, z) for leg in walk.legs]
        if n + 1 < len(kit.depths):
            back = hop(walk.area, walk.end, down.start, cleared=[walk.area])
            spans += [level("link", leg.points, z) for leg in back]
        cuts.append(Cut(operation="pocket", cutter=kit.cutter, z_mm=z, spans=tuple(spans)))
        above = z
    return cuts


def _finish(part: shapely.Polygon, own: list[Walk], kit: _Kit) -> list[Cut]:
    """Cut the walls of one piece at every depth."""
    return finish_walls(
        part,
        [walk.area for walk in own],
        at=own[-1].end if own else None,
        depths=kit.depths,
        top_mm=kit.top_mm,
        cutter=kit.cutter,
        direction=kit.settings.direction,
        budget=kit.budget,
    )


def _descent(walk: Walk, kit: _Kit) -> Descent:
    return descent_for(
        walk,
        settings=kit.settings,
        cutter_mm=kit.cutter.diameter_mm,
        fall_mm=kit.fall_mm,
        chords_mm=kit.budget.arcs_mm / 2,
    )


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
