"""Time: how long a toolpath takes on a machine that must speed up and slow down.

In: a `Toolpath`, and the machine's rapid (mm/min), acceleration (mm/s2) and allowed deviation at
corners (mm). Out: `Times` in seconds and mm, a pass at a time and in total, with the naive figure,
length over feed, beside it. Spindle start and dwell are not in it.

Method. Each move has a trapezoid of speed. A corner is taken at the speed at which a circle that
leaves it by no more than the allowed deviation needs no more than the acceleration: with theta the
angle between the legs (180 degrees straight on) and s = sin(theta / 2), radius = deviation s /
(1 - s), speed = sqrt(acceleration radius) (note by S. K. Jeon, 2011, from memory; the same
expression stands in public motion-planner code). An arc of radius R is never faster than
sqrt(acceleration R). Looking ahead and back, no move asks for more than the acceleration can give,
however short the moves are. The path begins and ends at rest.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outline2path.errors import SettingError
from outline2path.path.measure import lengths_mm, positions_mm, sweeps_rad
from outline2path.path.toolpath import RAPID, Toolpath
from outline2path.tolerance import LENGTH_EPSILON_MM

__all__ = ["CORNER_DEVIATION_MM", "Times", "times"]

CORNER_DEVIATION_MM = 0.01
"""How far a corner may be rounded to keep speed: common practice, no source."""
SECONDS_PER_MINUTE = 60.0

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False, kw_only=True)
class Times:
    """Seconds and millimetres of a toolpath.

    Attributes
    ----------
    section_s, section_cut_mm : tuple of float
        Seconds, and mm of cutting moves, of each section; rapids count to the pass they lead to.
    total_s, naive_s : float
        Seconds with acceleration, and length over feed.
    cut_mm, rapid_mm : float
        Length of all cutting moves and of all rapids, mm.
    """

    section_s: tuple[float, ...]
    section_cut_mm: tuple[float, ...]
    total_s: float
    naive_s: float
    cut_mm: float
    rapid_mm: float


def times(
    toolpath: Toolpath,
    *,
    rapid: float,
    acceleration: float,
    deviation_mm: float = CORNER_DEVIATION_MM,
) -> Times:
    """Estimate how long a toolpath takes.

    Parameters
    ----------
    rapid : float
        Speed of rapids, mm/min.
    acceleration : float
        Greatest acceleration, mm/s2.
    deviation_mm : float
        How far the machine may leave a corner to keep its speed, mm; 0 stops at every corner.

    Raises
    ------
    SettingError
        When rapid or acceleration is not positive, or the deviation is negative.

    Examples
    --------
    >>> import numpy as np
    >>> from outline2path.path.toolpath import MOVE
    >>> line = np.array([(1, 4, 0, 100, 0, 0, 0, 0, 1800)], MOVE)
    >>> path = Toolpath(moves=line, sections=(), start=(0, 0, 0), clearance_mm=5)
    >>> round(times(path, rapid=3000, acceleration=200).total_s, 6)
    3.483333
    """
    _check(rapid, acceleration, deviation_mm)
    moves = toolpath.moves
    length = lengths_mm(toolpath)
    rapids = moves["kind"] == RAPID
    asked = np.where(rapids, rapid, moves["feed"]) / SECONDS_PER_MINUTE
    radius = np.hypot(moves["i"], moves["j"])
    round_limit = np.where(radius > 0, np.sqrt(acceleration * radius), np.inf)
    speed = np.minimum(asked, round_limit)
    corner = _corner_speeds(toolpath, acceleration, deviation_mm)
    seconds = _seconds(length, speed, corner, acceleration)
    count = len(toolpath.sections)
    per_section = np.bincount(moves["section"], weights=seconds, minlength=count)[:count]
    cut = np.where(rapids, 0.0, length)
    cut_per_section = np.bincount(moves["section"], weights=cut, minlength=count)[:count]
    return Times(
        section_s=tuple(per_section.tolist()),
        section_cut_mm=tuple(cut_per_section.tolist()),
        total_s=float(seconds.sum()),
        naive_s=float((length / asked).sum()),
        cut_mm=float(cut.sum()),
        rapid_mm=float(length.sum() - cut.sum()),
    )


def _seconds(length: Floats, speed: Floats, corner: Floats, acceleration: float) -> Floats:
    """Seconds of each move, given its top speed and the most at the corner after it (mm/s)."""
    if not len(length):
        return np.zeros(0)
    limit = np.minimum(speed, np.append(speed[1:], 0.0))
    limit = np.minimum(limit, corner)
    squares = _reachable(np.concatenate([[0.0], limit**2]), 2 * acceleration * length)
    before, after = np.sqrt(squares[:-1]), np.sqrt(squares[1:])
    top = np.minimum(speed, np.sqrt(acceleration * length + (squares[:-1] + squares[1:]) / 2))
    ramps = (2 * top - before - after) / acceleration
    level = length - (2 * top**2 - squares[:-1] - squares[1:]) / (2 * acceleration)
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


def _corner_speeds(toolpath: Toolpath, acceleration: float, deviation_mm: float) -> Floats:
    """Return the greatest speed (mm/s) at the end of each move; rest at the last."""
    leaves, arrives = _directions(toolpath)
    straight = (arrives[:-1] * leaves[1:]).sum(axis=1)  # cosine of the change of direction
    s = np.sqrt(np.clip((1 + straight) / 2, 0.0, 1.0))
    turning = 1 - s > LENGTH_EPSILON_MM
    radius = deviation_mm * s / np.where(turning, 1 - s, 1.0)
    return np.append(np.where(turning, np.sqrt(acceleration * radius), np.inf), 0.0)


def _directions(toolpath: Toolpath) -> tuple[Floats, Floats]:
    """Return unit vectors of travel at the start and at the end of each move, shape (moves, 3)."""
    at = positions_mm(toolpath)
    step = np.diff(at, axis=0)
    sweep = sweeps_rad(toolpath)
    rise = np.divide(step[:, 2], np.abs(sweep), out=np.zeros(len(step)), where=sweep != 0)
    offset = np.column_stack([toolpath.moves["i"], toolpath.moves["j"]])
    turn = np.sign(sweep)
    ends = step[:, :2] - offset
    leaves = np.column_stack([offset[:, 1] * turn, -offset[:, 0] * turn, rise])
    arrives = np.column_stack([-ends[:, 1] * turn, ends[:, 0] * turn, rise])
    arc = (sweep != 0)[:, None]
    return _unit(np.where(arc, leaves, step)), _unit(np.where(arc, arrives, step))


def _unit(vectors: Floats) -> Floats:
    size = np.sqrt((vectors * vectors).sum(axis=1))
    unit: Floats = vectors / np.maximum(size, LENGTH_EPSILON_MM)[:, None]
    return unit


def _check(rapid: float, acceleration: float, deviation_mm: float) -> None:
    for name, value in (("rapid", rapid), ("acceleration", acceleration)):
        if not (math.isfinite(value) and value > 0):
            raise SettingError(f"a {name} of {value!r} is not positive", value=value)
    if not (math.isfinite(deviation_mm) and deviation_mm >= 0):
        raise SettingError(
            f"a corner deviation of {deviation_mm!r} mm is negative", value=deviation_mm
        )
