"""Details: each narrow spot enlarged, with the cutter's disc to scale and the gap measured.

In: a Reach and its listed marks, mm. Out: artists in small axes of their own. In a gap or
hole the disc stands at the spot and visibly overlaps the edges; in a corner it stands where it
comes to rest, touching them. The measure runs between the
two edges nearest the spot.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.picture.captions import cutter_words
from outline2path.picture.frame import Units, nice_step
from outline2path.picture.marks import MOST_LISTED, Mark
from outline2path.picture.notes import Badge, draw_badge
from outline2path.picture.shapes import add_fill, add_lines, disc_ring
from outline2path.picture.style import FAINT, INK, PAPER, QUIET
from outline2path.picture.words import text_style
from outline2path.units import MM_PER_INCH, format_length

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from shapely.geometry.base import BaseGeometry

__all__ = [
    "MOST_DETAILS",
    "disc_place",
    "draw_detail",
    "gap_line",
    "listed_spots",
    "measure_line",
    "ruler",
]

MOST_DETAILS = 4
"""Spots shown enlarged: one row of a page."""
_CUTTERS_WIDE, _LOST_ROOM = (1.5, 3.0), 1.25
_NEAR_RADII = 4.0
_RULER_SHARE = 0.3
_Array = NDArray[np.float64]


def gap_line(
    region: BaseGeometry, at_mm: tuple[float, float], gap_mm: float
) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """Return the ends (mm) of the measure across a gap at its narrowest place.

    One end is the edge nearest `at_mm`, the other lies opposite, `gap_mm` away; None where the
    place is not between two edges that far apart.

    Examples
    --------
    >>> plates = shapely.box(0, 0, 10, 10) | shapely.box(12, 0, 20, 10)
    >>> gap_line(plates, (11, 5), 2.0)
    ((10.0, 5.0), (12.0, 5.0))
    """
    near = shapely.get_coordinates(shapely.shortest_line(region.boundary, shapely.Point(at_mm)))
    along = np.asarray(at_mm) - near[0]
    length = float(np.hypot(*along))
    if not 0 < length < gap_mm:
        return None
    far = near[0] + along / length * gap_mm
    return ((float(near[0][0]), float(near[0][1])), (float(far[0]), float(far[1])))


def disc_place(reach: Any, spot: Any) -> tuple[float, float]:
    """Return where the middle of the cutter's disc is drawn, mm: at the spot, or in a corner at
    the place nearest the spot where the disc cuts into nothing that stays.

    Raises nothing: where no such place is near, the spot itself is returned.
    """
    x, y = spot.at_mm
    if spot.kind != "corner":
        return (float(x), float(y))
    radius = reach.cutter_mm / 2
    far = spot.lost_depth_mm + _NEAR_RADII * radius
    box = shapely.box(x - far, y - far, x + far, y + far)
    near = shapely.intersection(reach.outline.region, box)
    stays = box - near if reach.side == "inside" else near
    inner = shapely.box(x - far + radius, y - far + radius, x + far - radius, y + far - radius)
    free = inner - shapely.buffer(stays, radius, quad_segs=32)
    if free.is_empty:
        return (float(x), float(y))
    here = shapely.get_coordinates(shapely.shortest_line(shapely.Point(x, y), free))[-1]
    return (float(here[0]), float(here[1]))


def draw_detail(
    ax: Axes, reach: Any, spot: Any, mark: tuple[int, Mark], *, units: Units = "mm"
) -> tuple[Artist, ...]:
    """Draw one spot enlarged into small axes; `mark` is its number and mark on the plot."""
    region, stands = reach.outline.region, disc_place(reach, spot)
    window = _window(ax, spot, stands, reach.cutter_mm)
    near = shapely.intersection(region, shapely.box(*window))
    kept = shapely.box(*window) - near if reach.side == "inside" else near
    edges = shapely.get_parts(shapely.clip_by_rect(region.boundary, *window))
    artists: list[Artist] = [
        *([add_fill(ax, kept, "part")] if kept.area > 0 else []),
        *([add_fill(ax, spot.lost, "lost")] if spot.lost is not None else []),
        add_lines(ax, [shapely.get_coordinates(e) for e in edges], "edge"),
        add_lines(ax, [disc_ring(stands, reach.cutter_mm / 2)], "cutter"),
    ]
    artists += _measure(ax, region, spot)
    artists += draw_badge(ax, Badge(mark[0], mark[1].shape), 0.09, 0.91, transform=ax.transAxes)
    artists += _caption(ax, spot, reach.cutter_mm, units)
    return (*artists, *ruler(ax, units=units))


def ruler(ax: Axes, *, units: Units = "mm") -> tuple[Artist, ...]:
    """Draw a short bar of known length in the lower right of small axes, with its length."""
    from matplotlib.lines import Line2D

    one = MM_PER_INCH if units == "in" else 1.0
    (x0, x1), (y0, y1) = ax.get_xlim(), ax.get_ylim()
    long = nice_step(_RULER_SHARE * (x1 - x0) / one) * one
    right, low = x1 - 0.05 * (x1 - x0), y0 + 0.06 * (y1 - y0)
    lines = [
        ax.add_line(
            Line2D(
                [right - long, right],
                [low, low],
                color=colour,
                linewidth=wide,
                solid_capstyle="butt",
                zorder=above,
            )
        )
        for colour, wide, above in ((PAPER, 4.4, 6.0), (INK, 2.0, 6.1))
    ]
    words = ax.annotate(
        f"{long / one:g} {units}",
        xy=(right, low),
        xytext=(0, 3.5),
        textcoords="offset points",
        ha="right",
        va="bottom",
        zorder=6.2,
        bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 1.0},
        **text_style(6.5, INK),
    )
    return (*lines, words)


def _window(
    ax: Axes, spot: Any, stands: tuple[float, float], cutter_mm: float
) -> tuple[float, float, float, float]:
    """Set the limits: the disc in the middle, room for the disc and for most of what is lost."""
    least, most = (cutter_mm * k for k in _CUTTERS_WIDE)
    half = min(max(least, _LOST_ROOM * _extent(spot, stands)), most)
    x, y = stands
    window = (x - half, y - half, x + half, y + half)
    ax.set(xlim=window[::2], ylim=window[1::2], xticks=[], yticks=[])
    ax.set_aspect("equal")
    for spine in ax.spines.values():
        spine.set(color=FAINT, linewidth=0.6)
    return window


def listed_spots(
    reach: Any, marks: Sequence[Mark], *, most: int = MOST_DETAILS
) -> list[tuple[int, Mark, Any]]:
    """Return number, mark and spot of the first `most` listed spots, in the order of the marks."""
    at = {tuple(s.at_mm): s for s in reach.spots}
    numbered = [
        (k, m, at[tuple(m.at_mm)])
        for k, m in enumerate(marks, start=1)
        if m.shape == "circle" and m.at_mm is not None and tuple(m.at_mm) in at
    ]
    return [(k, m, s) for k, m, s in numbered if k <= MOST_LISTED][:most]


def _extent(spot: Any, stands: tuple[float, float]) -> float:
    """Greatest distance along x or y from the disc's middle to the rim of what is lost, mm."""
    if spot.lost is None or spot.lost.is_empty:
        return 0.0
    corners = np.asarray(spot.lost.bounds).reshape(2, 2)
    return float(np.abs(corners - stands).max())


def measure_line(ax: Axes, begin: Any, end: Any) -> Artist:
    """Draw a measured length, mm: a line with a head at each end."""
    return ax.annotate(
        "",
        xy=begin,
        xytext=end,
        zorder=6,
        arrowprops={
            "arrowstyle": "<|-|>",
            "mutation_scale": 6,
            "color": INK,
            "linewidth": 0.8,
            "shrinkA": 0,
            "shrinkB": 0,
        },
    )


def _measure(ax: Axes, region: BaseGeometry, spot: Any) -> list[Artist]:
    """Draw the gap as a line with a head at each end."""
    ends = gap_line(region, spot.at_mm, spot.gap_mm) if spot.gap_mm else None
    if ends is None:
        return []
    return [measure_line(ax, ends[0], ends[1])]


def _caption(ax: Axes, spot: Any, cutter_mm: float, units: Units) -> list[Artist]:
    if spot.gap_mm is None:
        left = f"corner, {format_length(spot.lost_depth_mm, units=units)} lost"
    else:
        left = f"{spot.kind} {format_length(spot.gap_mm, units=units)}"
    words = (
        (0.0, "left", left, INK),
        (1.0, "right", f"\u2300 {cutter_words(cutter_mm, units=units)}", QUIET),
    )
    return [
        ax.annotate(
            text,
            xy=(x, 0),
            xycoords="axes fraction",
            xytext=(0, -5),
            textcoords="offset points",
            ha=side,
            va="top",
            annotation_clip=False,
            **text_style(7.5, ink),
        )
        for x, side, text, ink in words
    ]
