"""Values for pictures, made without the rooms that make them in earnest.

A stand-in profile follows shapely's buffer of a region at several depths, with rapids, plunges,
line leads and raised tabs; a stand-in reach holds spots with chosen places. Lengths in mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import shapely
from shapely.affinity import rotate, scale, translate

from outline2path.drawing.outline import Outline
from outline2path.drawing.source import Source
from outline2path.findings import Finding
from outline2path.operations.cut import Tab
from outline2path.path.toolpath import LINE, MOVE, RAPID, ROLES, Section, Toolpath
from outline2path.shop.cutter import Cutter


@dataclass(frozen=True, kw_only=True)
class StandInSpot:
    kind: str
    at_mm: tuple[float, float]
    gap_mm: float | None
    lost_area_mm2: float
    lost_depth_mm: float
    lost: shapely.Polygon


@dataclass(frozen=True, kw_only=True)
class StandInWall:
    at_mm: tuple[float, float]
    thickness_mm: float
    area: shapely.Polygon | None = None


@dataclass(frozen=True, kw_only=True)
class StandInReach:
    outline: Outline
    cutter_mm: float
    side: str = "outside"
    spots: tuple[StandInSpot, ...] = ()
    unreached_area_mm2: float = 0.0
    largest_cutter_mm: float | None = None
    findings: tuple[Finding, ...] = ()


def outline(region: shapely.Geometry, name: str = "specimen.svg") -> Outline:
    """An outline with a file name."""
    return replace(Outline.from_shapely(region), source=Source(file=name))


def leaf() -> shapely.Geometry:
    """An oak leaf of our own: lobes on a spine, a slit for a string, notches between lobes."""
    t = np.linspace(0, 1, 400)
    half = 26 * np.sin(math.pi * t**0.8) * (1 + 0.34 * np.cos(9 * math.pi * t)) + 2.2
    blade = np.column_stack([130 * t, half])
    mirror = np.column_stack([130 * t, -half])[::-1]
    body = shapely.Polygon(np.vstack([blade, mirror])).buffer(0)
    stalk = shapely.LineString([(-24, -5), (-8, -1), (6, 0)]).buffer(2.6)
    hole = shapely.Point(118, 0).buffer(3.2)
    slit = shapely.LineString([(38, 0), (84, 0)]).buffer(2.4)
    return translate(body.union(stalk) - hole - slit, 40, 52)


def coaster() -> shapely.Geometry:
    """A coaster of 30 mm with a clover cut out of it."""
    disc = shapely.Point(18, 18).buffer(15, quad_segs=64)
    petals = [
        rotate(scale(shapely.Point(18, 23).buffer(3.2), 0.8, 1.2), a, origin=(18, 18))
        for a in (0, 120, 240)
    ]
    return disc - shapely.union_all(petals)


def many_parts(count: int = 40) -> shapely.MultiPolygon:
    """Rows of small tags, each with a hole."""
    tags = [
        shapely.box(0, 0, 14, 9).buffer(2) - shapely.Point(1, 4.5).buffer(1.8)
        for _ in range(count)
    ]
    return shapely.MultiPolygon(
        [translate(t, 6 + 24 * (k % 8), 6 + 19 * (k // 8)) for k, t in enumerate(tags)]
    )


def profile_path(
    region: shapely.Geometry,
    *,
    cutter_mm: float = 3.175,
    depths_mm: tuple[float, ...] = (-1.6, -3.2, -4.8, -6.3),
    tabs: int = 2,
    lead_mm: float = 2.0,
) -> tuple[Toolpath, tuple[Tab, ...]]:
    """A profile around every ring, deepest last, with tabs on the last pass."""
    cutter, rows, sections, left = Cutter(cutter_mm), [], [], []
    wide = shapely.buffer(region, cutter_mm / 2, quad_segs=16)
    rings = shapely.get_rings(shapely.get_parts(shapely.orient_polygons(wide)))
    rings = shapely.segmentize(rings, 1.0)
    for number, ring in enumerate(sorted(rings, key=shapely.length)):
        points = shapely.get_coordinates(ring)[::-1]
        count = tabs if ring.length > 60 else 0
        left += _tabs_of(region, ring, count)
        for z in depths_mm:
            sections.append(Section(operation="profile", contour=number, cutter=cutter, z_mm=z))
            raised = _raised(points, ring, count, last=z == depths_mm[-1])
            rows += _pass(points, raised, z, len(sections) - 1, lead_mm)
    path = Toolpath(
        moves=np.array(rows, dtype=MOVE),
        sections=tuple(sections),
        start=(0.0, 0.0, 5.0),
        clearance_mm=5.0,
    )
    return path, tuple(left)


def plan_of_leaf(**options):
    """Everything `draw_plan` takes, for the leaf; made once, changed by the options."""
    return {**_leaf_plan(), **options}


@lru_cache(maxsize=1)
def _leaf_plan():
    region = leaf()
    drawn = outline(region, "leaf.svg")
    path, tabs = profile_path(region)
    spots = spots_of(region, 3.175)
    reach = StandInReach(outline=drawn, cutter_mm=3.175, spots=spots)
    return {
        "outline": drawn,
        "toolpath": path,
        "tabs": tabs,
        "reach": reach,
        "stock_box_mm": (0.0, 0.0, 200.0, 104.0),
        "time_s": 380.0,
    }


def spots_of(
    region: shapely.Geometry, cutter_mm: float, *, most: int = 99
) -> tuple[StandInSpot, ...]:
    """Spots where a closing with the cutter's disc adds area, in the order of their area."""
    r = cutter_mm / 2
    closed = shapely.buffer(shapely.buffer(region, r, quad_segs=32), -r, quad_segs=32)
    lost = [g for g in shapely.get_parts(closed - region.buffer(0.001)) if g.area > 0.02]
    lost.sort(key=lambda g: -g.area)
    return tuple(
        StandInSpot(
            kind=("gap", "corner", "hole")[k % 3],
            at_mm=shapely.get_coordinates(g.representative_point())[0].tolist(),
            gap_mm=None if k % 3 == 1 else 2.1,
            lost_area_mm2=g.area,
            lost_depth_mm=1.25,
            lost=g,
        )
        for k, g in enumerate(lost[:most])
    )


def findings_at(places: np.ndarray, severity: str = "warning") -> tuple[Finding, ...]:
    """One finding a place."""
    return tuple(
        Finding(
            code="note",
            severity=severity,
            message=f"note number {k}",
            at_mm=(float(x), float(y)),
            remedy="look here",
        )
        for k, (x, y) in enumerate(places)
    )


def _tabs_of(region: shapely.Geometry, ring: shapely.Geometry, count: int) -> list[Tab]:
    return [
        Tab(
            at_mm=_on_wall(region, ring.interpolate((k + 0.5) / count, normalized=True)),
            length_mm=6.0,
            height_mm=1.5,
        )
        for k in range(count)
    ]


def _on_wall(region: shapely.Geometry, point: shapely.Point) -> tuple[float, float]:
    x, y = shapely.get_coordinates(shapely.shortest_line(region.boundary, point))[0]
    return (float(x), float(y))


def _raised(points: np.ndarray, ring: shapely.Geometry, count: int, *, last: bool) -> np.ndarray:
    along = shapely.line_locate_point(ring, shapely.points(points)) / ring.length
    if not (count and last):
        return np.zeros(len(points), dtype=bool)
    middle = (np.arange(count) + 0.5) / count
    return (np.abs(along[:, None] - middle) * ring.length < 4.6).any(axis=1)


def _pass(points, raised, z, section, lead_mm):
    """Rapid, plunge, lead-in, the ring with its tabs, lead-out, retract."""
    role = {name: k for k, name in enumerate(ROLES)}
    step = points[1] - points[0]
    out = np.array([step[1], -step[0]]) * lead_mm / np.hypot(*step)
    away = points[0] - out if lead_mm else points[0]
    rows = [
        (RAPID, role["rapid"], section, *away, 5.0, 0, 0, 0),
        (LINE, role["plunge"], section, *away, z, 0, 0, 200),
    ]
    if lead_mm:
        rows.append((LINE, role["lead-in"], section, *points[0], z, 0, 0, 900))
    for (x, y), up in zip(points[1:], raised[1:], strict=True):
        rows.append(
            (LINE, role["tab" if up else "cut"], section, x, y, z + (1.5 if up else 0), 0, 0, 900)
        )
    if lead_mm:
        off = points[0] - out + step / np.hypot(*step) * lead_mm
        rows.append((LINE, role["lead-out"], section, *off, z, 0, 0, 900))
    x, y = rows[-1][3:5]
    return [*rows, (RAPID, role["retract"], section, x, y, 5.0, 0, 0, 0)]
