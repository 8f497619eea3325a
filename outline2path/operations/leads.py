"""Leads: where a ring is begun and left, and how.

In: a ring, the area the cutter's centre may not enter, the kind and size of lead wanted. Out:
the place along the ring, the lead-in ending there and the lead-out beginning a small overlap
later, as plane polylines in mm; and, where asked, a circle in the waste for a helical entry.

arc   a quarter turn tangent to the ring, from the waste side.
line  straight at 45 degrees to the ring, from the waste side.
none  the ring itself.

The whole lead stays out of the forbidden area, which is the drawn part grown by the cutter's
radius, the allowance and the tolerance's margin: so a lead keeps the same distance from every
part as the ring does. Where there is no room the lead is made half and a quarter as large, then
an arc becomes a line, then none. The place is straight or convex and far from corners; where
a side of the part is asked for, it lies on that side.

The chords of arcs have their ends on the circle.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from outline2path.tolerance import GOUGE_LIMIT_MM

if TYPE_CHECKING:
    from outline2path.operations.loops import Loop
    from outline2path.operations.rings import Ring

__all__ = ["Lead", "LeadKind", "chord_angles", "find_lead", "leads_elsewhere"]

Floats = NDArray[np.float64]
LeadKind = Literal["arc", "line", "none"]
_PLACES = 96
"""Most places along a ring that are tried."""
_AS_GOOD = 0.2
"""Radians by which another place may turn more than the one chosen."""
_ELSEWHERE = 20.0
"""Radians: a place that is not on the side asked for is worse than any corner."""
_SIDE = 0.1
"""Share of the ring's extent that counts as its side."""
_FEW = 8
"""Places tried first, all at once: one of them nearly always has room."""
_SHRUNK = (1.0, 0.5, 0.25)
_HELIX = (0.9, 0.8, 0.7, 0.6, 0.5)
"""Radius of a helix in cutter radii: under 1, so that no post stays (sources: 0.5 to 0.9)."""


@dataclass(frozen=True, eq=False)
class Lead:
    """Where and how a ring is begun and left.

    Attributes
    ----------
    kind : "arc", "line" or "none"
        What was found room for.
    size_mm : float
        Radius of the arc or length of the line, mm; 0 for none.
    start_mm : float
        Distance along the ring at which the lead-in ends.
    overlap_mm : float
        How far the cut goes on over its start.
    into, out : ndarray, shape (n, 2)
        Lead-in and lead-out; a single point where there is none.
    helix : ndarray, shape (n, 2), or None
        One turn of a circle through the first point of `into`, in the sense it is wound.
    """

    kind: LeadKind
    size_mm: float
    start_mm: float
    overlap_mm: float
    into: Floats
    out: Floats
    helix: Floats | None = None

    def trace(self, loop: Loop) -> shapely.MultiLineString:
        """Return all that is cut at full depth beyond the ring once round, for tabs to avoid."""
        over = loop.piece(self.start_mm, self.start_mm + self.overlap_mm)
        lines = [self.into, over, self.out] + ([] if self.helix is None else [self.helix])
        return shapely.MultiLineString([line for line in lines if len(line) > 1])


def chord_angles(radius_mm: float, sweep: float, chords_mm: float) -> Floats:
    """Return angles from 0 to `sweep` (radians) whose chords stay within a sagitta.

    Examples
    --------
    >>> len(chord_angles(10.0, 2 * math.pi, 0.01)) - 1  # sources W8: 71 chords
    71
    """
    step = 2 * math.acos(max(1 - chords_mm / radius_mm, 0.0))
    return np.linspace(0.0, sweep, max(2, math.ceil(abs(sweep) / step)) + 1)


def find_lead(
    ring: Ring,
    *,
    kind: LeadKind,
    size_mm: float,
    cutter_mm: float,
    chords_mm: float,
    forbidden: BaseGeometry | None,
    with_helix: bool = False,
    towards: tuple[float, float] | None = None,
) -> Lead:
    """Choose where a ring begins and how the cutter comes and goes.

    Parameters
    ----------
    ring : Ring
        The ring to be cut.
    kind : "arc", "line" or "none"
        The lead wanted.
    size_mm : float
        Radius of the arc or length of the line wanted, mm.
    cutter_mm : float
        Cutting diameter, mm.
    chords_mm : float
        Greatest sagitta of an arc's chords, mm.
    forbidden : geometry or None
        Area the cutter's centre may not enter, prepared by the caller; None allows no lead.
    with_helix : bool
        Also look for a circle to wind down on.
    towards : tuple of float, optional
        Direction of the side the ring is to begin on, where there is room.

    Returns
    -------
    Lead
        `kind`, `size_mm` and `helix` tell what there was room for.

    Examples
    --------
    >>> from outline2path.operations.rings import rings_of
    >>> area = shapely.MultiPolygon([shapely.box(0, 0, 40, 20)])
    >>> (ring,) = rings_of(area, side="outside", direction="climb")
    >>> lead = find_lead(ring, kind="arc", size_mm=2.0, cutter_mm=4.0, chords_mm=0.001,
    ...                  forbidden=area)
    >>> lead.kind, lead.size_mm, round(area.distance(shapely.Point(lead.into[0])), 6)
    ('arc', 2.0, 2.0)
    """
    places, _ = _places(ring, cutter_mm, towards)
    overlap = min(0.5, cutter_mm / 4, ring.loop.length_mm / 20)
    lead = _without(ring, float(places[0]), overlap)
    if forbidden is None:
        return lead
    tries = [
        (way, size_mm * share, some)
        for way in _fallbacks(kind)
        for share in _SHRUNK
        for some in (places[:_FEW], places[_FEW:])
    ]
    for way, size, some in tries:
        shape = _Shape(ring, way, size, chords_mm)
        into, out = shape.at(some, sense=-1.0), shape.at(some + overlap, sense=1.0)
        free = _free(into[:, ::-1], forbidden) & _free(out, forbidden)
        if np.any(free):
            k = int(np.argmax(free))
            lead = Lead(way, size, float(some[k]), overlap, into[k], out[k])
            break
    if not with_helix:
        return lead
    circles = _circles(lead, ring, cutter_mm, chords_mm)
    return replace(lead, helix=next((c for c in circles if _open(c, forbidden)), None))


def leads_elsewhere(
    ring: Ring,
    lead: Lead,
    *,
    cutter_mm: float,
    chords_mm: float,
    forbidden: BaseGeometry | None,
    towards: tuple[float, float] | None = None,
) -> list[Lead]:
    """Return leads like one that was found, at all other places that are as good.

    Parameters
    ----------
    ring, lead : Ring, Lead
        The ring, and what `find_lead` found for it.
    cutter_mm, chords_mm, forbidden, towards
        As for `find_lead`.

    Examples
    --------
    >>> from outline2path.operations.rings import rings_of
    >>> area = shapely.MultiPolygon([shapely.box(0, 0, 40, 20)])
    >>> (ring,) = rings_of(area, side="outside", direction="climb")
    >>> size = {"cutter_mm": 4.0, "chords_mm": 0.001, "forbidden": area}
    >>> lead = find_lead(ring, kind="arc", size_mm=2.0, **size)
    >>> len(leads_elsewhere(ring, lead, **size)) > 20
    True
    """
    places, score = _places(ring, cutter_mm, towards)
    mine = int(np.argmin(np.abs(places - lead.start_mm)))
    places = places[score <= score[mine] + _AS_GOOD]
    overlap = lead.overlap_mm
    if lead.kind == "none" or forbidden is None:
        return [_without(ring, place, overlap) for place in places.tolist()]
    shape = _Shape(ring, lead.kind, lead.size_mm, chords_mm)
    into, out = shape.at(places, sense=-1.0), shape.at(places + overlap, sense=1.0)
    free = np.flatnonzero(_free(into[:, ::-1], forbidden) & _free(out, forbidden)).tolist()
    return [
        Lead(lead.kind, lead.size_mm, float(places[k]), overlap, into[k], out[k]) for k in free
    ]


def _without(ring: Ring, start_mm: float, overlap_mm: float) -> Lead:
    ends = ring.loop.at(np.array([[start_mm], [start_mm + overlap_mm]]))
    return Lead("none", 0.0, start_mm, overlap_mm, ends[0], ends[1])


def _fallbacks(kind: LeadKind) -> tuple[LeadKind, ...]:
    ways: dict[LeadKind, tuple[LeadKind, ...]] = {"arc": ("arc", "line"), "line": ("line",)}
    return ways.get(kind, ())


def _places(
    ring: Ring, cutter_mm: float, towards: tuple[float, float] | None
) -> tuple[Floats, Floats]:
    """Return distances along the ring worth beginning at, best first, and how bad each is."""
    loop = ring.loop
    edges = np.diff(loop.marks)
    longest = np.argsort(-edges, kind="stable")[: _PLACES // 2]
    even = (np.arange(_PLACES // 2) + 0.5) * loop.length_mm / (_PLACES // 2)
    places = np.concatenate((loop.marks[longest] + edges[longest] / 2, even))
    score = np.zeros(len(places))
    for reach, weight in ((1, 1.0), (3, 0.1), (9, 0.01)):
        total, net = loop.turning(places, min(reach * cutter_mm, loop.length_mm / 2))
        concave = np.maximum(net if ring.waste_left else -net, 0.0)
        score += weight * (total + 4 * concave)
    if towards is not None:
        far, reach = loop.at(places) @ np.array(towards), loop.points @ np.array(towards)
        score[far < reach.max() - _SIDE * np.ptp(reach)] += _ELSEWHERE
    best = np.argsort(np.round(score, 3), kind="stable")
    return places[best], score[best]


@dataclass(frozen=True, eq=False)
class _Shape:
    """One kind and size of lead, to be laid at many places of a ring."""

    ring: Ring
    way: LeadKind
    size_mm: float
    chords_mm: float

    def at(self, places: Floats, *, sense: float) -> Floats:
        """Return leads (places, n, 2): sense -1 ends on the ring, +1 begins there."""
        foot = self.ring.loop.at(places)[:, None]
        ahead = self.ring.loop.heading(places)[:, None] * sense
        aside = self.ring.waste_normal(places)[:, None]
        if self.way == "arc":
            t = chord_angles(self.size_mm, math.pi / 2, self.chords_mm)[None, :, None]
            lines = foot + self.size_mm * (ahead * np.sin(t) + aside * (1 - np.cos(t)))
        else:
            t = np.array([0.0, 1.0])[None, :, None]
            lines = foot + self.size_mm * math.sqrt(0.5) * t * (ahead + aside)
        return np.asarray(lines if sense > 0 else lines[:, ::-1])


def _free(lines: Floats, forbidden: BaseGeometry) -> NDArray[np.bool_]:
    """Tell which lines, beginning on the forbidden area's edge, stay out of it from there on.

    The first micrometre, which touches the edge, is left out of the test.
    """
    lines = lines.copy()
    first = lines[:, 1] - lines[:, 0]
    lines[:, 0] += GOUGE_LIMIT_MM * first / np.hypot(first[:, 0], first[:, 1])[:, None]
    clear: NDArray[np.bool_] = shapely.disjoint(forbidden, shapely.linestrings(lines))
    return clear


def _circles(lead: Lead, ring: Ring, cutter_mm: float, chords_mm: float) -> Iterator[Floats]:
    """Yield one turn of each circle to wind down on, tangent to the lead's first motion."""
    start, ahead = lead.into[0], ring.loop.heading(lead.start_mm)
    aside = ring.waste_normal(lead.start_mm)
    motion = lead.into[1] - start if len(lead.into) > 1 else ahead
    if lead.kind == "arc":
        aside = ahead
    elif lead.kind == "line":
        aside = (ahead + aside) * math.sqrt(0.5)
    left = motion[0] * aside[1] - motion[1] * aside[0] > 0
    for share in _HELIX:
        radius = share * cutter_mm / 2
        t = chord_angles(radius, 2 * math.pi if left else -2 * math.pi, chords_mm)
        x, y = -aside * radius
        arms = np.column_stack((x * np.cos(t) - y * np.sin(t), x * np.sin(t) + y * np.cos(t)))
        circle = start + aside * radius + arms
        circle[0] = circle[-1] = start
        yield circle


def _open(circle: Floats, forbidden: BaseGeometry) -> bool:
    """Tell whether a circle, whose ends may lie on the forbidden area's edge, stays out of it."""
    half = len(circle) // 2 + 1
    ways = np.stack((circle[:half], circle[::-1][:half]))
    return bool(np.all(_free(ways, forbidden)))
