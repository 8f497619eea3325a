"""Pieces: what the stock falls into once every ring is cut to full depth.

In: the rings and the cutter. Out: the pieces of stock that the path cuts off all round, seen from
above, the rings that are cut inside each, and the pieces beside a place of the path. A part is a
piece; so is the slug of a hole, an island, and the waste between a tail and a leg, closed off by
a gap that the cutter just passes or that it opens from both sides. The pieces are the holes of
the cutter's sweep by shapely's buffer; a tenth of a millimetre does not matter here.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray

if TYPE_CHECKING:
    from outline2path.operations.rings import Ring

__all__ = ["STOCK", "Pieces", "pieces_of"]

STOCK = -1
"""The piece outside everything: the stock that is clamped."""
_QUADRANT = 8
_SIMPLER = 0.02
"""Share of the cutter's radius that the path may be simplified by for this."""
_SWEPT = 1.05
"""Radii that count as swept: a neck left a tenth of a radius thin holds nothing."""
_BESIDE = 1.15
"""Radii: the path runs beside whatever is no farther than this from it."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Pieces:
    """Pieces of stock that hang on nothing once the rings are cut.

    The ground that rings cut together, where they overlap, is one sweep; its holes are pieces.

    Attributes
    ----------
    shapes : tuple of Polygon
        What is cut off all round, whatever is cut within it filled in; mm.
    owners : tuple of int
        For each piece, the sweep that it is a hole of.
    outsides : tuple of LinearRing
        For each sweep, its outer edge.
    within : tuple of int
        For each sweep, the smallest piece it lies in; `STOCK` outside them all.
    sweeps : tuple of int
        For each ring, its sweep.
    reach_mm : float
        A piece no farther than this from a ring is beside it.
    """

    shapes: tuple[shapely.Polygon, ...] = ()
    owners: tuple[int, ...] = ()
    outsides: tuple[shapely.LinearRing, ...] = ()
    within: tuple[int, ...] = ()
    sweeps: tuple[int, ...] = ()
    reach_mm: float = 0.0

    def depth(self, ring: int) -> int:
        """Return how many pieces a ring is cut inside of."""
        deep, piece = 0, self.within[self.sweeps[ring]]
        while piece != STOCK:
            deep, piece = deep + 1, self.within[self.owners[piece]]
        return deep

    def ordered(self, order: list[int]) -> Pieces:
        """Return the same pieces for the rings in another order."""
        return replace(self, sweeps=tuple(self.sweeps[k] for k in order))

    @cached_property
    def nested(self) -> tuple[set[int], ...]:
        """For each piece, those within it, to any depth."""
        found: tuple[set[int], ...] = tuple(set() for _ in self.shapes)
        for piece, owner in enumerate(self.owners):
            outer = self.within[owner]
            while outer != STOCK:
                found[outer].add(piece)
                outer = self.within[self.owners[outer]]
        return found

    def inside_of(self, ring: int) -> set[int]:
        """Return the rings cut inside a piece that a ring and those it overlaps cut off.

        They come first: in a piece that is loose nothing may be cut.
        """
        return self._held.get(self.sweeps[ring], set())

    @cached_property
    def _held(self) -> dict[int, set[int]]:
        """For each sweep, the rings in its holes."""
        held: dict[int, set[int]] = {}
        for ring, sweep in enumerate(self.sweeps):
            piece = self.within[sweep]
            if piece != STOCK:
                held.setdefault(self.owners[piece], set()).add(ring)
        return held

    def beside(self, places: NDArray[np.float64]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Return pairs of a place of the path, (n, 2), and a piece beside it, as indices."""
        rims = [*(shape.exterior for shape in self.shapes), *self.outsides]
        bounds = np.array([*range(len(self.shapes)), *self.within], dtype=np.int64)
        tree = shapely.STRtree(rims)
        place, rim = tree.query(
            shapely.points(places), predicate="dwithin", distance=self.reach_mm
        )
        pairs = np.unique(np.column_stack((place, bounds[rim])), axis=0)
        return pairs[:, 0], pairs[:, 1]


def pieces_of(
    rings: list[Ring], *, cutter_mm: float, rough: list[Ring] | None = None, more_mm: float = 0.0
) -> Pieces:
    """Return what the stock falls into.

    Parameters
    ----------
    rings : list of Ring
        Every ring cut to full depth, mm.
    cutter_mm : float
        Cutting diameter, mm.
    rough : list of Ring, optional
        Roughing rings, which cut to full depth too.
    more_mm : float
        How much farther out than the rings those run.

    Examples
    --------
    >>> from outline2path.operations.rings import rings_of
    >>> plate = shapely.box(0, 0, 60, 60).difference(shapely.box(9, 9, 29, 29))
    >>> rings = rings_of(shapely.MultiPolygon([plate]), side="outside", direction="climb")
    >>> found = pieces_of(rings, cutter_mm=2.0)
    >>> sorted(round(shape.area) for shape in found.shapes), found.inside_of(0)
    ([320, 3352], {1})
    """
    radius = cutter_mm / 2
    lines = shapely.multilinestrings(
        [shapely.linearrings(r.loop.points) for r in [*rings, *(rough or [])]]
    )
    lines = shapely.simplify(lines, _SIMPLER * radius)
    swept = shapely.buffer(lines, _SWEPT * radius, quad_segs=_QUADRANT)
    parts = shapely.get_parts(swept)
    outsides = shapely.get_exterior_ring(parts)
    holes = [(n, shapely.Polygon(hole)) for n, part in enumerate(parts) for hole in part.interiors]
    shapes = [shape for _, shape in holes]
    starts = shapely.get_point(outsides, 0)
    inner, outer = shapely.STRtree(shapes).query(starts, predicate="within")
    within = [STOCK] * len(parts)
    for sweep, piece in zip(inner.tolist(), outer.tolist(), strict=True):
        known = within[sweep]
        if known == STOCK or shapes[piece].area < shapes[known].area:
            within[sweep] = piece
    middles = shapely.points([ring.loop.points[0] for ring in rings])
    _, sweeps = shapely.STRtree(parts).query_nearest(middles, all_matches=False)
    return Pieces(
        shapes=tuple(shapes),
        owners=tuple(n for n, _ in holes),
        outsides=tuple(outsides),
        within=tuple(within),
        sweeps=tuple(sweeps.tolist()),
        reach_mm=_BESIDE * radius + more_mm,
    )
