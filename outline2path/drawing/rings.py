"""Rings: each edge of an outline's region, with the elements of the drawing it came from.

In: an outline. Out: one `Ring` for every shell and hole of its region, in the region's order.
Where it came from is found by the points: a union keeps the drawn points exactly as they were,
so each point of a ring names its figures. A ring made of several shapes names them all.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from numpy.typing import NDArray

if TYPE_CHECKING:
    from outline2path.drawing.figures import Element
    from outline2path.drawing.outline import Outline

__all__ = ["Ring", "rings_of"]


@dataclass(frozen=True, eq=False, kw_only=True)
class Ring:
    """One closed edge of a region.

    Attributes
    ----------
    part : int
        Which polygon of the region it belongs to.
    is_hole : bool
        Whether it bounds a hole.
    elements : tuple of Element
        The elements it came from, in drawing order; empty for outlines made in Python.
    points : ndarray, shape (n, 2)
        In mm, y up, the first repeated at the end; shells counter-clockwise, holes clockwise.
    """

    part: int
    is_hole: bool
    elements: tuple[Element, ...]
    points: NDArray[np.float64]

    def __repr__(self) -> str:
        kind = "hole" if self.is_hole else "edge"
        names = ", ".join(map(str, self.elements)) or "no element"
        return f"Ring({kind} of part {self.part}, {len(self.points) - 1} points, from {names})"


def rings_of(outline: Outline, tolerance_mm: float) -> tuple[Ring, ...]:
    """Return every ring of the outline's region at this tolerance.

    Examples
    --------
    >>> from outline2path.drawing.outline import Outline
    >>> rings_of(Outline.from_shapely(shapely.box(0, 0, 4, 2)), 0.01)
    (Ring(edge of part 0, 4 points, from no element),)
    """
    drawn = outline.drawn_within(tolerance_mm)
    keys, owners = _owners([*drawn.areas, *map(shapely.Polygon, drawn.joined.rings)])
    figures = outline.figures
    found = []
    for part, polygon in enumerate(drawn.region.geoms):
        for k, ring in enumerate((polygon.exterior, *polygon.interiors)):
            points = shapely.get_coordinates(ring)
            mine = [i for i in _who(points, keys, owners) if i < len(figures)]
            elements = tuple(figures[i].element for i in mine)
            found.append(Ring(part=part, is_hole=k > 0, elements=elements, points=points))
    return tuple(found)


def _owners(areas: list[Any]) -> tuple[NDArray[np.complex128], NDArray[np.int64]]:
    """Points of all areas, sorted, with the area each belongs to."""
    if not areas:
        return np.zeros(0, dtype=complex), np.zeros(0, dtype=np.int64)
    points, owner = shapely.get_coordinates(areas, return_index=True)
    keys = np.ascontiguousarray(points).view(np.complex128).ravel()
    order = np.argsort(keys, kind="stable")
    return keys[order], owner[order]


def _who(
    points: NDArray[np.float64], keys: NDArray[np.complex128], owners: NDArray[np.int64]
) -> list[int]:
    """Return the areas that hold any of these points."""
    wanted = np.ascontiguousarray(points).view(np.complex128).ravel()
    low, high = np.searchsorted(keys, wanted), np.searchsorted(keys, wanted, side="right")
    spans = [owners[a:b] for a, b in zip(low.tolist(), high.tolist(), strict=True) if b > a]
    return np.unique(np.concatenate(spans)).tolist() if spans else []
