"""Starts: where each ring of a profile begins, and where it could begin as well.

In: rings, the area whose edges they are, the settings, and later the tabs. Out: a lead for each
ring, and for each a few others at places far from one another and clear of all tabs, for `path` to
choose from by short rapids. Lengths in mm.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from outline2path.operations.leads import Lead, find_lead, leads_elsewhere
from outline2path.operations.raising import tab_line

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely.geometry.base import BaseGeometry

    from outline2path.operations.contours import Kit
    from outline2path.operations.rings import Ring

__all__ = ["MOST_STARTS", "barred_area", "leads_of", "spread_leads", "starts_of"]

MOST_STARTS = 8
"""Places to begin at that are offered for a ring, its own included."""


def barred_area(area: BaseGeometry | None, kit: Kit) -> BaseGeometry | None:
    """Return where no lead may go: the part grown by the cutter, prepared; None bars all leads."""
    settings = kit.settings
    barred: BaseGeometry | None = area
    if settings.side == "inside" and area is not None and not area.is_empty:
        low_x, low_y, high_x, high_y = area.bounds
        room = 10 * kit.cutter.diameter_mm + (settings.lead_mm or 0.0)
        frame = shapely.box(low_x - room, low_y - room, high_x + room, high_y + room)
        barred = shapely.difference(frame, area)
    if settings.side == "on":
        barred = None
    if barred is not None:
        shapely.prepare(barred)
    return barred


def leads_of(rings: Sequence[Ring], barred: BaseGeometry | None, kit: Kit) -> list[Lead]:
    """Choose where each ring begins."""
    settings = kit.settings
    return [
        find_lead(
            ring,
            kind=settings.lead,
            size_mm=settings.lead_mm or kit.cutter.radius_mm,
            cutter_mm=kit.cutter.diameter_mm,
            chords_mm=kit.budget.arcs_mm / 2,
            forbidden=barred,
            with_helix=settings.entry == "helix",
            towards=settings.towards,
        )
        for ring in rings
    ]


def starts_of(
    rings: Sequence[Ring],
    leads: Sequence[Lead],
    middles: Sequence[Sequence[float]],
    *,
    barred: BaseGeometry | None,
    plain: Sequence[bool],
    kit: Kit,
) -> list[list[Lead]]:
    """Find where else rings could begin as well, by the leads they have and the tabs' middles.

    Only `plain` rings, which no roughing goes before, may begin elsewhere. A single ring gains
    nothing by it.
    """
    settings, cutter_mm = kit.settings, kit.cutter.diameter_mm
    if len(rings) < 2 or settings.entry == "helix":
        return [[] for _ in rings]
    elsewhere = [
        leads_elsewhere(
            ring,
            lead,
            cutter_mm=cutter_mm,
            chords_mm=kit.budget.arcs_mm / 2,
            forbidden=barred,
            towards=settings.towards,
        )
        if free
        else []
        for ring, lead, free in zip(rings, leads, plain, strict=True)
    ]
    tabs = [
        tab_line(ring.loop, middle, settings.tab_length_mm)
        for ring, some in zip(rings, middles, strict=True)
        for middle in some
    ]
    clear = cutter_mm + settings.finish_allowance_mm
    return spread_leads(rings, leads, elsewhere, tabs=tabs, clear_mm=clear)


def spread_leads(
    rings: Sequence[Ring],
    leads: Sequence[Lead],
    elsewhere: Sequence[Sequence[Lead]],
    *,
    tabs: Sequence[shapely.LineString],
    clear_mm: float,
) -> list[list[Lead]]:
    """Choose a few other leads for each ring.

    Parameters
    ----------
    rings, leads : sequence of Ring, of Lead
        Rings and the leads chosen for them.
    elsewhere : sequence of sequences of Lead
        Leads at other places of each ring.
    tabs : sequence of LineString
        Middle lines of all tabs.
    clear_mm : float
        How far a lead stays from a tab's middle line.

    Returns
    -------
    list of list of Lead
        At most `MOST_STARTS` - 1 for each ring, the farthest from the others first.

    Examples
    --------
    >>> from outline2path.operations.leads import find_lead, leads_elsewhere
    >>> from outline2path.operations.rings import rings_of
    >>> area = shapely.MultiPolygon([shapely.box(0, 0, 40, 40)])
    >>> (ring,) = rings_of(area, side="outside", direction="climb")
    >>> size = {"cutter_mm": 4.0, "chords_mm": 0.001, "forbidden": area}
    >>> lead = find_lead(ring, kind="arc", size_mm=2.0, **size)
    >>> others = leads_elsewhere(ring, lead, **size)
    >>> tab = shapely.LineString([(17, 0), (23, 0)])
    >>> (found,) = spread_leads([ring], [lead], [others], tabs=[tab], clear_mm=4.0)
    >>> len(found), all(one.trace(ring.loop).distance(tab) > 4 for one in found)
    (7, True)
    """
    counts = [len(some) for some in elsewhere]
    if not sum(counts):
        return [[] for _ in rings]
    traces = [one.trace(ring.loop) for ring, some in zip(rings, elsewhere, strict=True)
              for one in some]  # fmt: skip
    free = np.ones(len(traces), bool)
    free[shapely.STRtree(list(tabs)).query(traces, predicate="dwithin", distance=clear_mm)[0]] = (
        False
    )
    found, first = [], 0
    for ring, lead, some in zip(rings, leads, elsewhere, strict=True):
        kept = [one for one, ok in zip(some, free[first : first + len(some)], strict=True) if ok]
        found.append(_spread(lead, kept, ring.loop.length_mm))
        first += len(some)
    return found


def _spread(lead: Lead, others: list[Lead], round_mm: float) -> list[Lead]:
    """Take the place farthest from all taken before, again and again."""
    along = np.array([one.start_mm for one in others])
    room = _between(along, lead.start_mm, round_mm)
    taken: list[Lead] = []
    while len(taken) < MOST_STARTS - 1 and room.max(initial=0.0) > round_mm / MOST_STARTS**2:
        k = int(room.argmax())
        taken.append(others[k])
        room = np.minimum(room, _between(along, others[k].start_mm, round_mm))
    return taken


def _between(
    along: np.ndarray[tuple[int], np.dtype[np.float64]], start_mm: float, round_mm: float
) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Distance along the ring from a place to others, the shorter way round."""
    gap = np.abs(along - start_mm) % round_mm
    return np.minimum(gap, round_mm - gap)
