"""Time: how long a toolpath takes on a machine that must speed up and slow down.

In: a `Toolpath`, and the machine's rapid (mm/min), acceleration (mm/s2) and allowed deviation at
corners (mm); rapid and acceleration are one figure or one for each axis (`shop.axes`). Out:
`Times` in seconds and mm, a pass at a time and in total, with the naive figure, length over feed,
beside it, and with what the machine waits: the spindle's start, a change of cutter.

Method. Each move has a trapezoid of speed. A corner is taken at the speed at which a circle that
leaves it by no more than the allowed deviation needs no more than the acceleration: with theta the
angle between the legs (180 degrees straight on) and s = sin(theta / 2), radius = deviation s /
(1 - s), speed = sqrt(acceleration radius) (note by S. K. Jeon, 2011, from memory; the same
expression stands in public motion-planner code). An arc of radius R is never faster than
sqrt(acceleration R). Looking ahead and back, no move asks for more than the acceleration can give,
however short the moves are. The path begins and ends at rest.

Axes. Where each axis has a figure of its own, a move has what the slowest axis allows in its own
direction; a corner has it in the direction of the change, which is where the circle pulls to; an
arc has the least anywhere on it, along its tangent for speeding up, across it for staying on it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outline2path.errors import SettingError
from outline2path.path.directions import axis_shares, headings, level_shares
from outline2path.path.measure import lengths_mm
from outline2path.path.toolpath import RAPID, Toolpath
from outline2path.shop.axes import PerAxis
from outline2path.tolerance import LENGTH_EPSILON_MM

__all__ = ["CORNER_DEVIATION_MM", "Times", "times"]

CORNER_DEVIATION_MM = 0.01
"""How far a corner may be rounded to keep speed: common practice, no source."""
SECONDS_PER_MINUTE = 60.0

Floats = NDArray[np.float64]
Figures = float | tuple[float, float, float] | PerAxis


@dataclass(frozen=True, eq=False, kw_only=True)
class Times:
    """Seconds and millimetres of a toolpath.

    Attributes
    ----------
    section_s, section_naive_s, section_cut_mm : tuple of float
        Seconds, length over feed in seconds, and mm of cutting moves, of each section; rapids
        count to the pass they lead to.
    moving_s, naive_s : float
        Seconds of all moves with acceleration, and their length over feed.
    waiting_s : float
        Seconds the program stands still for the spindle.
    change_s : float
        Seconds a change of cutter before the program takes; not part of `total_s`.
    cut_mm, rapid_mm : float
        Length of all cutting moves and of all rapids, mm.
    """

    section_s: tuple[float, ...]
    section_naive_s: tuple[float, ...]
    section_cut_mm: tuple[float, ...]
    moving_s: float
    naive_s: float
    cut_mm: float
    rapid_mm: float
    waiting_s: float = 0.0
    change_s: float = 0.0

    @property
    def total_s(self) -> float:
        """Seconds from the program's start to its end."""
        return self.moving_s + self.waiting_s


def times(
    toolpath: Toolpath,
    *,
    rapid: Figures,
    acceleration: Figures,
    deviation_mm: float = CORNER_DEVIATION_MM,
    waiting_s: float = 0.0,
) -> Times:
    """Estimate how long a toolpath takes.

    Parameters
    ----------
    rapid : float, or three of them
        Speed of rapids, mm/min: along each one, or of the axes x, y and z.
    acceleration : float, or three of them
        Greatest acceleration, mm/s2, likewise.
    deviation_mm : float
        How far the machine may leave a corner to keep its speed, mm; 0 stops at every corner.
    waiting_s : float
        Seconds the program waits for the spindle.

    Raises
    ------
    SettingError
        When rapid or acceleration is not positive, or the deviation or a wait is negative.

    Examples
    --------
    >>> import numpy as np
    >>> from outline2path.path.toolpath import MOVE
    >>> line = np.array([(1, 4, 0, 100, 0, 0, 0, 0, 1800)], MOVE)
    >>> path = Toolpath(moves=line, sections=(), start=(0, 0, 0), clearance_mm=5)
    >>> round(times(path, rapid=3000, acceleration=200).total_s, 6)
    3.483333
    >>> round(times(path, rapid=3000, acceleration=(50, 200, 200)).total_s, 6)
    3.933333
    """
    quick, push = _per_axis(rapid, "rapid"), _per_axis(acceleration, "acceleration")
    _check(deviation_mm=deviation_mm, waiting_s=waiting_s)
    moves, length = toolpath.moves, lengths_mm(toolpath)
    rapids = moves["kind"] == RAPID
    shares = axis_shares(toolpath)
    asked = np.where(rapids, quick.along(shares), moves["feed"]) / SECONDS_PER_MINUTE
    speed = np.minimum(asked, _round_speeds(toolpath, push))
    corner = _corner_speeds(toolpath, push, deviation_mm)
    seconds = _seconds(length, speed, corner, push.along(shares))
    naive, cut = length / asked, np.where(rapids, 0.0, length)
    count = len(toolpath.sections)
    section_s, section_naive_s, section_cut_mm = (
        tuple(np.bincount(moves["section"], weights=w, minlength=count)[:count].tolist())
        for w in (seconds, naive, cut)
    )
    return Times(
        section_s=section_s,
        section_naive_s=section_naive_s,
        section_cut_mm=section_cut_mm,
        moving_s=float(seconds.sum()),
        naive_s=float(naive.sum()),
        cut_mm=float(cut.sum()),
        rapid_mm=float(length.sum() - cut.sum()),
        waiting_s=waiting_s,
    )


def _seconds(length: Floats, speed: Floats, corner: Floats, push: Floats) -> Floats:
    """Seconds of each move, by its top speed, the corner after it (mm/s) and its acceleration."""
    if not len(length):
        return np.zeros(0)
    limit = np.minimum(speed, np.append(speed[1:], 0.0))
    limit = np.minimum(limit, corner)
    squares = _reachable(np.concatenate([[0.0], limit**2]), 2 * push * length)
    before, after = np.sqrt(squares[:-1]), np.sqrt(squares[1:])
    top = np.minimum(speed, np.sqrt(push * length + (squares[:-1] + squares[1:]) / 2))
    ramps = (2 * top - before - after) / push
    level = length - (2 * top**2 - squares[:-1] - squares[1:]) / (2 * push)
    steady = np.maximum(level, 0.0) / np.maximum(top, LENGTH_EPSILON_MM)
    seconds: Floats = ramps + steady
    return seconds


def _reachable(limit: Floats, gain: Floats) -> Floats:
    """Lower squares of speed so that no neighbour differs by more than `gain` (look-ahead).

    value[k] = min over i of limit[i] + |sum of gains between i and k|: two running minima.
    """
    run = np.concatenate([[0.0], np.cumsum(gain)])
    ahead = np.minimum.accumulate((limit + run)[::-1])[::-1] - run
    behind = np.minimum.accumulate(ahead - run) + run
    squares: Floats = np.maximum(behind, 0.0)
    return squares


def _round_speeds(toolpath: Toolpath, push: PerAxis) -> Floats:
    """Return the greatest speed (mm/s) at which each arc is kept to; infinite on lines.

    On a helix only the level part of the speed goes round.
    """
    radius = np.hypot(toolpath.moves["i"], toolpath.moves["j"])
    tangent = level_shares(toolpath)
    across = np.column_stack([tangent[:, ::-1], np.zeros(len(radius))])
    rise = axis_shares(toolpath)[:, 2]
    level = np.maximum(np.sqrt(1 - rise**2), LENGTH_EPSILON_MM)
    return np.where(radius > 0, np.sqrt(push.along(across) * radius) / level, np.inf)


def _corner_speeds(toolpath: Toolpath, push: PerAxis, deviation_mm: float) -> Floats:
    """Return the greatest speed (mm/s) at the end of each move; rest at the last."""
    leaves, arrives = headings(toolpath)
    before, after = arrives[:-1], leaves[1:]
    change = after - before
    size = np.sqrt((change * change).sum(axis=1))[:, None]
    pull = push.along(change / np.maximum(size, LENGTH_EPSILON_MM))
    s = np.sqrt(np.clip((1 + (before * after).sum(axis=1)) / 2, 0.0, 1.0))
    turning = 1 - s > LENGTH_EPSILON_MM
    radius = deviation_mm * s / np.where(turning, 1 - s, 1.0)
    return np.append(np.where(turning, np.sqrt(pull * radius), np.inf), 0.0)


def _per_axis(value: Figures, label: str) -> PerAxis:
    return value if isinstance(value, PerAxis) else PerAxis.of(value, label=label, parse=float)


def _check(**waits: float) -> None:
    for name, value in waits.items():
        if not (math.isfinite(value) and value >= 0):
            spoken = name.replace("_", " ")
            raise SettingError(f"a {spoken} of {value!r} is negative", value=value)
