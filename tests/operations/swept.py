"""Replay of planned cuts with plain shapely: what a round cutter sweeps at a depth.

A sweep is the union of one capsule for each stretch of the path, each exact to its chords; the
chords are those of polygons inscribed in the circle, so a sweep is never too large.
"""

from __future__ import annotations

import numpy as np
import shapely

from outline2path.operations.cut import Cut, Cuts

CHORDS = 32
"""To a quarter turn: the sagitta is 0.0003 of the radius."""
SAGITTA = 3.1e-4


def cuts_of(plan: Cuts) -> list[Cut]:
    return [cut for contour in plan.contours for cut in contour.cuts]


def segments_at(plan: Cuts, z: float | None = None, *roles: str) -> np.ndarray:
    """Stretches (n, 2, 2) seen from above that lie at a depth, or all of them."""
    found = [np.empty((0, 2, 2))]
    for cut in cuts_of(plan):
        for span in cut.spans:
            if roles and span.role not in roles:
                continue
            pair = np.stack((span.points[:-1], span.points[1:]), axis=1)
            if z is not None:
                pair = pair[np.all(np.abs(pair[:, :, 2] - z) < 1e-9, axis=1)]
            found.append(pair[:, :, :2])
    return np.concatenate(found)


def capsules(segments: np.ndarray, radius: float) -> shapely.Geometry:
    """Everything within a radius of the stretches."""
    lines = shapely.linestrings(segments)
    return shapely.union_all(shapely.buffer(lines, radius, quad_segs=CHORDS))


def swept(plan: Cuts, radius: float, z: float) -> shapely.Geometry:
    """What the cutter sweeps on its level moves at a depth."""
    return capsules(segments_at(plan, z), radius)


def edges(region: shapely.Geometry) -> np.ndarray:
    """Every straight piece of a region's edge, shape (n, 2, 2)."""
    rings = [shapely.get_coordinates(r) for r in shapely.get_rings(shapely.get_parts(region))]
    return np.concatenate(
        [np.empty((0, 2, 2)), *(np.stack((c[:-1], c[1:]), axis=1) for c in rings)]
    )


def reachable(region: shapely.Geometry, radius: float, allowance: float = 0.0) -> shapely.Geometry:
    """All that discs of a radius sweep which stay inside a region, an allowance off its edge.

    Shrinking takes away a little more than the radius, growing gives back a little less, so that
    nothing is asked for that cannot be reached.
    """
    shrunk = region.difference(capsules(edges(region), (radius + allowance) * (1 + SAGITTA)))
    return shrunk.union(capsules(edges(shrunk), radius))


def speck_width(uncut: shapely.Geometry) -> float:
    """Diameter of the widest disc in what is left."""
    parts = shapely.get_parts(uncut)
    parts = parts[shapely.area(parts) > 1e-9]
    if not len(parts):
        return 0.0
    return float(2 * shapely.length(shapely.maximum_inscribed_circle(parts, 1e-4)).max())


def nearest_to_edge(plan: Cuts, region: shapely.Geometry) -> float:
    """Least distance of the cutter's centre from the region's edge; negative where it is out."""
    lines = shapely.linestrings(segments_at(plan))
    inside = shapely.covers(region, lines)
    if not np.all(inside):
        return -float(shapely.length(shapely.difference(lines[~inside], region)).max())
    return float(shapely.distance(lines, region.boundary).min())
