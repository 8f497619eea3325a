"""Leftover: what stays on the edge although the cutter could have taken it.

In: the cutter's path at one height and the edge. Out: the most that stays, and where.

Wherever a cutter of radius r may stand r + T or farther from the part, the ground under it must
be gone. The edge of that ground is a closed curve: at distance T from the part's edge, and across
each corner, gap or hole that cannot be entered an arc of radius r. (In other words the finished
part lies within the drawn part closed by a disc of radius r + T and grown by T, but for slivers
where two such arcs meet at a point, which no cutter of radius r can take.) If every point of the
curve was swept, nothing that holds the part sticks out of it.
So rays are sent from the edge, each is followed until it meets ground that the cutter swept, and
the greatest distance is the figure. Between neighbouring rays the same is asked of the whole curve
at that figure and T/20: it is followed by a disc that covers both ends of a stretch, or is halved
until one does. So the figure is sure within T/20, and no verdict hangs on where the rays stand.

Distances are exact (see `tracks`); no region is offset or united.
"""

from __future__ import annotations

from dataclasses import dataclass
from operator import itemgetter

import numpy as np
from numpy.typing import NDArray

from outline2path.proof.edge import Edge, Rays
from outline2path.proof.sweep import Sweep
from outline2path.proof.tracks import Floats

__all__ = ["Reachable", "leftover", "reachable"]

Room = tuple[Edge, float]
"""An edge, and how far the cutter's centre must stay from it, mm."""

_STEP_SHARE = 0.15
_LONGEST_STEP_MM = 0.4
_HALVINGS = 10
_CUSP_HALVINGS = 14
_MOST_STEPS = 40
_FOLLOWED = 300
_MOST_ROUNDS = 12
_FIGURE_SHARE = 0.05
_NOISE_MM = 0.0002
"""Chords of arcs and of the judged outline: what no check here can tell apart."""
_ENOUGH_MM = 0.00001


@dataclass(frozen=True, eq=False)
class Reachable:
    """Rays along which a cutter of radius r + T could take everything but T.

    `ends` lists pairs of rays between which the bound must be swept as well.
    """

    rays: Rays
    ends: NDArray[np.int64]


def reachable(
    edge: Edge, radius_mm: float, tolerance_mm: float, *, beside: tuple[Edge, float] | None = None
) -> Reachable:
    """Return the rays of an edge that a cutter can follow, corners it cannot enter bridged.

    Parameters
    ----------
    edge : Edge
        The material that must stand.
    radius_mm, tolerance_mm : float
        r and T, mm.
    beside : Edge and float, optional
        What else stands and may keep the cutter out, and the radius that it meets there.

    Examples
    --------
    >>> import shapely
    >>> hole = shapely.box(0, 0, 9, 9) - shapely.box(4, 4, 5, 5)
    >>> part = shapely.orient_polygons(shapely.MultiPolygon([hole]))
    >>> seen = reachable(Edge(part, keeps_inside=True, allowance_mm=0.0), 1.5, 0.02)
    >>> bool((abs(seen.rays.origin - 4.5) > 4).any(axis=1).all())
    True
    """
    rho = radius_mm + tolerance_mm
    rooms = [(edge, rho)]
    if beside is not None:
        rooms.append((beside[0], beside[1] + tolerance_mm))
    step = min(_STEP_SHARE * radius_mm, _LONGEST_STEP_MM)
    rays = edge.rays(step, disc_mm=rho, far_mm=tolerance_mm)
    free = _free(rays, rooms, rho)
    here = np.arange(len(rays))
    both = free & free[rays.follower]
    ends = np.column_stack((here[both], rays.follower[both]))
    change = np.flatnonzero(free != free[rays.follower])
    if not len(change):
        return _only(rays, free, ends)
    last, mouth = _cusps(rays, change, free, (rooms, rho))
    arcs = _mouth_arcs(last, rooms, rho, tolerance_mm / 20)
    return _joined(_only(rays, free, ends), (mouth, free), last, arcs)


def _free(rays: Rays, rooms: list[Room], rho: float) -> NDArray[np.bool_]:
    """Tell which rays lead, rho out, to a centre where the body touches nothing."""
    centre = rays.at(rho)
    free = np.ones(len(rays), dtype=bool)
    for edge, radius in rooms:
        need = radius + edge.reach_mm - _ENOUGH_MM
        free[free] = edge.nearest.distance(centre[free], within=need) >= need
        free[free] = ~edge.inside(centre[free])
    return free


def _only(rays: Rays, free: NDArray[np.bool_], ends: NDArray[np.int64]) -> Reachable:
    new = np.cumsum(free) - 1
    kept = Rays(rays.origin[free], rays.direction[free], np.full(int(free.sum()), -1))
    return Reachable(kept, new[ends].reshape(-1, 2))


def _cusps(
    rays: Rays,
    change: NDArray[np.int64],
    free: NDArray[np.bool_],
    room: tuple[list[Room], float],
) -> tuple[Rays, NDArray[np.int64]]:
    """Halve between a free and an unfree ray; return the last free ray, and its free neighbour."""
    rooms, rho = room
    after = rays.follower[change]
    good = np.where(free[change], change, after)
    bad = np.where(free[change], after, change)
    o, d = rays.origin[good], rays.direction[good]
    p, e = rays.origin[bad], rays.direction[bad]
    none = np.full(len(good), -1)
    for _ in range(_CUSP_HALVINGS):
        mid = Rays((o + p) / 2, _unit(d + e), none)
        ok = _free(mid, rooms, rho)[:, None]
        o, d = np.where(ok, mid.origin, o), np.where(ok, mid.direction, d)
        p, e = np.where(ok, p, mid.origin), np.where(ok, e, mid.direction)
    return Rays(o, d, none), good


def _mouth_arcs(last: Rays, rooms: list[Room], rho: float, slack: float) -> list[Rays]:
    """At each cusp, rays from the closing's arc towards the centre, wall to wall."""
    centre = last.at(rho)
    each = [e.nearest.all_feet(centre, wide + e.reach_mm + slack) for e, wide in rooms]
    found = [np.concatenate(feet) for feet in zip(*each, strict=True)]
    step = float(np.sqrt(8 * _NOISE_MM / rho))
    arcs = []
    for n, (c, feet) in enumerate(zip(centre, found, strict=True)):
        back = -last.direction[n]
        to = _unit(feet - c)
        angle = np.arctan2(back[0] * to[:, 1] - back[1] * to[:, 0], to @ back)
        far = float(angle[np.abs(angle).argmax()]) if len(angle) else 0.0
        count = int(np.ceil(abs(far) / step)) + 1
        turn = np.linspace(0.0, far, count)
        u = np.column_stack(
            (
                back[0] * np.cos(turn) - back[1] * np.sin(turn),
                back[0] * np.sin(turn) + back[1] * np.cos(turn),
            )
        )
        arcs.append(Rays(c + rho * u, -u, np.full(count, -1)))
    return arcs


def _joined(
    known: Reachable,
    mouth: tuple[NDArray[np.int64], NDArray[np.bool_]],
    last: Rays,
    arcs: list[Rays],
) -> Reachable:
    """Put cusps and arcs behind the free rays and link them up."""
    neighbour = (np.cumsum(mouth[1]) - 1)[mouth[0]]
    origin = [known.rays.origin, last.origin, *(a.origin for a in arcs)]
    direction = [known.rays.direction, last.direction, *(a.direction for a in arcs)]
    at = len(known.rays)
    links = [known.ends, np.column_stack((neighbour, at + np.arange(len(last))))]
    at += len(last)
    for n, arc in enumerate(arcs):
        steps = np.arange(at, at + len(arc) - 1)
        links.append(np.column_stack((steps, steps + 1)))
        links.append(np.array([[len(known.rays) + n, at]]))
        at += len(arc)
    rays = Rays(np.concatenate(origin), np.concatenate(direction), np.full(at, -1))
    return Reachable(rays, np.concatenate(links))


def leftover(
    seen: Reachable,
    swept: Sweep,
    size: tuple[float, float],
    *,
    exempt: NDArray[np.bool_] | None = None,
) -> tuple[float, tuple[float, float] | None]:
    """Return the most that stays along the rays, mm, and where.

    Parameters
    ----------
    seen : Reachable
        What the cutter can reach.
    swept : Sweep
        What is gone at that height.
    size : tuple of float
        r and T, mm.
    exempt : ndarray of bool, optional
        Rays, one each, at which stock was to stay (tabs).

    Examples
    --------
    >>> import shapely
    >>> from outline2path.proof.tracks import Nearest
    >>> part = shapely.orient_polygons(shapely.MultiPolygon([shapely.box(0, 0, 9, 9)]))
    >>> seen = reachable(Edge(part, keeps_inside=True, allowance_mm=0.0), 1.5, 0.02)
    >>> ring = np.array([[-1.51, -1.51], [10.51, -1.51], [10.51, 10.51], [-1.51, 10.51]])
    >>> swept = Sweep([(Nearest(ring, np.roll(ring, -1, axis=0)), 1.5)])
    >>> round(leftover(seen, swept, (1.5, 0.02))[0], 4)  # 0.01 at the sides, sqrt(2) x at corners
    0.0141
    """
    radius, tolerance = size
    asked = np.ones(len(seen.rays), dtype=bool) if exempt is None else ~exempt
    rays = Rays(seen.rays.origin[asked], seen.rays.direction[asked], seen.rays.follower[asked])
    if not len(rays):
        return 0.0, None
    worst, most = _follow(rays, swept, radius, count=_FOLLOWED)
    place = rays.origin[worst]
    links = seen.ends[asked[seen.ends].all(axis=1)]
    new = np.cumsum(asked) - 1
    links = new[links]
    for _ in range(_MOST_ROUNDS):
        level = max(most, min(most + tolerance * _FIGURE_SHARE, tolerance))
        gap, at = _between(rays.at(level), links, swept, radius)
        if at is None or most > tolerance:
            break
        most, place = level + gap, at
    if most > tolerance:
        worst, full = _follow(rays, swept, radius, count=len(rays))
        most, place = max((most, place), (full, rays.origin[worst]), key=itemgetter(0))
    return most, (float(place[0]), float(place[1]))


def _follow(rays: Rays, swept: Sweep, radius: float, *, count: int) -> tuple[int, float]:
    """Follow the likeliest rays to ground that was swept; return the longest and its length.

    What a ray's origin lacks is the least its length can be; the `count` rays that lack most are
    followed step by step, up to the cutter's diameter.
    """
    depth = np.clip(swept.about(rays.origin), 0.0, 2 * radius)
    going = np.argsort(depth)[-count:]
    for _ in range(_MOST_STEPS):
        part = Rays(rays.origin[going], rays.direction[going], going)
        short = swept.short(part.at(depth[going]))
        depth[going] = np.minimum(depth[going] + np.maximum(short, 0.0), 2 * radius)
        going = going[(short > _ENOUGH_MM) & (depth[going] < 2 * radius)]
        if not len(going):
            break
    worst = int(depth.argmax())
    return worst, float(depth[worst])


def _between(
    bound: Floats, links: NDArray[np.int64], swept: Sweep, radius: float
) -> tuple[float, Floats | None]:
    """Follow the bound from ray to ray; the most by which a point between is not swept."""
    a, b = bound[links[:, 0]], bound[links[:, 1]]
    worst: tuple[float, Floats | None] = (0.0, None)
    for _ in range(_HALVINGS):
        if not len(a):
            break
        short, beyond = swept.reach(a, b, enough_mm=_NOISE_MM)
        open_ = np.flatnonzero(beyond > _NOISE_MM)
        short = short[open_]
        if len(open_) and short.max() > _NOISE_MM:
            n = int(short.argmax())
            worst = (float(min(short[n], radius)), a[open_[n]])
            break
        a, b = a[open_], b[open_]
        middle = (a + b) / 2
        a, b = np.concatenate([a, middle]), np.concatenate([middle, b])
    return worst


def _unit(vectors: Floats) -> Floats:
    length = np.hypot(vectors[:, 0], vectors[:, 1])[:, None]
    out: Floats = vectors / np.where(length > 0, length, 1.0)
    return out
