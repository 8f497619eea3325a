"""Swept: which cells of a grid a round cutter passes over on level runs.

In: level runs with a radius each, and a grid of square cells. Out: for flat cutters the last and
lowest run over every cell; for others the cells under each run with their distance from it. A
disc moved along a straight line covers, in each row of cells, one interval, known in closed form;
a cell belongs to it when its centre does.

Painting: every interval is covered by two blocks whose length is a power of two; blocks are
entered into one table a length and handed down from the longest to the single cell. The cost is
that of the intervals plus a few passes over the grid, however wide the cutter.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outline2path.tolerance import LENGTH_EPSILON_MM

__all__ = ["Grid", "covered_cells", "paint"]

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]
_MOST_AT_ONCE = 2_000_000
"""Intervals or cells worked on together: bounds the memory."""


@dataclass(frozen=True, kw_only=True)
class Grid:
    """Square cells: centre of the first (mm), size of each (mm), and how many."""

    x0: float
    y0: float
    cell_mm: float
    wide: int
    high: int


@dataclass(frozen=True, eq=False)
class _Intervals:
    """Cells `left` to `right` of `row`, covered by run number `run`."""

    run: Whole
    row: Whole
    left: Whole
    right: Whole

    def __len__(self) -> int:
        return len(self.run)


def paint(start: Floats, end: Floats, radius: Floats, *, grid: Grid) -> NDArray[np.int32]:
    """Return for each cell the number of the last run over it, -1 where there is none.

    Parameters
    ----------
    start, end : ndarray, shape (n, 2)
        Ends of the runs, mm, in the order of painting: later ones hide earlier ones.
    radius : ndarray, shape (n,)
        Of the disc moved along each, mm.
    grid : Grid
        The cells.

    Examples
    --------
    >>> grid = Grid(x0=0.5, y0=0.5, cell_mm=1.0, wide=5, high=3)
    >>> paint(np.array([[1.5, 1.5]]), np.array([[3.5, 1.5]]), np.array([0.6]), grid=grid)
    array([[-1, -1, -1, -1, -1],
           [-1,  0,  0,  0, -1],
           [-1, -1, -1, -1, -1]], dtype=int32)
    """
    last = np.full((grid.high, grid.wide), -1, dtype=np.int32)
    for intervals in _intervals(start, end, radius, grid):
        np.maximum(last, _painted(intervals, grid), out=last)
    return last


def _painted(intervals: _Intervals, grid: Grid) -> NDArray[np.int32]:
    length = intervals.right - intervals.left + 1
    power = np.floor(np.log2(length)).astype(np.int64)
    table = np.full((grid.high, grid.wide), -1, dtype=np.int32)
    flat = table.reshape(-1)
    order = np.argsort(power, kind="stable")
    edges = np.searchsorted(power[order], np.arange(int(power.max(initial=0)) + 2))
    for level in range(len(edges) - 2, -1, -1):
        half = 1 << level
        if level < len(edges) - 2:
            whole = table.copy()
            np.maximum(table[:, half:], whole[:, :-half], out=table[:, half:])
        chosen = order[edges[level] : edges[level + 1]]
        base = intervals.row[chosen] * grid.wide
        number = intervals.run[chosen].astype(np.int32)
        np.maximum.at(flat, base + intervals.left[chosen], number)
        np.maximum.at(flat, base + intervals.right[chosen] - half + 1, number)
    return table


def covered_cells(
    start: Floats, end: Floats, radius: Floats, *, grid: Grid
) -> Iterator[tuple[Whole, Whole, Floats]]:
    """Give, in portions, number of the run, flat index of the cell, distance of the two (mm)."""
    for whole in _intervals(start, end, radius, grid):
        length = whole.right - whole.left + 1
        cuts = np.searchsorted(
            np.cumsum(length), np.arange(_MOST_AT_ONCE, int(length.sum()), _MOST_AT_ONCE)
        )
        for part in np.split(np.arange(len(whole)), cuts):
            count = length[part]
            run = np.repeat(whole.run[part], count)
            row = np.repeat(whole.row[part], count)
            first = np.repeat(np.cumsum(count) - count, count)
            column = np.repeat(whole.left[part], count) + np.arange(len(run)) - first
            x = grid.x0 + column * grid.cell_mm - start[run, 0]
            y = grid.y0 + row * grid.cell_mm - start[run, 1]
            yield run, row * grid.wide + column, _distance(x, y, (end - start)[run])


def _distance(x: Floats, y: Floats, along: Floats) -> Floats:
    """Return the distance of points (from a run's start) to the run."""
    square = np.maximum((along**2).sum(axis=1), LENGTH_EPSILON_MM**2)
    share = np.clip((x * along[:, 0] + y * along[:, 1]) / square, 0.0, 1.0)
    distance: Floats = np.hypot(x - share * along[:, 0], y - share * along[:, 1])
    return distance


def _intervals(start: Floats, end: Floats, radius: Floats, grid: Grid) -> Iterator[_Intervals]:
    """Give the intervals of all runs, in portions of bounded size, in order."""
    low = np.minimum(start[:, 1], end[:, 1]) - radius
    high = np.maximum(start[:, 1], end[:, 1]) + radius
    first = np.maximum(np.ceil((low - grid.y0) / grid.cell_mm), 0).astype(np.int64)
    last = np.minimum(np.floor((high - grid.y0) / grid.cell_mm), grid.high - 1).astype(np.int64)
    count = np.maximum(last - first + 1, 0)
    cuts = np.searchsorted(
        np.cumsum(count), np.arange(_MOST_AT_ONCE, int(count.sum()), _MOST_AT_ONCE)
    )
    for part in np.split(np.arange(len(count)), cuts):
        run = np.repeat(part, count[part])
        begin = np.repeat(np.cumsum(count[part]) - count[part], count[part])
        row = first[run] + np.arange(len(run)) - begin
        y = grid.y0 + row * grid.cell_mm
        left, right = _extent(start[run], end[run], radius[run], y)
        a = np.maximum(np.ceil((left - grid.x0) / grid.cell_mm), 0)
        b = np.minimum(np.floor((right - grid.x0) / grid.cell_mm), grid.wide - 1)
        there = np.flatnonzero(a <= b)
        if len(there):
            yield _Intervals(
                run[there], row[there], a[there].astype(np.int64), b[there].astype(np.int64)
            )


def _extent(start: Floats, end: Floats, radius: Floats, y: Floats) -> tuple[Floats, Floats]:
    """Return least and greatest x at height y of a disc moved from start to end.

    The swept shape is the hull of two discs: its edge is an arc of either or a line that touches
    both.
    """
    left, right = np.full(len(y), np.inf), np.full(len(y), -np.inf)
    for middle in (start, end):
        half = np.sqrt(np.maximum(radius**2 - (y - middle[:, 1]) ** 2, 0.0))
        on = np.abs(y - middle[:, 1]) <= radius
        np.minimum(left, middle[:, 0] - half, out=left, where=on)
        np.maximum(right, middle[:, 0] + half, out=right, where=on)
    along = end - start
    length = np.maximum(np.hypot(*along.T), LENGTH_EPSILON_MM)
    aside = np.column_stack((along[:, 1], -along[:, 0])) * (radius / length)[:, None]
    for sign in (1.0, -1.0):
        base = start + sign * aside
        rise = along[:, 1]
        steep = np.abs(rise) > LENGTH_EPSILON_MM
        share = np.divide(y - base[:, 1], rise, out=np.full(len(y), -1.0), where=steep)
        on = (share >= 0) & (share <= 1)
        x = base[:, 0] + share * along[:, 0]
        np.minimum(left, x, out=left, where=on)
        np.maximum(right, x, out=right, where=on)
    return left, right
