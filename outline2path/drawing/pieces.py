"""Pieces: a line as short straight pieces that know the true directions at their ends.

A line with a width is built on the true directions of its curves, not on those of the chords, so
that its ends and corners lie where they should. Arrays of x and y, in any one unit.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Pieces", "left_of", "point_piece", "unit_of"]

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Pieces:
    """Pieces of one line.

    Attributes
    ----------
    start, end : ndarray, shape (n, 2)
    leave, arrive : ndarray, shape (n, 2)
        Unit directions at both ends.
    corner : ndarray of bool, shape (n,)
        Whether each begins a new segment of the drawing, where the asked join is made.

    Examples
    --------
    >>> point_piece(np.zeros((1, 2)), np.array([[1.0, 0.0]])).length
    0.0
    """

    start: Floats
    end: Floats
    leave: Floats
    arrive: Floats
    corner: NDArray[np.bool_]

    @property
    def length(self) -> float:
        """Length of the line."""
        return float(np.hypot(*(self.end - self.start).T).sum())

    def __len__(self) -> int:
        return len(self.start)

    def part(self, first: int, last: int) -> Pieces:
        """Return pieces from `first` up to and without `last`."""
        k = slice(first, last)
        return Pieces(self.start[k], self.end[k], self.leave[k], self.arrive[k], self.corner[k])

    def then(self, other: Pieces) -> Pieces:
        """Return this line followed by another one."""
        keys = ("start", "end", "leave", "arrive", "corner")
        return Pieces(*(np.concatenate([getattr(self, k), getattr(other, k)]) for k in keys))

    def reversed(self) -> Pieces:
        """Return the same line the other way round."""
        corner = np.roll(self.corner, -1)[::-1]
        back = slice(None, None, -1)
        return Pieces(
            self.end[back], self.start[back], -self.arrive[back], -self.leave[back], corner
        )


def point_piece(point: Floats, direction: Floats) -> Pieces:
    """Return pieces without length.

    Examples
    --------
    >>> len(point_piece(np.zeros((2, 2)), np.ones((2, 2))))
    2
    """
    return Pieces(point, point, direction, direction, np.zeros(len(point), dtype=bool))


def unit_of(v: Floats) -> Floats:
    """Return vectors, shape (n, 2), at length 1; those of length 0 stay as they are.

    Examples
    --------
    >>> unit_of(np.array([[3.0, 4.0], [0.0, 0.0]])).tolist()
    [[0.6, 0.8], [0.0, 0.0]]
    """
    length = np.hypot(v[:, 0], v[:, 1])[:, None]
    return np.asarray(np.divide(v, length, out=np.zeros_like(v), where=length > 0))


def left_of(direction: Floats) -> Floats:
    """Return directions, shape (n, 2), turned a quarter to the left.

    Examples
    --------
    >>> left_of(np.array([[1.0, 0.0]])).tolist()
    [[-0.0, 1.0]]
    """
    return np.stack([-direction[:, 1], direction[:, 0]], axis=1)
