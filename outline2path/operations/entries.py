"""Entries: how the cutter comes down to a depth, goes once round and leaves.

In: a ring, its lead, the depth before and the depth wanted, the tabs to climb over. Out: the
spans of one cut, each a polyline (n, 3) in mm that begins where the one before ended.

plunge  straight down at the lead's start, lead-in, once round, lead-out.
ramp    down along the ring itself at a stated angle, ending at the lead's place; round and round
        where the ring is short. The ramp replaces the lead-in. Then once round at full depth.
helix   down on a circle in the waste that touches the lead's start, then as plunge.

Once round goes on a little over the start (`overlap_mm`), so that no witness mark stays there.
A ramp of depth p at angle g is p / tan g long; a helix of radius R and pitch q has the angle
atan(q / 2 pi R) (elementary geometry).

Over a tab the path is raised to the tab's top: straight up at the cutting feed, along, straight
down at the plunge feed. Where a ramp passes over a tab it is raised only where it would be lower.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from outline2path.operations.cut import Role, Span
from outline2path.tolerance import LENGTH_EPSILON_MM

if TYPE_CHECKING:
    from outline2path.operations.feed_shares import Pace
    from outline2path.operations.loops import Loop

__all__ = ["MOST_TURNS", "Entry", "Raised", "helix_spans", "ramp_turns", "walk"]

Entry = Literal["plunge", "ramp", "helix"]
Floats = NDArray[np.float64]
MOST_TURNS = 20
"""A ramp that would go round more often than this is a plunge in disguise."""


@dataclass(frozen=True, eq=False)
class Raised:
    """Stretches of a ring over which the path may not be lower than the tabs.

    Attributes
    ----------
    stretches : tuple of (start, end)
        Distances along the ring, mm; start within one round, end greater than start.
    top_mm : float
        z of the tabs' top in work coordinates.
    """

    stretches: tuple[tuple[float, float], ...] = ()
    top_mm: float = field(default=-math.inf)

    def between(self, start_mm: float, end_mm: float, round_mm: float) -> list[list[float]]:
        """Return the raised stretches between two distances, in order, touching ones joined."""
        met: list[list[float]] = []
        for low, high in self.stretches:
            first = math.floor((start_mm - high) / round_mm)
            last = math.ceil((end_mm - low) / round_mm)
            for k in range(first, last + 1):
                a, b = max(low + k * round_mm, start_mm), min(high + k * round_mm, end_mm)
                if b - a > LENGTH_EPSILON_MM:
                    met.append([a, b])
        met.sort()
        joined: list[list[float]] = []
        for stretch in met:
            if joined and stretch[0] <= joined[-1][1] + LENGTH_EPSILON_MM:
                joined[-1][1] = max(joined[-1][1], stretch[1])
            else:
                joined.append(stretch)
        return joined


@dataclass(frozen=True)
class _Slope:
    """z along a walk: a straight line from one depth to another."""

    start_mm: float
    end_mm: float
    from_z: float
    to_z: float

    def at(self, along_mm: Floats | float) -> Floats:
        ends, depths = (self.start_mm, self.end_mm), (self.from_z, self.to_z)
        return np.asarray(np.interp(along_mm, ends, depths))

    def reaches(self, z: float) -> float:
        return self.start_mm + (z - self.from_z) * (self.end_mm - self.start_mm) / (
            self.to_z - self.from_z
        )


def walk(
    loop: Loop,
    start_mm: float,
    end_mm: float,
    *,
    from_z: float,
    to_z: float,
    raised: Raised,
    fresh: bool = False,
    pace: Pace | None = None,
) -> list[Span]:
    """Follow a ring from one distance to a later one, level or sloping down, over the tabs.

    Parameters
    ----------
    loop : Loop
        The ring, mm.
    start_mm, end_mm : float
        Distances along it; more than one round apart goes round again.
    from_z, to_z : float
        z at both ends, mm; the path slopes evenly between them, never up.
    raised : Raised
        Where and how high the tabs are.
    fresh : bool
        True when no span comes before, so that a start over a tab begins on the tab's top.
    pace : Pace, optional
        Shares of the feed for level stretches beside tabs.

    Returns
    -------
    list of Span
        Roles "cut" (level) or "ramp" (sloping), "tab" and "plunge".

    Examples
    --------
    >>> from outline2path.operations.loops import Loop
    >>> loop = Loop.of([(0, 0), (10, 0), (10, 10), (0, 10)])
    >>> spans = walk(loop, 0.0, 10.0, from_z=-3.0, to_z=-3.0, raised=Raised(((4.0, 6.0),), -1.0))
    >>> [(s.role, s.points[:, 2].tolist()) for s in spans]  # doctest: +NORMALIZE_WHITESPACE
    [('cut', [-3.0, -3.0]), ('tab', [-3.0, -1.0, -1.0]), ('plunge', [-1.0, -3.0]),
     ('cut', [-3.0, -3.0])]
    """
    slope = _Slope(start_mm, end_mm, from_z, to_z)
    top = raised.top_mm
    spans: list[Span] = []
    here = start_mm
    for low, high in raised.between(start_mm, end_mm, loop.length_mm):
        if slope.at(high) >= top - LENGTH_EPSILON_MM:
            continue
        begin = max(low, slope.reaches(top)) if slope.at(low) > top else low
        if begin > here + LENGTH_EPSILON_MM:
            spans += _along(loop, here, begin, slope=slope, pace=pace)
        over = _lifted(loop.piece(begin, high), np.asarray(top))
        if (spans or not fresh) and slope.at(begin) < top - LENGTH_EPSILON_MM:
            over = np.vstack(([[*over[0, :2], float(slope.at(begin))]], over))
        spans.append(Span("tab", over))
        down = np.array([over[-1], [*over[-1, :2], float(slope.at(high))]])
        spans.append(Span("plunge", down))
        here = high
    if end_mm > here + LENGTH_EPSILON_MM:
        spans += _along(loop, here, end_mm, slope=slope, pace=pace)
    return spans


def _along(
    loop: Loop, start_mm: float, end_mm: float, *, slope: _Slope, pace: Pace | None
) -> list[Span]:
    role: Role = "cut" if slope.from_z == slope.to_z else "ramp"
    stretches = [(start_mm, end_mm, 1.0)]
    if pace is not None and role == "cut":
        stretches = pace.between(start_mm, end_mm)
    every = [(loop.stops(start, end), share) for start, end, share in stretches]
    return [Span(role, _lifted(loop.at(s), slope.at(s)), share) for s, share in every]


def _lifted(points: Floats, z: Floats) -> Floats:
    """Give plane points a depth, one for all or one for each."""
    return np.column_stack((points, np.broadcast_to(z, len(points))))


def ramp_turns(loop: Loop, *, fall_mm: float, angle_deg: float) -> float:
    """Return how many times round a ring a ramp of that fall goes.

    Examples
    --------
    >>> from outline2path.operations.loops import Loop
    >>> loop = Loop.of([(0, 0), (10, 0), (10, 10), (0, 10)])
    >>> round(40 * ramp_turns(loop, fall_mm=0.762, angle_deg=3), 6)  # sources: 14.539826 mm
    14.539826
    """
    return fall_mm / math.tan(math.radians(angle_deg)) / loop.length_mm


def helix_spans(circle: Floats, *, from_z: float, to_z: float, angle_deg: float) -> list[Span]:
    """Wind down on a circle in whole turns, no steeper than the angle.

    Parameters
    ----------
    circle : ndarray, shape (n, 2)
        One turn of chords, its last point the same as its first, mm.
    from_z, to_z : float
        Depths, mm.
    angle_deg : float
        Steepest angle allowed, degrees.

    Examples
    --------
    >>> square = np.array([[0.0, 0], [1, 0], [1, 1], [0, 1], [0, 0]])
    >>> (span,) = helix_spans(square, from_z=0.0, to_z=-1.0, angle_deg=10)
    >>> len(span.points), span.points[-1].tolist()
    (9, [0.0, 0.0, -1.0])
    """
    steps = np.append(0.0, np.cumsum(np.hypot(*np.diff(circle, axis=0).T)))
    pitch = steps[-1] * math.tan(math.radians(angle_deg))
    turns = max(1, math.ceil((from_z - to_z) / pitch - LENGTH_EPSILON_MM))
    points = np.vstack([circle[:-1]] * turns + [circle[-1:]])
    along = np.concatenate(
        [k * steps[-1] + steps[:-1] for k in range(turns)] + [[turns * steps[-1]]]
    )
    depths = np.interp(along, (0.0, along[-1]), (from_z, to_z))
    return [Span("ramp", _lifted(points, depths))]
