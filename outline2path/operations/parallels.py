"""Parallels: the offset of well-behaved rings, point by point, without any clipping.

In: closed rings in mm, outer ones counter-clockwise, holes clockwise, and a signed distance. Out:
the rings moved sideways by it, or None where a ring is too tightly curved for its parallel to be
its offset. Each edge moves along its normal; corners that open get an arc of chords whose ends
lie on the circle (a shallow corner gets the one point where its edges meet, no farther than
`chords_mm` outside the circle); corners that close are cut back to where their edges meet, which
takes distance x tan(turn / 2) off both edges and must leave something of them.

The caller must still look whether the moved rings cross each other or themselves: where none do,
every point has winding number 0 or 1 and the rings bound the offset (Chen and McMains,
DETC2005-85513); where some do, another way is needed.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from outline2path.tolerance import LENGTH_EPSILON_MM

__all__ = ["parallels"]

Floats = NDArray[np.float64]
_TURN_BACK = -1 + LENGTH_EPSILON_MM
"""Cosine of the sharpest turn: keeps a spike that doubles back from dividing by nothing."""


def parallels(rings: list[Floats], distance_mm: float, *, chords_mm: float) -> list[Floats] | None:
    """Move rings sideways, outwards for a distance above 0.

    Parameters
    ----------
    rings : list of ndarray, shape (n, 2)
        Closed, mm, outer ones counter-clockwise, holes clockwise.
    distance_mm : float
        How far, mm; negative is inwards.
    chords_mm : float
        Greatest distance of a chord or a shallow corner from its arc, mm.

    Returns
    -------
    list of ndarray or None
        Closed rings in the same order; None where an edge would be cut back to nothing.

    Examples
    --------
    >>> square = np.array([(0.0, 0), (4, 0), (4, 4), (0, 4), (0, 0)])
    >>> (ring,) = parallels([square], -1.0, chords_mm=0.001)
    >>> ring.tolist()
    [[1.0, 1.0], [3.0, 1.0], [3.0, 3.0], [1.0, 3.0], [1.0, 1.0]]
    >>> parallels([square], -2.1, chords_mm=0.001) is None
    True
    """
    points = np.concatenate([ring[:-1] for ring in rings])
    after, before = _neighbours([len(ring) - 1 for ring in rings])
    edges = points[after] - points
    lengths = np.hypot(edges[:, 0], edges[:, 1])
    if np.min(lengths) <= LENGTH_EPSILON_MM:
        return None
    normals = np.column_stack((edges[:, 1], -edges[:, 0])) / lengths[:, None]
    came = normals[before]
    sine = came[:, 0] * normals[:, 1] - came[:, 1] * normals[:, 0]
    cosine = np.maximum(np.sum(came * normals, axis=1), _TURN_BACK)
    opens = sine * distance_mm > 0
    cut_back = np.where(opens, 0.0, abs(distance_mm * sine) / (1 + cosine))  # tan(turn / 2)
    if np.any(cut_back + cut_back[after] > lengths):
        return None
    reach = np.sqrt(2 / (1 + cosine))  # of the corner's point, in distances
    arcs = np.flatnonzero(opens & (abs(distance_mm) * (reach - 1) > chords_mm))
    moved = points + distance_mm * (came + normals) / (1 + cosine)[:, None]
    counts = np.ones(len(points), dtype=np.intp)
    if len(arcs):
        turns = np.arctan2(sine[arcs], np.sum(came[arcs] * normals[arcs], axis=1))
        step = 2 * math.acos(max(1 - chords_mm / max(abs(distance_mm), chords_mm), 0.0))
        counts[arcs] = np.ceil(np.abs(turns) / step).astype(np.intp) + 1
        which = np.repeat(np.arange(len(arcs)), counts[arcs])
        ends = np.cumsum(counts[arcs])
        nth = np.arange(ends[-1]) - (ends - counts[arcs])[which]
        angle = np.arctan2(came[arcs, 1], came[arcs, 0])[which]
        angle += turns[which] * nth / (counts[arcs] - 1)[which]
        arms = np.column_stack((np.cos(angle), np.sin(angle)))
        moved = np.repeat(moved, counts, axis=0)
        moved[np.repeat(counts > 1, counts)] = points[arcs][which] + distance_mm * arms
    last = np.cumsum([len(ring) - 1 for ring in rings])[:-1]
    return [np.vstack((ring, ring[:1])) for ring in np.split(moved, np.cumsum(counts)[last - 1])]


def _neighbours(counts: list[int]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return the index of the next and of the last point, going round within each ring."""
    first = np.cumsum([0, *counts[:-1]])
    final = np.cumsum(counts) - 1
    index = np.arange(sum(counts))
    after, before = index + 1, index - 1
    after[final], before[first] = first, final
    return after, before
