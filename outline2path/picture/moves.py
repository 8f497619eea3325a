"""Moves: a toolpath as polylines ready to draw.

In: a Toolpath (mm, work coordinates). Out: traces, each a run of moves with one role in one pass,
arcs turned into chords finer than the eye sees. Everything is done on whole columns; the cost is
linear in the number of moves.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.tolerance import LENGTH_EPSILON_MM

if TYPE_CHECKING:
    from outline2path.path.toolpath import Toolpath

__all__ = ["Trace", "depth_order", "traces"]

_Array = NDArray[np.float64]
_MOST_CHORDS = 720


@dataclass(frozen=True, eq=False)
class Trace:
    """A run of moves with one role in one pass.

    Attributes
    ----------
    role : str
        One of `outline2path.path.toolpath.ROLES`.
    section : int
        Index into the toolpath's sections.
    points : ndarray, shape (n, 3)
        x, y, z in mm, n >= 2, in the order of motion.
    """

    role: str
    section: int
    points: _Array

    @property
    def length_mm(self) -> float:
        """Length along the polyline in mm."""
        return float(np.linalg.norm(np.diff(self.points, axis=0), axis=1).sum())


def traces(toolpath: Toolpath, *, chord_mm: float = 0.02) -> tuple[Trace, ...]:
    """Cut a toolpath into runs of one role, as polylines.

    Parameters
    ----------
    toolpath : Toolpath
        What to draw.
    chord_mm : float
        Greatest distance between an arc and its chords, mm.

    Examples
    --------
    >>> from outline2path.path.toolpath import MOVE, Toolpath
    >>> moves = np.array([(0, 0, 0, 5, 0, 5, 0, 0, 0), (1, 4, 0, 5, 9, -1, 0, 0, 600)], MOVE)
    >>> path = Toolpath(moves=moves, sections=(), start=(0, 0, 5), clearance_mm=5)
    >>> [(t.role, len(t.points)) for t in traces(path)]
    [('rapid', 2), ('cut', 2)]
    """
    from outline2path.path.toolpath import ROLES

    moves = toolpath.moves
    if not len(moves):
        return ()
    ends = np.column_stack([moves["x"], moves["y"], moves["z"]])
    starts = np.vstack([np.array([toolpath.start], dtype=float), ends[:-1]])
    counts, points = _chords(moves, starts, ends, chord_mm)
    last = np.cumsum(counts)
    role, section = moves["role"], moves["section"]
    fresh = np.flatnonzero((np.diff(role) != 0) | (np.diff(section) != 0)) + 1
    first = np.concatenate([[0], fresh])
    pieces = np.split(points, last[fresh - 1])
    return tuple(
        Trace(ROLES[role[k]], int(section[k]), np.vstack([starts[k], piece]))
        for k, piece in zip(first.tolist(), pieces, strict=True)
    )


def depth_order(depths_mm: _Array) -> tuple[_Array, NDArray[np.intp]]:
    """Return the different depths, shallowest first, and each input's place among them.

    Examples
    --------
    >>> depth_order(np.array([-3.0, -1.5, -3.0]))
    (array([-1.5, -3. ]), array([1, 0, 1]))
    """
    different, place = np.unique(np.round(-depths_mm, 4), return_inverse=True)
    return -different, place.reshape(-1)


def _chords(
    moves: NDArray[np.void], starts: _Array, ends: _Array, chord_mm: float
) -> tuple[NDArray[np.intp], _Array]:
    """Return how many points each move became, and all points one after another."""
    from outline2path.path.toolpath import ARC_CCW, ARC_CW

    arc = (moves["kind"] == ARC_CW) | (moves["kind"] == ARC_CCW)
    offset = np.column_stack([moves["i"], moves["j"]])
    centre = starts[:, :2] + offset
    radius = np.hypot(offset[:, 0], offset[:, 1])
    begin = np.arctan2(-offset[:, 1], -offset[:, 0])
    finish = np.arctan2(ends[:, 1] - centre[:, 1], ends[:, 0] - centre[:, 0])
    sign = np.where(moves["kind"] == ARC_CW, -1.0, 1.0)
    turn = np.mod(sign * (finish - begin), 2 * np.pi)
    closed = np.hypot(*(ends[:, :2] - starts[:, :2]).T) <= LENGTH_EPSILON_MM
    turn = np.where(arc & closed, 2 * np.pi, turn)
    counts = np.where(arc, _chord_count(radius, turn, chord_mm), 1)
    owner = np.repeat(np.arange(len(moves)), counts)
    step = np.arange(len(owner)) - np.repeat(np.cumsum(counts) - counts, counts) + 1
    share = step / counts[owner]
    points = starts[owner] + share[:, None] * (ends - starts)[owner]
    angle = begin[owner] + sign[owner] * turn[owner] * share
    round_ = arc[owner] & (share < 1)
    points[round_, 0] = (centre[owner, 0] + radius[owner] * np.cos(angle))[round_]
    points[round_, 1] = (centre[owner, 1] + radius[owner] * np.sin(angle))[round_]
    return counts, points


def _chord_count(radius: _Array, turn: _Array, chord_mm: float) -> NDArray[np.intp]:
    """Return how many chords stay within `chord_mm` of each arc (sagitta r (1 - cos half))."""
    sagitta = np.minimum(chord_mm / np.maximum(radius, chord_mm), 1.0)
    wanted = np.ceil(turn / (2 * np.arccos(1 - sagitta)))
    return np.asarray(np.clip(wanted, 1, _MOST_CHORDS), dtype=np.intp)
