"""Depth: how deep the program goes, and how much of it at once.

In: pieces of the path below the stock's top. Out: checks on the deepest point, the depth of each
pass, and the cutter's reach. The depth of a pass is judged about once a millimetre along every
level stretch: an earlier pass, no more than the depth per pass above it, must have run within
half the cutter's radius.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from outline2path.proof.expected import Expected
from outline2path.proof.tracks import Floats, Nearest, Pieces
from outline2path.proof.verdict import Check

__all__ = ["depths"]

_EVEN = 0.0015
"""mm: a depth rounded twice, to the program's and to the plan's decimals."""
_EVERY_MM = 1.0
_NEAR_SHARE = 0.5
_BLOCK = 20_000
"""Spots judged together: bounds the memory that their neighbours take."""


def depths(pieces: Pieces, lines: NDArray[np.int32], expected: Expected) -> list[Check]:
    """Return the checks on depth.

    Parameters
    ----------
    pieces : Pieces
        The path where its tip is below the stock's top.
    lines : ndarray of int
        Line of the text by row of the table.
    expected : Expected
        Depths, depth per pass, length of the cutting edges.

    Examples
    --------
    >>> import shapely
    >>> wanted = Expected(region_fine=shapely.box(0, 0, 9, 9), side="on", cutter_mm=1.0,
    ...                   top_mm=0.0, bottom_mm=-2.0, clearance_mm=5.0, depth_per_pass_mm=1.0)
    >>> run = Pieces(np.array([[0.0, 0, -2]]), np.array([[9.0, 0, -2]]), np.array([0]))
    >>> [(c.name, c.ok) for c in depths(run, np.array([3]), wanted)]
    [('depth', True), ('depth per pass', False), ('reach of the cutter', True)]
    """
    return [
        _deepest(pieces, lines, expected),
        _per_pass(pieces, lines, expected),
        _flutes(pieces, expected),
    ]


def _deepest(pieces: Pieces, lines: NDArray[np.int32], expected: Expected) -> Check:
    if not len(pieces):
        return Check(name="depth", ok=False, detail="the program never enters the stock")
    row = int(pieces.low.argmin())
    z, wanted = float(pieces.low[row]), expected.deepest_mm
    what = f"deepest at z {z:.3f} mm, asked for {wanted:.3f}"
    if z < wanted - _EVEN:
        what += ": cuts too far into what lies below"
    elif z > wanted + _EVEN:
        what += ": does not come through"
    x, y = pieces.end[row, :2].tolist()
    return Check(
        name="depth",
        ok=abs(z - wanted) <= _EVEN,
        detail=what,
        at_mm=(x, y),
        line=int(lines[pieces.row[row]]),
        value=z,
        limit=wanted,
    )


def _flutes(pieces: Pieces, expected: Expected) -> Check:
    name, most = "reach of the cutter", expected.flute_length_mm
    if most is None or not len(pieces):
        return Check(name=name, ok=True, detail="the length of the cutting edges was not given")
    deep = expected.top_mm - float(pieces.low.min())
    ok = deep <= most + _EVEN
    detail = f"cuts {deep:.3f} mm deep with {most:g} mm of cutting edge"
    return Check(name=name, ok=ok, detail=detail, value=deep, limit=most)


def _per_pass(pieces: Pieces, lines: NDArray[np.int32], expected: Expected) -> Check:
    name, most = "depth per pass", expected.depth_per_pass_mm
    if most is None:
        return Check(name=name, ok=True, detail="no limit was given")
    pieces = pieces.thinned(by_level=True)
    flat = pieces.where(np.abs(pieces.high - pieces.low) <= _EVEN)
    flat = flat.where(flat.low < expected.top_mm - most - _EVEN)
    spots, owner = _spots(flat)
    search = Nearest(pieces.start, pieces.end)
    for block in range(0, len(spots), _BLOCK):
        part = slice(block, block + _BLOCK)
        asked = flat.where(owner[part])
        earlier = _first_above(pieces, search, (spots[part], asked.low), expected)
        bad = np.flatnonzero(earlier >= asked.row)
        if len(bad):
            n = int(bad[0])
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
    count[np.abs(np.diff(pieces.low, prepend=np.inf)) > _EVEN] += 1
    owner = np.repeat(np.arange(len(pieces)), count)
    step = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
    share = (step + 0.5) / count[owner]
    return pieces.start[owner, :2] + share[:, None] * along[owner], owner


def _first_above(
    pieces: Pieces, search: Nearest, spots: tuple[Floats, Floats], expected: Expected
) -> NDArray[np.int64]:
    """Return the earliest row near and close above each spot; a huge one where there is none."""
    most = expected.depth_per_pass_mm or 0.0
    first = np.full(len(spots[0]), np.iinfo(np.int64).max)
    asked, got = search.near(spots[0], _NEAR_SHARE * expected.radius_mm)
    level = spots[1][asked]
    above = (pieces.high[got] <= level + most + _EVEN) & (pieces.low[got] > level + _EVEN)
    np.minimum.at(first, asked[above], pieces.row[got[above]])
    return first
