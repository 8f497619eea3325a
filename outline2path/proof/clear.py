"""Rapids: quick moves must stay clear of the stock and of what holds it.

A rapid may travel sideways only at or above the clearance height, or where the job allows lower
hops over the stock, away from clamps; straight up it goes where the
cutter just was; straight down it may go to the stock's top, or farther where an earlier pass ran
over the very spot at least as deep, or where programs before it cleared all the ground that the
cutter's disc covers there.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.proof.body import Body
from outline2path.proof.hops import hops
from outline2path.proof.sweep import Ran, sweep_at
from outline2path.proof.tracks import Floats, Nearest, Pieces
from outline2path.proof.verdict import Check
from outline2path.rs274.motion import RAPID

if TYPE_CHECKING:
    from outline2path.proof.expected_program import ExpectedProgram

__all__ = ["rapids"]

_EVEN = 0.0005
_SAME_SPOT_MM = 0.001
_QUADRANT = 32


def rapids(
    table: NDArray[np.void],
    pieces: Pieces,
    expected: ExpectedProgram,
    *,
    before: Sequence[Ran] = (),
) -> Check:
    """Check every rapid.

    Parameters
    ----------
    table : ndarray of MOTION
        All motions; unknown coordinates are NaN, the top of the machine's travel infinite.
    pieces : Pieces
        The known feed moves below the stock's top.
    expected : ExpectedProgram
        Clearance height and top of the stock.
    before : sequence of (Pieces, Body)
        What programs before it took.
    """
    rows = np.flatnonzero(table["kind"] == RAPID)
    start, end = table["start"][rows], table["end"][rows]
    sideways = ~(start[:, :2] == end[:, :2]).all(axis=1) & ~np.isnan(end[:, :2]).all(axis=1)
    sideways |= np.isnan(start[:, :2]).any(axis=1) & ~np.isnan(end[:, :2]).any(axis=1)
    low = np.minimum(start[:, 2], end[:, 2])
    unknown = sideways & np.isnan(low)
    into = sideways & (low < expected.top_mm - _EVEN)
    under = sideways & (low < expected.clearance_mm - _EVEN) & ~into
    under[under] = ~hops(start[under], end[under], expected)
    down = ~sideways & ~(end[:, 2] >= np.fmin(start[:, 2], expected.top_mm) - _EVEN)
    down[down] &= ~_cut_before(table, rows[down], pieces)
    down[down] &= ~_cleared(table["end"][rows[down]], before, Body(expected.cutter))
    for mask, what in (
        (into, "runs sideways through the stock at full speed"),
        (down, "dives into the stock at full speed"),
        (under, "travels below the clearance height, where a clamp may stand"),
        (unknown, "travels sideways before its height is told"),
    ):
        bad = rows[mask]
        if len(bad):
            return _refused(table, int(bad[0]), what, expected)
    return Check(name="rapids", ok=True, detail=f"{len(rows)} rapids stay clear of the stock")


def _refused(table: NDArray[np.void], row: int, what: str, expected: ExpectedProgram) -> Check:
    x, y, z = table["end"][row].tolist()
    place = (x, y) if np.isfinite([x, y]).all() else None
    return Check(
        name="rapids",
        ok=False,
        detail=f"a rapid {what} (z {z:.3f} mm)",
        at_mm=place,
        line=int(table["line"][row]),
        value=z if np.isfinite(z) else None,
        limit=expected.clearance_mm,
    )


def _cut_before(
    table: NDArray[np.void], rows: NDArray[np.int64], pieces: Pieces
) -> NDArray[np.bool_]:
    """Tell for each downward rapid whether an earlier pass ran over its spot as deep."""
    found = np.zeros(len(rows), dtype=bool)
    spots = table["end"][rows]
    sure = np.flatnonzero(np.isfinite(spots).all(axis=1))
    asked, got = Nearest(pieces.start, pieces.end).near(spots[sure, :2], _SAME_SPOT_MM)
    asked = sure[asked]
    upright = (pieces.start[:, :2] == pieces.end[:, :2]).all(axis=1)
    reached = np.where(upright, pieces.low, pieces.high)
    deep = (pieces.row[got] < rows[asked]) & (reached[got] <= spots[asked, 2] + _EVEN)
    found[asked[deep]] = True
    return found


def _cleared(spots: Floats, before: Sequence[Ran], body: Body) -> NDArray[np.bool_]:
    """Tell where programs before left no ground under the cutter down to the height it goes to."""
    found = np.zeros(len(spots), dtype=bool)
    for n in np.flatnonzero(np.isfinite(spots).all(axis=1) & bool(before)).tolist():
        x, y, z = spots[n].tolist()
        rest = shapely.Point(x, y).buffer(body.radius_mm - _SAME_SPOT_MM)
        for part in sweep_at(z, _around(before, (x, y), body)).parts:
            path, radius = part
            close = shapely.union_all(shapely.buffer(path.lines, radius, quad_segs=_QUADRANT))
            rest = shapely.difference(rest, close)
        found[n] = rest.area <= _SAME_SPOT_MM
    return found


def _around(before: Sequence[Ran], xy: tuple[float, float], body: Body) -> list[Ran]:
    """Return only what ran near enough to a spot to matter to it."""
    near = []
    for pieces, wide in before:
        far = wide.radius_mm + body.radius_mm
        low = np.minimum(pieces.start, pieces.end)[:, :2] - far
        high = np.maximum(pieces.start, pieces.end)[:, :2] + far
        inside = np.flatnonzero(((low <= xy) & (xy <= high)).all(axis=1))
        near.append((pieces.where(inside), wide))
    return near
