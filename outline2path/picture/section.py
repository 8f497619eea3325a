"""Section: the stock cut open along a line, seen from the side.

In: a toolpath, the stock's top and bottom (z, mm), a line across. Out: one plot of depth against
way along the line: stock that stays, what is cleared, the waste board under it with the cut that
goes through, and every depth as a line with its z. Heights are drawn larger than widths; by how
much is written on the plot.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.errors import SettingError
from outline2path.picture.captions import key_rows, name_of, signed_words
from outline2path.picture.cuts import pass_depths
from outline2path.picture.drawn import Drawn
from outline2path.picture.floors import floor_along, places_along
from outline2path.picture.frame import Units, box_size_pt, dress_axis, name_axes
from outline2path.picture.layout import lay_out
from outline2path.picture.moves import traces
from outline2path.picture.page import CAUTION
from outline2path.picture.shapes import add_lines, rule_over
from outline2path.picture.style import INK, QUIET, depth_colours, meaning
from outline2path.picture.words import text_style
from outline2path.tolerance import LENGTH_EPSILON_MM
from outline2path.units import format_length

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes

    from outline2path.drawing.outline import Outline
    from outline2path.operations.cut import Tab
    from outline2path.path.toolpath import Toolpath

__all__ = ["draw_section"]

Line = tuple[tuple[float, float], tuple[float, float]]
_Array = NDArray[np.float64]
_SHAPE = (0.0, 0.0, 3.4, 1.0)
_BOARD_MM = 2.5
_FILL = 0.8
_LABEL_PT, _RULING_PT = 9.0, 7.0


def draw_section(
    *,
    outline: Outline,
    toolpath: Toolpath,
    top_mm: float,
    bottom_mm: float,
    line_mm: Line | None = None,
    tabs: Sequence[Tab] = (),
    title: str | None = None,
    units: Units = "mm",
    ax: Axes | None = None,
) -> Drawn:
    """Draw the depth of every cut along a line.

    Parameters
    ----------
    outline, toolpath
        What is cut, in work coordinates, mm.
    top_mm, bottom_mm : float
        z of the stock's top and bottom.
    line_mm : pair of points, optional
        Begin and end of the line, mm. If left out it runs across the wall at the first
        tab, or along x through the middle of the outline.
    tabs : sequence of Tab
        Used to choose the line.
    title : str, optional
        Head line; made from the drawing's file name if left out.
    units : "mm" or "in"
        What the axes count.
    ax : matplotlib Axes, optional
        Where to draw; a page is made if left out.

    Raises
    ------
    SettingError
        When the bottom is not below the top, or the line has no length.
    """
    begin, end = line_mm or _default_line(outline, toolpath, tabs)
    length = math.dist(begin, end)
    _check(top_mm, bottom_mm, (begin, end))
    places = places_along(begin, end)
    way = np.linspace(0, length, len(places))
    lines, cutters = traces(toolpath), [s.cutter for s in toolpath.sections]
    floor = floor_along(lines, cutters, places, top_mm=top_mm)
    profiles = [t for t in lines if toolpath.sections[t.section].operation == "profile"]
    kerf = floor_along(profiles, cutters, places, top_mm=top_mm)
    lowest = min(float(floor.min()), bottom_mm) - _BOARD_MM
    title = title or f"{name_of(outline)}: depth along a line"
    facts = _facts(begin, end, bottom_mm - float(floor.min()), units)
    key = key_rows(["part", "waste", *(["tab"] if tabs else []), "board", "stock"])
    if ax is None:
        ax = lay_out(_SHAPE, title=title, facts=facts, key=key, caution=CAUTION).ax
    larger = _limits(ax, length, (lowest, top_mm), units)
    inside = shapely.contains_xy(outline.region, places)
    raised = (kerf > bottom_mm) & (kerf < top_mm) & bool(tabs)
    artists = _body(ax, way, floor, (top_mm, bottom_mm, lowest), inside, raised)
    artists["depth"] = _depths(ax, toolpath, length, units)
    artists["note"] = _note(ax, larger)
    return Drawn(ax=ax, artists=artists, blocks=(key,), title=title, facts=facts)


def _check(top_mm: float, bottom_mm: float, line: Line) -> None:
    if not bottom_mm < top_mm:
        raise SettingError(
            f"a stock from z {bottom_mm:g} up to {top_mm:g} mm has no thickness",
            value=(bottom_mm, top_mm),
        )
    if not math.dist(*line) > 0:
        raise SettingError(f"the line from {line[0]} to {line[1]} has no length", value=line)


def _default_line(outline: Outline, toolpath: Toolpath, tabs: Sequence[Tab]) -> Line:
    """Across the wall at the first tab, or along x through the middle, a little past the part."""
    wide = max((s.cutter.diameter_mm for s in toolpath.sections), default=0.0)
    x0, y0, x1, y1 = outline.bounds_mm
    frame = shapely.box(x0 - 2 * wide, y0 - 2 * wide, x1 + 2 * wide, y1 + 2 * wide)
    through, along = np.array([(x0 + x1) / 2, (y0 + y1) / 2]), np.array([1.0, 0.0])
    if tabs:
        through = np.asarray(tabs[0].at_mm, dtype=float)
        along = _across(outline, tabs[0].at_mm)
    if along[0] < 0 or (along[0] == 0 and along[1] < 0):
        along = -along
    far = along * (x1 - x0 + y1 - y0 + 8 * wide)
    ends = shapely.get_coordinates(
        shapely.intersection(shapely.LineString([through - far, through + far]), frame)
    )
    (a, b), (c, d) = ends[0].tolist(), ends[-1].tolist()
    return ((a, b), (c, d))


def _across(outline: Outline, at_mm: tuple[float, float]) -> _Array:
    """Return the unit direction at right angles to the wall nearest a place."""
    rings = shapely.get_rings(shapely.get_parts(outline.region))
    here = shapely.Point(at_mm)
    ring = rings[int(np.argmin(shapely.distance(rings, here)))]
    where = shapely.line_locate_point(ring, here)
    ends = shapely.line_interpolate_point(ring, np.mod([where - 0.5, where + 0.5], ring.length))
    run = np.diff(shapely.get_coordinates(ends), axis=0)[0]
    return np.array([-run[1], run[0]]) / max(float(np.hypot(*run)), LENGTH_EPSILON_MM)


def _facts(
    begin: tuple[float, float], end: tuple[float, float], through: float, units: Units
) -> str:
    spots = [f"x {signed_words(p[0], units)}, y {signed_words(p[1], units)}" for p in (begin, end)]
    goes = (
        f"cuts {format_length(through, units=units)} into the waste board"
        if through > 0
        else "nowhere through the stock"
    )
    return f"from {spots[0]} to {spots[1]}  \u00b7  {goes}"


def _limits(ax: Axes, length: float, heights: tuple[float, float], units: Units) -> float:
    """Set limits and ticks; return how much larger heights are drawn than widths."""
    wide, high = box_size_pt(ax)
    low, top = heights
    room = (top - low) * (1 / _FILL - 1)
    ax.set_xlim(0, length * (1 + 62.0 / wide))
    ax.set_ylim(low, top + room)
    dress_axis(ax.xaxis, span=length, points=wide, units=units)
    dress_axis(ax.yaxis, span=top - low + room, points=high, units=units)
    name_axes(ax, f"along the line, {units}", f"z, {units}")
    return float((high / (top - low + room)) / (wide / (length * (1 + 62.0 / wide))))


def _body(
    ax: Axes,
    way: _Array,
    floor: _Array,
    heights: tuple[float, float, float],
    inside: NDArray[np.bool_],
    raised: NDArray[np.bool_],
) -> dict[str, tuple[Artist, ...]]:
    """Stock that stays, as part and as waste, the waste board, and the line of the floor."""
    top, bottom, lowest = heights
    solid, below = np.maximum(floor, bottom), np.minimum(floor, bottom)
    fills = (
        ("board", lowest, below, np.ones_like(inside)),
        ("waste", bottom, solid, np.ones_like(inside)),
        ("part", bottom, solid, inside),
        ("tab", bottom, solid, raised & ~inside),
    )
    artists: dict[str, tuple[Any, ...]] = {
        name: (_filled(ax, name, way, (low, high), where),) for name, low, high, where in fills
    }
    for name in ("board", "waste"):
        fill = artists[name][0]
        artists[name] = (fill, rule_over(ax, fill, name, spacing_pt=_RULING_PT))
    levels = [np.array([(0.0, z), (way[-1], z)]) for z in (top, bottom)]
    artists["stock"] = (add_lines(ax, levels, "stock"),)
    artists["edge"] = (add_lines(ax, [np.column_stack([way, floor])], "edge"),)
    return artists


def _filled(
    ax: Axes,
    name: str,
    way: _Array,
    between: tuple[float, _Array],
    where: NDArray[np.bool_],
) -> Any:
    """Fill between a level and a line as the meaning says, where asked for."""
    style = meaning(name)
    return ax.fill_between(
        way,
        *between,
        where=where.tolist(),
        step="mid",
        color=style.colour,
        linewidth=0,
        zorder=style.order,
    )


def _depths(ax: Axes, toolpath: Toolpath, length: float, units: Units) -> tuple[Artist, ...]:
    """One thin line a depth in its colour, its z at the right; crowded words are left out."""
    depths, _ = pass_depths(toolpath)
    high = box_size_pt(ax)[1]
    low, top = ax.get_ylim()
    artists: list[Artist] = [
        add_lines(
            ax,
            [np.array([(0.0, z), (length, z)]) for z in depths],
            "rapid",
            lift=1.5,
            colours=depth_colours(len(depths)),
            width_pt=0.9,
        )
    ]
    last = math.inf
    for z in depths[::-1].tolist():
        at = (z - low) / (top - low) * high
        if math.isinf(last) or at - last >= _LABEL_PT:
            artists.append(_depth_words(ax, length, z, units))
            last = at
    return tuple(artists)


def _depth_words(ax: Axes, x: float, z: float, units: Units) -> Artist:
    words = f" z {signed_words(z, units)}"
    return ax.text(x, z, words, va="center", **text_style(7, INK))


def _note(ax: Axes, larger: float) -> tuple[Artist, ...]:
    words = f"heights drawn {larger:.3g} times larger than widths"
    return (
        ax.text(
            0.995,
            0.985,
            words,
            transform=ax.transAxes,
            ha="right",
            va="top",
            **text_style(7.5, QUIET),
        ),
    )
