"""Labels: where to put boxes so that none overlaps another.

In: anchors (the places labels speak of), box sizes, the frame and what must stay clear, all in
one unit (points or pixels, y up). Out: one centre a label, or none where the frame is full.
Laws: placed boxes lie inside the frame, overlap neither one another nor what must stay clear;
the same input gives the same output.

Method: labels are placed one after another. Each looks at rings of seats around its anchor, then
at an even grid over the whole frame, and takes the free seat of least cost: distance, with a
small bonus for lying outward from the middle of all anchors.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

__all__ = ["Box", "place_labels"]

Box = tuple[float, float, float, float]
"""x0, y0, x1, y1."""

_DIRECTIONS = 24
_RINGS = 14
_RING_STEP = 0.55
_GRID = 60
_OUTWARD_BONUS = 0.25

_Array = NDArray[np.float64]


def place_labels(
    anchors: _Array,
    sizes: _Array,
    frame: Box,
    *,
    keep_clear: tuple[Box, ...] = (),
    gap: float = 2.0,
) -> list[tuple[float, float] | None]:
    """Seat one box an anchor, without overlap.

    Parameters
    ----------
    anchors : ndarray, shape (n, 2)
        Places the labels speak of.
    sizes : ndarray, shape (n, 2)
        Width and height of each box.
    frame : Box
        Boxes stay inside this.
    keep_clear : tuple of Box
        Boxes that no label may touch.
    gap : float
        Least distance between boxes, along x or along y.

    Returns
    -------
    list of (x, y) or None
        Centres, in the order of the anchors; None where no seat is free.

    Examples
    --------
    >>> a, b = place_labels(np.array([[50.0, 50], [50, 50]]), np.full((2, 2), 10.0),
    ...                     (0.0, 0.0, 100.0, 100.0))
    >>> max(abs(a[0] - b[0]), abs(a[1] - b[1])) >= 10
    True
    """
    if not len(anchors):
        return []
    middle = anchors.mean(axis=0)
    taken = np.array(keep_clear, dtype=float).reshape(-1, 4)
    seats: list[tuple[float, float] | None] = []
    for anchor, size in zip(anchors, sizes, strict=True):
        half = size / 2
        centre = _best(_rings(anchor, half), anchor, half, frame, taken, middle, gap)
        if centre is None:
            centre = _best(_lattice(frame, half), anchor, half, frame, taken, middle, gap)
        seats.append(centre)
        if centre is not None:
            box = np.concatenate([np.array(centre) - half, np.array(centre) + half])
            taken = np.vstack([taken, box])
    return seats


def _rings(anchor: _Array, half: _Array) -> _Array:
    """Return seats around the anchor, nearest ring first; the nearest just clears the anchor."""
    reach = float(np.hypot(*half)) * (1.35 + _RING_STEP * np.arange(_RINGS))
    angle = 2 * math.pi * (np.arange(_DIRECTIONS) + 0.5) / _DIRECTIONS
    unit = np.column_stack([np.cos(angle), np.sin(angle)])
    return np.asarray(anchor + (reach[:, None, None] * unit).reshape(-1, 2))


def _lattice(frame: Box, half: _Array) -> _Array:
    """Return an even grid of seats over the frame."""
    x = np.linspace(frame[0] + half[0], frame[2] - half[0], _GRID)
    y = np.linspace(frame[1] + half[1], frame[3] - half[1], _GRID)
    return np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)


def _best(
    seats: _Array,
    anchor: _Array,
    half: _Array,
    frame: Box,
    taken: _Array,
    middle: _Array,
    gap: float,
) -> tuple[float, float] | None:
    """Return the free seat of least cost, or None."""
    low, high = seats - half, seats + half
    free = (low >= frame[:2]).all(axis=1) & (high <= frame[2:]).all(axis=1)
    clear = (
        (low[:, None, 0] >= taken[None, :, 2] + gap)
        | (high[:, None, 0] <= taken[None, :, 0] - gap)
        | (low[:, None, 1] >= taken[None, :, 3] + gap)
        | (high[:, None, 1] <= taken[None, :, 1] - gap)
    )
    free &= clear.all(axis=1)
    if not free.any():
        return None
    cost = _cost(seats - anchor, anchor - middle)
    best = int(np.argmin(np.where(free, cost, np.inf)))
    return (float(seats[best, 0]), float(seats[best, 1]))


def _cost(away: _Array, outward: _Array) -> _Array:
    """Distance from the anchor, less a bonus for lying outward."""
    distance = np.hypot(away[:, 0], away[:, 1])
    span = np.maximum(distance * np.hypot(*outward), np.finfo(float).tiny)
    return np.asarray(distance * (1 - _OUTWARD_BONUS * (away @ outward) / span))
