"""Claims: what the features ask for, brought together so that the judge asks each question once.

In: features and the cutter. Out: claims. Features that differ in nothing but their place become
one claim, so that a hundred parts cost what their outlines cost. A claim is about an area that is
taken, an area that stands while all around it is waste, or centres that are followed (lines, and
the middles of holes as wide as the drill). Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from outline2path.proof.body import Body
from outline2path.proof.edge import Edge
from outline2path.proof.feature import ExpectedTab, Feature
from outline2path.proof.tracks import Floats, Nearest
from outline2path.tolerance import GOUGE_LIMIT_MM

__all__ = ["Claim", "areas", "claims_of", "joined"]

_OVERRUN = 2.0
_OVERRUN_MM = 3.0
"""Diameters of the cutter and mm more by which facing may run over the edges of what it faces,
where the feature does not say: as long a way in as is common practice, no source."""
_SPOTS_MM = 0.5


@dataclass(frozen=True, eq=False, kw_only=True)
class Claim:
    """What features alike ask for together.

    Attributes
    ----------
    feature : Feature
        One of them; all have its kind, side, heights, allowance, width and tolerance.
    body : Body
        What cuts it.
    region : MultiPolygon or None
        The areas of all of them; None where centres are followed.
    start, end : ndarray, (n, 2)
        Lines to be followed; points start where they end.
    tabs : tuple of ExpectedTab
        All bridges.
    """

    feature: Feature
    body: Body
    region: shapely.MultiPolygon | None
    start: Floats = field(default_factory=lambda: np.zeros((0, 2)))
    end: Floats = field(default_factory=lambda: np.zeros((0, 2)))
    tabs: tuple[ExpectedTab, ...] = ()

    @property
    def keeps(self) -> bool:
        """Whether its region stands and all around is waste."""
        return self.region is not None and self.feature.keeps_region

    @property
    def takes(self) -> bool:
        """Whether its region is taken."""
        return self.region is not None and not self.feature.keeps_region

    @cached_property
    def floor_mm(self) -> float:
        """Lowest z that the tip may reach, a drill's point included."""
        return self.feature.tip_mm(self.body.cutter)

    def band_mm(self, z: float) -> float:
        """How much a chamfer takes off the edge at a height; 0 for all other kinds."""
        width = self.feature.width_mm
        if width is None:
            return 0.0
        return max(0.0, width - max(self.feature.top_mm - z, 0.0) * self.body.slope)

    def left_mm(self, z: float) -> float:
        """Return what must stay on the edge at a height: the allowance less a chamfer's band."""
        return self.feature.allowance_mm - self.band_mm(z)

    @property
    def drawn(self) -> shapely.MultiPolygon:
        """Its region; empty where centres are followed."""
        return shapely.MultiPolygon() if self.region is None else self.region

    def edge(self, z: float) -> Edge:
        """Return the edge that must stand at a height."""
        return Edge(self.drawn, keeps_inside=self.keeps, allowance_mm=self.left_mm(z))

    @property
    def over_mm(self) -> float:
        """How far beyond its region facing may take ground; 0 for all other kinds."""
        if self.feature.kind != "face":
            return 0.0
        if self.feature.over_mm is not None:
            return self.feature.over_mm
        return _OVERRUN * self.body.cutter.diameter_mm + _OVERRUN_MM

    def may_take(self, z: float) -> BaseGeometry:
        """Return the bounded ground that it may take at a height where it is active."""
        region = self.drawn
        if self.feature.kind == "face":
            return shapely.buffer(region, self.over_mm, join_style="mitre")
        left = self.left_mm(z)
        if not self.keeps:
            return region if left == 0 else shapely.buffer(region, -left, quad_segs=64)
        band = shapely.buffer(region, left, quad_segs=64)
        return shapely.difference(region, band) if left < 0 else shapely.MultiPolygon()

    @cached_property
    def centres(self) -> Nearest:
        """Search over the lines and points to be followed."""
        return Nearest(self.start, self.end)

    @cached_property
    def spots(self) -> Floats:
        """Points at most half a millimetre apart along what is to be followed, (n, 2)."""
        length = np.hypot(*(self.end - self.start).T)
        count = np.maximum(np.ceil(length / _SPOTS_MM), 1).astype(np.int64)
        owner = np.repeat(np.arange(len(count)), count)
        step = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
        share = ((step + 1) / count[owner])[:, None]
        inner = self.start[owner] * (1 - share) + self.end[owner] * share
        return np.concatenate([self.start, inner])


def claims_of(features: Iterable[Feature], body: Body) -> list[Claim]:
    """Bring features together.

    Examples
    --------
    >>> from outline2path.shop.cutter import Cutter
    >>> pocket = [Feature(kind="pocket", region_fine=shapely.box(x, 0, x + 9, 9), bottom_mm=-2.0)
    ...           for x in (0, 20)]
    >>> [claim.region.area for claim in claims_of(pocket, Body(Cutter(3.0)))]
    [162.0]
    """
    alike: dict[tuple[object, ...], list[Feature]] = {}
    for feature in features:
        key = (
            feature.kind,
            feature.side,
            feature.top_mm,
            feature.bottom_mm,
            feature.through_mm,
            feature.allowance_mm,
            feature.width_mm,
            feature.over_mm,
            feature.tolerance_mm,
        )
        alike.setdefault(key, []).append(feature)
    return [claim for some in alike.values() for claim in _claims(some, body)]


def _claims(features: list[Feature], body: Body) -> list[Claim]:
    first = features[0]
    tabs = tuple(tab for feature in features for tab in (*feature.tabs, *feature.standing))
    if first.kind == "hole":
        return _holes(features, body)
    if first.follows_line:
        drawn = [f.geometry if f.kind == "line" else f.region for f in features]
        start, end = _lines(drawn)
        return [Claim(feature=first, body=body, region=None, start=start, end=end, tabs=tabs)]
    return [Claim(feature=first, body=body, region=_united(features), tabs=tabs)]


def _united(features: list[Feature]) -> shapely.MultiPolygon:
    regions = [feature.region for feature in features]
    if len(features) == 1:
        return regions[0]
    return areas(shapely.union_all(regions) if features[0].keeps_region else joined(regions))


def joined(regions: Sequence[BaseGeometry]) -> BaseGeometry:
    """Unite regions that are taken; seams thinner than two micrometres between them are closed.

    Examples
    --------
    >>> halves = [shapely.box(0, 0, 4, 9), shapely.box(4.000001, 0, 9, 9)]
    >>> len(shapely.get_parts(joined(halves)))
    1
    """
    united = shapely.union_all(regions)
    if len(regions) == 1:
        return united
    grown = shapely.buffer(united, GOUGE_LIMIT_MM, join_style="mitre")
    return shapely.buffer(grown, -GOUGE_LIMIT_MM, join_style="mitre")


def areas(geometry: BaseGeometry) -> shapely.MultiPolygon:
    """Return the areas of a geometry as one value, rings oriented; lines and points are dropped.

    Examples
    --------
    >>> areas(shapely.LineString([(0, 0), (1, 1)])).is_empty
    True
    """
    parts = [g for g in shapely.get_parts(geometry).tolist() if g.geom_type == "Polygon"]
    return shapely.orient_polygons(shapely.MultiPolygon(parts))


def _lines(geometries: list[BaseGeometry]) -> tuple[Floats, Floats]:
    """Return the pieces of lines, and of the edges of areas, start and end."""
    starts, ends = [np.zeros((0, 2))], [np.zeros((0, 2))]
    for geometry in geometries:
        for part in shapely.get_parts(geometry):
            rings = shapely.get_rings(part) if part.geom_type == "Polygon" else [part]
            for ring in rings:
                points = shapely.get_coordinates(ring)
                starts.append(points[:-1] if len(points) > 1 else points)
                ends.append(points[1:] if len(points) > 1 else points)
    return np.concatenate(starts), np.concatenate(ends)


def _holes(features: list[Feature], body: Body) -> list[Claim]:
    """Part drilled holes, whose middle is followed, from bored ones, whose area is taken."""
    first = features[0]
    parts = [g for f in features for g in shapely.get_parts(f.geometry).tolist()]
    wide = [g for g in parts if _radius(g) > body.radius_mm + first.tolerance_mm]
    middles = np.array([_middle(g) for g in parts if g not in wide]).reshape(-1, 2)
    claims = []
    if len(middles):
        claims.append(Claim(feature=first, body=body, region=None, start=middles, end=middles))
    if wide:
        region = areas(shapely.union_all(wide))
        claims.append(Claim(feature=first, body=body, region=region))
    return claims


def _radius(part: BaseGeometry) -> float:
    return float(np.sqrt(part.area / np.pi))


def _middle(part: BaseGeometry) -> tuple[float, float]:
    return float(part.centroid.x), float(part.centroid.y)
