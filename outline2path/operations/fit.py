"""Fit: slots as wide as the mate's measured thickness and a stated clearance.

In: lengths as a person measures them. Out: an Outline, in mm. The clearance is the whole play
between the two parts, both sides together: a slot is `thickness + clearance` wide. For a start
0.05 to 0.2 mm is common practice, no source; a gauge cut on one's own machine tells better (see
`gauge`). Measure the mate: plywood is rarely as thick as its name.

Drawn slots are found as pairs of straight walls of one ring that face each other across the void
at the drawn width. A slot grows by moving its void half the difference to either side, square to
the walls, so that round ends and corner reliefs grow with it and its length stays.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from outline2path.drawing.outline import Outline
from outline2path.drawing.reshaping import reshaped
from outline2path.errors import SettingError
from outline2path.findings import Finding
from outline2path.operations.corners import Edges, VoidSide, checked_side, edges_of
from outline2path.tolerance import GRID_MM
from outline2path.units import parse_angle, parse_length

__all__ = ["fit_slots", "slot"]

Floats = NDArray[np.float64]
Length = str | float

_PARALLEL = math.sin(math.radians(0.5))
"""Walls that lean more than half a degree are no slot's."""
_MOST_MM = 100.0


@dataclass(frozen=True, eq=False)
class _Slot:
    """One drawn slot in a frame of its own: x along the walls, y from one wall to the other."""

    origin: Floats
    along: Floats
    across: Floats
    first: float
    last: float
    width: float

    def box(self, x0: float, y0: float, x1: float, y1: float) -> shapely.Polygon:
        corners = np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
        points = self.origin + corners[:, :1] * self.along + corners[:, 1:] * self.across
        return shapely.Polygon(points)

    @property
    def middle(self) -> Floats:
        middle: Floats = (
            self.origin + (self.first + self.last) / 2 * self.along + self.width / 2 * self.across
        )
        return middle


def slot(
    length: Length,
    thickness: Length,
    clearance: Length,
    *,
    end_clearance: Length | None = None,
    angle: str | float = 0.0,
) -> Outline:
    """Return the opening that a mate of measured thickness pushes into.

    Parameters
    ----------
    length, thickness : str or float
        The mate's tenon, as measured.
    clearance : str or float
        Play across the thickness, both sides together; negative for a press fit.
    end_clearance : str or float, optional
        Play along the length; as `clearance` when left out.
    angle : str or float
        Direction of the length, counter-clockwise from x.

    Returns
    -------
    Outline
        A rectangle with its middle on the origin, for a pocket or an inside profile.

    Raises
    ------
    SettingError
        When a length is not positive, or the clearance leaves no slot.

    Examples
    --------
    >>> [round(side, 6) for side in slot("24 mm", "5.8 mm", "0.1 mm").size_mm]
    [24.1, 5.9]
    """
    play = parse_length(clearance)
    long = parse_length(length)
    thick = _positive("thickness", thickness)
    ends = play if end_clearance is None else parse_length(end_clearance)
    _positive("length", long)
    wide, tall = long + ends, thick + play
    if min(wide, tall) <= 0:
        raise SettingError(
            f"a clearance of {play:g} mm leaves a slot {wide:g} x {tall:g} mm",
            value=play,
            remedy="give the play that is wanted, such as 0.1 mm",
        )
    box = shapely.box(-wide / 2, -tall / 2, wide / 2, tall / 2)
    outline = Outline.from_shapely(box)
    return outline.rotate(angle) if parse_angle(angle) else outline


def fit_slots(
    outline: Outline,
    *,
    drawn: Length,
    thickness: Length,
    clearance: Length,
    side: VoidSide = "outside",
    within: Length = 0.05,
) -> Outline:
    """Return the outline with its slots made to fit a mate of measured thickness.

    Parameters
    ----------
    outline : Outline
        At its final size.
    drawn : str or float
        Width of the slots in the drawing.
    thickness, clearance : str or float
        Measured thickness of the mate, and play, both sides together.
    side : "outside" or "inside"
        Outside: the regions are the part, slots are holes or notches in it. Inside: the regions
        are themselves the slots.
    within : str or float
        How far a slot's width may be from `drawn` and still be meant.

    Returns
    -------
    Outline
        Slots `thickness + clearance` wide, their middles where they were; a finding says how
        many there are.

    Raises
    ------
    SettingError
        When no slot is as wide as `drawn`, or a length is impossible.

    Examples
    --------
    >>> plate = shapely.box(0, 0, 60, 40).difference(shapely.box(20, 17, 40, 23))
    >>> fitted = fit_slots(Outline.from_shapely(plate), drawn="6 mm", thickness="5.7 mm",
    ...                    clearance="0.1 mm")
    >>> [round(x, 6) for x in shapely.get_parts(fitted.region)[0].interiors[0].bounds]
    [20.0, 17.1, 40.0, 22.9]
    """
    side = checked_side(side)
    old, thick = _positive("drawn width", drawn), _positive("thickness", thickness)
    match = _positive("range within which a slot is meant", within)
    new = thick + parse_length(clearance)
    _positive("slot", new)
    region = outline.region
    found = _slots(region, old, match=min(match, old / 4), side=side)
    if not found:
        raise SettingError(
            f"the drawing has no slot {old:g} mm wide",
            value=old,
            remedy="give the width as drawn, at the size the outline has now",
        )
    changed = [(_moved_void(region, one, new - one.width, side), new > one.width) for one in found]
    wider = shapely.union_all([void for void, grows in changed if grows])
    narrower = shapely.union_all([strip for strip, grows in changed if not grows])
    gained, lost = (narrower, wider) if side == "outside" else (wider, narrower)
    fitted = region.union(gained).difference(lost)
    told = Finding(
        code="slots-fitted",
        severity="info",
        message=f"{len(found)} slot{'s' if len(found) > 1 else ''} drawn {old:g} mm wide made "
        f"{new:.3f} mm wide for a mate {thick:g} mm thick",
        value=new,
        limit=old,
        unit="mm",
        at_mm=(float(found[0].middle[0]), float(found[0].middle[1])),
    )
    return reshaped(outline, fitted, findings=[told])


def _positive(what: str, value: Length) -> float:
    length = parse_length(value)
    if not 0 < length <= _MOST_MM * 10:
        raise SettingError(
            f"a {what} of {length:g} mm is not a length above 0", value=length, remedy="measure it"
        )
    return length


def _slots(region: BaseGeometry, width: float, *, match: float, side: VoidSide) -> list[_Slot]:
    """Find pairs of walls that face each other across the void."""
    edges = edges_of(region)
    normal = edges.into_void(side)
    walls = shapely.linestrings(np.stack((edges.start, edges.end), axis=1))
    probes = shapely.linestrings(
        np.stack((edges.start + width * normal, edges.end + width * normal), axis=1)
    )
    one, other = shapely.STRtree(walls).query(probes, predicate="dwithin", distance=match)
    opposite = np.sum(edges.along[one] * edges.along[other], axis=1) < -math.sqrt(1 - _PARALLEL**2)
    kept = opposite & (one < other) & (edges.ring[one] == edges.ring[other])
    pairs = zip(one[kept].tolist(), other[kept].tolist(), strict=True)
    found = [_pair(edges, a, b, normal[a]) for a, b in pairs]
    return [x for x in found if x and abs(x.width - width) <= match and _is_open(region, x, side)]


def _pair(edges: Edges, a: int, b: int, across: Floats) -> _Slot | None:
    """Make a slot of two walls that lie side by side for half the shorter one's length."""
    origin, along = edges.start[a], edges.along[a]
    length = float(edges.length[a])
    reach = np.sort([(edges.start[b] - origin) @ along, (edges.end[b] - origin) @ along])
    low, high = max(0.0, reach[0]), min(length, reach[1])
    if high - low < min(length, float(edges.length[b])) / 2:
        return None
    middle = (edges.start[b] + edges.end[b]) / 2
    return _Slot(
        origin=origin,
        along=along,
        across=across,
        first=min(0.0, float(reach[0])),
        last=max(length, float(reach[1])),
        width=float((middle - origin) @ across),
    )


def _is_open(region: BaseGeometry, one: _Slot, side: VoidSide) -> bool:
    """Whether nothing but void lies between the walls, half-way along them."""
    x = (one.first + one.last) / 2
    half = (one.last - one.first) / 4
    between = one.box(x - half, one.width / 4, x + half, 3 * one.width / 4)
    if side == "inside":
        return bool(region.contains(between))
    return not region.intersects(between)


def _moved_void(region: BaseGeometry, one: _Slot, more: float, side: VoidSide) -> BaseGeometry:
    """Return the void of a wider slot, or the strips that make a slot narrower."""
    half, width = abs(more) / 2, one.width
    if more <= 0:
        low = one.box(one.first, -GRID_MM, one.last, half)
        high = one.box(one.first, width - half, one.last, width + GRID_MM)
        return shapely.union_all([low, high]) if more else shapely.Polygon()
    windows = [one.box(one.first, 0, one.last, width)]
    for end, sign in ((one.first, -1.0), (one.last, 1.0)):
        if _is_closed(region, one, end, sign * width, side):
            x0, x1 = sorted((end - sign * width, end + sign * width))
            windows.append(one.box(x0, -width / 2, x1, 1.5 * width))
    window = shapely.union_all(windows)
    void = window.intersection(region) if side == "inside" else window.difference(region)
    parts = shapely.get_parts(void)
    parts = parts[
        (shapely.area(parts) > 0)
        & shapely.intersects(parts, one.box(one.first, width / 4, one.last, 3 * width / 4))
    ]
    return _swept(parts, half * one.across)


def _is_closed(region: BaseGeometry, one: _Slot, end: float, reach: float, side: VoidSide) -> bool:
    """Whether a slot's middle line meets material within a width beyond an end."""
    middle = one.origin + one.width / 2 * one.across
    line = shapely.LineString([middle + end * one.along, middle + (end + reach) * one.along])
    return not region.contains(line) if side == "inside" else bool(region.intersects(line))


def _swept(parts: NDArray[np.object_], by: Floats) -> BaseGeometry:
    """Return what polygons sweep when they move from -by to +by."""
    pieces = [shapely.transform(parts, lambda p, s=sign: p + s * by) for sign in (-1.0, 1.0)]
    quads = []
    for ring in shapely.get_rings(parts):
        p = shapely.get_coordinates(ring)
        quads.append(np.stack((p[:-1] - by, p[1:] - by, p[1:] + by, p[:-1] + by), axis=1))
    swept = shapely.polygons(np.concatenate(quads)) if quads else np.empty(0, dtype=object)
    swept = swept[np.abs(shapely.area(swept)) > 0]
    return shapely.union_all([*pieces[0], *pieces[1], *swept])
