"""Replay: a program's motions as level pieces of the cutter's way.

In: motions read from a program's text, mm. Out: `Pieces`: straight level runs of the cutter's
tip, each at one height. Arcs, helices among them, become chords within `chord_mm`; slopes become
stairs of at most `step_mm`, each stair at its lower end, so that slopes are shown up to one step
too low and never too high. A vertical move is one piece of no length at its lower end. Motions
wholly above `top_mm` touch nothing and are left out, as are motions from an unknown place.
`Moves` are the same in three dimensions, with feeds and lines of text, for pictures that move.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outline2path.rs274.motion import ARC, PLANE_AXES, RAPID, Motions, arc_radii, arc_sweeps
from outline2path.tolerance import LENGTH_EPSILON_MM

__all__ = ["Moves", "Pieces", "level_pieces", "straight_moves"]

Floats = NDArray[np.float64]
_MOST_CHORDS = 2000


@dataclass(frozen=True, eq=False, kw_only=True)
class Moves:
    """Straight moves: start and end (n, 3) in mm, feed in mm/min (0 for a rapid), line of text."""

    start: Floats
    end: Floats
    feed: Floats
    line: NDArray[np.int32]


@dataclass(frozen=True, eq=False, kw_only=True)
class Pieces:
    """Level runs of the cutter's tip, in the order they are cut.

    Attributes
    ----------
    start, end : ndarray, shape (n, 2)
        x, y in mm.
    z : ndarray, shape (n,)
        Height of the tip, mm.
    along_mm : ndarray, shape (n,)
        Way of the tip from the first piece to this one's start, level, mm.
    """

    start: Floats
    end: Floats
    z: Floats
    along_mm: Floats

    def __len__(self) -> int:
        return len(self.z)

    def moved(self, matrix: tuple[float, ...]) -> Pieces:
        """Return the pieces under x' = a x + c y + e, y' = b x + d y + f."""
        a, b, c, d, e, f = matrix
        turn, shift = np.array([[a, b], [c, d]]), np.array([e, f])
        return Pieces(
            start=self.start @ turn + shift,
            end=self.end @ turn + shift,
            z=self.z,
            along_mm=self.along_mm,
        )


def level_pieces(motions: Motions, *, top_mm: float, chord_mm: float, step_mm: float) -> Pieces:
    """Return the motions that reach below `top_mm` as level pieces.

    Parameters
    ----------
    motions : Motions
        A program read.
    top_mm : float
        Height of the stock's top in work coordinates.
    chord_mm, step_mm : float
        Greatest sagitta of a chord, greatest height of a stair.

    Examples
    --------
    >>> from outline2path.rs274.reader import read_program
    >>> text = "G21 G90 G17 G0 X0 Y0 Z5" + chr(10) + "G1 Z-1 F300" + chr(10) + "X9"
    >>> pieces = level_pieces(
    ...     read_program(text, strict=False), top_mm=0, chord_mm=0.01, step_mm=0.02)
    >>> pieces.z.tolist(), pieces.end.tolist()
    ([-1.0, -1.0], [[0.0, 0.0], [9.0, 0.0]])
    """
    table = motions.table
    moves = _chords(table[_below(table["start"], table["end"], top_mm)], chord_mm)
    start, end = _stairs(moves.start, moves.end, top_mm, step_mm)
    low = np.minimum(start[:, 2], end[:, 2])
    run = np.hypot(*(end - start)[:, :2].T)
    return Pieces(start=start[:, :2], end=end[:, :2], z=low, along_mm=np.cumsum(run) - run)


def _below(start: Floats, end: Floats, top_mm: float) -> NDArray[np.bool_]:
    """Which motions are known and reach below the top."""
    known = np.isfinite(start).all(axis=1) & np.isfinite(end).all(axis=1)
    return known & (np.minimum(start[:, 2], end[:, 2]) < top_mm)


def straight_moves(motions: Motions, *, chord_mm: float) -> Moves:
    """Return every motion between known places as straight moves, arcs as chords.

    Examples
    --------
    >>> from outline2path.rs274.reader import read_program
    >>> text = "G21 G90 G17 F60 G0 X0 Y0 Z0" + chr(10) + "G3 X0 Y2 I0 J1"
    >>> moves = straight_moves(read_program(text, strict=False), chord_mm=0.1)
    >>> len(moves.line), moves.end[-1].tolist()
    (4, [0.0, 2.0, 0.0])
    """
    table = motions.table
    known = np.isfinite(table["start"]).all(axis=1) & np.isfinite(table["end"]).all(axis=1)
    return _chords(table[known], chord_mm)


def _chords(table: NDArray[np.void], chord_mm: float) -> Moves:
    """Return motions as straight moves in their order, arcs cut into chords."""
    count = np.ones(len(table), dtype=np.int64)
    arcs = np.flatnonzero(table["kind"] == ARC)
    sweeps = arc_sweeps(table[arcs])
    if len(arcs):
        radius = np.maximum(np.maximum(*arc_radii(table[arcs])), LENGTH_EPSILON_MM)
        angle = 2 * np.arccos(np.clip(1 - chord_mm / radius, 0.0, 1.0))
        count[arcs] = np.clip(
            np.ceil(sweeps / np.maximum(angle, LENGTH_EPSILON_MM)), 1, _MOST_CHORDS
        )
    owner = np.repeat(np.arange(len(table)), count)
    first = np.repeat(np.cumsum(count) - count, count)
    share = (np.arange(len(owner)) - first) / count[owner]
    start = _between(table["start"], table["end"], owner, share)
    end = _between(table["start"], table["end"], owner, share + 1 / count[owner])
    turned = np.full(len(table), -1)
    turned[arcs] = np.arange(len(arcs))
    rows = np.flatnonzero(turned[owner] >= 0)
    if len(rows):
        one = turned[owner[rows]]
        for points, at in ((start, share[rows]), (end, share[rows] + 1 / count[owner[rows]])):
            points[rows] = _on_arc(table[arcs], sweeps, one, at)
    feed = np.where(table["kind"] == RAPID, 0.0, table["feed"])
    return Moves(start=start, end=end, feed=feed[owner], line=table["line"][owner])


def _between(start: Floats, end: Floats, owner: NDArray[np.int64], share: Floats) -> Floats:
    whole: Floats = start[owner] + (end - start)[owner] * share[:, None]
    return whole


def _on_arc(
    table: NDArray[np.void], sweeps: Floats, one: NDArray[np.int64], share: Floats
) -> Floats:
    """Return points at a share of arcs `one`; radius and height run evenly from end to end."""
    axes = np.array([PLANE_AXES[int(plane)] for plane in table["plane"]])[one]
    each = np.arange(len(one))
    start, end, centre = (table[name][one] for name in ("start", "end", "centre"))
    ray = start - centre
    angle = np.arctan2(ray[each, axes[:, 1]], ray[each, axes[:, 0]])
    angle += np.where(table["turn"] < 0, -1.0, 1.0)[one] * sweeps[one] * share
    first, last = arc_radii(table)
    radius = first[one] + (last - first)[one] * share
    points = start + (end - start) * share[:, None]
    points[each, axes[:, 0]] = centre[each, axes[:, 0]] + radius * np.cos(angle)
    points[each, axes[:, 1]] = centre[each, axes[:, 1]] + radius * np.sin(angle)
    closing = share >= 1 - LENGTH_EPSILON_MM
    points[closing] = end[closing]
    exact: Floats = points
    return exact


def _stairs(start: Floats, end: Floats, top_mm: float, step_mm: float) -> tuple[Floats, Floats]:
    """Cut slopes into stairs; keep what reaches below the top."""
    level = np.hypot(*(end - start)[:, :2].T)
    rise = np.abs(end[:, 2] - start[:, 2])
    sloping = level > LENGTH_EPSILON_MM
    count = np.where(sloping, np.ceil(rise / step_mm), 1).astype(np.int64)
    count = np.maximum(count, 1)
    owner = np.repeat(np.arange(len(start)), count)
    first = np.repeat(np.cumsum(count) - count, count)
    share = (np.arange(len(owner)) - first) / count[owner]
    low = _between(start, end, owner, share)
    high = _between(start, end, owner, share + 1 / count[owner])
    keep = _below(low, high, top_mm)
    return low[keep], high[keep]
