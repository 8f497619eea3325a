"""Passes: small multiples, one panel a depth, in the order they are cut.

In: outline and toolpath, mm. Out: a row or grid of panels at one scale. Each shows the part,
what earlier depths have cleared (white), and this depth's cuts in the colour the plan view gives
them; a panel's head gives its number, its z and the length cut there.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from outline2path.picture.captions import long_words, name_of, signed_words
from outline2path.picture.cuts import cleared, draw_direction, pass_depths
from outline2path.picture.drawn import Drawn
from outline2path.picture.frame import (
    BAND_PT,
    MARGIN_PT,
    Bounds,
    Units,
    box_size_pt,
    frame_axes,
    scale_bar,
)
from outline2path.picture.moves import Trace, traces
from outline2path.picture.page import CAUTION, EDGE_PT, PAGE_IN, new_page
from outline2path.picture.shapes import add_fill, add_lines
from outline2path.picture.style import INK, QUIET, depth_colours
from outline2path.picture.words import text_style

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes

    from outline2path.drawing.outline import Outline
    from outline2path.path.toolpath import Toolpath

__all__ = ["MOST_PANELS", "draw_passes"]

MOST_PANELS = 12
"""Panels on a page; of more depths, evenly chosen ones are shown, first and last included."""
_GUTTER_PT, _HEAD_PT = 16.0, 18.0
_LEAST_WIDE_PT, _MOST_HIGH_PT = 140.0, 230.0
_DETAIL_PT = 0.3
_CUTTING = frozenset({"cut", "tab", "ramp"})
_KERF_SHARE, _STROKE_PT = 0.6, (0.8, 4.0)


def draw_passes(
    *,
    outline: Outline,
    toolpath: Toolpath,
    title: str | None = None,
    units: Units = "mm",
    axes: Sequence[Axes] | None = None,
) -> Drawn:
    """Draw one panel a depth, shallowest first.

    Parameters
    ----------
    outline, toolpath
        What is cut, in work coordinates, mm.
    title : str, optional
        Head line; made from the drawing's file name if left out.
    units : "mm" or "in"
        What the words count.
    axes : sequence of matplotlib Axes, optional
        Where to draw, one a panel; panels beyond them are left out. A page is made if left out.

    Returns
    -------
    Drawn
        Its `artists` are named "panel 1", "panel 2", ... and "scale".
    """
    lines = traces(toolpath)
    depths, place = pass_depths(toolpath)
    chosen = _chosen(len(depths))
    bounds = _bounds(outline, lines)
    title = title or f"{name_of(outline)}: depth by depth"
    facts = f"{len(depths)} depths" + (
        f", {len(chosen)} of them shown" if len(chosen) < len(depths) else ""
    )
    panels = list(axes) if axes is not None else _grid(bounds, len(chosen), title, facts)
    colours = depth_colours(len(depths))
    diameters = [s.wide_mm for s in toolpath.sections]
    artists: dict[str, tuple[Artist, ...]] = {}
    for number, (ax, rank) in enumerate(zip(panels, chosen, strict=False), start=1):
        scale = frame_axes(ax, bounds, units=units)
        _bare(ax)
        here = [t for t in lines if place[t.section] == rank and t.role in _CUTTING]
        before = [t for t in lines if place[t.section] < rank]
        length = long_words(sum(t.length_mm for t in here), units)
        artists[f"panel {number}"] = (
            *_ground(ax, outline, before, diameters, _DETAIL_PT / scale),
            *_cuts(ax, here, colours[rank], min(diameters) * scale),
            *draw_direction(ax, here, place=place, scale=scale, size_pt=5.0),
            *_head(ax, rank + 1, f"z {signed_words(float(depths[rank]), units)}", length),
        )
    artists["scale"] = scale_bar(panels[0], units=units)
    return Drawn(ax=panels[0], artists=artists, title=title, facts=facts)


def _chosen(count: int) -> list[int]:
    """Ranks of the depths to show."""
    shown = min(count, MOST_PANELS)
    return sorted({round(k) for k in np.linspace(0, max(count - 1, 0), shown)})


def _bounds(outline: Outline, lines: Sequence[Trace]) -> Bounds:
    boxes = [outline.bounds_mm]
    boxes += [
        (*t.points[:, :2].min(axis=0), *t.points[:, :2].max(axis=0))
        for t in lines
        if t.role in _CUTTING
    ]
    table = np.array(boxes)
    low, high = table[:, :2].min(axis=0), table[:, 2:].max(axis=0)
    return (float(low[0]), float(low[1]), float(high[0]), float(high[1]))


def _grid(bounds: Bounds, count: int, title: str, facts: str) -> list[Axes]:
    """Panels on a page, in rows, as large as the width allows."""
    ratio = max(bounds[2] - bounds[0], 1.0) / max(bounds[3] - bounds[1], 1.0)
    inner = PAGE_IN * 72.0 - 2 * EDGE_PT
    most = max(int((inner + _GUTTER_PT) / (_LEAST_WIDE_PT + _GUTTER_PT)), 1)
    columns = max(min(most, count, int(np.ceil(np.sqrt(count / ratio * 1.6)))), 1)
    rows = -(-count // columns)
    columns = -(-count // rows)
    wide = (inner + _GUTTER_PT) / columns - _GUTTER_PT
    high = min(wide / ratio + 2 * MARGIN_PT + BAND_PT, _MOST_HIGH_PT)
    body = rows * (high + _HEAD_PT + _GUTTER_PT)
    page = new_page(body, title=title, facts=facts, caution=CAUTION)
    return [
        page.add_axes(
            EDGE_PT + (k % columns) * (wide + _GUTTER_PT),
            page.top - (k // columns) * (high + _HEAD_PT + _GUTTER_PT) - _HEAD_PT - high,
            wide,
            high,
        )
        for k in range(count)
    ]


def _bare(ax: Axes) -> None:
    ax.set(xticks=[], yticks=[], xlabel="", ylabel="")
    for spine in ax.spines.values():
        spine.set_visible(False)


def _ground(
    ax: Axes, outline: Outline, before: Sequence[Trace], diameters: Sequence[float], detail: float
) -> list[Artist]:
    found: list[Artist] = [add_fill(ax, outline.region, "part")]
    kerf = cleared(before, diameters, detail_mm=detail)
    if not kerf.is_empty:
        found.append(add_fill(ax, kerf, "kerf", edge_pt=0.35))
    return found


def _cuts(ax: Axes, here: Sequence[Trace], colour: str, kerf_pt: float) -> tuple[Artist, ...]:
    cut = [t.points[:, :2] for t in here if t.role in {"cut", "ramp"}]
    if not cut:
        return ()
    wide = float(np.clip(kerf_pt * _KERF_SHARE, *_STROKE_PT))
    return (add_lines(ax, cut, "edge", lift=0.2, colours=colour, width_pt=wide),)


def _head(ax: Axes, number: int, left: str, right: str) -> list[Artist]:
    from matplotlib.lines import Line2D

    high = box_size_pt(ax)[1]
    y = 1 + 6.0 / high
    rule = Line2D([0, 1], [1 + 2.0 / high] * 2, transform=ax.transAxes, color=QUIET, linewidth=0.5)
    rule.set_clip_on(False)
    ax.add_line(rule)
    place: dict[str, Any] = {"transform": ax.transAxes, "va": "baseline"}
    return [
        rule,
        ax.text(0, y, f"{number}", **place, **text_style(8, INK, bold=True)),
        ax.text(0.09, y, left, **place, **text_style(8, INK)),
        ax.text(1, y, right, ha="right", **place, **text_style(8, QUIET)),
    ]
