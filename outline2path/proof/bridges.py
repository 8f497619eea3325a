"""Tabs: bridges that hold the part to the stock at the end.

A tab is judged twice: in the air, as the stretch of every pass that is raised over it (its length
less the cutter's diameter, and how far its lowest point stays above the underside); and on the
ground, as no low stretch of any pass coming near its middle.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from outline2path.proof.expected import Expected, ExpectedTab
from outline2path.proof.tracks import Floats, Nearest, Pieces
from outline2path.proof.verdict import Check

__all__ = ["exempt_near_tabs", "tabs"]

_EVEN = 0.0015
_LENGTH_SLACK_MM = 0.05


def exempt_near_tabs(spots: Floats, expected: Expected) -> NDArray[np.bool_]:
    """Tell which spots of the edge lie where a tab holds.

    Parameters
    ----------
    spots : ndarray, (n, 2)
        Points on the edge, mm.
    expected : Expected
        Its tabs: half the length, the radius sideways and the diameter along, and a little.
    """
    mask = np.zeros(len(spots), dtype=bool)
    for tab in expected.tabs:
        reach = np.hypot(tab.length_mm / 2 + expected.cutter_mm, expected.radius_mm)
        reach += expected.tolerance_mm + _LENGTH_SLACK_MM
        mask |= np.hypot(*(spots - np.array(tab.at_mm)).T) <= reach
    return mask


def tabs(pieces: Pieces, lines: NDArray[np.int32], expected: Expected) -> Check:
    """Check that every tab stands with its size.

    Parameters
    ----------
    pieces : Pieces
        The path below the stock's top, in order.
    lines : ndarray of int
        Line of the text by row of the table.
    expected : Expected
        The tabs.
    """
    if not expected.tabs:
        return Check(name="tabs", ok=True, detail="none were asked for")
    for tab in expected.tabs:
        fault = _tab_fault(tab, pieces, expected)
        if fault is not None:
            what, row = fault
            return Check(
                name="tabs",
                ok=False,
                detail=f"the tab at x {tab.at_mm[0]:.2f}, y {tab.at_mm[1]:.2f} {what}",
                at_mm=tab.at_mm,
                line=None if row is None else int(lines[row]),
            )
    return Check(name="tabs", ok=True, detail=f"all {len(expected.tabs)} stand with their size")


def _tab_fault(
    tab: ExpectedTab, pieces: Pieces, expected: Expected
) -> tuple[str, int | None] | None:
    """Say what is wrong with a tab, and the row concerned."""
    top = expected.bottom_mm + tab.height_mm
    low = pieces.below(top - _EVEN)
    spot = np.array([tab.at_mm])
    half = tab.length_mm / 2
    level = (np.abs(pieces.low - top) <= _EVEN) & (np.abs(pieces.high - top) <= _EVEN)
    raised = pieces.where(level)
    middle = _middle(raised, spot, expected.cutter_mm)
    if middle is None:
        distance = Nearest(pieces.start, pieces.end).distance(spot)[0]
        if distance > 2 * expected.cutter_mm:
            return "has no pass near it", None
        return "is cut away: no pass is raised over it", _row_near(low, spot)
    if not len(low):
        return "was never cut free beside it", None
    run = _shortest_run(raised, middle)
    if run < tab.length_mm + expected.cutter_mm - _LENGTH_SLACK_MM:
        return f"is {run - expected.cutter_mm:.2f} mm long, not {tab.length_mm:g}", None
    gap = float(Nearest(low.start, low.end).distance(middle[None])[0]) - expected.radius_mm
    if gap < half - _LENGTH_SLACK_MM - _sag(half + expected.radius_mm):
        return f"stands {2 * max(gap, 0):.2f} mm long, not {tab.length_mm:g}", _row_near(
            low, middle[None]
        )
    return None


def _sag(half: float) -> float:
    """Most by which a tab on a bend is shorter than along its path: a tenth of its half."""
    return half / 10


def _middle(raised: Pieces, spot: Floats, within: float) -> Floats | None:
    """Find the point of the raised path that is nearest to where the tab should be."""
    search = Nearest(raised.start, raised.end)
    _, chain = search.locate(spot, within=within)
    if chain[0] < 0:
        return None
    point: Floats = search.feet(spot, chain)[0]
    return point


def _shortest_run(raised: Pieces, middle: Floats) -> float:
    """Length of the shortest unbroken raised stretch over a point, seen from above, mm."""
    joined = np.zeros(len(raised), dtype=bool)
    joined[1:] = (raised.start[1:] == raised.end[:-1]).all(axis=1)
    run = np.cumsum(~joined) - 1
    length = np.bincount(run, np.hypot(*(raised.end - raised.start)[:, :2].T))
    _, over = Nearest(raised.start, raised.end).near(middle[None], _EVEN)
    return float(length[run[over]].min())


def _row_near(pieces: Pieces, spot: Floats) -> int | None:
    if not len(pieces):
        return None
    search = Nearest(pieces.start, pieces.end)
    _, chain = search.locate(spot)
    return int(pieces.row[search.first[chain[0]]])
