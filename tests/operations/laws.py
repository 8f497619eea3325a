"""What a planned profile is measured with: plain shapely distances, none of the package's own.

GEOS buffers of many-cornered lines leave out shallow hollows up to a hundredth of the distance;
where that matters, shapes are grown here as a union of two-point capsules, which are exact to
their chords.
"""

from __future__ import annotations

import numpy as np
import shapely

from outline2path.drawing.outline import Outline
from outline2path.operations.cut import Cut, Cuts
from outline2path.operations.profile import ProfileSettings, profile
from outline2path.shop.cutter import Cutter
from outline2path.tolerance import GRID_MM, Budget

TOP, BOTTOM = 0.0, -6.0
CHORDS = 32


def planned(
    region: shapely.Polygon | shapely.MultiPolygon, cutter_mm: float = 3.0, **options: object
) -> Cuts:
    """Plan a profile of a region in stock 6 mm thick with its top at z 0."""
    return profile(
        Outline.from_shapely(region),
        Cutter(cutter_mm),
        settings=ProfileSettings(**options),
        top_mm=TOP,
        bottom_mm=BOTTOM,
    )


def cuts_of(plan: Cuts) -> list[Cut]:
    return [cut for contour in plan.contours for cut in contour.cuts]


def spans_of(plan: Cuts, *roles: str) -> list[np.ndarray]:
    """The polylines of all spans with these roles, or of all spans."""
    return [
        span.points
        for cut in cuts_of(plan)
        for span in cut.spans
        if not roles or span.role in roles
    ]


def plane_lines(polylines: list[np.ndarray]) -> shapely.MultiLineString:
    """What the polylines look like from above, vertical ones left out."""
    flat = [p[:, :2] for p in polylines if np.ptp(p[:, 0]) + np.ptp(p[:, 1]) > 0]
    return shapely.MultiLineString(flat)


def segments_below(plan: Cuts, z: float) -> shapely.MultiLineString:
    """What of every segment is lower than z, as seen from above."""
    every = np.concatenate([np.stack((p[:-1], p[1:]), axis=1) for p in spans_of(plan)])
    every = every[np.min(every[:, :, 2], axis=1) < z]
    for near, far in ((0, 1), (1, 0)):  # move an end that is too high down to z
        high = every[:, near, 2] > z
        a, b = every[high, near], every[high, far]
        every[high, near] = b + (a - b) * ((z - b[:, 2]) / (a[:, 2] - b[:, 2]))[:, None]
    return shapely.MultiLineString(list(every[:, :, :2]))


def grown(region: shapely.Polygon | shapely.MultiPolygon, by: float) -> shapely.Geometry:
    """The region and everything within a distance of it, from capsules round its edges."""
    rings = shapely.get_rings(shapely.get_parts(region))
    edges = np.concatenate(
        [
            np.stack((c[:-1], c[1:]), axis=1)
            for c in (shapely.get_coordinates(ring) for ring in rings)
        ]
    )
    capsules = shapely.buffer(shapely.linestrings(edges), by, quad_segs=CHORDS)
    return shapely.union_all([region, *capsules])


def closed(region: shapely.Polygon | shapely.MultiPolygon, r: float) -> shapely.Geometry:
    """Closing by a disc: all that no disc of radius r outside the region reaches."""
    return region.union(grown(region, r).buffer(-r, quad_segs=CHORDS))


def along(geometry: shapely.Geometry, step: float = 0.3) -> np.ndarray:
    """Points of a geometry's edge, its corners and some between them."""
    return shapely.points(shapely.get_coordinates(shapely.segmentize(geometry.boundary, step)))


def stage_bound(tolerance_mm: float = 0.02) -> float:
    """What a ring may lack of its nominal distance: the offset's own stated error."""
    budget = Budget(tolerance_mm)
    return budget.simplify_mm + budget.chords_mm + 4 * GRID_MM
