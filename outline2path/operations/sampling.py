"""Sampling: places along a region's edges, and what lies near and across from them.

In: a region and lines in mm. Out: places at the middle of short pieces of the edges, with the
direction into the region; the distance from each place to lines; the thickness of the region
straight across from each; and runs of neighbouring places that something is true of. Cost is
near-linear in the length of the edges and their detail; there are at most 20000 places.

Thickness across means: along the inward normal to the first edge that runs the other way, to
within 60 degrees. So corners do not count as thin, but tips sharper than 60 degrees do.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.tolerance import TINY

__all__ = ["Places", "places_along", "runs_of"]

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

_MOST = 20_000
_OPPOSITE = -0.5
"""Cosine between two edges that count as running against each other: 120 degrees or more."""


@dataclass(frozen=True, eq=False)
class Places:
    """Places along edges.

    Attributes
    ----------
    points : ndarray, shape (n, 2)
        mm, ring by ring, in order along each.
    inward : ndarray, shape (n, 2)
        Unit vectors into the region.
    lengths_mm : ndarray, shape (n,)
        Of the piece of edge each stands for.
    ring : ndarray, shape (n,)
        Number of the ring: outer rings part by part, each followed by its holes.
    edges : ndarray, shape (m, 2, 2)
        The edges themselves, start and end of each, the region on their left.

    Examples
    --------
    >>> places = places_along(shapely.MultiPolygon([shapely.box(0, 0, 4, 1)]), step_mm=9)
    >>> places.points[0].tolist(), places.inward[0].tolist(), places.lengths_mm.tolist()
    ([4.0, 0.5], [-1.0, 0.0], [1.0, 4.0, 1.0, 4.0])
    """

    points: Floats
    inward: Floats
    lengths_mm: Floats
    ring: NDArray[np.intp]
    edges: Floats

    def distance(self, lines: list[Floats]) -> Floats:
        """Return the distance from each place to the nearest of some lines, shape (n,), mm."""
        pieces = [np.stack((line[:-1], line[1:]), axis=1) for line in lines]
        tree = shapely.STRtree(shapely.linestrings(np.concatenate(pieces)))
        near = tree.query_nearest(
            shapely.points(self.points), return_distance=True, all_matches=False
        )
        found = np.full(len(self.points), np.inf)
        found[near[0][0]] = near[1]
        return found

    def thickness(self, most_mm: float) -> Floats:
        """Return how thick the region is across from each place, infinite above `most_mm`, mm."""
        tree = shapely.STRtree(shapely.linestrings(self.edges))
        rays = np.stack((self.points, self.points + most_mm * self.inward), axis=1)
        ray, edge = tree.query(shapely.linestrings(rays), predicate="intersects")
        start, end = self.edges[edge, 0], self.edges[edge, 1]
        along, inward = end - start, self.inward[ray]
        size = np.hypot(along[:, 0], along[:, 1]) + TINY
        ahead = np.column_stack((inward[:, 1], -inward[:, 0]))  # the place's own direction
        against = (along * ahead).sum(axis=1) / size < _OPPOSITE
        aside = start - self.points[ray]
        cross = along[:, 0] * inward[:, 1] - along[:, 1] * inward[:, 0]
        far = (along[:, 0] * aside[:, 1] - along[:, 1] * aside[:, 0]) / np.where(
            against, cross, 1.0
        )
        found = np.full(len(self.points), np.inf)
        np.minimum.at(found, ray[against], far[against])
        return found


def places_along(region: shapely.MultiPolygon, *, step_mm: float) -> Places:
    """Return places along all edges of a region, no farther apart than a step where that is not
    too many.

    Parameters
    ----------
    region : MultiPolygon
        In mm, not empty.
    step_mm : float
        Between places, mm.

    Examples
    --------
    >>> bar = shapely.MultiPolygon([shapely.box(0, 0, 4, 1)])
    >>> places = places_along(bar, step_mm=1.0)
    >>> len(places.points), float(places.thickness(2.0).min())
    (10, 1.0)
    """
    parts = shapely.get_parts(shapely.orient_polygons(region))
    rings = [shapely.get_coordinates(ring) for ring in shapely.get_rings(parts)]
    edges = np.concatenate([np.stack((r[:-1], r[1:]), axis=1) for r in rings])
    of_ring = np.repeat(np.arange(len(rings)), [len(r) - 1 for r in rings])
    run = edges[:, 1] - edges[:, 0]
    size = np.hypot(run[:, 0], run[:, 1])
    step = max(step_mm, float(size.sum()) / _MOST)
    counts = np.maximum(np.ceil(size / step).astype(np.int64), 1)
    which = np.repeat(np.arange(len(edges)), counts)
    within = np.arange(len(which)) - np.repeat(np.cumsum(counts) - counts, counts)
    share = (within + 0.5) / counts[which]
    left = np.column_stack((-run[:, 1], run[:, 0])) / (size[:, None] + TINY)
    return Places(
        points=edges[which, 0] + share[:, None] * run[which],
        inward=left[which],
        lengths_mm=size[which] / counts[which],
        ring=of_ring[which],
        edges=edges,
    )


def runs_of(flags: Flags, ring: NDArray[np.intp]) -> list[NDArray[np.intp]]:
    """Return the runs of neighbouring places that are flagged, as indices, longest first.

    A run goes over the start of its ring.

    Examples
    --------
    >>> flags = np.array([True, False, True, True, False, True])
    >>> [run.tolist() for run in runs_of(flags, np.zeros(6, np.intp))]
    [[2, 3], [5, 0]]
    """
    found = []
    for number in np.unique(ring[flags]).tolist():
        mine = np.flatnonzero(ring == number)
        set_ = np.flatnonzero(flags[mine])
        gaps = np.flatnonzero(np.diff(set_) > 1) + 1
        runs = np.split(set_, gaps)
        if len(runs) > 1 and set_[0] == 0 and set_[-1] == len(mine) - 1:
            runs = [*runs[1:-1], np.concatenate((runs[-1], runs[0]))]
        found += [mine[run] for run in runs]
    return sorted(found, key=len, reverse=True)
