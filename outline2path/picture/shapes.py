"""Shapes: geometry as artists.

In: shapely regions and polylines in mm. Out: one artist for a whole region, one collection for
all lines of a meaning, so that a drawing holds a bounded number of artists however many moves it
shows. Widths are in points times `weight`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.picture.frame import box_size_pt
from outline2path.picture.style import Meaning, meaning

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.collections import Collection, LineCollection
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path as MplPath
    from shapely.geometry.base import BaseGeometry

__all__ = ["add_fill", "add_hatch", "add_lines", "disc_ring", "region_path", "rule_over"]

_Array = NDArray[np.float64]
_MOST_HATCH_LINES, _DISC_CHORDS = 160, 96
_END_SHARE = 40


def region_path(region: BaseGeometry) -> MplPath:
    """Return a region with its holes as one path; filled by either fill rule it looks the same.

    Examples
    --------
    >>> ring = shapely.box(0, 0, 9, 9) - shapely.box(3, 3, 6, 6)
    >>> region_path(ring).codes.tolist().count(1)
    2
    """
    from matplotlib.path import Path as MplPath

    polygons = [g for g in shapely.get_parts(region) if g.geom_type == "Polygon"]
    rings = shapely.get_rings(shapely.orient_polygons(np.array(polygons, dtype=object)))
    points, owner = shapely.get_coordinates(rings, return_index=True)
    codes = np.full(len(points), MplPath.LINETO, dtype=np.uint8)
    first = np.flatnonzero(np.diff(owner, prepend=-1))
    codes[first] = MplPath.MOVETO
    codes[np.append(first[1:], len(points))[: len(first)] - 1] = MplPath.CLOSEPOLY
    return MplPath(points.reshape(-1, 2), codes)


def disc_ring(centre: tuple[float, float], radius: float) -> _Array:
    """Return the rim of a disc as a closed polyline of 96 chords, mm."""
    turn = np.linspace(0, 2 * math.pi, _DISC_CHORDS + 1)
    return np.asarray(np.column_stack([np.cos(turn), np.sin(turn)]) * radius + centre)


def add_fill(ax: Axes, region: BaseGeometry, name: str, *, edge_pt: float = 0.0) -> PathPatch:
    """Fill a region (mm) as its meaning says, with an edge in the colour of ink if asked for."""
    from matplotlib.patches import PathPatch

    style, edge = meaning(name), meaning("edge")
    patch = PathPatch(
        region_path(region),
        facecolor=style.colour,
        edgecolor=edge.colour if edge_pt else "none",
        linewidth=edge_pt,
        joinstyle="round",
        zorder=style.order,
    )
    ax.add_artist(patch)  # unlike add_patch, leaves the data limits and does not walk the path
    return patch


def add_hatch(ax: Axes, region: BaseGeometry, name: str, *, spacing_mm: float) -> LineCollection:
    """Draw the fine lines of a fill's pattern over a region (mm), `spacing_mm` apart.

    Their ends are right to a fortieth of the spacing, which no eye sees on paper.
    """
    style = meaning(name)
    ruled = [_ruling(region.bounds, spacing_mm)]
    if style.pattern == "cross":
        x0, _, x1, _ = region.bounds
        ruled.append(shapely.transform(ruled[0], lambda p: p * [-1, 1] + [x0 + x1, 0]))
    coarse = shapely.simplify(region, spacing_mm / _END_SHARE)
    shapely.prepare(coarse)
    cut = shapely.get_parts(shapely.intersection(np.concatenate(ruled), coarse))
    lines = [shapely.get_coordinates(g) for g in cut if g.geom_type == "LineString" and g.length]
    return _collection(ax, lines, colours=style.ruling, width=0.5, zorder=style.order + 0.05)


def rule_over(ax: Axes, fill: Collection, name: str, *, spacing_pt: float) -> LineCollection:
    """Draw the fine lines of a fill's pattern over a filled collection, evenly on paper.

    For axes whose scales differ; the lines are clipped to the collection's paths.
    """
    from matplotlib.collections import LineCollection
    from matplotlib.path import Path as MplPath

    style = meaning(name)
    wide, high = box_size_pt(ax)
    rise = 0.0 if style.pattern == "level" else high
    start = np.arange(-rise, high if rise == 0 else wide, spacing_pt)
    lines = [
        [(s / wide, 0.0), ((s + rise) / wide, 1.0)] if rise else [(0.0, s / high), (1.0, s / high)]
        for s in start
    ]
    drawn = LineCollection(
        lines,
        colors=style.ruling,
        linewidths=0.5,
        zorder=style.order + 0.05,
        transform=ax.transAxes,
    )
    ax.add_collection(drawn, autolim=False)
    paths = fill.get_paths()
    if paths:
        drawn.set_clip_path(MplPath.make_compound_path(*paths), ax.transData)
    return drawn


def _ruling(bounds: tuple[float, float, float, float], spacing_mm: float) -> NDArray[np.object_]:
    """Return slanted lines over a box, evenly spaced at right angles to themselves."""
    x0, y0, x1, y1 = bounds
    reach = (x1 - x0) + (y1 - y0)
    step = max(spacing_mm * math.sqrt(2), reach / _MOST_HATCH_LINES)
    start = x0 - (y1 - y0) + step * (np.arange(int(reach / step)) + 0.5)
    low = np.column_stack([start, np.full_like(start, y0)])
    lines: NDArray[np.object_] = shapely.linestrings(np.stack([low, low + (y1 - y0)], axis=1))
    return lines


def add_lines(
    ax: Axes,
    lines: Sequence[_Array],
    name: str,
    *,
    weight: float = 1.0,
    colours: Sequence[str] | str | None = None,
    width_pt: Sequence[float] | float | None = None,
    lift: float = 0.0,
) -> LineCollection:
    """Draw polylines (mm, one array of shape (n, 2) each) of one meaning as one artist.

    `colours` and `width_pt` override the meaning's, for all lines or one by one; `lift` raises
    the drawing order.
    """
    style = meaning(name)
    wide = np.asarray(style.width_pt if width_pt is None else width_pt, dtype=float)
    return _collection(
        ax,
        lines,
        colours=style.colour if colours is None else colours,
        width=np.atleast_1d(wide * weight),
        zorder=style.order + lift,
        style=style,
    )


def _collection(
    ax: Axes,
    lines: Sequence[_Array],
    *,
    colours: Any,
    width: Any,
    zorder: float,
    style: Meaning | None = None,
) -> LineCollection:
    from matplotlib.collections import LineCollection

    dashes = "solid" if style is None else style.dashes
    drawn = LineCollection(
        list(lines),
        colors=colours,
        linewidths=width,
        linestyles=[dashes] if isinstance(dashes, tuple) else dashes,
        zorder=zorder,
        capstyle="butt" if isinstance(dashes, tuple) else "round",
        joinstyle="round",
    )
    ax.add_collection(drawn, autolim=False)
    return drawn
