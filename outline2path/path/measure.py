"""Lengths, sweeps and bounds of a toolpath's moves.

In: a `Toolpath`. Out: NumPy columns, one value a row of its table, in mm and radians. Everything
is elementary geometry of lines, circular arcs and helices; a helix is as long as the hypotenuse
of its circle's arc and its rise (NISTIR 6556 section 2.1.2.5: feed runs along the helix).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from outline2path.path.toolpath import ARC_CCW, ARC_CW, RAPID, Toolpath

__all__ = ["bounds_mm", "lengths_mm", "positions_mm", "sweeps_rad"]

Floats = NDArray[np.float64]


def positions_mm(toolpath: Toolpath) -> Floats:
    """Return every position, the start first: shape (moves + 1, 3), mm.

    Examples
    --------
    >>> import numpy as np
    >>> from outline2path.path.toolpath import MOVE
    >>> rest = Toolpath(moves=np.empty(0, MOVE), sections=(), start=(0, 0, 5), clearance_mm=5)
    >>> positions_mm(rest)
    array([[0., 0., 5.]])
    """
    moves = toolpath.moves
    ends = np.column_stack([moves["x"], moves["y"], moves["z"]])
    return np.vstack([np.asarray(toolpath.start, float).reshape(1, 3), ends])


def sweeps_rad(toolpath: Toolpath) -> Floats:
    """Return the angle each arc turns through, rad, counter-clockwise positive, 0 on lines.

    An arc that ends where it starts is a full circle (NISTIR 6556 section 3.5.3.2).

    Examples
    --------
    >>> import numpy as np
    >>> from outline2path.path.toolpath import MOVE
    >>> arc = np.array([(2, 4, 0, 10, 16, 0, 3, 4, 600)], MOVE)  # from (7, 7), clockwise
    >>> path = Toolpath(moves=arc, sections=(), start=(7, 7, 0), clearance_mm=5)
    >>> np.degrees(sweeps_rad(path)).round(6)
    array([-143.130102])
    """
    moves = toolpath.moves
    at = positions_mm(toolpath)[:, :2]
    first = -np.column_stack([moves["i"], moves["j"]])
    last = at[1:] - at[:-1] + first
    turn = np.where(moves["kind"] == ARC_CCW, 1.0, -1.0)
    cross = first[:, 0] * last[:, 1] - first[:, 1] * last[:, 0]
    dot = (first * last).sum(axis=1)
    angle = np.mod(turn * np.arctan2(cross, dot), 2 * np.pi)
    angle[(at[1:] == at[:-1]).all(axis=1)] = 2 * np.pi
    return np.where(_arcs(toolpath), turn * angle, 0.0)


def lengths_mm(toolpath: Toolpath) -> Floats:
    """Return the length of each move along its line, arc or helix, mm.

    Examples
    --------
    >>> import numpy as np
    >>> from outline2path.path.toolpath import MOVE
    >>> helix = np.array([(2, 4, 0, 10, 16, 9, 3, 4, 600)], MOVE)
    >>> path = Toolpath(moves=helix, sections=(), start=(7, 7, 0), clearance_mm=9)
    >>> lengths_mm(path).round(6)
    array([15.395179])
    """
    moves = toolpath.moves
    step = np.diff(positions_mm(toolpath), axis=0)
    radius = np.hypot(moves["i"], moves["j"])
    across = np.hypot(step[:, 0], step[:, 1])
    flat = np.where(_arcs(toolpath), radius * np.abs(sweeps_rad(toolpath)), across)
    return np.hypot(flat, step[:, 2])


def bounds_mm(
    toolpath: Toolpath, *, rapids: bool = True
) -> tuple[float, float, float, float, float, float]:
    """Return least x, y, z and greatest x, y, z of the cutter's centre, arcs' bulges included.

    Without rapids, only where moves at a feed begin, run and end counts.

    Examples
    --------
    >>> import numpy as np
    >>> from outline2path.path.toolpath import MOVE
    >>> half = np.array([(3, 4, 0, -2, 0, 0, -2, 0, 600)], MOVE)  # from (2, 0) over the top
    >>> path = Toolpath(moves=half, sections=(), start=(2, 0, 0), clearance_mm=5)
    >>> bounds_mm(path)
    (-2.0, 0.0, 0.0, 2.0, 2.0, 0.0)
    """
    at = positions_mm(toolpath)
    feeds = toolpath.moves["kind"] != RAPID
    counted = at if rapids or not feeds.any() else np.vstack([at[:-1][feeds], at[1:][feeds]])
    low, high = counted.min(axis=0), counted.max(axis=0)
    arcs = _arcs(toolpath)
    if arcs.any():
        offset = np.column_stack([toolpath.moves["i"], toolpath.moves["j"]])[arcs]
        centre, radius = at[:-1, :2][arcs] + offset, np.hypot(*offset.T)
        sweep = sweeps_rad(toolpath)[arcs]
        begin = np.arctan2(-offset[:, 1], -offset[:, 0])
        for quarter, (dx, dy) in enumerate(((1, 0), (0, 1), (-1, 0), (0, -1))):
            ahead = np.mod((quarter * np.pi / 2 - begin) * np.sign(sweep), 2 * np.pi)
            met = ahead <= np.abs(sweep)
            tip = (centre + radius[:, None] * (dx, dy))[met]
            if len(tip):
                low[:2] = np.minimum(low[:2], tip.min(axis=0))
                high[:2] = np.maximum(high[:2], tip.max(axis=0))
    x0, y0, z0 = low.tolist()
    x1, y1, z1 = high.tolist()
    return (x0, y0, z0, x1, y1, z1)


def _arcs(toolpath: Toolpath) -> NDArray[np.bool_]:
    kind = toolpath.moves["kind"]
    arcs: NDArray[np.bool_] = (kind == ARC_CW) | (kind == ARC_CCW)
    return arcs
