"""Ground: what may be taken at each height, and what must stand.

In: claims. Out: levels. The floors of the claims cut the height into slabs; within one, what may
be taken is the same (but for chamfers, whose band widens with the height). At a height

    stands = all regions that are kept, less all ground that claims active there may take

where a claim is active from its floor upwards. If no claim that leaves waste around its region is
active, everything stands but what claims may take. So less stands the higher one looks, and a
flat cutter need only be judged at its tip.

A disc that is clear of all kept regions, or lies in the ground that may be taken, is judged by
these edges as drawn, exactly. Only where it takes both to allow it, they are put together by
shapely, and slivers thinner than two micrometres between them are dropped. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.proof.along import farthest
from outline2path.proof.claims import Claim, areas, joined
from outline2path.proof.edge import Edge
from outline2path.proof.gouge import sink
from outline2path.proof.tracks import EVEN_MM, Floats, Pieces
from outline2path.tolerance import GOUGE_LIMIT_MM

if TYPE_CHECKING:
    from outline2path.proof.body import Body

__all__ = ["Ground", "Level"]

_QUADRANT = 64
_CHAMFER_STEPS = 4


class Level:
    """What may be taken at one height.

    Parameters
    ----------
    z : float
        The height, mm.
    claims : sequence of Claim
        All claims.
    floor : float
        Lowest floor of the active ones.
    """

    def __init__(self, z: float, claims: Sequence[Claim], *, floor: float) -> None:
        active = [claim for claim in claims if claim.floor_mm <= floor + EVEN_MM]
        self._z = z
        self._kept = [claim for claim in claims if claim.keeps]
        self._taken = [claim for claim in active if claim.takes]
        self._bands = [claim for claim in active if claim.keeps and claim.band_mm(z) > 0]
        self._waste = any(claim.keeps for claim in active)
        lefts = {claim.left_mm(z) for claim in self._kept}
        self._alike = len(lefts) == 1 and len(self._bands) in (0, len(self._kept))
        """Whether one edge, moved by one distance, tells of all that is kept."""
        self.lines = [
            claim
            for claim in active
            if claim.region is None and z <= claim.feature.top_mm + EVEN_MM
        ]

    @cached_property
    def around(self) -> Edge | None:
        """Edge of all that is kept, where all around it is waste."""
        if not self._waste:
            return None
        if self._alike:
            region = shapely.union_all([claim.region for claim in self._kept])
            left = self._kept[0].left_mm(self._z)
            return Edge(areas(region), keeps_inside=True, allowance_mm=left)
        lefts = {claim.feature.allowance_mm for claim in self._kept}
        left = lefts.pop() if len(lefts) == 1 else 0.0
        grown = [_grown(c.region, c.feature.allowance_mm - left) for c in self._kept]
        return Edge(areas(shapely.union_all(grown)), keeps_inside=True, allowance_mm=left)

    @cached_property
    def inside(self) -> Edge | None:
        """Edge of the ground that claims may take."""
        bands = self._bands and not self._alike
        if not self._taken and not bands:
            return None
        if len(self._taken) == 1 and not bands and self._taken[0].feature.kind != "face":
            return self._taken[0].edge(self._z)
        return Edge(self._may_take, keeps_inside=False, allowance_mm=0.0)

    @cached_property
    def _may_take(self) -> shapely.MultiPolygon:
        taken = [claim.may_take(self._z) for claim in (*self._taken, *self._bands)]
        return areas(joined(taken))

    @cached_property
    def together(self) -> Edge | None:
        """Edge of what stands for all claims together, where no one of them tells."""
        if not self._waste or self.inside is None:
            return None
        kept = [_grown(claim.region, claim.feature.allowance_mm) for claim in self._kept]
        rest = shapely.difference(shapely.union_all(kept), self._may_take)
        thin = 2 * GOUGE_LIMIT_MM
        rest = shapely.buffer(rest, -thin, join_style="mitre")
        rest = shapely.buffer(rest, thin, join_style="mitre")
        return Edge(areas(rest), keeps_inside=True, allowance_mm=0.0)

    def depth(self, pieces: Pieces, radius: Floats) -> tuple[Floats, Floats]:
        """Return how deep each piece cuts into what stands, mm, and where, (n, 2).

        Parameters
        ----------
        pieces : Pieces
            Of the cutter's centre, judged as if they ran at this height.
        radius : ndarray
            Radius of the body at this height, one for each.
        """
        depth = np.full(len(pieces), np.inf)
        place = pieces.end[:, :2].copy()
        rows = np.arange(len(pieces))
        for edge in ("around", "inside", "together"):
            rows = rows[depth[rows] > GOUGE_LIMIT_MM]
            stands = getattr(self, edge) if len(rows) else None
            if stands is not None:
                found, at = sink(pieces.where(rows), stands, radius[rows] + stands.reach_mm)
                less = found < depth[rows]
                depth[rows[less]], place[rows[less]] = found[less], at[less]
        rows = rows[depth[rows] > GOUGE_LIMIT_MM]
        depth[rows] = np.where(np.isfinite(depth[rows]), depth[rows], radius[rows])
        self._on_lines(pieces, rows, depth)
        return np.maximum(depth, 0.0), place

    def _on_lines(self, pieces: Pieces, rows: NDArray[np.int64], depth: Floats) -> None:
        """Let pass what follows a line; what strays from one goes no deeper than it strays."""
        for claim in self.lines:
            if not len(rows):
                return
            off, _ = farthest(pieces.where(rows), claim.centres)
            ok = off <= claim.feature.tolerance_mm
            depth[rows] = np.where(ok, 0.0, np.minimum(depth[rows], off))
            rows = rows[~ok]


class Ground:
    """All claims, slab by slab.

    Parameters
    ----------
    own, others : sequence of Claim
        Of the program judged, and of those run before it.
    top_mm : float
        The highest ground.
    body : Body
        What is judged.

    Attributes
    ----------
    floors : list of float
        From the lowest up; the slab of each reaches to the next.
    """

    def __init__(
        self, own: Sequence[Claim], others: Sequence[Claim], *, top_mm: float, body: Body
    ) -> None:
        self.own = list(own)
        self.all = [*own, *others]
        self.top_mm = top_mm
        self.body = body
        self.floors: list[float] = []
        for floor in sorted({claim.floor_mm for claim in self.all}):
            if floor < top_mm and (not self.floors or floor > self.floors[-1] + EVEN_MM):
                self.floors.append(floor)
        self._levels: dict[tuple[int, float], Level] = {}

    @property
    def only_lines(self) -> bool:
        """Whether nothing but lines was to be followed."""
        return all(claim.region is None for claim in self.all)

    def level(self, slab: int, z: float) -> Level:
        """Return the level of a slab at a height within it, mm; below all slabs none is active."""
        key = (slab, z)
        if key not in self._levels:
            floor = self.floors[slab] if slab >= 0 else -np.inf
            self._levels[key] = Level(z, self.all, floor=floor)
        return self._levels[key]

    def ceiling(self, slab: int) -> float:
        """Return the height at which a slab ends, mm; -1 is what lies below all floors."""
        return self.floors[slab + 1] if slab + 1 < len(self.floors) else self.top_mm

    def heights(self, slab: int) -> list[float]:
        """Return the heights of a slab at which a body that widens upwards is judged, mm."""
        top = self.ceiling(slab)
        found = {top}
        low = self.floors[slab] if slab >= 0 else -np.inf
        for claim in self.all:
            if claim.feature.width_mm is None or not claim.body.slope:
                continue
            upper = claim.feature.top_mm
            begin = upper - claim.feature.width_mm / claim.body.slope
            found |= set(np.linspace(begin, upper, _CHAMFER_STEPS + 1).tolist())
        return sorted(z for z in found if low < z <= top)


def _grown(region: shapely.MultiPolygon | None, by: float) -> shapely.MultiPolygon:
    if region is None or by == 0:
        return region or shapely.MultiPolygon()
    grown: shapely.MultiPolygon = shapely.buffer(region, by, quad_segs=_QUADRANT)
    return grown
