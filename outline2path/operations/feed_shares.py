"""Feed shares: where a cutter may run faster or must run slower than the cutting feed.

In: plane polylines in mm, the cutter, the stepover. Out: level spans with `Span.feed_factor` set.

Thin chips: with the cutter engaged on a share a = stepover / diameter below a half of its width,
the thickest chip is 2 sqrt(a - a^2) of the feed per tooth; the feed may be raised by the inverse
(sources: engagement geometry; a 0.1 gives 1.667). Here by no more than 2 (common practice, no
source).

Inside arcs: where the wall is an arc of radius R round the path, the cutter's rim runs R / (R - r)
times as fast along the wall as its centre does along the path; the feed is lowered to (R - r) / R
(sources W17), which also keeps what is taken in a second at or below that on a straight. In sharp
that would be nothing at all: here no less than a half (common practice, no source).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.findings import Finding
from outline2path.operations.cut import Span
from outline2path.operations.loops import Loop
from outline2path.tolerance import LENGTH_EPSILON_MM

if TYPE_CHECKING:
    from collections.abc import Sequence

    from outline2path.operations.cut import Contour
    from outline2path.operations.rings import Direction

__all__ = [
    "LEAST_SHARE",
    "MOST_SHARE",
    "Pace",
    "eased",
    "inside_share",
    "lowered_findings",
    "pace_of",
    "thin_chip_share",
]

Floats = NDArray[np.float64]
MOST_SHARE = 2.0
"""Feeds are raised no more than this."""
LEAST_SHARE = 0.5
"""Feeds are lowered no more than this."""
_STEPS = 20
"""Shares are rounded down to twentieths, so that a curve makes few spans."""


def thin_chip_share(stepover: float) -> float:
    """Return what the feed may be raised by at a stepover given as a share of the diameter.

    Examples
    --------
    >>> round(thin_chip_share(0.1), 6), thin_chip_share(0.5), thin_chip_share(0.9)
    (1.666667, 1.0, 1.0)
    """
    if stepover >= 1 / 2:
        return 1.0
    return min(1 / (2 * math.sqrt(stepover - stepover**2)), MOST_SHARE)


def inside_share(wall_radius_mm: float, cutter_radius_mm: float) -> float:
    """Return what the feed is lowered to along a hollow wall of that radius.

    Examples
    --------
    >>> inside_share(5.0, 1.5875)  # sources W17: 0.682500
    0.6825
    >>> inside_share(1.6, 1.5875)
    0.5
    """
    return max((wall_radius_mm - cutter_radius_mm) / wall_radius_mm, LEAST_SHARE)


@dataclass(frozen=True, eq=False)
class Pace:
    """Shares of the feed along a ring.

    Attributes
    ----------
    loop : Loop
        The ring, mm.
    stops : ndarray, shape (n + 1,)
        Distances along it, from 0 to once round.
    shares : ndarray, shape (n,)
        Share of the cutting feed between each stop and the next.
    """

    loop: Loop
    stops: Floats
    shares: Floats

    def between(self, start_mm: float, end_mm: float) -> list[tuple[float, float, float]]:
        """Return stretches of one share from one distance to a later one, and that share."""
        long = self.loop.length_mm
        first, last = math.floor(start_mm / long), math.ceil(end_mm / long)
        lows = np.concatenate([k * long + self.stops[:-1] for k in range(first, last)])
        highs = np.concatenate([k * long + self.stops[1:] for k in range(first, last)])
        shares = np.tile(self.shares, last - first)
        lows, highs = np.maximum(lows, start_mm), np.minimum(highs, end_mm)
        met = highs - lows > LENGTH_EPSILON_MM
        lows, highs, shares = lows[met], highs[met], shares[met]
        changes = np.flatnonzero(np.diff(shares)) + 1
        begins, ends = [0, *changes.tolist()], [*changes.tolist(), len(shares)]
        return [
            (float(lows[a]), float(highs[b - 1]), float(shares[a]))
            for a, b in zip(begins, ends, strict=True)
            if b > a
        ]


def pace_of(loop: Loop, *, cutter_radius_mm: float, direction: Direction) -> Pace:
    """Return what the feed is lowered to along a ring, finished wall or uncut stock outside it.

    Parameters
    ----------
    loop : Loop
        In the direction of cutting, mm.
    cutter_radius_mm : float
        mm.
    direction : "climb" or "conventional"
        With climb cutting the stock lies on the right, and inside arcs turn left.

    Examples
    --------
    >>> loop = Loop.of([(0, 0), (20, 0), (20, 20), (0, 20)])
    >>> pace = pace_of(loop, cutter_radius_mm=2.0, direction="climb")
    >>> [(a, b, round(share, 2)) for a, b, share in pace.between(5.0, 25.0)]
    [(5.0, 19.0, 1.0), (19.0, 21.0, 0.5), (21.0, 25.0, 1.0)]
    """
    half = min(cutter_radius_mm / 2, loop.length_mm / 4)
    marks = loop.marks[:-1]
    stops = np.unique(np.mod(np.concatenate((marks, marks - half, marks + half)), loop.length_mm))
    stops = np.append(stops, loop.length_mm)
    stops = np.append(0.0, stops[stops > half / _STEPS])
    middles = (stops[:-1] + stops[1:]) / 2
    _, net = loop.turning(middles, half)
    bend = np.maximum(net if direction == "climb" else -net, 0.0) / (2 * half)
    shares = np.maximum(1 / (1 + bend * cutter_radius_mm), LEAST_SHARE)
    return Pace(loop, stops, np.floor(shares * _STEPS + 1 / _STEPS) / _STEPS)


def eased(
    ring: Floats, z: float, *, share: float, cutter_radius_mm: float, direction: Direction
) -> list[Span]:
    """Turn a closed ring into level spans, slower on its inside arcs.

    Parameters
    ----------
    ring : ndarray, shape (n, 2)
        Once round, mm, in the direction of cutting, uncut stock outside it.
    z : float
        Depth, mm.
    share : float
        Share of the cutting feed on straight stretches.
    cutter_radius_mm : float
        mm.
    direction : "climb" or "conventional"
        With climb cutting the stock lies on the right, and inside arcs turn left.

    Examples
    --------
    >>> t = np.linspace(0, 2 * np.pi, 400)
    >>> hole = 3.4125 * np.column_stack((np.cos(t), np.sin(t)))  # wall of radius 5
    >>> spans = eased(hole, -1.0, share=1.0, cutter_radius_mm=1.5875, direction="climb")
    >>> {span.feed_factor for span in spans}
    {0.65}
    """
    loop = Loop.of(ring)
    pace = pace_of(loop, cutter_radius_mm=cutter_radius_mm, direction=direction)
    return [
        Span.level("cut", loop.piece(start, end), z, feed_factor=share * slower)
        for start, end, slower in pace.between(0.0, loop.length_mm)
    ]


def lowered_findings(contours: Sequence[Contour]) -> list[Finding]:
    """Tell how far the feed is lowered, along how much of what is cut.

    Examples
    --------
    >>> lowered_findings([])
    []
    """
    slow = [
        (span.feed_factor, float(np.hypot(*np.diff(span.points[:, :2], axis=0).T).sum()))
        for contour in contours
        for cut in contour.cuts
        for span in cut.spans
        if span.feed_factor < 1
    ]
    if not slow:
        return []
    least, along = min(share for share, _ in slow), sum(length for _, length in slow)
    longer = sum(length * (1 / share - 1) for share, length in slow)
    return [
        Finding(
            code="feed-lowered",
            severity="info",
            message=f"the feed is lowered on inside arcs and in corners, down to {least:.2f} of "
            f"the cutting feed, along {along:.0f} mm in all: as long as {longer:.0f} mm more at "
            "the cutting feed",
            value=least,
        )
    ]
