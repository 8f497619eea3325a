"""Linking: tabs added until every large piece hangs on the clamped stock.

In: the pieces that the path cuts the stock into, and places for tabs along the rings with the
tabs that stand there already. Out: more tabs, and the pieces that no tab could hold.

A tab links the pieces on its two sides. First every large piece gets as many tabs as it should
have, on whatever ring runs beside it. Then pieces that only hold one another are linked to what
hangs on the stock: an island and the waste round it, tied to each other, would fall out together.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.operations.pieces import STOCK

if TYPE_CHECKING:
    from collections.abc import Iterable

    from outline2path.operations.loops import Loop
    from outline2path.operations.pieces import Pieces

__all__ = ["Row", "link", "loose_groups"]

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass
class Row:
    """One ring while its tabs are placed.

    Attributes
    ----------
    loop : Loop
        The ring, mm.
    along : ndarray
        Distances along it where a tab's middle may be.
    cost : ndarray
        What a tab costs there, infinite where none can stand.
    apart_mm : float
        Least distance between middles.
    middles : list of float
        The tabs so far, each one of `along`.
    """

    loop: Loop
    along: Floats
    cost: Floats
    apart_mm: float
    middles: list[float]

    def free(self) -> Floats:
        """Cost of each place, infinite where a tab stands too near."""
        if not self.middles:
            return self.cost
        away = np.abs(self.along[:, None] - np.array(self.middles))
        away = np.minimum(away, self.loop.length_mm - away)
        return np.where((away < self.apart_mm).any(axis=1), np.inf, self.cost)


class _Board:
    """All places of all rows in one line, with the pieces beside each."""

    def __init__(self, pieces: Pieces, rows: list[Row]) -> None:
        self.pieces, self.rows = pieces, rows
        self.ends = np.cumsum([0, *(len(row.along) for row in rows)])
        places = np.concatenate([row.loop.at(row.along) for row in rows])
        self.place, self.piece = pieces.beside(places)
        self.price = np.concatenate([row.free() for row in rows])

    def links(self) -> list[set[int]]:
        """Return the pieces beside each tab."""
        spots = [
            self.ends[n] + int(np.argmin(np.abs(row.along - middle)))
            for n, row in enumerate(self.rows)
            for middle in row.middles
        ]
        low, high = (np.searchsorted(self.place, spots, side=side) for side in ("left", "right"))
        return [set(self.piece[a:b].tolist()) for a, b in zip(low, high, strict=True)]

    def add(self, group: set[int], others: set[int]) -> bool:
        """Add the cheapest tab between a group of pieces and others, where there is room."""
        both = np.zeros((2, len(self.price)), dtype=bool)
        for flags, some in zip(both, (group, others), strict=True):
            flags[self.place[np.isin(self.piece, list(some))]] = True
        price = np.where(both.all(axis=0), self.price, np.inf)
        best = int(np.argmin(price)) if len(price) else 0
        if not len(price) or not np.isfinite(price[best]):
            return False
        n = int(np.searchsorted(self.ends, best, side="right")) - 1
        row = self.rows[n]
        row.middles.append(float(row.along[best - self.ends[n]]))
        self.price[self.ends[n] : self.ends[n + 1]] = row.free()
        return True

    def groups(self) -> list[set[int]]:
        """Return the pieces that hang together, that of the clamped stock first."""
        return _joined(range(STOCK, len(self.pieces.shapes)), self.links())


def link(pieces: Pieces, rows: list[Row], *, number: int, large_mm2: float) -> list[list[float]]:
    """Return the tabs' middles for each row, those that had to be added included.

    Parameters
    ----------
    pieces : Pieces
        What the path cuts off.
    rows : list of Row
        The rings; `middles` are the tabs that they have already.
    number : int
        Tabs that every large piece should have.
    large_mm2 : float
        Pieces that hang together and are no larger than this may be let fly.

    Examples
    --------
    >>> from outline2path.operations.pieces import pieces_of
    >>> from outline2path.operations.rings import rings_of
    >>> import shapely
    >>> area = shapely.MultiPolygon([shapely.box(0, 0, 60, 60)])
    >>> (ring,) = rings_of(area, side="outside", direction="climb")
    >>> along = np.arange(0.0, 240.0, 1.0)
    >>> row = Row(ring.loop, along, np.where(along % 60 == 30, 0.0, 9.0), 12.0, [])
    >>> link(pieces_of([ring], cutter_mm=3.0), [row], number=2, large_mm2=100.0)
    [[30.0, 90.0]]
    """
    board = _Board(pieces, [Row(r.loop, r.along, r.cost, r.apart_mm, [*r.middles]) for r in rows])
    every = set(range(STOCK, len(pieces.shapes)))
    links = board.links()
    for k in sorted(every - {STOCK}):
        outer = every - pieces.nested[k] - {k}
        have = sum(k in some and bool(some & outer) for some in links)
        if _area(pieces, [k]) > large_mm2:
            _add(board, {k}, outer, number=number - have)
    failed: set[int] = set()
    while True:
        held, *groups = board.groups()
        left = [g for g in groups if _area(pieces, g) > large_mm2 and not g <= failed]
        if not left:
            return [row.middles for row in board.rows]
        if not _add(board, left[0], every - left[0], number=number, held=held):
            failed |= left[0]


def _add(
    board: _Board, group: set[int], others: set[int], *, number: int, held: set[int] | None = None
) -> bool:
    """Add so many tabs, to what is held where there is room; tell whether any could be."""
    held = {STOCK} if held is None else held
    done = [board.add(group, held) or board.add(group, others) for _ in range(number)]
    return any(done)


def loose_groups(pieces: Pieces, tabs: Floats, *, large_mm2: float) -> list[set[int]]:
    """Return the groups of pieces, too large to let fly, that hang on nothing but one another.

    Parameters
    ----------
    pieces : Pieces
        What the path cuts off.
    tabs : ndarray, shape (n, 2)
        Where the path passes over the tabs, mm.
    large_mm2 : float
        As for `link`.

    Examples
    --------
    >>> from outline2path.operations.pieces import pieces_of
    >>> from outline2path.operations.rings import rings_of
    >>> import shapely
    >>> area = shapely.MultiPolygon([shapely.box(0, 0, 60, 60)])
    >>> pieces = pieces_of(rings_of(area, side="outside", direction="climb"), cutter_mm=3.0)
    >>> loose_groups(pieces, np.array([[30.0, 60.0]]), large_mm2=100.0)
    []
    >>> loose_groups(pieces, np.empty((0, 2)), large_mm2=100.0)
    [{0}]
    """
    place, piece = pieces.beside(tabs)
    links = [set(piece[place == n].tolist()) for n in range(len(tabs))]
    return [
        group
        for group in _joined(range(STOCK, len(pieces.shapes)), links)
        if STOCK not in group and _area(pieces, group) > large_mm2
    ]


def _area(pieces: Pieces, group: Iterable[int]) -> float:
    return float(shapely.area([pieces.shapes[k] for k in group]).sum())


def _joined(nodes: Iterable[int], links: list[set[int]]) -> list[set[int]]:
    """Put linked nodes together; groups in the order of their least node."""
    group = {node: {node} for node in nodes}
    for some in links:
        every = set().union(*(group[node] for node in some))
        for node in every:
            group[node] = every
    found = {id(one): one for _, one in sorted(group.items())}
    return list(found.values())
