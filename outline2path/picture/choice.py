"""Choice: which cutter to take, as a chart of what each leaves uncut and how long it takes.

In: the reach of one outline by several cutters, mm, and perhaps times in seconds. Out: one plot,
cutter diameter along, lost area up; times as words at the points. The widest cutter that passes
everywhere is marked by a line.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from outline2path.errors import SettingError
from outline2path.picture.captions import cutter_words, name_of
from outline2path.picture.drawn import Drawn
from outline2path.picture.frame import Units, name_axes
from outline2path.picture.layout import lay_out
from outline2path.picture.style import FAINT, FAMILY, INK, QUIET, meaning
from outline2path.picture.words import in_words, text_style
from outline2path.units import MM_PER_INCH

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes

__all__ = ["draw_choice"]

_SHAPE = (0.0, 0.0, 2.6, 1.0)
_ROOM = 1.18


def draw_choice(
    reaches: Sequence[Any],
    *,
    times_s: Mapping[float, float] | None = None,
    title: str | None = None,
    units: Units = "mm",
    ax: Axes | None = None,
) -> Drawn:
    """Draw cutter diameter against lost area.

    Parameters
    ----------
    reaches : sequence of Reach
        Of the same outline, one a cutter; any order.
    times_s : mapping of float to float, optional
        Time of the whole cut in seconds by cutter diameter in mm.
    title : str, optional
        Head line; made from the drawing's file name if left out.
    units : "mm" or "in"
        What the axes count.
    ax : matplotlib Axes, optional
        Where to draw; a page is made if left out.

    Raises
    ------
    SettingError
        When there is no reach to compare.
    """
    if not reaches:
        raise SettingError(f"no cutter to compare in {reaches!r}", remedy="give one reach or more")
    ordered = sorted(reaches, key=lambda r: r.cutter_mm)
    one = MM_PER_INCH if units == "in" else 1.0
    wide = np.array([r.cutter_mm for r in ordered])
    lost = np.array([r.unreached_area_mm2 for r in ordered]) / one**2
    title = title or f"{name_of(ordered[0].outline)}: what each cutter leaves uncut"
    largest = ordered[0].largest_cutter_mm
    facts = (
        "no gap or hole limits the cutter"
        if largest is None
        else f"the widest cutter that passes everywhere is {cutter_words(largest, units=units)}"
    )
    if ax is None:
        ax = lay_out(_SHAPE, title=title, facts=facts, caution="").ax
    ax.set_xlim(0, wide.max() * _ROOM)
    ax.set_ylim(0, max(lost.max() * _ROOM, 1.0))
    ax.tick_params(
        length=3, width=0.6, color=FAINT, labelcolor=QUIET, labelsize=7.5, labelfontfamily=FAMILY
    )
    ax.set_xticks(wide, [cutter_words(d, units=units).split()[0] for d in wide])
    name_axes(ax, f"cutter diameter, {units}", f"area not reached, {units}\u00b2")
    artists = {
        "lost": _line(ax, wide, lost),
        "limit": _limit(ax, largest),
        "time": _times(ax, wide, lost, times_s or {}),
    }
    return Drawn(ax=ax, artists=artists, title=title, facts=facts)


def _line(ax: Axes, wide: Any, lost: Any) -> tuple[Artist, ...]:
    style = meaning("lost")
    return tuple(
        ax.plot(
            wide,
            lost,
            color=style.colour,
            linewidth=1.4,
            marker="o",
            markersize=5,
            markerfacecolor="#ffffff",
            markeredgecolor=style.colour,
            markeredgewidth=1.3,
            clip_on=False,
            zorder=style.order,
        )
    )


def _limit(ax: Axes, largest: float | None) -> tuple[Artist, ...]:
    if largest is None or not 0 < largest < ax.get_xlim()[1]:
        return ()
    style = meaning("cutter")
    line = ax.axvline(
        largest, color=style.colour, linestyle=style.dashes, linewidth=style.width_pt
    )
    words = ax.annotate(
        "passes everywhere up to here",
        xy=(largest, 1),
        xycoords=("data", "axes fraction"),
        xytext=(5, -2),
        textcoords="offset points",
        va="top",
        **text_style(7.5, INK),
    )
    return (line, words)


def _times(ax: Axes, wide: Any, lost: Any, times_s: Mapping[float, float]) -> tuple[Artist, ...]:
    return tuple(
        ax.annotate(
            in_words(times_s[float(d)]),
            xy=(d, a),
            xytext=(-6, 6),
            textcoords="offset points",
            ha="right",
            **text_style(7.5, QUIET),
        )
        for d, a in zip(wide, lost, strict=True)
        if float(d) in times_s
    )
