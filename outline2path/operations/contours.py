"""Contours: rings turned into ordered cuts, with leads, tabs, entries and passes.

In: the finishing rings and, where there is a finish allowance, the roughing rings; the areas they
bound; cutter, settings and depths. Out: one Contour for each finishing ring, numbered in a lawful
order, and findings on leads, tabs and entries that were not to be had as asked. Lengths in mm.

A roughing ring belongs to the contour of the finishing ring beside it, or of the one cut first
where it runs beside several; the others then wait for that contour.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from outline2path.findings import Finding
from outline2path.operations.cut import Contour, Cut, Span, Tab, Way
from outline2path.operations.entries import MOST_TURNS, Raised, helix_spans, ramp_turns, walk
from outline2path.operations.feed_shares import Pace, pace_of
from outline2path.operations.lawful import lawful_order
from outline2path.operations.leads import Lead
from outline2path.operations.linking import loose_groups
from outline2path.operations.pieces import STOCK, Pieces, pieces_of
from outline2path.operations.raising import raised_over, tab_line
from outline2path.operations.rings import Ring
from outline2path.operations.shortfalls import (
    entry_findings,
    lead_findings,
    loose_findings,
    tab_findings,
)
from outline2path.operations.starts import barred_area, leads_of, starts_of
from outline2path.operations.tabs import TabPlan, place_tabs, tabs_wanted
from outline2path.shop.holding import LARGE_PIECE_MM2

if TYPE_CHECKING:
    from outline2path.operations.loops import Loop
    from outline2path.operations.profile_settings import ProfileSettings
    from outline2path.shop.cutter import Cutter
    from outline2path.tolerance import Budget

__all__ = ["Kit", "contours_of"]

_BESIDE = 1.5
"""A roughing ring runs beside a finishing ring within this many finish allowances."""


@dataclass(frozen=True, kw_only=True)
class Kit:
    """What every contour of one profile shares; z in work coordinates, mm.

    `edge` is the drawn edge, prepared by the caller, to find the walls that tabs stand on; without
    it a wall is taken to lie square to the path.
    """

    cutter: Cutter
    settings: ProfileSettings
    budget: Budget
    depths: tuple[float, ...]
    top_mm: float
    bottom_mm: float
    edge: BaseGeometry | None = None

    @property
    def tab_top_mm(self) -> float:
        """Height of the tabs' top in work coordinates."""
        return self.bottom_mm + self.settings.tab_height_mm

    def pace(self, loop: Loop) -> Pace | None:
        """Return where the feed is lowered along a ring; None where it is not to be."""
        if not self.settings.slow_inside_arcs:
            return None
        radius, direction = self.cutter.radius_mm, self.settings.direction
        return pace_of(loop, cutter_radius_mm=radius, direction=direction)

    @property
    def beside_mm(self) -> float:
        """How far a roughing ring may be from the finishing ring beside it."""
        return _BESIDE * self.settings.finish_allowance_mm + self.budget.tolerance_mm

    @property
    def offset_mm(self) -> float:
        """Distance from the drawn edge, grown by the allowance, to the ring."""
        return self.cutter.radius_mm + self.budget.margin_mm


def contours_of(
    rings: list[Ring],
    rough: list[Ring],
    *,
    areas: tuple[BaseGeometry, BaseGeometry | None],
    kit: Kit,
) -> tuple[list[Contour], list[Finding]]:
    """Turn rings into contours.

    Parameters
    ----------
    rings, rough : list of Ring
        Finishing and roughing rings (none where nothing is left for finishing).
    areas : tuple of geometry
        The areas whose edges they are.
    kit : Kit
        Cutter, settings, depths.

    Returns
    -------
    contours : list of Contour
        In a lawful order.
    findings : list of Finding
        Leads, tabs and entries not to be had as asked.

    Examples
    --------
    >>> from outline2path.operations.profile_settings import ProfileSettings
    >>> from outline2path.operations.rings import rings_of
    >>> from outline2path.shop.cutter import Cutter
    >>> from outline2path.tolerance import Budget
    >>> area = shapely.MultiPolygon([shapely.box(0, 0, 40, 30)])
    >>> kit = Kit(cutter=Cutter(3), settings=ProfileSettings(), budget=Budget(), depths=(-2.0,),
    ...           top_mm=0.0, bottom_mm=-2.0)
    >>> rings = rings_of(area, side="outside", direction="climb")
    >>> (contour,), findings = contours_of(rings, [], areas=(area, None), kit=kit)
    >>> [span.role for span in contour.cuts[0].spans], findings
    (['plunge', 'lead-in', 'cut', 'lead-out'], [])
    """
    pieces = Pieces(within=(STOCK,), sweeps=(0,))  # one ring needs no order
    if len(rings) > 1 or kit.settings.tabs:
        more = kit.settings.finish_allowance_mm
        pieces = pieces_of(rings, cutter_mm=kit.cutter.diameter_mm, rough=rough, more_mm=more)
    order, after = lawful_order(rings, pieces)
    rings, pieces = [rings[k] for k in order], pieces.ordered(order)
    barred = barred_area(areas[0], kit)
    leads = leads_of(rings, barred, kit)
    rough_leads = leads_of(rough, barred_area(areas[1], kit), kit)
    every = zip([*rings, *rough], [*leads, *rough_leads], strict=True)
    plans = _tab_plans(rings, [lead.trace(ring.loop) for ring, lead in every], pieces, kit)
    belonging = _belonging(rough, rings, kit, after)
    raised, raised_rough = _all_raised(rings, rough, plans, kit)
    plain = [not some for some in belonging]
    middles = [plan.middles_mm for plan in plans]
    starts = starts_of(rings, leads, middles, barred=barred, plain=plain, kit=kit)
    contours = []
    for n, (ring, lead, plan) in enumerate(zip(rings, leads, plans, strict=True)):
        cuts = [
            c for k in belonging[n] for c in _cuts(rough[k], rough_leads[k], raised_rough[k], kit)
        ]
        cuts += _cuts(ring, lead, raised[n], kit)
        tabs = _tabs(ring, plan, kit)
        others = tuple(_way(ring, other, raised[n], kit) for other in starts[n])
        contours.append(
            Contour(
                number=n, cuts=tuple(cuts), after=frozenset(after[n]), tabs=tabs, others=others
            )
        )
    told = kit.settings
    findings = lead_findings(rings, leads, settings=told)
    findings += entry_findings(
        rings, leads, [_entry(r, k, kit) for r, k in zip(rings, leads, strict=True)], settings=told
    )
    findings += tab_findings(rings, plans, settings=told, cutter_mm=kit.cutter.diameter_mm)
    if told.tabs:
        spots = [r.loop.at(np.array(p.middles_mm)) for r, p in zip(rings, plans, strict=True)]
        loose = loose_groups(pieces, np.concatenate(spots), large_mm2=LARGE_PIECE_MM2)
        findings += loose_findings(pieces, loose, told=findings, large_mm2=LARGE_PIECE_MM2)
    return contours, findings


def _belonging(
    rough: list[Ring], rings: list[Ring], kit: Kit, after: list[set[int]]
) -> list[list[int]]:
    """Give each roughing ring to the first finishing ring beside it; the rest wait for that."""
    mine: list[list[int]] = [[] for _ in rings]
    tree = shapely.STRtree([shapely.LineString(ring.loop.points) for ring in rings])
    for k, ring in enumerate(rough):
        line = shapely.LineString(ring.loop.points)
        beside = np.sort(tree.query(line, predicate="dwithin", distance=kit.beside_mm)).tolist()
        owner = beside[0] if beside else int(tree.nearest(line))
        mine[owner].append(k)
        for other in beside[1:]:
            after[other].add(owner)
    return mine


def _way(ring: Ring, lead: Lead, raised: Raised, kit: Kit) -> Way:
    """Offer to begin a ring at another lead; its cuts are made only where that is chosen."""
    begin = lead.into[0]
    if _entry(ring, lead, kit) == "ramp":
        fall = kit.top_mm - kit.depths[0]
        turns = ramp_turns(ring.loop, fall_mm=fall, angle_deg=kit.settings.ramp_angle_deg)
        begin = ring.loop.at(lead.start_mm - turns * ring.loop.length_mm)
    end = lead.out[-1]
    return Way(
        begin_mm=(float(begin[0]), float(begin[1])),
        end_mm=(float(end[0]), float(end[1])),
        make=lambda: tuple(_cuts(ring, lead, raised, kit)),
    )


def _tab_plans(
    rings: list[Ring],
    leads: list[BaseGeometry],
    pieces: Pieces,
    kit: Kit,
) -> list[TabPlan]:
    """Place the tabs of the finishing rings, clear of every ring's lead."""
    diameter = kit.cutter.diameter_mm
    return place_tabs(
        rings,
        tabs_wanted(rings, count=kit.settings.tabs, cutter_mm=diameter),
        length_mm=kit.settings.tab_length_mm,
        cutter_mm=diameter,
        leads=leads,
        pieces=pieces,
        number=min(kit.settings.tabs, 2),
        room_mm=kit.settings.finish_allowance_mm,
    )


def _all_raised(
    rings: list[Ring], rough: list[Ring], plans: list[TabPlan], kit: Kit
) -> tuple[list[Raised], list[Raised]]:
    """Raise each finishing ring over its own tabs, each roughing ring over all it would cut."""
    long = kit.settings.tab_length_mm
    own = [
        [(middle, tab_line(ring.loop, middle, long)) for middle in plan.middles_mm]
        for ring, plan in zip(rings, plans, strict=True)
    ]
    tabs = [line for some in own for _, line in some]
    middles = shapely.line_interpolate_point(tabs, 0.5, normalized=True)
    tree = shapely.STRtree(tabs)
    beside = []
    for ring in rough:
        path = shapely.LineString(ring.loop.points)
        near = np.sort(
            tree.query(path, predicate="dwithin", distance=kit.cutter.radius_mm)
        ).tolist()
        along = ring.loop.nearest(shapely.get_coordinates(middles[near])).tolist() if near else []
        beside.append(list(zip(along, (tabs[k] for k in near), strict=True)))
    return (
        [_raised(ring, some, kit) for ring, some in zip(rings, own, strict=True)],
        [_raised(ring, some, kit) for ring, some in zip(rough, beside, strict=True)],
    )


def _raised(ring: Ring, tabs: list[tuple[float, shapely.LineString]], kit: Kit) -> Raised:
    """Raise a ring over tabs, given by the place of each along it and its middle line."""
    stretches = sorted(
        raised_over(
            ring.loop,
            middle,
            line,
            cutter_mm=kit.cutter.diameter_mm,
            tolerance_mm=kit.budget.tolerance_mm,
        )
        for middle, line in tabs
    )
    return Raised(tuple(stretches), kit.tab_top_mm)


def _cuts(ring: Ring, lead: Lead, raised: Raised, kit: Kit) -> list[Cut]:
    cuts, above = [], kit.top_mm
    pace = kit.pace(ring.loop)
    for z in kit.depths:
        spans = _spans(ring, lead, raised, kit, from_z=above, to_z=z, pace=pace)
        cuts.append(Cut(operation="profile", cutter=kit.cutter, z_mm=z, spans=tuple(spans)))
        above = z
    return cuts


def _spans(
    ring: Ring,
    lead: Lead,
    raised: Raised,
    kit: Kit,
    *,
    from_z: float,
    to_z: float,
    pace: Pace | None,
) -> list[Span]:
    """One cut: down, lead-in, once round and a little over, lead-out."""
    loop, start = ring.loop, lead.start_mm
    spans: list[Span] = []
    way = _entry(ring, lead, kit)
    if way == "ramp":
        turns = ramp_turns(loop, fall_mm=from_z - to_z, angle_deg=kit.settings.ramp_angle_deg)
        before = start - turns * loop.length_mm
        spans += walk(loop, before, start, from_z=from_z, to_z=to_z, raised=raised, fresh=True)
    else:
        if way == "helix" and lead.helix is not None:
            angle = kit.settings.ramp_angle_deg
            spans += helix_spans(lead.helix, from_z=from_z, to_z=to_z, angle_deg=angle)
        else:
            x, y = lead.into[0]
            spans.append(Span("plunge", np.array([[x, y, from_z], [x, y, to_z]])))
        if len(lead.into) > 1:
            spans.append(Span("lead-in", _level(lead.into, to_z)))
    end = start + loop.length_mm + lead.overlap_mm
    spans += walk(loop, start, end, from_z=to_z, to_z=to_z, raised=raised, pace=pace)
    if len(lead.out) > 1:
        spans.append(Span("lead-out", _level(lead.out, to_z)))
    return spans


def _entry(ring: Ring, lead: Lead, kit: Kit) -> str:
    """Return the entry there is room for: helix, else ramp, else plunge."""
    if kit.settings.entry == "plunge" or (
        kit.settings.entry == "helix" and lead.helix is not None
    ):
        return kit.settings.entry
    fall = (kit.top_mm - kit.depths[-1]) / len(kit.depths)
    turns = ramp_turns(ring.loop, fall_mm=fall, angle_deg=kit.settings.ramp_angle_deg)
    return "ramp" if turns <= MOST_TURNS else "plunge"


def _level(points: NDArray[np.float64], z: float) -> NDArray[np.float64]:
    return np.column_stack((points, np.full(len(points), z)))


def _tabs(ring: Ring, plan: TabPlan, kit: Kit) -> tuple[Tab, ...]:
    middles = np.array(plan.middles_mm)
    places = ring.loop.at(middles)
    towards = -ring.waste_normal(middles)
    if kit.edge is not None and len(middles):
        lines = shapely.shortest_line(shapely.points(places), kit.edge)
        towards = np.diff(shapely.get_coordinates(lines).reshape(-1, 2, 2), axis=1)[:, 0]
        towards /= np.hypot(*towards.T)[:, None]
    on_wall = places + kit.offset_mm * towards
    return tuple(
        Tab(
            at_mm=(x, y),
            length_mm=kit.settings.tab_length_mm,
            height_mm=kit.settings.tab_height_mm,
        )
        for x, y in on_wall.tolist()
    )
