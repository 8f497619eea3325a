"""Plan view: outline, reach and plan from above.

In: values of the earlier rooms, all in mm, work coordinates, y up. Out: a `Drawn`, which holds the
axes and every artist by meaning. Without `ax` a page is made with title, notes and a line of
caution; with `ax` only the plot goes into those axes, and the words stay in `Drawn.blocks`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
import shapely

from outline2path.picture import cuts
from outline2path.picture.captions import (
    cutter_words,
    depth_block,
    key_rows,
    name_of,
    outline_facts,
    plan_facts,
    plan_key,
    reach_facts,
)
from outline2path.picture.details import disc_place, draw_detail, listed_spots
from outline2path.picture.drawn import Drawn
from outline2path.picture.frame import Bounds, Units, frame_axes, furniture, scale_bar, work_zero
from outline2path.picture.layout import lay_out
from outline2path.picture.marks import MOST_LISTED, draw_marks, make_marks, marks_block
from outline2path.picture.moves import Trace, traces
from outline2path.picture.page import PAGE_IN
from outline2path.picture.shapes import add_fill, add_hatch, add_lines, disc_ring
from outline2path.picture.style import depth_colours

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from shapely.geometry.base import BaseGeometry

    from outline2path.drawing.outline import Outline
    from outline2path.findings import Finding
    from outline2path.operations.cut import Tab
    from outline2path.path.toolpath import Toolpath

__all__ = ["draw_outline", "draw_plan", "draw_reach"]

Side = Literal["outside", "inside", "on"]
_Artists = dict[str, tuple["Artist", ...]]
_HATCH_PT = 7.0
_DETAIL_PT = 0.25
_DISC_ROOM_PT = 22.0


def draw_outline(
    outline: Outline, *, ax: Axes | None = None, title: str | None = None, units: Units = "mm"
) -> Drawn:
    """Draw the regions and open lines of an outline, with its findings numbered.

    Parameters
    ----------
    outline : Outline
        Regions in mm, y up.
    ax : matplotlib Axes, optional
        Where to draw; a page of its own is made if left out.
    title : str, optional
        Head line; the drawing's file name if left out.
    units : "mm" or "in"
        What the axes count.

    Examples
    --------
    >>> from outline2path.drawing.outline import Outline
    >>> drawn = draw_outline(Outline.from_shapely(shapely.box(0, 0, 40, 30)))
    >>> drawn.facts.rsplit("  ", 1)[-1]
    'edge 140.0 mm'
    """
    marks = make_marks(findings=outline.findings, units=units)
    title, facts = title or name_of(outline), outline_facts(outline, units)
    blocks = marks_block(marks)
    if ax is None:
        ax = lay_out(
            outline.bounds_mm,
            title=title,
            facts=facts,
            blocks=blocks,
            caution="",
            wide_in=PAGE_IN if blocks else 6.4,
        ).ax
    frame_axes(ax, outline.bounds_mm, units=units)
    artists: _Artists = {
        "part": (add_fill(ax, outline.region, "part"),) if not outline.region.is_empty else (),
        "edge": (_edges(ax, outline.region),),
        "line": _open_lines(ax, outline),
        "scale": scale_bar(ax, units=units),
    }
    artists |= draw_marks(ax, marks, keep_clear=furniture(ax))
    return Drawn(ax=ax, artists=artists, blocks=blocks, title=title, facts=facts)


def draw_reach(
    reach: Any,
    *,
    ax: Axes | None = None,
    walls: Iterable[Any] = (),
    title: str | None = None,
    units: Units = "mm",
) -> Drawn:
    """Draw where a cutter cannot get: lost areas, numbered spots, the cutter to scale.

    Parameters
    ----------
    reach : Reach
        Answer of `narrow_spots`.
    ax : matplotlib Axes, optional
        Where to draw; a page of its own is made if left out.
    walls : iterable of Wall
        Thin walls to mark as well, answer of `thin_walls`.
    """
    outline: Outline = reach.outline
    walls = tuple(walls)
    marks = make_marks(reach=reach, walls=walls, findings=outline.findings, units=units)
    size = cutter_words(reach.cutter_mm, units=units)
    title = title or f"{name_of(outline)}: where a {size} cutter cannot reach"
    facts = reach_facts(reach, units)
    key = key_rows(_reach_names(reach, walls))
    blocks = marks_block(marks, heading="Narrow spots" if reach.spots else "Notes")
    enlarged = listed_spots(reach, marks) if ax is None else []
    small: tuple[Axes, ...] = ()
    if ax is None:
        layout = lay_out(
            outline.bounds_mm,
            title=title,
            facts=facts,
            key=key,
            blocks=blocks,
            caution="",
            insets=len(enlarged),
            inset_head="Enlarged",
        )
        ax, small = layout.ax, layout.insets
    scale = frame_axes(ax, outline.bounds_mm, units=units)
    kept = _kept(outline.region, reach.side, None)
    details = [
        draw_detail(inset, reach, spot, (number, mark), units=units)
        for inset, (number, mark, spot) in zip(small, enlarged, strict=True)
    ]
    artists: _Artists = {
        "part": (add_fill(ax, kept, "part"),) if kept is not None else (),
        "edge": (_edges(ax, outline.region),),
        "lost": _lost(ax, reach),
        "thin": _thin(ax, walls, _HATCH_PT / 2 / scale),
        "cutter": _discs(ax, reach, marks),
        "detail": tuple(a for drawn in details for a in drawn),
        "scale": scale_bar(ax, units=units),
    }
    room = min(reach.cutter_mm / 2 * scale, _DISC_ROOM_PT)
    artists |= draw_marks(ax, marks, keep_clear=furniture(ax), anchor_pt=room)
    return Drawn(ax=ax, artists=artists, blocks=(key, *blocks), title=title, facts=facts)


def draw_plan(
    *,
    outline: Outline,
    toolpath: Toolpath,
    reach: Any = None,
    walls: Iterable[Any] = (),
    tabs: Sequence[Tab] = (),
    findings: Iterable[Finding] = (),
    title: str | None = None,
    stock_box_mm: Bounds | None = None,
    side: Side = "outside",
    time_s: float | None = None,
    grain: str | None = None,
    units: Units = "mm",
    wide_in: float = PAGE_IN,
    ax: Axes | None = None,
) -> Drawn:
    """Draw a whole plan from above: stock, part, waste, every pass, tabs, moves and notes.

    Parameters
    ----------
    outline, toolpath, reach, walls, tabs, findings
        Values of the earlier rooms, in work coordinates, mm.
    title : str, optional
        Head line; the drawing's file name if left out.
    stock_box_mm : tuple of float, optional
        x0, y0, x1, y1 of the stock; neither stock nor waste is drawn if left out.
    side : "outside", "inside" or "on"
        Which side of the outline was cut: says what stays.
    time_s : float, optional
        Time of the program in seconds, for the line of figures.
    grain : str, optional
        The axis that the grain runs along, told in the line of figures.
    units : "mm" or "in"
        What axes and notes count.
    wide_in : float
        Width of the page in inches, where one is made.
    ax : matplotlib Axes, optional
        Where to draw; a page of its own is made if left out.
    """
    lines, walls = traces(toolpath), tuple(walls)
    marks = make_marks(reach=reach, walls=walls, findings=findings, units=units)
    depths, place = cuts.pass_depths(toolpath)
    colours = depth_colours(len(depths))
    bounds = _plan_bounds(outline, lines, stock_box_mm)
    title = title or name_of(outline)
    facts = plan_facts(outline, toolpath, tabs=len(tabs), time_s=time_s, units=units, grain=grain)
    key = plan_key(lines, tabs=tabs, reach=reach, walls=walls, stock=stock_box_mm)
    blocks = (
        *depth_block(lines, place, depths, colours=colours, units=units),
        *marks_block(marks),
    )
    if ax is None:
        ax = lay_out(bounds, title=title, facts=facts, key=key, blocks=blocks, wide_in=wide_in).ax
    scale = frame_axes(ax, bounds, units=units)
    diameters = [s.wide_mm for s in toolpath.sections]
    kept = _kept(outline.region, side, stock_box_mm)
    artists = _ground(ax, kept, outline, stock_box_mm, scale)
    kerf = cuts.cleared(lines, diameters, detail_mm=_DETAIL_PT / scale)
    artists["kerf"] = () if kerf.is_empty else (add_fill(ax, kerf, "kerf"),)
    artists["tab"] = _tabs(ax, kept, outline, tabs, _tab_wide(toolpath))
    artists["lost"] = _lost(ax, reach)
    artists["thin"] = _thin(ax, walls, _HATCH_PT / 2 / scale)
    kerf_pt = min(diameters, default=0.0) * scale
    artists |= cuts.draw_cuts(ax, lines, place=place, colours=colours, kerf_pt=kerf_pt)
    artists["start"] = cuts.draw_starts(ax, lines)
    artists["direction"] = cuts.draw_direction(ax, lines, place=place, scale=scale)
    artists["scale"] = scale_bar(ax, units=units)
    artists["zero"] = work_zero(ax, scale=scale)
    artists |= draw_marks(ax, marks, keep_clear=furniture(ax, zero=True))
    return Drawn(ax=ax, artists=artists, blocks=(key, *blocks), title=title, facts=facts)


def _ground(
    ax: Axes,
    kept: BaseGeometry | None,
    outline: Outline,
    stock_box_mm: Bounds | None,
    scale: float,
) -> _Artists:
    """Stock, waste, part and drawn edge."""
    artists: _Artists = {"stock": (), "waste": (), "part": ()}
    if stock_box_mm is not None:
        stock = shapely.box(*stock_box_mm)
        waste = stock if kept is None else shapely.difference(stock, kept)
        ring = np.asarray(stock.exterior.coords)
        artists["stock"] = (add_lines(ax, [ring], "stock"),)
        if not waste.is_empty:
            fine = add_hatch(ax, waste, "waste", spacing_mm=_HATCH_PT / scale)
            artists["waste"] = (add_fill(ax, waste, "waste"), fine)
    if kept is not None:
        artists["part"] = (add_fill(ax, kept, "part"),)
    artists["edge"] = (_edges(ax, outline.region),)
    return artists


def _kept(region: BaseGeometry, side: str, stock_box_mm: Bounds | None) -> BaseGeometry | None:
    """Return what stays: the regions, or for an inside cut the stock around them."""
    if side == "outside":
        return region
    if stock_box_mm is None:
        return None
    return shapely.difference(shapely.box(*stock_box_mm), region) if side == "inside" else region


def _edges(ax: Axes, region: BaseGeometry) -> Artist:
    rings = shapely.get_rings(shapely.get_parts(region))
    return add_lines(ax, [shapely.get_coordinates(r) for r in rings], "edge")


def _open_lines(ax: Axes, outline: Outline) -> tuple[Artist, ...]:
    """Lines without area, as are engraved."""
    lines = [shapely.get_coordinates(g) for g in shapely.get_parts(outline.lines)]
    return (add_lines(ax, lines, "edge"),) if lines else ()


def _lost(ax: Axes, reach: Any) -> tuple[Artist, ...]:
    lost = [s.lost for s in getattr(reach, "spots", ()) if s.lost is not None]
    whole = shapely.union_all(lost) if lost else None
    return (add_fill(ax, whole, "lost"),) if whole is not None and whole.area > 0 else ()


def _reach_names(reach: Any, walls: Sequence[Any]) -> list[str]:
    """Return the meanings on a picture of a reach, for its key."""
    thin = any(getattr(w, "area", None) is not None for w in walls)
    kept = reach.side != "inside"
    found = {"part": kept, "edge": True, "lost": reach.spots, "thin": thin, "cutter": reach.spots}
    return [name for name, there in found.items() if there]


def _thin(ax: Axes, walls: Sequence[Any], spacing_mm: float) -> tuple[Artist, ...]:
    """Fill the places of walls that are too thin, where the walls know their area."""
    areas = [w.area for w in walls if getattr(w, "area", None) is not None]
    whole = shapely.union_all(areas) if areas else None
    if whole is None or whole.is_empty:
        return ()
    return (add_fill(ax, whole, "thin"), add_hatch(ax, whole, "thin", spacing_mm=spacing_mm))


def _tab_wide(toolpath: Toolpath) -> float:
    """Width of the cut that tabs stand in, mm: that of the profiles, where there are any."""
    profiles = [s.wide_mm for s in toolpath.sections if s.operation == "profile"]
    return max(profiles or [s.wide_mm for s in toolpath.sections], default=0.0)


def _tabs(
    ax: Axes,
    kept: BaseGeometry | None,
    outline: Outline,
    tabs: Sequence[Tab],
    cutter_mm: float,
) -> tuple[Artist, ...]:
    wall = outline.region if kept is None else kept
    bridges = [
        cuts.tab_bridge(wall, t.at_mm, length_mm=t.length_mm, cutter_mm=cutter_mm) for t in tabs
    ]
    if not bridges:
        return ()
    return (add_fill(ax, shapely.union_all(bridges), "tab", edge_pt=0.6),)


def _discs(ax: Axes, reach: Any, marks: Sequence[Any]) -> tuple[Artist, ...]:
    """Draw the cutter to scale at each listed spot."""
    listed = listed_spots(reach, marks, most=MOST_LISTED)
    rings = [disc_ring(disc_place(reach, spot), reach.cutter_mm / 2) for _, _, spot in listed]
    return (add_lines(ax, rings, "cutter"),) if rings else ()


def _plan_bounds(outline: Outline, lines: Sequence[Trace], stock_box_mm: Bounds | None) -> Bounds:
    """Return what must be seen: outline, stock and every move."""
    boxes = [outline.bounds_mm, *([stock_box_mm] if stock_box_mm else [])]
    boxes += [(*t.points[:, :2].min(axis=0), *t.points[:, :2].max(axis=0)) for t in lines]
    table = np.array(boxes)
    low, high = table[:, :2].min(axis=0), table[:, 2:].max(axis=0)
    return (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
