"""Touch: what the cutter, its shank and its holder must not touch, and what it cannot do.

In: moves as straight pieces, the clamps, the cutter. Out: checks. A clamp is a box from the bed
up; every move counts, rapids too, with the cutter as wide as it is at the clamp's top. Above its
cutting edges the shank must not rub on walls, and the holder must stay above the ground. A cutter
that cannot cut with its tip must not be fed straight down into the stock. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.proof.body import Body
from outline2path.proof.expected_program import ExpectedProgram, KeepOut
from outline2path.proof.sweep import Ran, sweep_at
from outline2path.proof.tracks import EVEN_MM, Pieces
from outline2path.proof.verdict import Check
from outline2path.tolerance import GOUGE_LIMIT_MM

if TYPE_CHECKING:
    from outline2path.proof.ground import Ground

__all__ = ["clamps", "plunges", "shank"]


def clamps(pieces: Pieces, lines: NDArray[np.int32], expected: ExpectedProgram) -> Check:
    """Check that no move enters a box that must be kept clear.

    Examples
    --------
    >>> from outline2path.proof.feature import Feature
    >>> from outline2path.shop.cutter import Cutter
    >>> slot = Feature(kind="pocket", region_fine=shapely.box(0, 0, 40, 6), bottom_mm=-3.0)
    >>> wanted = ExpectedProgram(
    ...     features=(slot,), cutter=Cutter(3.0), top_mm=0.0, bottom_mm=-6.0, clearance_mm=5.0,
    ...     keep_out=(KeepOut(box_mm=(50, 0, 60, 10), top_mm=12.0),))
    >>> run = Pieces(np.array([[0.0, 3, 5]]), np.array([[49.0, 3, 5]]), np.array([0]))
    >>> print(clamps(run, np.array([4]), wanted))
    no  clamps: the cutter runs 0.500 mm into a clamp (line 4)
    """
    if not expected.keep_out:
        return Check(name="clamps", ok=True, detail="none were named")
    margin = np.inf
    for box in expected.keep_out:
        for what, low, radius in _bodies(expected):
            near = pieces.below(box.top_mm - low - EVEN_MM)
            gap, row, place = _gap(near, box, radius)
            margin = min(margin, gap)
            if gap < 0:
                return Check(
                    name="clamps",
                    ok=False,
                    detail=f"the {what} runs {-gap:.3f} mm into {box.name}",
                    at_mm=place,
                    line=int(lines[row]),
                    value=-gap,
                    limit=0.0,
                )
    detail = "no move comes as low as they are high"
    if np.isfinite(margin):
        detail = f"every move stays {margin:.2f} mm or more clear of them"
    return Check(name="clamps", ok=True, detail=detail)


def _bodies(expected: ExpectedProgram) -> list[tuple[str, float, Body | float]]:
    """Return what turns: its name, the height above the tip where it begins, its radius."""
    cutter = expected.cutter
    found: list[tuple[str, float, Body | float]] = [("cutter", 0.0, Body(cutter))]
    if cutter.shank_mm is not None and cutter.flute_length_mm is not None:
        found.append(("shank", cutter.flute_length_mm, cutter.shank_mm / 2))
    if cutter.holder_mm is not None and cutter.stick_out_mm is not None:
        found.append(("holder", cutter.stick_out_mm, cutter.holder_mm / 2))
    return found


def _gap(
    pieces: Pieces, box: KeepOut, radius: Body | float
) -> tuple[float, int, tuple[float, float] | None]:
    """Return the least gap between a body and a box, mm, below 0 inside, and where."""
    if not len(pieces):
        return np.inf, -1, None
    wide = radius.radius_at(box.top_mm - pieces.low) if isinstance(radius, Body) else radius
    lines = shapely.linestrings(np.stack([pieces.start, pieces.end], axis=1)[:, :, :2])
    gap = shapely.distance(lines, shapely.box(*box.box_mm)) - wide
    n = int(gap.argmin())
    x, y = pieces.end[n, :2].tolist()
    return float(gap[n]), int(pieces.row[n]), (x, y)


def shank(
    pieces: Pieces, lines: NDArray[np.int32], expected: ExpectedProgram, *, ground: Ground
) -> Check:
    """Check that neither shank nor holder touches what stands beside the cut.

    Parameters
    ----------
    pieces : Pieces
        All that runs below the stock's top.
    lines : ndarray of int
        Line of the text by row of the table.
    expected : ExpectedProgram
        The cutter, with what is known of its shank and holder.
    ground : Ground
        What stands.
    """
    name = "shank and holder"
    known = _bodies(expected)[1:]
    if not known:
        return Check(name=name, ok=True, detail="their sizes were not given")
    for what, low, radius in known:
        deep = pieces.below(expected.top_mm - low - EVEN_MM).lowest_once()
        if not len(deep):
            continue
        row = int(deep.low.argmin())
        into = expected.top_mm - low - float(deep.low[row])
        if what == "shank":
            slab = len(ground.floors) - 1
            level = ground.level(slab, expected.top_mm)
            depth, _ = level.depth(deep, np.full(len(deep), radius))
            row = int(depth.argmax())
            into = float(depth[row]) if depth[row] > GOUGE_LIMIT_MM else 0.0
        if into > 0:
            x, y = deep.end[row, :2].tolist()
            return Check(
                name=name,
                ok=False,
                detail=f"the {what} goes {into:.3f} mm into the stock",
                at_mm=(x, y),
                line=int(lines[deep.row[row]]),
                value=into,
                limit=0.0,
            )
    return Check(name=name, ok=True, detail="they stay clear of the stock")


def plunges(
    pieces: Pieces,
    lines: NDArray[np.int32],
    expected: ExpectedProgram,
    *,
    before: Sequence[Ran] = (),
) -> Check:
    """Check that a cutter which cannot cut with its tip is not fed straight down into the stock.

    Parameters
    ----------
    pieces : Pieces
        Feed moves below the stock's top.
    lines : ndarray of int
        Line of the text by row of the table.
    expected : ExpectedProgram
        The cutter and the stock.
    before : sequence of (Pieces, Body)
        What programs before it took.
    """
    name = "plunge"
    if expected.cutter.cuts_down:
        return Check(name=name, ok=True, detail="the cutter may be fed straight down")
    straight = (pieces.start[:, :2] == pieces.end[:, :2]).all(axis=1)
    down = pieces.where(straight & (pieces.end[:, 2] < pieces.start[:, 2] - EVEN_MM))
    if expected.stock_mm is not None and len(down):
        stock = shapely.box(*expected.stock_mm)
        off = shapely.distance(stock, shapely.points(down.end[:, :2]))
        down = down.where(off < expected.radius_mm)
    for n in range(len(down)):
        spot, row = down.end[n], int(down.row[n])
        own = pieces.where(pieces.row < row)
        ran = [*before, (own, Body(expected.cutter))]
        if sweep_at(float(spot[2]), ran).short(spot[None, :2])[0] > -expected.radius_mm:
            return Check(
                name=name,
                ok=False,
                detail="a cutter that does not cut with its tip is fed straight down",
                at_mm=(float(spot[0]), float(spot[1])),
                line=int(lines[row]),
            )
    return Check(name=name, ok=True, detail="it is fed straight down only where nothing is left")
