"""Order: which contour is cut when.

In: the contours of one operation and where the cutter waits. Out: the same contours, those that
others wait for first (`Contour.after`), with short rapids in between: from where one contour's
last cut ends to where the next one's first cut begins, and home at the end.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.errors import SettingError
from outline2path.path.tour import short_tour

if TYPE_CHECKING:
    from outline2path.operations.cut import Contour

__all__ = ["order_contours"]


def order_contours(
    contours: Sequence[Contour], *, start_xy: tuple[float, float] = (0.0, 0.0)
) -> tuple[Contour, ...]:
    """Put contours in an order of short rapids.

    Parameters
    ----------
    contours : sequence of Contour
        Contours of one operation; those without cuts are left out, numbers in `after` that are
        not among them ask for nothing.
    start_xy : tuple of float
        Where the cutter comes from and goes back to, mm.

    Raises
    ------
    SettingError
        When contours wait for one another in a circle, or two have the same number.

    Examples
    --------
    >>> import numpy as np
    >>> from outline2path.operations.cut import Contour, Cut, Span
    >>> from outline2path.shop.cutter import Cutter
    >>> def dot(number, x, after=()):
    ...     down = Span("plunge", np.array([[x, 0, 1], [x, 0, -1.0]]))
    ...     cut = Cut("profile", Cutter(3), -1.0, (down,))
    ...     return Contour(number=number, cuts=(cut,), after=frozenset(after))
    >>> [c.number for c in order_contours([dot(0, 5, after={2}), dot(1, 2), dot(2, 9)])]
    [1, 2, 0]
    """
    real = [contour for contour in contours if any(cut.spans for cut in contour.cuts)]
    before = _rules(real)
    cost = _travel(real, start_xy)
    return tuple(real[stop] for stop in short_tour(cost, before).tolist())


def _travel(contours: Sequence[Contour], start_xy: tuple[float, float]) -> NDArray[np.float64]:
    """Length from each contour's end (rows) to each one's beginning (columns), home first."""
    cuts = [[cut for cut in contour.cuts if cut.spans] for contour in contours]
    begin = np.array([start_xy, *(c[0].spans[0].points[0, :2] for c in cuts)], float)
    end = np.array([start_xy, *(c[-1].spans[-1].points[-1, :2] for c in cuts)], float)
    step = end[:, None, :] - begin[None, :, :]
    lengths: NDArray[np.float64] = np.hypot(step[..., 0], step[..., 1])
    return lengths


def _rules(contours: Sequence[Contour]) -> NDArray[np.bool_]:
    """Who must come before whom, by all chains of rules."""
    place = {contour.number: k for k, contour in enumerate(contours)}
    if len(place) < len(contours):
        raise SettingError(f"{len(contours)} contours share {len(place)} numbers")
    waits = [{place[n] for n in contour.after if n in place} for contour in contours]
    before = np.zeros((len(contours), len(contours)), bool)
    left = set(range(len(contours)))
    while left:
        ready = sorted(k for k in left if not waits[k] & left)
        if not ready:
            numbers = sorted(contours[k].number for k in left)
            raise SettingError(
                f"contours {numbers} wait for one another in a circle", value=numbers
            )
        for k in ready:
            for leader in waits[k]:
                before[:, k] |= before[:, leader]
                before[leader, k] = True
        left -= set(ready)
    return before
