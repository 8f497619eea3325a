"""Room: the program stays within the machine's travel, and is of the size that was drawn.

In: every known move as straight pieces. Out: the bounds of the cutter's centre, and checks. A
program in the wrong units is 25.4 times too large or too small; that is said in words, since the
figures of the other checks then mean little.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.proof.tracks import Floats, Pieces
from outline2path.proof.verdict import Check

if TYPE_CHECKING:
    from outline2path.proof.claims import Claim
    from outline2path.proof.expected_program import ExpectedProgram

__all__ = ["bounds_of", "room"]

_EVEN = 0.0005
_INCH_MM = 25.4
_ABOUT = 1.35
_SMALL_MM = 0.5
"""Paths smaller than this, as of one drilled hole, tell nothing about their units."""


def bounds_of(pieces: Pieces) -> tuple[float, ...] | None:
    """Return least x, y, z and greatest x, y, z of the pieces in mm, None where there are none.

    Examples
    --------
    >>> bounds_of(Pieces(np.array([[0.0, 0, 1]]), np.array([[9.0, -2, 5]]), np.array([0])))
    (0.0, -2.0, 1.0, 9.0, 0.0, 5.0)
    """
    if not len(pieces):
        return None
    low = np.minimum(pieces.start.min(axis=0), pieces.end.min(axis=0))
    high = np.maximum(pieces.start.max(axis=0), pieces.end.max(axis=0))
    return (*low.tolist(), *high.tolist())


def room(
    pieces: Pieces,
    low: Pieces,
    lines: NDArray[np.int32],
    expected: ExpectedProgram,
    *,
    claims: Sequence[Claim],
) -> list[Check]:
    """Return the checks on travel and size.

    Parameters
    ----------
    pieces, low : Pieces
        All known moves; those below the stock's top.
    lines : ndarray of int
        Line of the text by row of the table.
    expected : ExpectedProgram
        Travel, stock, waste board.
    claims : sequence of Claim
        Its features, brought together, for their size.

    Examples
    --------
    >>> import shapely
    >>> from outline2path.proof.body import Body
    >>> from outline2path.proof.claims import claims_of
    >>> from outline2path.proof.expected import Expected
    >>> from outline2path.proof.expected_program import as_program
    >>> wanted = as_program(Expected(
    ...     region_fine=shapely.box(0, 0, 9, 9), side="on", cutter_mm=1.0, top_mm=0.0,
    ...     bottom_mm=-2.0, clearance_mm=5.0))
    >>> claims = claims_of(wanted.features, Body(wanted.cutter))
    >>> run = Pieces(np.array([[0.0, 0, -2]]), np.array([[229.0, 229, -2]]), np.array([0]))
    >>> print(room(run, run, np.array([3]), wanted, claims=claims)[2])
    no  size: the path is 25.4 times as large as drawn: inches and millimetres are mixed up
    """
    return [
        _within("travel", pieces, expected.travel_mm, lines),
        _within("stock", low, _stock_box(expected, claims), lines),
        _size(low, claims, goes_on=bool(expected.before)),
        _waste_board(pieces, lines, expected),
    ]


def _stock_box(expected: ExpectedProgram, claims: Sequence[Claim]) -> tuple[float, ...] | None:
    """Where the centre may go in the stock: a diameter beyond its edges, facing farther."""
    if expected.stock_mm is None:
        return None
    x0, y0, x1, y1 = expected.stock_mm
    d = max(expected.cutter_mm, *(claim.over_mm for claim in claims))
    return (x0 - d, y0 - d, -np.inf, x1 + d, y1 + d, np.inf)


def _within(
    name: str, pieces: Pieces, box: tuple[float, ...] | None, lines: NDArray[np.int32]
) -> Check:
    if box is None:
        return Check(name=name, ok=True, detail="its size was not given")
    low, high = np.array(box[:3]), np.array(box[3:])
    ends = np.concatenate([pieces.start, pieces.end])
    beyond = np.maximum(low - ends, ends - high).max(axis=1, initial=-np.inf)
    if not len(beyond) or beyond.max() <= _EVEN:
        return Check(name=name, ok=True, detail="every move stays within it")
    worst = int(beyond.argmax())
    x, y = ends[worst, :2].tolist()
    return Check(
        name=name,
        ok=False,
        detail=f"the path leaves it by {beyond[worst]:.3f} mm",
        at_mm=(x, y),
        line=int(lines[pieces.row[worst % len(pieces)]]),
        value=float(beyond[worst]),
        limit=0.0,
    )


def _waste_board(pieces: Pieces, lines: NDArray[np.int32], expected: ExpectedProgram) -> Check:
    least = expected.waste_board_mm
    if least is None:
        return Check(name="waste board", ok=True, detail="its limit was not given")
    box = (-np.inf, -np.inf, least, np.inf, np.inf, np.inf)
    found = _within("waste board", pieces, box, lines)
    wanted = expected.deepest_mm
    if found.ok and wanted < least - _EVEN:
        detail = f"a floor at z {wanted:.3f} mm is asked for, the limit is {least:.3f}"
        return Check(name=found.name, ok=False, detail=detail, value=wanted, limit=least)
    return found


def _size(low: Pieces, claims: Sequence[Claim], *, goes_on: bool) -> Check:
    """Compare the path with the drawing; going on with another's work it may be far smaller."""
    box = bounds_of(low)
    if box is None:
        return Check(name="size", ok=False, detail="nothing is cut")
    boxes = np.array([_centre_box(claim) for claim in claims])
    asked = _diagonal(boxes[:, 2:].max(axis=0) - boxes[:, :2].min(axis=0))
    found = _diagonal(np.array(box[3:5]) - np.array(box[:2]))
    ratio = found / asked if asked > _SMALL_MM else 1.0
    for factor in (_INCH_MM,) if goes_on else (_INCH_MM, 1 / _INCH_MM):
        if factor / _ABOUT < ratio < factor * _ABOUT:
            what = "large" if ratio > 1 else "small"
            times = ratio if ratio > 1 else 1 / ratio
            detail = f"{times:.1f} times as {what} as drawn: inches and millimetres are mixed up"
            return Check(
                name="size", ok=False, detail=f"the path is {detail}", value=found, limit=asked
            )
    return Check(name="size", ok=True, detail="as large as drawn, or nearly", value=found)


def _centre_box(claim: Claim) -> Floats:
    """Return the box that the cutter's centre was to run in, roughly."""
    if claim.region is None:
        ends = np.concatenate([claim.start, claim.end])
        return np.concatenate([ends.min(axis=0), ends.max(axis=0)])
    by = 0.0 if claim.feature.kind in ("face", "chamfer") else claim.body.radius_mm
    grow = np.array([-by, -by, by, by]) * (1 if claim.keeps else -1)
    box: Floats = np.array(claim.region.bounds) + grow
    return box


def _diagonal(size: Floats) -> float:
    return float(max(np.hypot(*np.maximum(size, 0.0)), _EVEN))
