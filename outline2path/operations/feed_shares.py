"""Feed shares: where a pocket may run faster or must run slower than the cutting feed.

In: plane polylines in mm, the cutter, the stepover. Out: level spans with `Span.feed_factor` set.

Thin chips: with the cutter engaged on a share a = stepover / diameter below a half of its width,
the thickest chip is 2 sqrt(a - a^2) of the feed per tooth; the feed may be raised by the inverse
(sources: engagement geometry; a 0.1 gives 1.667). Here by no more than 2 (common practice, no
source).

Inside arcs: where the wall is an arc of radius R round the path, the cutter's rim runs R / (R - r)
times as fast along the wall as its centre does along the path; the feed is lowered to (R - r) / R
(sources W17). In sharp corners that would be nothing at all: here no less than a half (common
practice, no source).
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.operations.cut import Span
from outline2path.operations.loops import Loop

if TYPE_CHECKING:
    from outline2path.operations.rings import Direction

__all__ = ["LEAST_SHARE", "MOST_SHARE", "eased", "inside_share", "thin_chip_share"]

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
    half = min(cutter_radius_mm / 2, loop.length_mm / 4)
    marks = loop.marks[:-1]
    stops = np.unique(np.mod(np.concatenate((marks, marks - half, marks + half)), loop.length_mm))
    stops = np.append(stops, loop.length_mm)
    stops = np.append(0.0, stops[stops > half / _STEPS])
    middles = (stops[:-1] + stops[1:]) / 2
    _, net = loop.turning(middles, half)
    bend = np.maximum(net if direction == "climb" else -net, 0.0) / (2 * half)
    shares = np.maximum(1 / (1 + bend * cutter_radius_mm), LEAST_SHARE)
    shares = np.floor(shares * _STEPS + 1 / _STEPS) / _STEPS
    ends = np.flatnonzero(np.diff(shares)) + 1
    spans = []
    for first, last in zip([0, *ends], [*ends, len(shares)], strict=True):
        points = loop.piece(float(stops[first]), float(stops[last]))
        factor = share * float(shares[first])
        spans.append(Span.level("cut", points, z, feed_factor=factor))
    return spans
