"""Lawful: the order in which rings may be cut, so that nothing is cut in what is loose already.

In: the rings and, where known, the pieces they cut the stock into. Out: a lawful order, and for
each ring those that must come before it. A ring inside another comes first, to any depth; so do
the rings in a piece that several rings cut off between them, none of them round it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from outline2path.operations.rings import enclosing

if TYPE_CHECKING:
    from outline2path.operations.pieces import Pieces
    from outline2path.operations.rings import Ring

__all__ = ["lawful_order"]


def lawful_order(rings: list[Ring], pieces: Pieces) -> tuple[list[int], list[set[int]]]:
    """Return a lawful order of rings, and what each waits for.

    Parameters
    ----------
    rings : list of Ring
        Every ring cut to full depth.
    pieces : Pieces
        What these rings cut the stock into.

    Returns
    -------
    order : list of int
        Indices of the rings, first to last.
    after : list of set of int
        For each ring in that order, the places in it of those that come before it.

    Examples
    --------
    >>> import shapely
    >>> from outline2path.operations.pieces import pieces_of
    >>> from outline2path.operations.rings import rings_of
    >>> plate = shapely.box(0, 0, 60, 60).difference(shapely.box(9, 9, 29, 29))
    >>> rings = rings_of(shapely.MultiPolygon([plate]), side="outside", direction="climb")
    >>> lawful_order(rings, pieces_of(rings, cutter_mm=2.0))
    ([1, 0], [set(), {0}])
    """
    parent, depth = enclosing(rings)
    count = len(rings)
    order = sorted(range(count), key=lambda k: (-pieces.depth(k), -depth[k], k))
    place = {k: i for i, k in enumerate(order)}
    after = [{place[k] for k in pieces.inside_of(ring)} for ring in order]
    for k, outer in enumerate(parent):
        if outer >= 0:
            after[place[outer]].add(place[k])
    return order, after
