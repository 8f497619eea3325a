"""Remains: what of each claim was not taken.

In: claims, and what ran, this program and those before it. Out: checks. Edges are asked for what
stays on them where the cutter reaches (see `leftover`), lines for what of them was not followed,
floors of pockets and faces for specks that nothing ran over, drilled holes for their place.
Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from outline2path.proof.along import uncut
from outline2path.proof.bridges import near_tabs
from outline2path.proof.claims import Claim, areas
from outline2path.proof.edge import Edge
from outline2path.proof.gouge import Worst
from outline2path.proof.leftover import leftover, reachable
from outline2path.proof.specks import widest_speck
from outline2path.proof.sweep import Ran, Sweep, sweep_at
from outline2path.proof.tracks import Nearest
from outline2path.proof.verdict import Check

__all__ = ["Remains", "holes", "remains"]

_EVEN = 0.001
_BEYOND_TABS_MM = 1.0
_QUADRANT = 16
_INNER_SHARE = 0.8
_SURE_SHARE = 0.05
_NONE = Worst(0.0, None, None)


@dataclass(frozen=True)
class Remains:
    """The most that stays, mm, where, and of which claim; None where nothing does."""

    worst: Worst
    claim: Claim | None
    what: str = "stays on the edge"


def remains(own: Sequence[Claim], others: Sequence[Claim], ran: Sequence[Ran]) -> Remains:
    """Return what stays worst, measured by each claim's own tolerance.

    Parameters
    ----------
    own, others : sequence of Claim
        Of the program judged, and of those run before it.
    ran : sequence of (Pieces, Body)
        Feed moves below the top, those of programs before included.

    Examples
    --------
    >>> from outline2path.proof.body import Body
    >>> from outline2path.proof.claims import claims_of
    >>> from outline2path.proof.feature import Feature
    >>> from outline2path.proof.tracks import Pieces
    >>> from outline2path.shop.cutter import Cutter
    >>> body = Body(Cutter(3.0))
    >>> slot = Feature(kind="pocket", region_fine=shapely.box(0, 0, 40, 3.06), bottom_mm=-3.0)
    >>> run = Pieces(np.array([[1.53, 1.53, -3]]), np.array([[38.4, 1.53, -3]]), np.array([7]))
    >>> found = remains(claims_of([slot], body), [], [(run, body)])
    >>> round(found.worst.value, 2)
    0.1
    """
    found = [Remains(_NONE, None)]
    for claim in own:
        if claim.region is None:
            if claim.feature.kind != "hole":
                found.append(Remains(_unfollowed(claim, ran), claim))
            continue
        if claim.feature.kind != "face":
            found.append(Remains(_on_edge(claim, [*own, *others], ran), claim))
        if claim.feature.kind in ("pocket", "face"):
            found.append(Remains(_specks(claim, ran), claim, "stays uncut on the floor"))
    return max(found, key=_share)


def _share(one: Remains) -> float:
    return one.worst.value / (one.claim.feature.tolerance_mm if one.claim else 1.0)


def _level(claim: Claim) -> float:
    """Height at which an edge is asked for: its floor, or where the cutter is full there."""
    feature = claim.feature
    if feature.kind == "chamfer":
        return feature.top_mm
    return min(feature.top_mm, feature.bottom_mm + claim.body.widens_mm)


def _radius(claim: Claim) -> float:
    """Radius of the body at that height when its tip is on the floor."""
    height = _level(claim) - claim.feature.bottom_mm
    return float(claim.body.radius_at(np.array([height]))[0])


def _on_edge(claim: Claim, all_: Sequence[Claim], ran: Sequence[Ran]) -> Worst:
    """Look at the level away from tabs, and near tabs just above them."""
    size = (_radius(claim), claim.feature.tolerance_mm)
    z = _level(claim)
    beside = _beside(claim, all_)
    seen = reachable(claim.edge(z), *size, beside=beside)
    near = near_tabs(seen.rays.origin, claim, raised=_over_tabs(claim, ran))
    heights = [(z, near)]
    if claim.tabs:
        top = claim.feature.bottom_mm + max(tab.height_mm for tab in claim.tabs)
        more = _BEYOND_TABS_MM + claim.body.radius_mm
        far = ~near_tabs(seen.rays.origin, claim, more_mm=more)
        heights.append((top, far))
    worst = _NONE
    for height, exempt in heights:
        swept = sweep_at(height, ran)
        value, place = leftover(seen, swept, size, exempt=exempt)
        if claim.feature.kind == "chamfer" and value > size[1]:
            outer = reachable(_narrower(claim, z), *size, beside=beside)
            if leftover(outer, swept, size)[0] <= _SURE_SHARE * size[1]:
                value = size[1]
        if value > worst.value:
            worst = Worst(value, place, swept.row_near(place))
    return worst


def _narrower(claim: Claim, z: float) -> Edge:
    """Return a chamfer's edge as it is when it is narrower by T all along.

    At a corner two walls, each within T, meet farther than T from the corner asked for.
    """
    left = claim.left_mm(z) + claim.feature.tolerance_mm
    return Edge(claim.drawn, keeps_inside=claim.keeps, allowance_mm=left)


def _beside(claim: Claim, all_: Sequence[Claim]) -> tuple[Edge, float] | None:
    """Return what else keeps the cutter out, and the radius that meets it.

    A cone at a chamfer's upper edge is kept out by the wall below; a cutter that leaves waste
    is kept out by what other claims keep standing.
    """
    if claim.feature.kind == "chamfer" and claim.feature.width_mm and claim.body.slope:
        height = claim.feature.top_mm - claim.feature.width_mm / claim.body.slope
        radius = claim.body.radius_at(np.array([height - claim.feature.bottom_mm]))
        wall = Edge(claim.drawn, keeps_inside=claim.keeps, allowance_mm=0.0)
        return wall, float(radius[0])
    if not claim.keeps:
        return None
    regions = [
        one.region
        for one in all_
        if one is not claim and one.keeps and one.feature.kind != "chamfer"
    ]
    if not regions:
        return None
    return Edge(areas(shapely.union_all(regions)), keeps_inside=True, allowance_mm=0.0), _radius(
        claim
    )


def _over_tabs(claim: Claim, ran: Sequence[Ran]) -> Nearest | None:
    """Return the level path over a claim's tabs; None without tabs."""
    if not claim.tabs:
        return None
    tops = {claim.feature.bottom_mm + tab.height_mm for tab in claim.tabs}
    pieces, _ = ran[0]
    level = [(abs(pieces.low - z) <= _EVEN) & (abs(pieces.high - z) <= _EVEN) for z in tops]
    raised = pieces.where(np.logical_or.reduce(level))
    return Nearest(raised.start, raised.end)


def _unfollowed(claim: Claim, ran: Sequence[Ran]) -> Worst:
    worst = _NONE
    heights = [(claim.feature.bottom_mm, near_tabs(claim.spots, claim))]
    if claim.tabs:
        top = claim.feature.bottom_mm + max(tab.height_mm for tab in claim.tabs)
        heights.append((top, ~near_tabs(claim.spots, claim, more_mm=_BEYOND_TABS_MM)))
    for z, exempt in heights:
        swept, path = _centres(z, ran)
        value, place = uncut(path, claim.spots[~exempt])
        if value > worst.value:
            worst = Worst(value, place, swept.row_near(place))
    return worst


def _centres(z: float, ran: Sequence[Ran]) -> tuple[Sweep, Nearest]:
    """Return the centres of the program's own path at or below a height."""
    pieces, _ = ran[0]
    low = pieces.below(z + _EVEN).lowest_once().thinned()
    path = Nearest(low.start, low.end)
    return Sweep([(path, 0.0)], [low]), path


def _specks(claim: Claim, ran: Sequence[Ran]) -> Worst:
    """Look at a floor; along a pocket's walls, a share of the radius wide, the edge tells more."""
    feature, region = claim.feature, claim.region
    must = region
    if feature.kind == "pocket":
        radius = _radius(claim)
        wall = radius + feature.tolerance_mm + feature.allowance_mm
        must = shapely.buffer(region, -wall, quad_segs=_QUADRANT)
        must = shapely.buffer(must, _INNER_SHARE * radius, quad_segs=_QUADRANT)
    swept = sweep_at(_level(claim), ran)
    return widest_speck(must, swept, tolerance_mm=feature.tolerance_mm)


def holes(own: Sequence[Claim], ran: Sequence[Ran]) -> Check:
    """Check that every drilled hole is where it was drawn, as wide and as deep.

    Parameters
    ----------
    own : sequence of Claim
        Of the program judged.
    ran : sequence of (Pieces, Body)
        Feed moves below the top, its own first.
    """
    drilled = [claim for claim in own if claim.region is None and claim.feature.kind == "hole"]
    count = sum(len(claim.start) for claim in drilled)
    for claim in drilled:
        tolerance = claim.feature.tolerance_mm
        path = _centres(claim.floor_mm, ran)[1]
        off = path.distance(claim.start)
        n = int(off.argmax())
        x, y = claim.start[n].tolist()
        wrong = Check(
            name="holes", ok=False, detail="", at_mm=(x, y), value=float(off[n]), limit=tolerance
        )
        if off[n] > tolerance:
            what = f"the nearest one as deep as z {claim.floor_mm:.3f} mm is {off[n]:.3f} mm off"
            return replace(wrong, detail=f"the hole at x {x:.2f}, y {y:.2f} is missing: {what}")
    detail = f"all {count} are in place and as deep as asked" if count else "none to be drilled"
    return Check(name="holes", ok=True, detail=detail)
