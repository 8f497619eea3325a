"""Contacts: discs that touch two facing edges, the widest cutters that pass there.

A value between the searches for narrow places and their naming. Lengths in mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from outline2path.reach.boundary import Floats, Ints

__all__ = ["Contacts", "one_of_each"]


@dataclass(frozen=True, eq=False)
class Contacts:
    """Discs that touch two facing edges and hold no edge inside.

    Attributes
    ----------
    centre : ndarray, shape (k, 2)
        Centres in mm.
    width_mm : ndarray, shape (k,)
        Diameters: the widest cutter that passes there.
    touch : ndarray, shape (k, 3, 2)
        The points touched; at a neck the third repeats the second.
    depth_mm : ndarray, shape (k,)
        How far the boundary between the first two points leads away from them: half of what
        it is longer than the straight way. Infinite between two rings.
    """

    centre: Floats
    width_mm: Floats
    touch: Floats
    depth_mm: Floats

    def where(self, chosen: NDArray[np.bool_] | Ints) -> Contacts:
        """Keep the chosen ones."""
        return Contacts(
            self.centre[chosen], self.width_mm[chosen], self.touch[chosen], self.depth_mm[chosen]
        )

    def and_these(self, other: Contacts) -> Contacts:
        """Both sets in one."""
        return Contacts(
            np.concatenate([self.centre, other.centre]),
            np.concatenate([self.width_mm, other.width_mm]),
            np.concatenate([self.touch, other.touch]),
            np.concatenate([self.depth_mm, other.depth_mm]),
        )


def one_of_each(rows: Floats, *, within: float) -> Ints:
    """Index of the first of equal rows, shape (n, k), each column rounded to `within`.

    Rows that fall on two sides of a rounding step are both kept.

    Examples
    --------
    >>> one_of_each(np.array([[3.0, 1.0], [0.0, 2.0], [3.0, 1.04]]), within=0.1).tolist()
    [0, 1]
    """
    steps = np.rint(rows / within)
    order = np.lexsort(steps.T)
    ordered = steps[order]
    first = np.r_[True, (ordered[1:] != ordered[:-1]).any(axis=1)][: len(order)]
    return np.sort(order[first])
