"""Frame: axes in mm or inches, equal scales, scale bar, work zero.

In: matplotlib axes and the bounds to show, mm. Out: the artists added. The data stay in mm
whatever the labels say. Limits are chosen so that the box the axes already have is filled at
one scale for x and y; nothing beyond these axes is touched.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

from outline2path.picture.style import FAINT, FAMILY, INK, QUIET
from outline2path.picture.words import font, text_style
from outline2path.units import MM_PER_INCH

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.axis import Axis
    from matplotlib.figure import Figure

__all__ = [
    "BAND_PT",
    "MARGIN_PT",
    "Units",
    "box_size_pt",
    "dress_axis",
    "frame_axes",
    "furniture",
    "name_axes",
    "nice_step",
    "scale_bar",
    "work_zero",
]

Units = Literal["mm", "in"]
Bounds = tuple[float, float, float, float]

MARGIN_PT = 13.0
"""Free space round what is shown."""
BAND_PT = 25.0
"""Strip under it for the scale bar."""
_POINTS_PER_INCH = 72.0
_STEPS = (1.0, 2.0, 5.0, 10.0)
_TICK_PT = 60.0
_ROOM_FOR_ZERO_PT = 44.0
_BAR_PT = 3.2
_ZERO_PT = 4.2
_ARROW_PT = 22.0


def whole_figure(ax: Axes) -> Figure:
    """Return the whole figure axes belong to, also where they lie in a part of it."""
    figure: Figure = ax.figure.figure  # a part's figure is the whole one's, in every version
    return figure


def box_size_pt(ax: Axes) -> tuple[float, float]:
    """Return width and height of the box given to the axes, in points."""
    place, inches = ax.get_position(original=True), whole_figure(ax).get_size_inches()
    return (
        float(place.width * inches[0] * _POINTS_PER_INCH),
        float(place.height * inches[1] * _POINTS_PER_INCH),
    )


def frame_axes(ax: Axes, bounds: Bounds, *, units: Units = "mm", band: bool = True) -> float:
    """Set limits, ticks and rules; return the scale in points a millimetre.

    Parameters
    ----------
    bounds : tuple of float
        x0, y0, x1, y1 in mm: what must be seen. A margin is added, and a strip below if `band`.
    units : "mm" or "in"
        What the ticks count.
    """
    wide, high = box_size_pt(ax)
    x0, y0, x1, y1 = bounds
    strip = BAND_PT if band else 0.0
    fit = max(wide - 2 * MARGIN_PT, 1.0), max(high - 2 * MARGIN_PT - strip, 1.0)
    least = 1 / max(fit)
    scale = min(fit[0] / max(x1 - x0, least), fit[1] / max(y1 - y0, least))
    middle = (x0 + x1) / 2, (y0 + y1) / 2 - strip / 2 / scale
    ax.set_xlim(middle[0] - wide / 2 / scale, middle[0] + wide / 2 / scale)
    ax.set_ylim(middle[1] - high / 2 / scale, middle[1] + high / 2 / scale)
    ax.set_aspect("equal", adjustable="box")
    for axis in (ax.xaxis, ax.yaxis):
        dress_axis(axis, span=1.0, points=scale, units=units)
    name_axes(ax, f"x, {units}", f"y, {units}")
    return scale


def nice_step(length: float) -> float:
    """Return the largest of 1, 2, 5 times a power of ten not above `length`.

    Examples
    --------
    >>> nice_step(37), nice_step(0.6)
    (20.0, 0.5)
    """
    power = 10.0 ** math.floor(math.log10(length))
    return max(s * power for s in _STEPS if s * power <= length * (1 + 1 / 1000))


def scale_bar(ax: Axes, *, units: Units = "mm") -> tuple[Artist, ...]:
    """Draw a bar of known length in the lower right of the strip under the drawing."""
    from matplotlib.collections import PolyCollection

    one = MM_PER_INCH if units == "in" else 1.0
    (x0, x1), (wide, high) = ax.get_xlim(), box_size_pt(ax)
    length = nice_step((x1 - x0) * 0.3 / one) * one
    right = x1 - MARGIN_PT * (x1 - x0) / wide
    left, low, top = right - length, 9.0 / high, (9.0 + _BAR_PT) / high
    cuts = [left + length * k / 4 for k in range(5)]
    cells = [[(a, low), (b, low), (b, top), (a, top)] for a, b in pairwise(cuts)]
    bar = PolyCollection(
        cells,
        facecolors=[INK, "#ffffff"],
        edgecolors=INK,
        linewidths=0.6,
        transform=ax.get_xaxis_transform(),
        zorder=6,
    )
    ax.add_collection(bar, autolim=False)
    ends = [(right, f"{length / one:g} {units}")]
    if length * wide / (x1 - x0) > _ROOM_FOR_ZERO_PT:
        ends.append((left, "0"))
    texts = [
        ax.text(
            x,
            top + 3.0 / high,
            label,
            transform=ax.get_xaxis_transform(),
            ha="center",
            va="bottom",
            zorder=6,
            **text_style(7, QUIET),
        )
        for x, label in ends
    ]
    texts[0].set_horizontalalignment("right")
    return (bar, *texts)


def work_zero(ax: Axes, *, scale: float) -> tuple[Artist, ...]:
    """Mark x 0, y 0: a quartered disc with arrows along +x and +y. `scale` is points a mm."""
    from matplotlib.patches import Circle, FancyArrowPatch, Wedge

    r, long = _ZERO_PT / scale, _ARROW_PT / scale
    disc = Circle((0, 0), r, facecolor="#ffffff", edgecolor=INK, linewidth=0.8, zorder=5)
    quarters = [Wedge((0, 0), r, a, a + 90, facecolor=INK, zorder=5.1) for a in (0, 180)]
    arrows = [
        FancyArrowPatch(
            (x * r, y * r),
            (x * long, y * long),
            arrowstyle="-|>",
            mutation_scale=6,
            shrinkA=0,
            shrinkB=0,
            color=INK,
            linewidth=0.8,
            zorder=5,
        )
        for x, y in ((1, 0), (0, 1))
    ]
    letters = [
        ax.text(
            x, y, letter, ha="center", va="center", zorder=5.2, **text_style(7, INK, bold=True)
        )
        for x, y, letter in ((long * 1.22, 0, "x"), (0, long * 1.26, "y"))
    ]
    for patch in (disc, *quarters, *arrows):
        ax.add_patch(patch)
    return (disc, *quarters, *arrows, *letters)


def furniture(ax: Axes, *, zero: bool = False) -> tuple[Bounds, ...]:
    """Return boxes, in points from the lower left of the axes, that labels must leave clear.

    The strip of the scale bar, and with `zero` the work zero with its arrows.
    """
    wide, high = box_size_pt(ax)
    boxes: list[Bounds] = [(0.0, 0.0, wide, BAND_PT - 3.0)]
    if zero:
        (x0, x1), (y0, y1) = ax.get_xlim(), ax.get_ylim()
        x, y = -x0 * wide / (x1 - x0), -y0 * high / (y1 - y0)
        far = _ARROW_PT * 1.45
        near = _ZERO_PT + 2
        boxes += [(x - near, y - near, x + far, y + near), (x - near, y - near, x + near, y + far)]
    return tuple(boxes)


def dress_axis(axis: Axis, *, span: float, points: float, units: Units) -> None:
    """Give an axis quiet ticks at round numbers: `span` mm shown on `points` points of paper."""
    from matplotlib.ticker import FuncFormatter, MultipleLocator

    one = MM_PER_INCH if units == "in" else 1.0
    axis.set_major_locator(MultipleLocator(nice_step(_TICK_PT * span / points / one) * one))
    axis.set_major_formatter(FuncFormatter(lambda v, _: f"{v / one:g}".replace("-", "\u2212")))
    axis.set_tick_params(
        length=3,
        width=0.6,
        color=FAINT,
        labelcolor=QUIET,
        labelsize=7.5,
        labelfontfamily=FAMILY,
    )


def name_axes(ax: Axes, along: str, up: str) -> None:
    """Write what the axes count at their ends, and leave rules only on the left and below."""
    ax.set_xlabel(along, loc="right", fontproperties=font(7.5), color=QUIET)
    ax.set_ylabel(up, loc="top", fontproperties=font(7.5), color=QUIET)
    for side in ("top", "right"):
        ax.spines[side].set_visible(False)
    for side in ("left", "bottom"):
        ax.spines[side].set(color=FAINT, linewidth=0.6)
