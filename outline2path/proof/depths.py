"""Depth: how deep the program goes, and how much of it at once.

In: pieces of the path below the stock's top, and the claims. Out: checks on the deepest point, on
every floor, on the depth of each pass, and on the cutter's reach. The depth of a pass is judged
about once a millimetre along every level stretch: an earlier pass, no more than the depth per pass
above it, must have run within half the cutter's radius, or the ground ahead of the cutter must
have been taken by whatever ran before. Work begins at its feature's own
surface; where that lies below the stock's top, the ground above it must have been taken before.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.proof.along import farthest
from outline2path.proof.sweep import Ran, sweep_at
from outline2path.proof.tracks import EVEN_MM, Floats, Nearest, Pieces
from outline2path.proof.verdict import Check

if TYPE_CHECKING:
    from outline2path.proof.claims import Claim
    from outline2path.proof.expected_program import ExpectedProgram
    from outline2path.proof.gouge import Worst

__all__ = ["depths", "per_pass"]

_EVERY_MM = 1.0
_NEAR_SHARE = 0.5
_BLOCK = 20_000
_FEW = 500
"""Spots judged together: bounds the memory that their neighbours take."""
_AHEAD = np.radians([-80.0, -40.0, 0.0, 40.0, 80.0])
_RIM_SHARE = 0.98
"""Where on the rim of the cutter, seen along its way, and how near to it, ground must be gone."""
_BESIDE = 1.2
"""Of the radius: how near to its edge the lowest pass of a profile runs."""


def depths(
    pieces: Pieces,
    lines: NDArray[np.int32],
    expected: ExpectedProgram,
    *,
    claims: Sequence[Claim],
    too_deep: Worst,
) -> list[Check]:
    """Return the checks on depth.

    Parameters
    ----------
    pieces : Pieces
        The path where its tip is below the stock's top.
    lines : ndarray of int
        Line of the text by row of the table.
    expected : ExpectedProgram
        Depths, length of the cutting edges.
    claims : sequence of Claim
        Its features, brought together.
    too_deep : Worst
        The deepest cut below a floor, as found before.
    """
    deep = _deepest(pieces, lines, expected)
    if deep.ok:
        deep = _below_floor(too_deep, lines) or _short_of_floor(pieces, claims) or deep
    return [deep, _flutes(pieces, expected, claims)]


def _deepest(pieces: Pieces, lines: NDArray[np.int32], expected: ExpectedProgram) -> Check:
    if not len(pieces):
        return Check(name="depth", ok=False, detail="the program never enters the stock")
    row = int(pieces.low.argmin())
    z, wanted = float(pieces.low[row]), expected.deepest_mm
    what = f"deepest at z {z:.3f} mm, asked for {wanted:.3f}"
    if z < wanted - EVEN_MM:
        what += ": cuts too far into what lies below"
    elif z > wanted + EVEN_MM:
        what += ": does not come through"
    x, y = pieces.end[row, :2].tolist()
    return Check(
        name="depth",
        ok=abs(z - wanted) <= EVEN_MM,
        detail=what,
        at_mm=(x, y),
        line=int(lines[pieces.row[row]]),
        value=z,
        limit=wanted,
    )


def _below_floor(too_deep: Worst, lines: NDArray[np.int32]) -> Check | None:
    if too_deep.value <= EVEN_MM:
        return None
    return Check(
        name="depth",
        ok=False,
        detail=f"cuts {too_deep.value:.3f} mm below the floor of what it may take there",
        at_mm=too_deep.at_mm,
        line=None if too_deep.row is None else int(lines[too_deep.row]),
        value=too_deep.value,
        limit=EVEN_MM,
    )


def _short_of_floor(pieces: Pieces, claims: Sequence[Claim]) -> Check | None:
    """Look for a claim whose floor no piece reaches; a chamfer may be cut higher up."""
    if len(claims) == 1:  # the deepest piece tells of it
        return None
    for claim in claims:
        if claim.feature.kind == "chamfer":
            continue
        there = pieces.where(_belongs(pieces, claim))
        low = float(there.low.min(initial=np.inf))
        if low > claim.floor_mm + EVEN_MM:
            high = f"z {low:.3f}" if np.isfinite(low) else "nowhere"
            return Check(
                name="depth",
                ok=False,
                detail=f"{claim.feature.label} was to go to z {claim.floor_mm:.3f} mm, "
                f"the program goes to {high}",
                value=low if np.isfinite(low) else None,
                limit=claim.floor_mm,
            )
    return None


def _belongs(pieces: Pieces, claim: Claim) -> NDArray[np.bool_]:
    """Tell which pieces work for a claim, seen from above: inside it, along it, or around it."""
    if claim.region is None:
        off, _ = farthest(pieces, claim.centres)
        return off <= claim.feature.tolerance_mm
    middle = (pieces.start + pieces.end)[:, :2] / 2
    if claim.takes:
        shapely.prepare(claim.region)
        inside: NDArray[np.bool_] = shapely.contains_xy(claim.region, middle[:, 0], middle[:, 1])
        return inside
    edge = claim.edge(claim.feature.bottom_mm)
    near = edge.nearest.distance(middle) <= _BESIDE * claim.body.radius_mm + edge.reach_mm
    return near & ~edge.inside(middle)


def _surface(pieces: Pieces, claims: Sequence[Claim], top_mm: float) -> Floats:
    """Return for each piece the height at which the work that it belongs to begins."""
    surface = np.full(len(pieces), top_mm)
    for claim in claims:
        top = claim.feature.top_mm
        if top >= top_mm - EVEN_MM:
            continue
        between = (pieces.low < top) & (pieces.low >= claim.floor_mm - EVEN_MM)
        rows = np.flatnonzero(between)
        rows = rows[_belongs(pieces.where(rows), claim)]
        surface[rows] = np.minimum(surface[rows], top)
    return surface


def _flutes(pieces: Pieces, expected: ExpectedProgram, claims: Sequence[Claim]) -> Check:
    name, most = "reach of the cutter", expected.cutter.flute_length_mm
    if most is None or not len(pieces):
        return Check(name=name, ok=True, detail="the length of the cutting edges was not given")
    deep = float((_surface(pieces, claims, expected.top_mm) - pieces.low).max())
    ok = deep <= most + EVEN_MM
    detail = f"cuts {deep:.3f} mm deep with {most:g} mm of cutting edge"
    return Check(name=name, ok=ok, detail=detail, value=deep, limit=most)


def per_pass(
    pieces: Pieces,
    lines: NDArray[np.int32],
    expected: ExpectedProgram,
    *,
    claims: Sequence[Claim],
    before: Sequence[Ran] = (),
) -> Check:
    """Check that no pass takes more at once than asked.

    Parameters
    ----------
    pieces : Pieces
        The path where its tip is below the stock's top.
    lines : ndarray of int
        Line of the text by row of the table.
    expected : ExpectedProgram
        Depth per pass, and the top.
    claims : sequence of Claim
        Its features, brought together.
    before : sequence of (Pieces, Body)
        What programs before it took.

    Examples
    --------
    >>> from outline2path.proof.expected import Expected
    >>> from outline2path.proof.expected_program import as_program
    >>> wanted = as_program(Expected(
    ...     region_fine=shapely.box(0, 0, 9, 9), side="on", cutter_mm=1.0, top_mm=0.0,
    ...     bottom_mm=-2.0, clearance_mm=5.0, depth_per_pass_mm=1.0))
    >>> run = Pieces(np.array([[0.0, 0, -2]]), np.array([[9.0, 0, -2]]), np.array([0]))
    >>> print(per_pass(run, np.array([3]), wanted, claims=()))
    no  depth per pass: at z -2.000 mm more than 1 mm is taken at once (line 3)
    """
    name, most = "depth per pass", expected.depth_per_pass_mm
    if most is None:
        return Check(name=name, ok=True, detail="no limit was given")
    pieces = pieces.thinned(by_level=True)
    flat = pieces.where(np.abs(pieces.high - pieces.low) <= EVEN_MM)
    deep = flat.low < expected.top_mm - most - EVEN_MM
    surface = _surface(flat.where(deep), claims, expected.top_mm)
    flat = flat.where(deep)
    flat = flat.where(flat.low < surface - most - EVEN_MM)
    spots, owner = _spots(flat)
    search = Nearest(pieces.start, pieces.end)
    for block in range(0, len(spots), _BLOCK):
        part = slice(block, block + _BLOCK)
        asked = flat.where(owner[part])
        earlier = _first_above(pieces, search, (spots[part], asked.low), expected)
        ground = (spots[part], pieces, search, before)
        n = _first_uncleared(np.flatnonzero(earlier >= asked.row), asked, ground, expected)
        if n is not None:
            x, y = spots[block + n].tolist()
            level = float(asked.low[n])
            return Check(
                name=name,
                ok=False,
                detail=f"at z {level:.3f} mm more than {most:g} mm is taken at once",
                at_mm=(x, y),
                value=level,
                limit=most,
                line=int(lines[asked.row[n]]),
            )
    return Check(name=name, ok=True, detail=f"never more than {most:g} mm at once", limit=most)


def _spots(pieces: Pieces) -> tuple[Floats, NDArray[np.int64]]:
    """Points about a millimetre apart along pieces, and the piece of each; one at least."""
    along = (pieces.end - pieces.start)[:, :2]
    length = np.hypot(*along.T)
    passed = np.cumsum(length) / _EVERY_MM
    count = np.diff(np.floor(passed), prepend=0.0)
    count = np.maximum(count, np.floor(length / _EVERY_MM)).astype(np.int64)
    count[np.abs(np.diff(pieces.low, prepend=np.inf)) > EVEN_MM] += 1
    owner = np.repeat(np.arange(len(pieces)), count)
    step = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
    share = (step + 0.5) / count[owner]
    return pieces.start[owner, :2] + share[:, None] * along[owner], owner


def _first_above(
    pieces: Pieces, search: Nearest, spots: tuple[Floats, Floats], expected: ExpectedProgram
) -> NDArray[np.int64]:
    """Return the earliest row near and close above each spot; a huge one where there is none."""
    most = expected.depth_per_pass_mm or 0.0
    first = np.full(len(spots[0]), np.iinfo(np.int64).max)
    asked, got = search.near(spots[0], _NEAR_SHARE * expected.radius_mm)
    level = spots[1][asked]
    above = (pieces.high[got] <= level + most + EVEN_MM) & (pieces.low[got] > level + EVEN_MM)
    np.minimum.at(first, asked[above], pieces.row[got[above]])
    return first


def _first_uncleared(
    bad: NDArray[np.int64],
    asked: Pieces,
    ground: tuple[Floats, Pieces, Nearest, Sequence[Ran]],
    expected: ExpectedProgram,
) -> int | None:
    """Find the first of the spots where the cutter runs into ground that is still too high."""
    for at in range(0, len(bad), _FEW):
        some = bad[at : at + _FEW]
        cleared = _cleared_ahead(ground[0][some], asked.where(some), ground, expected)
        if not cleared.all():
            return int(some[int(np.argmin(cleared))])
    return None


def _cleared_ahead(
    spots: Floats,
    asked: Pieces,
    ground: tuple[Floats, Pieces, Nearest, Sequence[Ran]],
    expected: ExpectedProgram,
) -> NDArray[np.bool_]:
    """Tell where all ground ahead of the cutter was taken before, nearly down to the piece."""
    _, pieces, search, before = ground
    most, radius = expected.depth_per_pass_mm or 0.0, expected.radius_mm
    along = asked.end[:, :2] - asked.start[:, :2]
    heading = np.arctan2(along[:, 1], along[:, 0])[:, None] + _AHEAD
    rim = np.stack([np.cos(heading), np.sin(heading)], axis=2) * (radius * _RIM_SHARE)
    points = (spots[:, None] + rim).reshape(-1, 2)
    owner = np.repeat(np.arange(len(spots)), len(_AHEAD))
    z = asked.low[owner] + most + EVEN_MM
    point, got = search.near(points, radius)
    earlier = (pieces.row[got] < asked.row[owner[point]]) & (pieces.high[got] <= z[point])
    covered = np.zeros(len(points), dtype=bool)
    covered[point[earlier]] = True
    for height in np.unique(z) if before else ():
        here = np.flatnonzero(~covered & (z == height))
        covered[here] = sweep_at(float(height), before).short(points[here]) <= 0
    return np.asarray(covered.reshape(len(spots), -1).all(axis=1))
