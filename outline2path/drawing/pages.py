"""Pages: the size of the page where the file leaves it out, and what lies outside it.

In: figures in CSS pixels and the page as the file gives it. Out: the page's full size, and the
figures with those outside the page left out, kept or cut off at its edge. What a viewer never
shows should not be cut by surprise, and what reaches over the edge should not lose a piece
silently: each such shape is told.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.drawing.clipping import page_clip
from outline2path.drawing.lines import curve_bounds
from outline2path.tolerance import PARAMETER_EPSILON

if TYPE_CHECKING:
    from outline2path.drawing.figures import Figure
    from outline2path.drawing.notes import Notes
    from outline2path.drawing.viewport import Page

__all__ = ["full_size", "on_page"]

_DONE = {"keep": ("kept", "kept"), "drop": ("left out", "kept whole")}
_DONE["clip"] = ("left out", "cut off there")


def full_size(page: Page, figures: tuple[Figure, ...]) -> tuple[float, float]:
    """Return the page in CSS pixels; a side the file leaves out reaches as far as the drawing."""
    if page.width is not None and page.height is not None:
        return (page.width, page.height)
    far = curve_bounds(figures)[:, 2:].max(axis=0, initial=1.0)
    return (page.width or float(far[0]), page.height or float(far[1]))


def on_page(
    figures: tuple[Figure, ...],
    hulls: NDArray[np.float64],
    *,
    size: tuple[float, float],
    how: str,
    notes: Notes,
) -> tuple[Figure, ...]:
    """Return the figures with those outside the page dealt with.

    Parameters
    ----------
    figures : tuple of Figure
    hulls : ndarray, shape (n, 4)
        Bounds in CSS pixels that each cannot leave.
    size : tuple of float
        The page in CSS pixels.
    how : "drop", "keep" or "clip"
        Leave out what lies wholly outside, keep all, or cut all off at the page's edge.
    notes : Notes
        Takes a finding for each such shape.
    """
    slack = PARAMETER_EPSILON * max(size)
    if how != "clip" and _all_inside(hulls, size, slack):
        return figures
    wide = np.array(size)
    inside = (hulls >= -slack).all(axis=1) & (hulls[:, 2:] <= wide + slack).all(axis=1)
    bounds = hulls.copy()
    bounds[~inside] = curve_bounds([figures[k] for k in np.flatnonzero(~inside).tolist()])
    off = np.any((bounds[:, 2:] <= slack) | (bounds[:, :2] >= wide - slack), axis=1)
    over = np.any((bounds[:, :2] < -slack) | (bounds[:, 2:] > wide + slack), axis=1) & ~off
    outside = set(np.flatnonzero(off).tolist())
    for k in np.flatnonzero(off | over).tolist():
        gone = k in outside
        what = "lies outside the page" if gone else "reaches over the edge of the page"
        done = _DONE[how][0 if gone else 1]
        notes.add(
            "outside-page",
            "info" if how == "keep" else "warning",
            f"{figures[k].element}: it {what}; it was {done}",
            remedy="move it in the drawing, or choose what to do with shapes outside the page",
        )
    if how == "keep":
        return figures
    kept = tuple(figures[k] for k in np.flatnonzero(~off).tolist())
    if how == "drop":
        return kept
    clip = page_clip(size)
    return tuple(replace(f, clips=(*f.clips, clip)) for f in kept)


def _all_inside(hulls: NDArray[np.float64], size: tuple[float, float], slack: float) -> bool:
    """Whether no figure can reach over the page's edge, nor lie on it without any width."""
    inner, outer = (side - slack for side in size), (side + slack for side in size)
    (right, top), (past, over) = inner, outer
    x0, y0, x1, y1 = hulls.T
    low = min(x0.min(initial=0.0), y0.min(initial=0.0)) >= -slack
    far = x1.max(initial=0.0) <= past and y1.max(initial=0.0) <= over
    on_edge = (x0 >= right) | (y0 >= top) | (x1 <= slack) | (y1 <= slack)
    return bool(low and far and not on_edge.any())
