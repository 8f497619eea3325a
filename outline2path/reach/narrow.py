"""Narrow spots: where a free space is too narrow for a disc, each named, placed and measured.

In: the Room a free space has, and the disc's diameter in mm. Out: spots of three kinds.

- hole: a closed piece the disc does not fit into anywhere;
- gap: walls that face one another nearer than the disc is wide: a neck, a slot, two parts
  side by side. A sharp waist may lose nothing, since the disc reaches all of it from both
  sides; it is a gap all the same, as the disc cannot pass;
- corner: walls that meet, rounded by the disc.

A gap is as wide as the widest disc that passes it. Lost depth is how far the deepest place of
the walls stays from what the disc reaches; in a hole, where nothing is reached, how far the
farthest wall is from the hole's middle.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
import shapely

from outline2path.reach.opening import Opening, open_space
from outline2path.reach.touchable import touchable_edges

if TYPE_CHECKING:
    from outline2path.reach.boundary import Floats, Ints
    from outline2path.reach.contacts import Contacts
    from outline2path.reach.room import Room

__all__ = ["Kind", "Spot", "in_order", "spots_in", "tight_places"]

Kind = Literal["gap", "hole", "corner"]
"""How a spot is too narrow."""
_RANK = {"hole": 0, "gap": 1, "corner": 2}
MARGIN = 4
"""The free space is ended this many radii beyond the outermost edges."""
WIDTHS_RIGHT_TO = 4
"""Widths are right to so many times the most an edge was moved: two walls, moved twice."""

NEAR = 0.01
"""A gap belongs to a lost part this near to it, as a share of the width: parts have thin tips."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Spot:
    """One place that is too narrow.

    Attributes
    ----------
    kind : "gap", "hole" or "corner"
        See the head of this module.
    at_mm : tuple of float
        Middle of the gap or hole, tip of the corner; x, y in mm.
    gap_mm : float or None
        The widest cutter that passes the gap or enters the hole; None at a corner.
    lost_area_mm2, lost_depth_mm : float
        What the cutter leaves there.
    lost : MultiPolygon
        The area left, in mm; empty at a sharp waist.

    Examples
    --------
    >>> Spot(kind="gap", at_mm=(4.0, 2.0), gap_mm=2.5, lost_area_mm2=7.0, lost_depth_mm=3.0,
    ...      lost=shapely.MultiPolygon())
    Spot(gap of 2.500 mm at x 4.00, y 2.00)
    """

    kind: Kind
    at_mm: tuple[float, float]
    gap_mm: float | None
    lost_area_mm2: float
    lost_depth_mm: float
    lost: shapely.MultiPolygon

    def as_dict(self) -> dict[str, Any]:
        """Return the spot as the report writes it."""
        return {
            "kind": self.kind,
            "at_mm": list(self.at_mm),
            "gap_mm": self.gap_mm,
            "lost_area_mm2": self.lost_area_mm2,
            "lost_depth_mm": self.lost_depth_mm,
        }

    def moved(self, x_mm: float, y_mm: float) -> Spot:
        """Return the same spot of a copy that lies elsewhere.

        Examples
        --------
        >>> Spot(kind="gap", at_mm=(4.0, 2.0), gap_mm=2.5, lost_area_mm2=7.0, lost_depth_mm=3.0,
        ...      lost=shapely.MultiPolygon()).moved(10.0, 0.0)
        Spot(gap of 2.500 mm at x 14.00, y 2.00)
        """
        if not (x_mm or y_mm):
            return self
        at, shift = self.at_mm, np.array([x_mm, y_mm])
        lost = shapely.transform(self.lost, lambda points: points + shift)
        return replace(self, at_mm=(at[0] + x_mm, at[1] + y_mm), lost=lost)

    def __repr__(self) -> str:
        size = (
            f"losing {self.lost_depth_mm:.3f} mm"
            if self.gap_mm is None
            else f"of {self.gap_mm:.3f} mm"
        )
        return f"Spot({self.kind} {size} at x {self.at_mm[0]:.2f}, y {self.at_mm[1]:.2f})"


def spots_in(room: Room, width_mm: float, *, ignore_mm: float) -> tuple[tuple[Spot, ...], float]:
    """Find where a disc of that diameter does not pass, enter or reach.

    Parameters
    ----------
    room : Room
        Survey of the free space.
    width_mm : float
        The disc's diameter.
    ignore_mm : float
        Corners that lose less depth than this are left out.

    Returns
    -------
    spots : tuple of Spot
        Holes first, then gaps by width, then corners by depth.
    area_mm2 : float
        All the area the disc does not reach.

    Examples
    --------
    >>> from outline2path.reach.room import survey
    >>> plate = shapely.box(0, 0, 40, 30) - shapely.box(10, 10, 12, 30)
    >>> room = survey(shapely.MultiPolygon([plate]), free_inside=False, fine_mm=0.0005,
    ...               ignore_mm=0.02)
    >>> spots_in(room, 3.0, ignore_mm=0.02)[0]
    (Spot(gap of 2.000 mm at x 11.00, y 30.00),)
    """
    radius = width_mm / 2
    least = max(radius - room.fine_mm, radius / 2)
    touchable = touchable_edges(room.boundary, room.mesh, least, margin_mm=room.fine_mm)
    opened = open_space(
        room.space(MARGIN * radius + 1),
        room.boundary,
        touchable=touchable,
        radius_mm=radius,
        sliver_mm=room.fine_mm,
    )
    parts = _Parts(opened)
    right_to = WIDTHS_RIGHT_TO * room.fine_mm
    spots = _holes(room, parts, width_mm + right_to)
    spots += _gaps(room.contacts, parts, width_mm, right_to=right_to, ignore_mm=ignore_mm)
    spots += _corners(parts, ignore_mm)
    return in_order(spots), opened.area_mm2


def in_order(spots: Iterable[Spot]) -> tuple[Spot, ...]:
    """Sort spots: holes first, then gaps by width, then corners by depth."""
    return tuple(sorted(spots, key=_order))


def tight_places(room: Room, low_mm: float, high_mm: float) -> list[tuple[float, float, float]]:
    """Return x, y, width (mm) of gaps and holes from one width up to another, narrowest first.

    Of those that lie closer together than they are wide the narrowest stands for all.

    Examples
    --------
    >>> from outline2path.reach.room import survey
    >>> plate = shapely.box(0, 0, 40, 30) - shapely.box(10, 10, 12, 20)
    >>> room = survey(shapely.MultiPolygon([plate]), free_inside=False, fine_mm=0.0005,
    ...               ignore_mm=0.02)
    >>> [round(width, 3) for *_, width in tight_places(room, 1.9, 2.1)]
    [2.0, 2.0]
    """
    centre = np.concatenate([room.contacts.centre, room.middle])
    width = np.concatenate([room.contacts.width_mm, room.hole_mm])
    chosen = np.flatnonzero((width >= low_mm) & (width < high_mm))
    kept = chosen[_narrowest(centre[chosen], width[chosen], high_mm)]
    return [
        (float(x), float(y), float(w)) for (x, y), w in zip(centre[kept], width[kept], strict=True)
    ]


class _Parts:
    """The lost parts, each to be named once."""

    def __init__(self, opened: Opening) -> None:
        self.shapes = opened.lost
        self.area = shapely.area(self.shapes)
        self.deepest, depth = opened.depths_mm()
        rest = np.flatnonzero(~np.isfinite(depth))
        if len(rest) and opened.rim is not None:
            depth[rest] = np.maximum(
                opened.rim.distance_mm(self.deepest[rest]) - opened.radius_mm, 0.0
            )
        self.depth = depth
        self.named = np.zeros(len(self.shapes), dtype=bool)
        self._tree = shapely.STRtree(self.shapes)

    def touching(self, points: Floats, within_mm: float) -> tuple[Ints, Ints]:
        """Pairs (point, part) nearer than `within_mm`."""
        point, part = self._tree.query(
            shapely.points(points), predicate="dwithin", distance=within_mm
        )
        return point, part

    def inside(self, shape: shapely.Polygon) -> Ints:
        """Parts that lie in a shape."""
        near = self._tree.query(shape)
        middle = shapely.point_on_surface(self.shapes[near])
        return np.asarray(near[shapely.intersects(shape, middle)])

    def spot(self, kind: Kind, at: Floats, *, gap_mm: float | None, parts: Ints) -> Spot:
        """Name some parts as one spot."""
        self.named[parts] = True
        return Spot(
            kind=kind,
            at_mm=(float(at[0]), float(at[1])),
            gap_mm=gap_mm,
            lost_area_mm2=float(self.area[parts].sum()),
            lost_depth_mm=float(self.depth[parts].max()) if len(parts) else 0.0,
            lost=shapely.multipolygons(self.shapes[parts]),
        )


def _holes(room: Room, parts: _Parts, below_mm: float) -> list[Spot]:
    """Name closed pieces that are lost whole."""
    spots = []
    for k in np.flatnonzero(room.hole_mm < below_mm):
        piece, middle = room.closed[k], room.middle[k]
        mine = parts.inside(piece)
        if parts.area[mine].sum() > 0.99 * piece.area:
            corners = shapely.get_coordinates(piece)
            parts.depth[mine] = np.hypot(*(corners - middle).T).max()
            spots.append(parts.spot("hole", middle, gap_mm=float(room.hole_mm[k]), parts=mine))
    return spots


def _gaps(
    contacts: Contacts, parts: _Parts, width_mm: float, *, right_to: float, ignore_mm: float
) -> list[Spot]:
    """Facing walls nearer than the width, one spot for each lost part or pair of parts."""
    contacts = contacts.where(contacts.width_mm < width_mm + right_to)
    count = len(contacts.width_mm)
    number = np.repeat(np.arange(count), 4)
    places = np.concatenate([contacts.touch, contacts.centre[:, None]], axis=1).reshape(-1, 2)
    point, part = parts.touching(places, max(right_to, NEAR * width_mm))
    contact = number[point]
    in_hole = np.zeros(count, dtype=bool)
    in_hole[contact[parts.named[part]]] = True
    label = _joined(contact, part, count, len(parts.shapes))
    has_part = np.zeros(count, dtype=bool)
    has_part[contact] = True
    sure = contacts.width_mm < width_mm - right_to
    spots = []
    gapped, lost = np.flatnonzero(has_part & ~in_hole), np.unique(part)
    for group, mine in _groups(label[gapped], gapped, label[count + lost], lost):
        if sure[group].any() or parts.depth[mine].max() >= ignore_mm:
            spots.append(_gap(contacts, parts, group, mine))
    alone = np.flatnonzero(sure & ~has_part)
    nothing = np.zeros(0, dtype=np.intp)
    for k in alone[_narrowest(contacts.centre[alone], contacts.width_mm[alone], width_mm)]:
        spots.append(_gap(contacts, parts, np.array([k]), nothing))
    return spots


def _gap(contacts: Contacts, parts: _Parts, group: Ints, mine: Ints) -> Spot:
    k = group[np.argmin(contacts.width_mm[group])]
    return parts.spot("gap", contacts.centre[k], gap_mm=float(contacts.width_mm[k]), parts=mine)


def _corners(parts: _Parts, ignore_mm: float) -> list[Spot]:
    """Name what is left and deep enough."""
    rest = np.flatnonzero(~parts.named & (parts.depth >= ignore_mm))
    return [parts.spot("corner", parts.deepest[k], gap_mm=None, parts=np.array([k])) for k in rest]


def _joined(contact: Ints, part: Ints, contacts: int, parts: int) -> Ints:
    """Label contacts and parts (numbered on) so that those linked by pairs share a label."""
    a, b = contact, part + contacts
    label = np.arange(contacts + parts)
    while True:
        least = np.minimum(label[a], label[b])
        before = label.copy()
        np.minimum.at(label, a, least)
        np.minimum.at(label, b, least)
        label = label[label]
        if (label == before).all():
            return label


def _groups(label_a: Ints, a: Ints, label_b: Ints, b: Ints) -> list[tuple[Ints, Ints]]:
    """Members of two kinds, grouped by equal label; `label_a` belongs to `a`, and so on."""
    by_a, by_b = a[np.argsort(label_a, kind="stable")], b[np.argsort(label_b, kind="stable")]
    label_a, label_b = np.sort(label_a), np.sort(label_b)
    names = np.unique(label_a)
    return [
        (by_a[i:j], by_b[k:m])
        for i, j, k, m in zip(
            np.searchsorted(label_a, names),
            np.searchsorted(label_a, names, side="right"),
            np.searchsorted(label_b, names),
            np.searchsorted(label_b, names, side="right"),
            strict=True,
        )
    ]


def _narrowest(centre: Floats, width: Floats, near_mm: float) -> Ints:
    """Of places that hang together by steps below `near_mm`, the narrowest each, in order."""
    if not len(centre):
        return np.zeros(0, dtype=np.intp)
    spread = shapely.union_all(shapely.buffer(shapely.points(centre), near_mm / 2, quad_segs=4))
    patches = shapely.STRtree(shapely.get_parts(spread))
    _, patch = patches.query_nearest(shapely.points(centre), all_matches=False)
    order = np.lexsort((width, patch))
    first = order[np.r_[True, np.diff(patch[order]) > 0]]
    return first[np.argsort(width[first], kind="stable")]


def _order(spot: Spot) -> tuple[int, float, float, tuple[float, float]]:
    return (_RANK[spot.kind], spot.gap_mm or 0.0, -spot.lost_depth_mm, spot.at_mm)
