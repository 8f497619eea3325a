"""Directions: which way each move goes, and how much of it each axis has to do.

In: a `Toolpath`. Out: unit vectors and shares of length, NumPy, one row a move; no unit. Lines,
arcs and helices are taken exactly (elementary geometry); moves of no length go nowhere.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from outline2path.path.measure import lengths_mm, positions_mm, sweeps_rad
from outline2path.path.toolpath import Toolpath
from outline2path.tolerance import LENGTH_EPSILON_MM

__all__ = ["axis_shares", "headings", "level_shares"]

Floats = NDArray[np.float64]


def headings(toolpath: Toolpath) -> tuple[Floats, Floats]:
    """Return unit vectors of travel at the start and at the end of each move, shape (moves, 3).

    Examples
    --------
    >>> from outline2path.path.toolpath import MOVE
    >>> half = np.array([(3, 4, 0, -2, 0, 0, -2, 0, 600)], MOVE)  # from (2, 0) over the top
    >>> leaves, arrives = headings(Toolpath(moves=half, sections=(), start=(2, 0, 0),
    ...                                     clearance_mm=5))
    >>> (leaves.round(9) + 0.0).tolist(), (arrives.round(9) + 0.0).tolist()
    ([[0.0, 1.0, 0.0]], [[0.0, -1.0, 0.0]])
    """
    step = np.diff(positions_mm(toolpath), axis=0)
    sweep = sweeps_rad(toolpath)
    turned = np.where(sweep == 0, 1.0, np.abs(sweep))
    rise = step[:, 2] / turned  # for each radian, as the level part is the radius
    offset = np.column_stack([toolpath.moves["i"], toolpath.moves["j"]])
    turn = np.sign(sweep)
    ends = step[:, :2] - offset
    leaves = np.column_stack([offset[:, 1] * turn, -offset[:, 0] * turn, rise])
    arrives = np.column_stack([-ends[:, 1] * turn, ends[:, 0] * turn, rise])
    arc = (sweep != 0)[:, None]
    return _unit(np.where(arc, leaves, step)), _unit(np.where(arc, arrives, step))


def level_shares(toolpath: Toolpath) -> Floats:
    """Return the greatest share x and y have anywhere in each move seen from above: (moves, 2).

    Examples
    --------
    >>> from outline2path.path.toolpath import MOVE
    >>> eighth = np.array([(3, 4, 0, 2 ** 0.5, 2 ** 0.5, 0, -2, 0, 600)], MOVE)
    >>> path = Toolpath(moves=eighth, sections=(), start=(2, 0, 0), clearance_mm=5)
    >>> level_shares(path).round(6).tolist()
    [[0.707107, 1.0]]
    """
    leaves, arrives = (way[:, :2] for way in headings(toolpath))
    size = np.hypot(leaves[:, 0], leaves[:, 1])[:, None]
    level = size > LENGTH_EPSILON_MM
    size = np.where(level, size, 1.0)
    shares = np.maximum(np.abs(leaves), np.abs(arrives)) / size
    begin = np.arctan2(leaves[:, 1], leaves[:, 0])
    low, high = np.sort(np.column_stack([begin, begin + sweeps_rad(toolpath)]), axis=1).T
    for axis, first in enumerate((0.0, np.pi / 2)):
        met = np.floor((high - first) / np.pi) >= np.ceil((low - first) / np.pi)
        shares[met & (high > low), axis] = 1.0
    return np.where(level, shares, 0.0)


def axis_shares(toolpath: Toolpath) -> Floats:
    """Return the greatest share of its length that each axis has to go in each move: (moves, 3).

    Examples
    --------
    >>> from outline2path.path.toolpath import MOVE
    >>> slope = np.array([(1, 2, 0, 3, 0, -4, 0, 0, 600)], MOVE)
    >>> path = Toolpath(moves=slope, sections=(), start=(0, 0, 0), clearance_mm=5)
    >>> axis_shares(path).round(9).tolist()
    [[0.6, 0.0, 0.8]]
    """
    rise = np.abs(np.diff(positions_mm(toolpath)[:, 2]))
    length = np.maximum(lengths_mm(toolpath), LENGTH_EPSILON_MM)
    upright = np.minimum(rise / length, 1.0)
    level = np.sqrt(1 - upright**2)
    return np.column_stack([level_shares(toolpath) * level[:, None], upright])


def _unit(vectors: Floats) -> Floats:
    size = np.sqrt((vectors * vectors).sum(axis=1))
    unit: Floats = vectors / np.maximum(size, LENGTH_EPSILON_MM)[:, None]
    return unit
