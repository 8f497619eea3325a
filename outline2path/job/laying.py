"""Laying: parts on a blank, by hand or in rows, checked for overlap.

In: outlines in mm and the stock. Out: the outlines moved so that the origin is the stock's lower
left corner, as `placed="as-drawn"` takes them. Rows are filled from left to right in the order
given; the next row begins above the tallest part of the last. Nothing is turned, for grain runs
one way.

Parts that overlap, that come nearer than asked, or that hang over the stock's edge are errors with
their place. Boxes are compared first and regions only where boxes meet, so that hundreds of copies
cost next to nothing.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.drawing.outline import Outline
from outline2path.errors import SettingError
from outline2path.shop.stock import Stock
from outline2path.tolerance import SAME_MM
from outline2path.units import parse_length

__all__ = ["MOST_PARTS", "check_laid", "lay_at", "rows"]

Length = str | float

MOST_PARTS = 2000
"""More parts than this on one blank are refused: no small mill's table holds them."""


def lay_at(outline: Outline, x: Length, y: Length) -> Outline:
    """Return the outline with the lower left corner of its box at x, y.

    Examples
    --------
    >>> lay_at(Outline.from_shapely(shapely.box(3, 4, 8, 9)), "10 mm", "1 in").bounds_mm
    (10.0, 25.4, 15.0, 30.4)
    """
    x0, y0, _, _ = outline.bounds_mm
    return outline.move(parse_length(x) - x0, parse_length(y) - y0)


def rows(
    outlines: Sequence[Outline],
    stock: Stock,
    *,
    spacing: Length = 8.0,
    start: tuple[Length, Length] | None = None,
) -> list[Outline]:
    """Lay parts out in rows on a blank.

    Parameters
    ----------
    outlines : sequence of Outline
        In the order they are to lie; the same one several times for copies.
    stock : Stock
        Of known width and height.
    spacing : str or float
        Between the boxes of neighbours, and to the stock's edges; wide enough for the cutter.
    start : pair of str or float, optional
        Lower left corner of the first part; a spacing from both edges when left out.

    Returns
    -------
    list of Outline
        In the same order, moved.

    Raises
    ------
    SettingError
        When the parts do not go on the stock; the place is where the first one hangs over.

    Examples
    --------
    >>> tag = Outline.from_shapely(shapely.box(0, 0, 40, 20))
    >>> laid = rows([tag] * 3, Stock("100 x 60 x 3 mm"), spacing="5 mm")
    >>> [part.bounds_mm[:2] for part in laid]
    [(5.0, 5.0), (50.0, 5.0), (5.0, 30.0)]
    """
    gap = parse_length(spacing)
    _check_count(len(outlines))
    if gap < 0:
        raise SettingError(f"a spacing of {gap:g} mm is below 0", value=gap)
    wide, tall = _size(stock)
    boxes = _boxes(outlines)
    left, bottom = (gap, gap) if start is None else (parse_length(v) for v in start)
    right = wide - gap
    x, y, top = left, bottom, bottom
    laid = []
    for number, (outline, (x0, y0, x1, y1)) in enumerate(
        zip(outlines, boxes.tolist(), strict=True), start=1
    ):
        if x > left and x + x1 - x0 > right + SAME_MM:
            x, y = left, top + gap
        if x + x1 - x0 > right + SAME_MM or y + y1 - y0 > tall - gap + SAME_MM:
            raise SettingError(
                f"part {number} of {len(outlines)}, {x1 - x0:.2f} x {y1 - y0:.2f} mm, finds no "
                f"room on the stock of {wide:g} x {tall:g} mm",
                at_mm=(x, y),
                value=number,
                limit=(wide, tall),
                remedy="use fewer copies, less spacing or a larger blank",
            )
        laid.append(outline.move(x - x0, y - y0))
        x, top = x + x1 - x0 + gap, max(top, y + y1 - y0)
    return laid


def check_laid(
    outlines: Sequence[Outline],
    stock: Stock | None = None,
    *,
    spacing: Length = 0.0,
    names: Sequence[str] | None = None,
) -> None:
    """Refuse parts that overlap, that come too near each other, or that hang over the stock.

    Parameters
    ----------
    outlines : sequence of Outline
        Where they lie; the stock's lower left corner is the origin.
    stock : Stock, optional
        Its edges are checked where its width and height are known.
    spacing : str or float
        Least distance between two parts.
    names : sequence of str, optional
        What to call the parts; their numbers when left out.

    Raises
    ------
    SettingError
        With the place of the first fault, in the order of the parts.

    Examples
    --------
    >>> tag = Outline.from_shapely(shapely.box(0, 0, 40, 20))
    >>> check_laid([tag, tag.move(39)])
    Traceback (most recent call last):
    outline2path.errors.SettingError: parts 1 and 2 overlap at x 39.500, y 10.000 mm; move one \
of them
    """
    _check_count(len(outlines))
    gap = parse_length(spacing)
    boxes = _boxes(outlines)
    called = names or [str(number) for number in range(1, len(outlines) + 1)]
    if stock is not None and stock.width_mm is not None:
        _check_edges(boxes, _size(stock), called)
    shapes = shapely.box(*boxes.T)
    near = max(gap - SAME_MM, 0.0)  # boxes in rows are just a spacing apart
    one, other = shapely.STRtree(shapes).query(shapes, predicate="dwithin", distance=near)
    order = np.lexsort((other, one))
    for a, b in zip(one[order].tolist(), other[order].tolist(), strict=True):
        if a < b:
            _check_pair(outlines[a], outlines[b], gap, f"{called[a]} and {called[b]}")


def _check_pair(one: Outline, other: Outline, gap: float, both: str) -> None:
    first, second = one.region, other.region
    shared = first.intersection(second)
    if shared.area > SAME_MM:
        place = shared.representative_point()
        raise SettingError(
            f"parts {both} overlap",
            at_mm=(place.x, place.y),
            value=float(shared.area),
            remedy="move one of them",
        )
    apart = float(first.distance(second))
    if apart < gap - SAME_MM:
        x, y = shapely.shortest_line(first, second).interpolate(0.5, normalized=True).coords[0]
        raise SettingError(
            f"parts {both} are {apart:.3f} mm apart, less than {gap:g} mm",
            at_mm=(x, y),
            value=apart,
            limit=gap,
            remedy="move one of them",
        )


def _check_edges(
    boxes: NDArray[np.float64], size: tuple[float, float], called: Sequence[str]
) -> None:
    """Refuse the first part that hangs over the stock's edge."""
    over = np.column_stack((-boxes[:, :2], boxes[:, 2:] - size)).max(axis=1)
    off = np.flatnonzero(over > SAME_MM)
    if len(off):
        k = int(off[0])
        x0, y0, x1, y1 = boxes[k].tolist()
        raise SettingError(
            f"part {called[k]} hangs {over[k]:.2f} mm over the stock of "
            f"{size[0]:g} x {size[1]:g} mm",
            at_mm=(x0 if x0 < 0 else x1, y0 if y0 < 0 else y1),
            value=float(over[k]),
            limit=0.0,
            remedy="move it, or use a larger blank",
        )


def _check_count(count: int) -> None:
    if not 1 <= count <= MOST_PARTS:
        raise SettingError(
            f"{count} parts are outside 1 to {MOST_PARTS}", value=count, limit=(1, MOST_PARTS)
        )


def _size(stock: Stock) -> tuple[float, float]:
    if stock.width_mm is None or stock.height_mm is None:
        raise SettingError(
            f"parts can be laid only on stock of known width and height, not {stock!r}",
            value=stock.thickness_mm,
            remedy='give Stock("300 x 200 x 6 mm")',
        )
    return stock.width_mm, stock.height_mm


def _boxes(outlines: Sequence[Outline]) -> NDArray[np.float64]:
    """Return the box of each outline, shape (n, 4); those that only moved are measured once."""
    known: dict[tuple[object, ...], tuple[tuple[float, ...], tuple[float, ...]]] = {}
    boxes = np.empty((len(outlines), 4))
    for k, outline in enumerate(outlines):
        a, b, c, d, e, f = outline.matrix
        key = (id(outline.figures), id(outline.solid), outline.reading, a, b, c, d)
        if key not in known:
            known[key] = (outline.bounds_mm, (e, f, e, f))
        box, move = known[key]
        boxes[k] = np.subtract(np.add(box, (e, f, e, f)), move)
    return boxes
