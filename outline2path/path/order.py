"""Order: which contour is cut when, where it begins and which way it runs.

In: the contours of one operation and where the cutter waits. Out: the same contours, those that
others wait for first (`Contour.after`), each in that one of its ways (`Contour.others`) which
keeps the rapids in between short: from where one contour's last cut ends to where the next one's
first cut begins, and home at the end. Order and ways are chosen together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from graphlib import CycleError, TopologicalSorter
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.errors import SettingError
from outline2path.path.stops import Stops
from outline2path.path.tour import short_tour

if TYPE_CHECKING:
    from outline2path.operations.cut import Contour

__all__ = ["order_contours"]


def order_contours(
    contours: Sequence[Contour], *, start_xy: tuple[float, float] = (0.0, 0.0)
) -> tuple[Contour, ...]:
    """Put contours in an order of short rapids, and choose where each one begins.

    Parameters
    ----------
    contours : sequence of Contour
        Contours of one operation; those without cuts are left out, numbers in `after` that are
        not among them ask for nothing.
    start_xy : tuple of float
        Where the cutter comes from and goes back to, mm.

    Returns
    -------
    tuple of Contour
        In order, each with the cuts of the way that was chosen.

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
    rules = _rules(real)
    stops = Stops.of([_places(contour) for contour in real], rules=rules, home=start_xy)
    nodes = short_tour(stops)
    chosen = nodes - stops.ways[:, 0][stops.owner[nodes]]
    return tuple(
        _in_its_way(real[stop], way)
        for stop, way in zip(stops.owner[nodes].tolist(), chosen.tolist(), strict=True)
    )


def _places(contour: Contour) -> NDArray[np.float64]:
    """Where each way of a contour begins and ends: x, y, x, y, its own cuts first."""
    cuts = [cut for cut in contour.cuts if cut.spans]
    begin, end = cuts[0].spans[0].points[0, :2], cuts[-1].spans[-1].points[-1, :2]
    others = [(*way.begin_mm, *way.end_mm) for way in contour.others]
    return np.array([(*begin, *end), *others], float)


def _in_its_way(contour: Contour, way: int) -> Contour:
    if not contour.others:
        return contour
    cuts = contour.others[way - 1].make() if way else contour.cuts
    return replace(contour, cuts=cuts, others=())


def _rules(contours: Sequence[Contour]) -> list[tuple[int, int]]:
    """Who must come before whom, and that none waits for itself."""
    place = {contour.number: k for k, contour in enumerate(contours)}
    if len(place) < len(contours):
        raise SettingError(f"{len(contours)} contours share {len(place)} numbers")
    waits = [{place[n] for n in contour.after if n in place} for contour in contours]
    try:
        TopologicalSorter(dict(enumerate(waits))).prepare()
    except CycleError as circle:
        left = sorted({contours[k].number for k in circle.args[1]})
        raise SettingError(
            f"contours {left} wait for one another in a circle", value=left
        ) from circle
    return [(leader, k) for k, leaders in enumerate(waits) for leader in sorted(leaders)]
