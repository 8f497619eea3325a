"""Room: the program stays within the machine's travel, and is of the size that was drawn.

In: every known move as straight pieces. Out: the bounds of the cutter's centre, and checks. A
program in the wrong units is 25.4 times too large or too small; that is said in words, since the
figures of the other checks then mean little.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.proof.expected import Expected
from outline2path.proof.tracks import Floats, Pieces
from outline2path.proof.verdict import Check

__all__ = ["bounds_of", "room"]

_EVEN = 0.0005
_INCH_MM = 25.4
_ABOUT = 1.35


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


def room(pieces: Pieces, low: Pieces, lines: NDArray[np.int32], expected: Expected) -> list[Check]:
    """Return the checks on travel and size.

    Parameters
    ----------
    pieces, low : Pieces
        All known moves; those below the stock's top.
    lines : ndarray of int
        Line of the text by row of the table.
    expected : Expected
        Travel, stock, and the region for its size.

    Examples
    --------
    >>> wanted = Expected(region_fine=shapely.box(0, 0, 9, 9), side="on", cutter_mm=1.0,
    ...                   top_mm=0.0, bottom_mm=-2.0, clearance_mm=5.0)
    >>> run = Pieces(np.array([[0.0, 0, -2]]), np.array([[229.0, 229, -2]]), np.array([0]))
    >>> print(room(run, run, np.array([3]), wanted)[2])
    no  size: the path is 25.4 times as large as drawn: inches and millimetres are mixed up
    """
    return [
        _within("travel", pieces, expected.travel_mm, lines),
        _within("stock", low, _stock_box(expected), lines),
        _size(low, expected),
    ]


def _stock_box(expected: Expected) -> tuple[float, ...] | None:
    """Where the cutter's centre may go in the stock: one diameter beyond its edges."""
    if expected.stock_mm is None:
        return None
    x0, y0, x1, y1 = expected.stock_mm
    d = expected.cutter_mm
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


def _size(low: Pieces, expected: Expected) -> Check:
    box = bounds_of(low)
    if box is None:
        return Check(name="size", ok=False, detail="nothing is cut")
    drawn = np.array(shapely.bounds(expected.part))
    reach = {"outside": 2.0, "inside": -2.0, "on": 0.0}[expected.side] * expected.radius_mm
    asked = _diagonal(drawn[2:] - drawn[:2] + reach)
    found = _diagonal(np.array(box[3:5]) - np.array(box[:2]))
    ratio = found / asked
    for factor in (_INCH_MM, 1 / _INCH_MM):
        if factor / _ABOUT < ratio < factor * _ABOUT:
            what = "large" if ratio > 1 else "small"
            times = ratio if ratio > 1 else 1 / ratio
            detail = f"{times:.1f} times as {what} as drawn: inches and millimetres are mixed up"
            return Check(
                name="size", ok=False, detail=f"the path is {detail}", value=found, limit=asked
            )
    return Check(name="size", ok=True, detail="as large as drawn, or nearly", value=found)


def _diagonal(size: Floats) -> float:
    return float(max(np.hypot(*size), _EVEN))
