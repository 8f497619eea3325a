"""Taken: every piece of the path is held against the ground it may take.

In: the path below the stock's top, and the ground with its floors. Out: the deepest cut into what
must stand, and the deepest cut below a floor: a piece whose middle is in what stands, but that
would be lawful in a slab higher up, is too deep; all else is a gouge.

A flat cutter is judged at its tip, where most must stand. A cone or a ball is judged in every
slab it rises through, at the height where it is widest there. Sloping pieces are taken at their
lower end; where that alarms, they are divided until it is sure. Lengths in mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.proof.gouge import Worst
from outline2path.proof.tracks import EVEN_MM, Floats, Pieces
from outline2path.tolerance import GOUGE_LIMIT_MM

if TYPE_CHECKING:
    from outline2path.proof.ground import Ground

__all__ = ["Taken", "taken"]

_NONE = Worst(0.0, None, None)
_RISE_MM = 0.0003
_MOST_PARTS = 4000


@dataclass(frozen=True)
class Taken:
    """What was found.

    Attributes
    ----------
    gouge, too_deep : Worst
        How deep the cutter goes into what must stand, and below the floor of what it may take.
    """

    gouge: Worst
    too_deep: Worst


def taken(path: Pieces, ground: Ground) -> Taken:
    """Judge the path.

    Examples
    --------
    >>> import shapely
    >>> from outline2path.proof.body import Body
    >>> from outline2path.proof.claims import claims_of
    >>> from outline2path.proof.feature import Feature
    >>> from outline2path.proof.ground import Ground
    >>> from outline2path.shop.cutter import Cutter
    >>> body = Body(Cutter(3.0))
    >>> slot = Feature(kind="pocket", region_fine=shapely.box(0, 0, 40, 6), bottom_mm=-3.0)
    >>> ground = Ground(claims_of([slot], body), [], top_mm=0.0, body=body)
    >>> run = Pieces(np.array([[2.0, 2, -3.1]]), np.array([[38.5, 2, -3.1]]), np.array([7]))
    >>> found = taken(run, ground)
    >>> found.gouge.value.__round__(6), found.too_deep.value.__round__(6)
    (0.0, 0.1)
    """
    once = path.lowest_once()
    gouge, deep = _NONE, _NONE
    for slab in range(-1, len(ground.floors)):
        if ground.body.is_flat:
            low = ground.floors[slab] - EVEN_MM if slab >= 0 else -np.inf
            pieces = once.between(low, ground.ceiling(slab) - EVEN_MM).thinned()
            heights = [ground.floors[max(slab, 0)]]
        else:
            pieces, heights = once.thinned(by_level=True), ground.heights(slab)
        for z in heights:
            found = _at(pieces, ground, slab, z)
            gouge = max(gouge, found.gouge, key=_value)
            deep = max(deep, found.too_deep, key=_value)
    return Taken(gouge, deep)


def _value(worst: Worst) -> float:
    return worst.value


def _at(pieces: Pieces, ground: Ground, slab: int, z: float) -> Taken:
    """Judge pieces at one height of a slab."""
    if not ground.body.is_flat:
        pieces = pieces.below(z - EVEN_MM)
    if not len(pieces):
        return Taken(_NONE, _NONE)
    depth, place = _depth(pieces, ground, (slab, z))
    bad = np.flatnonzero(depth > GOUGE_LIMIT_MM)
    if len(bad) and not ground.body.is_flat:
        fine = _divided(pieces.where(bad))
        kept = np.delete(np.arange(len(pieces)), bad)
        again, at = _depth(fine, ground, (slab, z))
        pieces = _joined(pieces.where(kept), fine)
        depth = np.concatenate([depth[kept], again])
        place = np.concatenate([place[kept], at])
        bad = np.flatnonzero(depth > GOUGE_LIMIT_MM)
    deep = _too_deep(pieces, ground, (slab, z), (bad, depth, place))
    return Taken(_worst(pieces, depth, place), deep)


def _depth(pieces: Pieces, ground: Ground, where: tuple[int, float]) -> tuple[Floats, Floats]:
    slab, z = where
    radius = ground.body.radius_at(z - pieces.low)
    return ground.level(slab, z).depth(pieces, radius)


def _too_deep(
    pieces: Pieces,
    ground: Ground,
    where: tuple[int, float],
    found: tuple[NDArray[np.int64], Floats, Floats],
) -> Worst:
    """Look for bad pieces in higher slabs; what is lawful there is no gouge but too deep."""
    slab, z = where
    bad, depth, place = found
    worst = _NONE
    radius = ground.body.radius_at(z - pieces.low[bad])
    bad = bad[depth[bad] >= radius - GOUGE_LIMIT_MM]
    for higher in range(slab + 1, len(ground.floors)):
        floor = ground.floors[higher]
        if not len(bad):
            break
        level = max(z, floor) if ground.body.is_flat else z
        part = pieces.where(bad)
        less, at = _depth(part, ground, (higher, level))
        better = less < depth[bad]
        depth[bad[better]], place[bad[better]] = less[better], at[better]
        lawful = depth[bad] <= GOUGE_LIMIT_MM
        below = floor - part.low
        if (lawful & (below > worst.value)).any():
            n = int(np.where(lawful, below, -np.inf).argmax())
            worst = Worst(float(below[n]), _point(part.end[n]), int(part.row[n]))
        bad = bad[~lawful]
    return worst


def _worst(pieces: Pieces, depth: Floats, place: Floats) -> Worst:
    n = int(depth.argmax())
    if depth[n] <= 0:
        return _NONE
    return Worst(float(depth[n]), _point(place[n]), int(pieces.row[n]))


def _point(xyz: Floats) -> tuple[float, float]:
    x, y = xyz[:2].tolist()
    return x, y


def _divided(pieces: Pieces) -> Pieces:
    """Divide sloping pieces into steps so low that a cone is as good as level on them."""
    rise = pieces.high - pieces.low
    moves = (pieces.start[:, :2] != pieces.end[:, :2]).any(axis=1)
    count = np.where(moves, np.ceil(rise / _RISE_MM), 1).clip(1, _MOST_PARTS).astype(np.int64)
    owner = np.repeat(np.arange(len(pieces)), count)
    step = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
    along = (pieces.end - pieces.start)[owner]
    a = pieces.start[owner] + (step / count[owner])[:, None] * along
    b = pieces.start[owner] + ((step + 1) / count[owner])[:, None] * along
    return Pieces(a, b, pieces.row[owner])


def _joined(first: Pieces, second: Pieces) -> Pieces:
    return Pieces(
        np.concatenate([first.start, second.start]),
        np.concatenate([first.end, second.end]),
        np.concatenate([first.row, second.row]),
    )
