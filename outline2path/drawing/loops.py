"""Loops: lines, as flattened -> closed rings, tidied, with what is needed to fill them.

In: points of many sub-paths in one table, in any one unit. Out: one closed ring for each that
bounds anything: repeated points dropped, its polygon, and whether it meets itself nowhere. All
rings of a drawing are worked at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

__all__ = ["Loops", "different_edges", "loops_of", "rings_table"]

_LONG = 20_000
"""Points from which a ring is looked at for going over its own edges again and again."""

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
_NONE = np.zeros(0, dtype=object)


@dataclass(frozen=True, eq=False, slots=True)
class Loops:
    """Closed rings.

    Attributes
    ----------
    points : ndarray, shape (m, 2)
        Of all rings, in order; the first of each need not be repeated at its end.
    first : ndarray of int, shape (k + 1,)
        Where each ring begins, and where the last one ends.
    owner : ndarray of int, shape (k,)
        To which figure each belongs.
    rings : ndarray of LinearRing, shape (k,)
    polygons : ndarray of Polygon, shape (k,)
        Each ring filled.
    sound : list of bool
        Whether each neither touches nor crosses itself.
    """

    points: Floats
    first: Ints
    owner: Ints
    rings: NDArray[Any]
    polygons: NDArray[Any]
    sound: list[bool]

    def __len__(self) -> int:
        return len(self.owner)

    def ring(self, k: int) -> Floats:
        """Return the points of one ring, its first one repeated at the end."""
        ring = self.points[self.first[k] : self.first[k + 1]]
        if (ring[0] != ring[-1]).any():
            ring = np.concatenate([ring, ring[:1]])
        return ring


def loops_of(points: Floats, first: Ints, owner: Ints) -> Loops:
    """Close lines to rings; those of fewer than three different points are left out.

    Parameters
    ----------
    points : ndarray, shape (m, 2)
        Of all lines, in order.
    first : ndarray of int, shape (k + 1,)
        Where each line begins, and where the last one ends; none is empty.
    owner : ndarray of int, shape (k,)
        To which figure each belongs.

    Examples
    --------
    >>> square = np.array([[0, 0], [2, 0], [2, 2], [2, 2], [0, 2.0]])
    >>> loops = loops_of(square, np.array([0, 5]), np.array([0]))
    >>> len(loops.points), loops.polygons[0].area, loops.sound
    (4, 4.0, [True])
    """
    if len(owner):
        points, first, owner = _tidied(points, first, owner)
    if not len(owner):
        return Loops(points, first, owner, _NONE, _NONE, [])
    rings = shapely.linearrings(points, indices=np.arange(len(owner)).repeat(np.diff(first)))
    polygons = shapely.polygons(rings)
    return Loops(points, first, owner, rings, polygons, _sound(polygons, points, first).tolist())


def _tidied(points: Floats, first: Ints, owner: Ints) -> tuple[Floats, Ints, Ints]:
    """Drop repeated points, and lines of fewer than three different ones."""
    begin, end = first[:-1], first[1:]
    z = points.view(np.complex128)[:, 0]
    kept = np.ones(len(z), dtype=bool)
    np.not_equal(z[1:], z[:-1], out=kept[1:])
    kept[begin] = True
    counts = np.add.reduceat(kept, begin, dtype=np.int64)
    bounds = counts - (z[begin] == z[end - 1]) >= 3
    if not bounds.all():
        kept &= bounds.repeat(end - begin)
        counts, owner = counts[bounds], owner[bounds]
    if len(owner) == len(begin) and len(z) == counts.sum():
        return points, first, owner
    return points[kept], np.concatenate([[0], counts.cumsum()]), owner


def _sound(polygons: NDArray[Any], points: Floats, first: Ints) -> NDArray[np.bool_]:
    """Whether polygons of one ring each are valid."""
    again = [
        k
        for k in np.flatnonzero(np.diff(first) >= _LONG).tolist()
        if _repeats(points[first[k] : first[k + 1]])
    ]
    looked = np.ones(len(polygons), dtype=bool)
    looked[again] = False
    looked[looked] = shapely.is_valid(polygons[looked])
    return looked


def _repeats(ring: Floats) -> bool:
    """Whether a ring goes over its own edges again and again."""
    edges, _ = different_edges(np.hstack([ring[:-1], ring[1:]]), evenodd=False)
    return len(edges) < 0.9 * len(ring)


def different_edges(edges: Floats, *, evenodd: bool) -> tuple[Floats, Ints]:
    """Return the different edges, whatever their direction, and the sum of what each counts.

    Parameters
    ----------
    edges : ndarray, shape (n, 4)
        x0, y0, x1, y1.
    evenodd : bool
        Whether each counts one, or one forwards and minus one backwards.

    Examples
    --------
    >>> there_and_back = np.array([[0, 0, 1, 0], [1, 0, 0, 0.0]])
    >>> different_edges(there_and_back, evenodd=False)[1].tolist()
    [0]
    """
    back = (edges[:, 0] > edges[:, 2]) | (
        (edges[:, 0] == edges[:, 2]) & (edges[:, 1] > edges[:, 3])
    )
    edges = np.where(back[:, None], edges[:, [2, 3, 0, 1]], edges)
    order = np.lexsort(edges.T)
    edges, back = edges[order], back[order]
    new = np.append(True, (edges[1:] != edges[:-1]).any(axis=1))
    which = np.cumsum(new) - 1
    worth = np.ones(len(edges)) if evenodd else np.where(back, -1.0, 1.0)
    return edges[new], np.bincount(which, weights=worth).astype(np.int64)


def rings_table(rings: Sequence[Floats]) -> Loops:
    """Close single rings, shape (n, 2) each, of one figure.

    Examples
    --------
    >>> len(rings_table([np.array([[0, 0], [2, 0], [2, 2.0]]), np.zeros((0, 2))]))
    1
    """
    rings = [r for r in rings if len(r)]
    first = np.cumsum([0, *map(len, rings)])
    points = np.concatenate([np.zeros((0, 2)), *rings])
    return loops_of(points, first, np.zeros(len(rings), dtype=np.int64))
