"""Feeds: set on every feed move, and never more than the machine has, along it or of an axis.

In: the motions and what the machine can do, mm/min. Out: a check. Where each axis has a limit of
its own, the speed each one is asked for is the feed times its share of the move's direction; on
an arc the direction is looked at in many places (elementary geometry). A move of a few micrometres
is not blamed for the direction that the last digit of its ends gave it. Nothing here knows how the
feeds were chosen.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.proof.verdict import Check
from outline2path.rs274.motion import (
    ARC,
    PLANE_AXES,
    RAPID,
    arc_radii,
    arc_sweeps,
    motion_lengths,
)
from outline2path.tolerance import ROUNDING_MM, TINY

if TYPE_CHECKING:
    from outline2path.proof.expected_program import ExpectedProgram

__all__ = ["axis_feeds", "feed_check"]

_SLACK = 1 + 1 / 999
"""A feed written with few digits."""
_PLACES = 33
"""Directions looked at along an arc: a whole turn's worst place is missed by half a percent."""

Floats = NDArray[np.float64]


def feed_check(table: NDArray[np.void], expected: ExpectedProgram) -> Check:
    r"""Check the feed of every move.

    Examples
    --------
    >>> import shapely
    >>> from outline2path.proof.expected import Expected
    >>> from outline2path.proof.expected_program import as_program
    >>> from outline2path.rs274.reader import read_program
    >>> wanted = as_program(Expected(
    ...     region_fine=shapely.box(0, 0, 9, 9), side="on", cutter_mm=1.0, top_mm=0.0,
    ...     bottom_mm=-2.0, clearance_mm=5.0, most_feed_mm_min=(900, 900, 300)))
    >>> table = read_program("G21 G17 G90\nG0 X0 Y0 Z5\nG1 Z-2 F600\nM30").table
    >>> print(feed_check(table, wanted).detail)
    a move asks z for 600 mm/min, above its 300
    """
    feeds = table["kind"] != RAPID
    unset = np.flatnonzero(feeds & ~(table["feed"] > 0))
    if len(unset):
        return _refused(table, int(unset[0]), 0.0, "has no feed")
    most = np.atleast_1d(
        np.inf if expected.most_feed_mm_min is None else expected.most_feed_mm_min
    )
    cuts = table[feeds]
    asked, last_digit = cuts["feed"][:, None], np.zeros(len(cuts))
    if len(most) > 1:
        asked = axis_feeds(cuts)
        last_digit = 2 * ROUNDING_MM / np.maximum(motion_lengths(cuts), TINY)
    allowed = most * _SLACK + (last_digit * cuts["feed"])[:, None]
    bad = np.argwhere(asked > allowed)
    if len(bad):
        cut, axis = bad[0].tolist()
        row = int(np.flatnonzero(feeds)[cut])
        value, limit = float(asked[cut, axis]), float(most[axis])
        what = f"feeds at {value:g} mm/min, above the machine's {limit:g}"
        if len(most) > 1:
            what = f"asks {'xyz'[axis]} for {value:g} mm/min, above its {limit:g}"
        return _refused(table, row, value, what)
    fast = float(table["feed"].max(initial=0.0))
    return Check(name="feed", ok=True, detail=f"set on every feed move, at most {fast:g} mm/min")


def axis_feeds(table: NDArray[np.void]) -> Floats:
    """Return the greatest speed each axis is asked for on each motion, mm/min, shape (n, 3)."""
    gone = np.abs(table["end"] - table["start"])
    asked = gone / np.maximum(motion_lengths(table), TINY)[:, None]
    arcs = np.flatnonzero(table["kind"] == ARC)
    if len(arcs):
        asked[arcs] = _arc_shares(table[arcs], asked[arcs])
    return np.asarray(asked * table["feed"][:, None])


def _arc_shares(rows: NDArray[np.void], shares: Floats) -> Floats:
    """Return the greatest share of its length each axis has to go anywhere on each arc."""
    axes = np.array([PLANE_AXES[plane] for plane in sorted(PLANE_AXES)])[rows["plane"] - 17]
    each = np.arange(len(rows))
    first, second, normal = axes.T
    arm = rows["start"] - rows["centre"]
    angle = np.arctan2(arm[each, second], arm[each, first])
    sweep = arc_sweeps(rows) * np.where(rows["turn"] < 0, -1.0, 1.0)
    found = np.zeros((len(rows), 2))
    for part in np.linspace(0.0, 1.0, _PLACES):
        here = angle + part * sweep
        np.maximum(found, np.abs(np.column_stack([np.sin(here), np.cos(here)])), out=found)
    round_mm = arc_radii(rows)[0] * np.abs(sweep)
    level = round_mm / np.maximum(motion_lengths(rows), TINY)
    out = shares.copy()
    out[each, first], out[each, second] = found[:, 0] * level, found[:, 1] * level
    out[each, normal] = shares[each, normal]
    return out


def _refused(table: NDArray[np.void], row: int, value: float, what: str) -> Check:
    x, y = table["end"][row, :2].tolist()
    return Check(
        name="feed",
        ok=False,
        detail=f"a move {what}",
        value=value,
        line=int(table["line"][row]),
        at_mm=(x, y) if np.isfinite([x, y]).all() else None,
    )
