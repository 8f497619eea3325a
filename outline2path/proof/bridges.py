"""Tabs: bridges that hold the part to the stock at the end.

A tab is judged twice: in the air, as the stretch of every pass that is raised over it (its length
less the cutter's diameter, and how far its lowest point stays above the underside); and on the
ground, as no low stretch of any pass sweeping over it. What else is cut near a tab, so that it
holds on to nothing, shows in the pieces that come free.
"""

from __future__ import annotations

from itertools import chain
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from outline2path.proof.feature import ExpectedTab
from outline2path.proof.tracks import EVEN_MM, Floats, Nearest, Pieces
from outline2path.proof.verdict import Check

if TYPE_CHECKING:
    from outline2path.proof.claims import Claim
    from outline2path.proof.expected_program import ExpectedProgram
    from outline2path.proof.feature import Feature

__all__ = ["bitten_mm", "near_tabs", "tabs"]

_LENGTH_SLACK_MM = 0.05
_STEP_MM = 0.1
_OFF_PLACE_MM = 0.5
_BENT = 0.1
"""Share of the radius by which the cut beside a tab may come nearer on a bend than along it."""
_PLACES = 121
"""Places looked at along a tab: a twentieth of a millimetre apart on one of 6 mm."""


class _Height:
    """The path at one tab height: what is raised to it, what runs lower, and searches for both."""

    def __init__(self, pieces: Pieces, top: float) -> None:
        level = (np.abs(pieces.low - top) <= EVEN_MM) & (np.abs(pieces.high - top) <= EVEN_MM)
        self.raised = pieces.where(level)
        self.over = Nearest(self.raised.start, self.raised.end)
        self.low = pieces.below(top - EVEN_MM)
        self.beside = Nearest(self.low.start, self.low.end)
        joined = np.zeros(len(self.raised), dtype=bool)
        joined[1:] = (self.raised.start[1:] == self.raised.end[:-1]).all(axis=1)
        self.run = np.cumsum(~joined) - 1
        self.step = np.hypot(*(self.raised.end - self.raised.start)[:, :2].T)
        self.length = np.bincount(self.run, self.step) if len(self.run) else self.step

    def middle(self, spot: Floats, within: float) -> Floats | None:
        """Find the point of the raised path that is nearest to where a tab should be."""
        _, chain = self.over.locate(spot, within=within)
        return None if chain[0] < 0 else self.over.feet(spot, chain)

    def stretch(self, middle: Floats, within: float) -> Floats:
        """Take the longest unbroken raised stretch that passes within a distance of a point.

        Returns its corners from above, (n, 2).
        """
        _, over = self.over.near(middle, within)
        longest = over[np.argmax(self.length[self.run[over]])]
        own = np.flatnonzero(self.run == self.run[longest])
        return np.vstack([self.raised.start[own[0], :2], self.raised.end[own, :2]])

    def row_near(self, spot: Floats) -> int | None:
        """Row of the low move nearest to a point."""
        chain = int(self.beside.locate(spot)[1][0])
        return None if chain < 0 else int(self.low.row[self.beside.first[chain]])


def near_tabs(
    spots: Floats, claim: Claim, *, more_mm: float = 0.0, raised: Nearest | None = None
) -> NDArray[np.bool_]:
    """Tell which spots of an edge lie where a tab holds.

    Parameters
    ----------
    spots : ndarray, (n, 2)
        Points on the edge, mm.
    claim : Claim
        Its tabs: half the length, the radius sideways and the diameter along, and a little.
    more_mm : float
        How much farther to reach.
    raised : Nearest, optional
        The path that runs over the tabs. Beyond a bend it has to stay up longer: along it, a
        radius more is held.
    """
    mask, beside = np.zeros(len(spots), dtype=bool), np.zeros(len(spots), dtype=bool)
    for tab in claim.tabs:
        wide = claim.body.radius_mm if tab.cutter_mm is None else tab.cutter_mm / 2
        reach = np.hypot(tab.length_mm / 2 + 2 * wide, wide)
        reach += claim.feature.tolerance_mm + _LENGTH_SLACK_MM + more_mm
        away = np.hypot(*(spots - np.array(tab.at_mm)).T)
        mask |= away <= reach
        beside |= away <= reach + wide
    if raised is not None:
        within = claim.body.radius_mm + claim.feature.tolerance_mm
        few = np.flatnonzero(beside & ~mask)
        mask[few] = np.isfinite(raised.distance(spots[few], within=within))
    return mask


def tabs(pieces: Pieces, lines: NDArray[np.int32], expected: ExpectedProgram) -> Check:
    """Check that every tab stands with its size.

    Parameters
    ----------
    pieces : Pieces
        The path below the stock's top, in order.
    lines : ndarray of int
        Line of the text by row of the table.
    expected : ExpectedProgram
        The tabs.
    """
    every = (*expected.tabs, *expected.standing)
    if not every:
        return Check(name="tabs", ok=True, detail="none were asked for")
    heights = {
        mm: _Height(pieces, expected.bottom_mm + mm) for mm in {tab.height_mm for tab in every}
    }
    left = [(tab, feature) for feature in expected.features for tab in feature.standing]
    faults = chain(
        ((tab, _tab_fault(tab, heights[tab.height_mm], expected)) for tab in expected.tabs),
        (
            (tab, _standing_fault(tab, heights[tab.height_mm], feature, expected.radius_mm))
            for tab, feature in left
        ),
    )
    for tab, fault in faults:
        if fault is not None:
            what, row = fault
            return Check(
                name="tabs",
                ok=False,
                detail=f"the tab at x {tab.at_mm[0]:.2f}, y {tab.at_mm[1]:.2f} {what}",
                at_mm=tab.at_mm,
                line=None if row is None else int(lines[row]),
            )
    stands = f"all {len(expected.tabs)} stand with their size" if expected.tabs else ""
    kept = f"{len(expected.standing)} left before are not cut into" if expected.standing else ""
    return Check(name="tabs", ok=True, detail="; ".join(filter(None, (stands, kept))))


def bitten_mm(
    tab: ExpectedTab, low: Nearest, region: BaseGeometry, *, keeps: bool, radius_mm: float
) -> float:
    """Return how far a low path bites into the end of a tab that stands on a wall, mm.

    What runs behind the wall, through the part and round it a long way off, bites into nothing.

    Parameters
    ----------
    tab : ExpectedTab
        Its place on the wall, and its length.
    low : Nearest
        The path lower than its top.
    region : geometry
        The drawn region on whose edge it stands.
    keeps : bool
        Whether the region is what stands, rather than what is taken.
    radius_mm : float
        Of the cutter.

    Examples
    --------
    >>> tab = ExpectedTab(at_mm=(0.0, 0.0), length_mm=6.0, height_mm=1.0)
    >>> wall = shapely.box(-30, -2, 30, 0)
    >>> for y in (1.0, -3.0):  # before the wall, and behind it
    ...     low = Nearest(np.array([[2.0, y]]), np.array([[20.0, y]]))
    ...     print(round(bitten_mm(tab, low, wall, keeps=True, radius_mm=1.0), 2))
    1.61
    0.0
    """
    reach = tab.length_mm / 2 + radius_mm * (1 - _BENT) - _LENGTH_SLACK_MM
    spot = np.array([tab.at_mm])
    feet = low.all_feet(spot, reach)[0]
    if not len(feet):
        return 0.0
    lines = shapely.linestrings(np.stack((np.broadcast_to(spot, feet.shape), feet), axis=1))
    across = shapely.intersection(lines, region) if keeps else shapely.difference(lines, region)
    behind = shapely.length(across) > _LENGTH_SLACK_MM
    rings = shapely.get_rings(shapely.get_parts(region))
    tree = shapely.STRtree(rings)
    own = int(tree.query_nearest(shapely.points(tab.at_mm), all_matches=False)[0])
    ends = shapely.points(feet)
    same = tree.query_nearest(ends, all_matches=False)[1] == own
    places = shapely.line_locate_point(rings[own], ends)
    off = np.abs(places - shapely.line_locate_point(rings[own], shapely.points(tab.at_mm)))
    off = np.minimum(off, shapely.length(rings[own]) - off)
    near = feet[~behind | (same & (off <= 2 * reach))]
    return max(reach - float(np.hypot(*(near - spot).T).min(initial=np.inf)), 0.0)


def _standing_fault(
    tab: ExpectedTab, height: _Height, feature: Feature, radius_mm: float
) -> tuple[str, int | None] | None:
    """Say what is wrong with a tab left by an earlier program: only that it is cut into."""
    if not len(height.low):
        return None
    into = bitten_mm(
        tab, height.beside, feature.region, keeps=feature.keeps_region, radius_mm=radius_mm
    )
    spot = np.array([tab.at_mm])
    return (f"is cut into by {into:.2f} mm", height.row_near(spot)) if into > 0 else None


def _tab_fault(
    tab: ExpectedTab, height: _Height, expected: ExpectedProgram
) -> tuple[str, int | None] | None:
    """Say what is wrong with a tab, and the row concerned."""
    spot = np.array([tab.at_mm])
    middle = height.middle(spot, expected.cutter_mm)
    if middle is None:
        return "is cut away: no pass is raised over it", height.row_near(spot)
    if not len(height.low):
        return "was never cut free beside it", None
    corners = height.stretch(middle, expected.tolerance_mm)
    along = np.append(0.0, np.cumsum(np.hypot(*np.diff(corners, axis=0).T)))
    room = float(along[-1]) - expected.cutter_mm - tab.length_mm
    if room < -_LENGTH_SLACK_MM:
        return f"is {max(room + tab.length_mm, 0):.2f} mm long, not {tab.length_mm:g}", None
    half = min((tab.length_mm + expected.cutter_mm) / 2, float(along[-1]) / 2)
    places, spots = _every(corners, along)
    away = np.hypot(*(spots - spot).T)
    at = places[away <= away.min() + expected.tolerance_mm]  # round a tip, all are beside it
    off = np.abs(np.clip(at, half, along[-1] - half) - at)
    if off.min() > _OFF_PLACE_MM:
        return f"stands {off.min():.2f} mm off its place", None
    gap = height.beside.distance(spots)
    middles = np.clip(at[off <= _OFF_PLACE_MM], half, along[-1] - half)
    low = np.searchsorted(places, middles - tab.length_mm / 2 - _STEP_MM / 2)
    high = np.searchsorted(places, middles + tab.length_mm / 2 + _STEP_MM / 2)
    worst = [a + int(np.argmin(gap[a:b])) for a, b in zip(low, high, strict=True)]
    nearest = max(worst, key=lambda k: gap[k])
    if gap[nearest] < expected.radius_mm * (1 - _BENT) - _LENGTH_SLACK_MM:
        into = expected.radius_mm - float(gap[nearest])
        return f"is cut into by {into:.2f} mm", height.row_near(spots[nearest : nearest + 1])
    return None


def _every(corners: Floats, along: Floats) -> tuple[Floats, Floats]:
    """Places a tenth of a millimetre or less apart along a line, and the points there."""
    places = np.linspace(0.0, along[-1], max(2, int(np.ceil(along[-1] / _STEP_MM)) + 1))
    return places, np.column_stack([np.interp(places, along, corners[:, k]) for k in (0, 1)])
