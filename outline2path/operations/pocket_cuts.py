"""Pocket cuts: each connected piece of a pocket as ordered cuts.

In: where the cutter's centre may be for the walls and for clearing, what is still uncut there
(None: everything), cutter, settings and depths. Out: one Contour for each connected piece, and
the ways down that were chosen. Lengths in mm.

A piece is cleared at every depth, then its walls are finished at every depth. Between depths the
cutter goes back to its way down over cleared ground, and down from there; it lifts only where two
pieces are not connected.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.operations.clearing import Leg, Walk, hop, walks_of
from outline2path.operations.cut import Contour, Cut, Span
from outline2path.operations.descent import Descent, descent_for
from outline2path.operations.feed_shares import eased, thin_chip_share
from outline2path.operations.leads import find_lead
from outline2path.operations.levels import levels_of
from outline2path.operations.rings import Ring, rings_of
from outline2path.operations.specks import with_detours
from outline2path.operations.walls import finish_walls
from outline2path.tolerance import GRID_MM, LARGEST_TOLERANCE_MM, SMALLEST_TOLERANCE_MM, Budget

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from outline2path.operations.leads import Lead
    from outline2path.operations.loops import Loop
    from outline2path.operations.pocket_settings import PocketSettings
    from outline2path.shop.cutter import Cutter

__all__ = ["PocketKit", "pocket_contours"]


@dataclass(frozen=True, eq=False, kw_only=True)
class PocketKit:
    """What all pieces of one pocket share; z in work coordinates, mm."""

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


def pocket_contours(
    area: shapely.MultiPolygon,
    inner: shapely.MultiPolygon,
    uncut: shapely.MultiPolygon | None,
    kit: PocketKit,
) -> tuple[list[Contour], list[Descent]]:
    """Clear each connected piece, then finish its walls.

    Parameters
    ----------
    area, inner : MultiPolygon
        Where the cutter's centre may be for the walls, and for clearing; the same object where
        there is no finishing pass.
    uncut : MultiPolygon or None
        What is left to cut; None where all of it is.
    kit : PocketKit
        Cutter, settings, depths.

    Returns
    -------
    contours : list of Contour
        One for each connected piece of `area`.
    descents : list of Descent
        One for each piece that is cleared.

    Examples
    --------
    >>> from outline2path.operations.pocket_settings import PocketSettings
    >>> from outline2path.shop.cutter import Cutter
    >>> area = shapely.MultiPolygon([shapely.box(0, 0, 20, 9)])
    >>> kit = PocketKit(cutter=Cutter(3), settings=PocketSettings(), budget=Budget(),
    ...                 depths=(-1.0,), top_mm=0.0)
    >>> (contour,), (down,) = pocket_contours(area, area, None, kit)
    >>> down.way, [span.role for span in contour.cuts[0].spans][:4]
    ('helix', ['ramp', 'cut', 'cut', 'cut'])
    """
    walks = _walks(inner, kit, touch=_Touch(kit) if inner is area else None)
    parts = list(area.geoms)
    spots = shapely.points(np.reshape([walk.start for walk in walks], (-1, 2)))
    mine: list[list[Walk]] = [[] for _ in parts]
    for walk, spot in zip(walks, spots, strict=True):
        mine[int(np.argmin(shapely.distance(np.array(parts, dtype=object), spot)))].append(walk)
    contours, descents = [], []
    for number, (part, own) in enumerate(zip(parts, mine, strict=True)):
        cuts: list[Cut] = []
        for walk in own:
            down = _descent(walk, uncut, kit)
            descents.append(down)
            cuts += _clear(walk, down, kit)
        if inner is not area:
            cuts = _with_walls(cuts, part, own, kit)
        contours.append(Contour(number=number, cuts=tuple(cuts)))
    return contours, descents


class _Touch:
    """Finds leads to rings that leave a wall finished, no longer than the step they cut."""

    def __init__(self, kit: PocketKit) -> None:
        self.kit = kit
        self.forbidden: dict[int, BaseGeometry] = {}

    def __call__(self, area: shapely.Polygon, loop: Loop) -> Lead:
        wide = self.kit.cutter.diameter_mm
        if id(area) not in self.forbidden:
            x0, y0, x1, y1 = area.bounds
            frame = shapely.box(x0 - wide, y0 - wide, x1 + wide, y1 + wide)
            shapely.prepare(outside := frame.difference(area))
            self.forbidden[id(area)] = outside
        return find_lead(
            Ring(loop, keeps_inside=False, waste_left=self.kit.settings.direction == "climb"),
            kind="arc",
            size_mm=min(self.kit.step_mm, self.kit.cutter.radius_mm),
            cutter_mm=wide,
            chords_mm=self.kit.budget.arcs_mm / 2,
            forbidden=self.forbidden[id(area)],
        )


def _walks(inner: shapely.MultiPolygon, kit: PocketKit, *, touch: _Touch | None) -> list[Walk]:
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
    return walks_of(levels, rings, step_mm=step, touch=touch)


def _rings(area: shapely.Polygon, kit: PocketKit) -> list[Loop]:
    whole = shapely.MultiPolygon([area])
    return [r.loop for r in rings_of(whole, side="inside", direction=kit.settings.direction)]


def _descent(walk: Walk, uncut: shapely.MultiPolygon | None, kit: PocketKit) -> Descent:
    return descent_for(
        walk,
        settings=kit.settings,
        cutter_mm=kit.cutter.diameter_mm,
        fall_mm=kit.fall_mm,
        chords_mm=kit.budget.arcs_mm / 2,
        uncut=uncut,
    )


def _clear(walk: Walk, down: Descent, kit: PocketKit) -> list[Cut]:
    """Clear one piece at every depth, without lifting in between."""
    cuts, above = [], kit.top_mm
    for n, z in enumerate(kit.depths):
        spans = down.spans(from_z=above, to_z=z)
        for leg in walk.legs:
            spans += _leg_spans(leg, z, kit)
        if n + 1 < len(kit.depths):
            spans += _back(walk, down.start, z, kit)
        cuts.append(Cut(operation="pocket", cutter=kit.cutter, z_mm=z, spans=tuple(spans)))
        above = z
    return cuts


def _leg_spans(leg: Leg, z: float, kit: PocketKit) -> list[Span]:
    """Return one leg at a depth, faster or slower than the cutting feed where asked."""
    settings = kit.settings
    share = 1.0
    if settings.raise_thin_chips and leg.beside:
        share = thin_chip_share(settings.stepover)
    if settings.slow_inside_arcs and leg.beside:
        return _slowed(leg.points, z, kit=kit, share=share)
    return [Span.level(leg.role, leg.points, z, feed_factor=share)]


def _slowed(
    ring: NDArray[np.float64], z: float, *, kit: PocketKit, share: float = 1.0
) -> list[Span]:
    """Return a ring at a depth, slower on its inside arcs."""
    return eased(
        ring,
        z,
        share=share,
        cutter_radius_mm=kit.cutter.radius_mm,
        direction=kit.settings.direction,
    )


def _back(walk: Walk, to: NDArray[np.float64], z: float, kit: PocketKit) -> list[Span]:
    """Go back level to a place over the ground the walk has cleared."""
    off = kit.cutter.radius_mm / 4
    legs = hop(walk.area, walk.end, to, cleared=[walk.area], off_mm=off)
    return [Span.level("link", leg.points, z) for leg in legs]


def _with_walls(
    cuts: list[Cut], part: shapely.Polygon, own: list[Walk], kit: PocketKit
) -> list[Cut]:
    """Finish the walls of one piece, coming from the last ring without lifting where it can."""
    walls = finish_walls(
        part,
        [walk.area for walk in own],
        at=own[-1].end if own else None,
        depths=kit.depths,
        top_mm=kit.top_mm,
        cutter=kit.cutter,
        direction=kit.settings.direction,
        budget=kit.budget,
        pace=partial(_slowed, kit=kit) if kit.settings.slow_inside_arcs else None,
    )
    begin = walls[0].spans[0].points[0, :2]
    if cuts and own[-1].area.covers(shapely.Point(begin)):
        last = cuts[-1]
        cuts[-1] = replace(last, spans=(*last.spans, *_back(own[-1], begin, last.z_mm, kit)))
    return cuts + walls
