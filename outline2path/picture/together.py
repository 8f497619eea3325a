"""Together: a part laid over the opening it is to go into, and a coupon to find a fit with.

In: a Mating or a Gauge, mm. Out: a `Drawn`. A mating is drawn with both regions in one place, the
overlaps filled, the tight places marked, the least gap as a measure, and up to four places
enlarged under it, gravest first; where nothing clashes, the place of the least gap alone.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from outline2path.picture.details import measure_line, ruler
from outline2path.picture.drawn import Drawn
from outline2path.picture.frame import Bounds, Units, frame_axes, furniture, scale_bar
from outline2path.picture.layout import lay_out
from outline2path.picture.marks import draw_marks, make_marks, marks_block
from outline2path.picture.notes import Badge, Block, Row, draw_badge
from outline2path.picture.shapes import add_fill, add_hatch, add_lines
from outline2path.picture.style import FAINT, INK
from outline2path.picture.words import text_style
from outline2path.units import format_length

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from shapely.geometry.base import BaseGeometry

__all__ = ["draw_gauge", "draw_mating"]

_MOST_ENLARGED = 4
_AROUND, _FRAME = 0.12, 0.002
_GAPS, _LEAST_WINDOW_MM = 7.0, 0.6
_HATCH_PT = 7.0
_DECIMALS = 3
_GAUGE_IN = 6.4


def draw_mating(
    mating: Any, *, ax: Axes | None = None, title: str | None = None, units: Units = "mm"
) -> Drawn:
    """Draw a part laid over its opening.

    Parameters
    ----------
    mating : Mating
        Answer of `mates`.
    ax : matplotlib Axes, optional
        Where to draw; a page of its own is made if left out.
    title : str, optional
        Head line; the verdict if left out.
    units : "mm" or "in"
        What axes and words count.

    Examples
    --------
    >>> from outline2path.drawing.outline import Outline
    >>> from outline2path.operations.mating import mates
    >>> foot, slot = (Outline.from_shapely(shapely.box(0, 0, w, 6)) for w in (20, 20.2))
    >>> draw_mating(mates(foot, slot, "0.1 mm", placed="centre")).title
    'Fits tightly: less than half the clearance in 2 places'
    """
    marks = make_marks(findings=mating.findings, units=units)
    title, facts = title or _verdict(mating), _facts(mating, units)
    named = {
        "part": True,
        "material": True,
        "lost": mating.interferences,
        "thin": mating.tight,
        "edge": True,
    }
    key = _key([name for name, there in named.items() if there])
    blocks = marks_block(marks, heading="Places")
    bounds = _around(mating)
    places = _places(mating, units)
    small: tuple[Axes, ...] = ()
    if ax is None:
        layout = lay_out(
            bounds,
            title=title,
            facts=facts,
            key=key,
            blocks=blocks,
            caution="",
            insets=len(places),
            inset_head="Enlarged",
        )
        ax, small = layout.ax, layout.insets
    scale = frame_axes(ax, bounds, units=units)
    artists: dict[str, tuple[Artist, ...]] = _overlay(ax, mating, bounds, _HATCH_PT / scale)
    artists["scale"] = scale_bar(ax, units=units)
    artists["detail"] = tuple(
        artist
        for inset, (badge, line, words) in zip(small, places, strict=False)
        for artist in _enlarged(inset, mating, line, (badge, words), units=units)
    )
    artists |= draw_marks(ax, marks, keep_clear=furniture(ax))
    return Drawn(ax=ax, artists=artists, blocks=(key, *blocks), title=title, facts=facts)


def draw_gauge(gauge: Any, *, ax: Axes | None = None, units: Units = "mm") -> Drawn:
    """Draw a coupon with its slots and the lines of its labels.

    Parameters
    ----------
    gauge : Gauge
        Answer of `fit_gauge`.
    ax : matplotlib Axes, optional
        Where to draw; a page of its own is made if left out.
    units : "mm" or "in"
        What the axes count.
    """
    plate, count = gauge.plate, len(gauge.slots)
    title = "Fit gauge"
    first, last = gauge.slots[0], gauge.slots[-1]
    facts = (
        f"{count} slots, {format_length(first.width_mm, units=units)} to "
        f"{format_length(last.width_mm, units=units)} wide; under each its clearance in mm"
    )
    if ax is None:
        page = lay_out(plate.bounds_mm, title=title, facts=facts, caution="", wide_in=_GAUGE_IN)
        ax = page.ax
    frame_axes(ax, plate.bounds_mm, units=units)
    lines = [shapely.get_coordinates(g) for g in shapely.get_parts(gauge.labels.lines)]
    lines += _rings(gauge.labels.region)  # closed strokes, as that of a 0
    artists: dict[str, tuple[Artist, ...]] = {
        "part": (add_fill(ax, plate.region, "part"),),
        "edge": (add_lines(ax, _rings(plate.region), "edge"),),
        "label": (add_lines(ax, lines, "edge", weight=0.8),),
        "scale": scale_bar(ax, units=units),
    }
    return Drawn(ax=ax, artists=artists, title=title, facts=facts)


def _verdict(mating: Any) -> str:
    if mating.fits:
        return "Fits"
    clashes, tight = len(mating.interferences), len(mating.tight)
    if clashes:
        return f"Does not fit: the part stands into the other in {_places_words(clashes)}"
    return f"Fits tightly: less than half the clearance in {_places_words(tight)}"


def _places_words(count: int) -> str:
    return f"{count} place" if count == 1 else f"{count} places"


def _facts(mating: Any, units: Units) -> str:
    asked = _length(mating.clearance_mm, units)
    least = _length(abs(mating.gap_mm), units)
    told = f"least gap {least}" if mating.gap_mm >= 0 else f"overlap up to {least}"
    return f"{told}  \u00b7  clearance asked for {asked}, both sides together"


def _length(mm: float, units: Units) -> str:
    return format_length(mm, units=units, decimals=_DECIMALS)


def _key(names: list[str]) -> Block:
    """Return the key in the words of a fit."""
    words = {
        "part": "the part that is pushed in",
        "material": "what it goes into",
        "lost": "the part stands into it",
        "thin": "gap below half the clearance",
        "edge": "edges of both",
    }
    signs = {"material": "waste"}
    return Block("Key", tuple(Row(words=words[n], sign=signs.get(n, n)) for n in names))


def _around(mating: Any) -> Bounds:
    """Return the part's box with a little of what is round it, mm."""
    x0, y0, x1, y1 = mating.part.bounds
    more = _AROUND * max(x1 - x0, y1 - y0)
    return _shared(mating, (x0 - more, y0 - more, x1 + more, y1 + more))


def _shared(mating: Any, bounds: Bounds) -> Bounds:
    """Return what a window shares with the material's box, mm, but not that box's own edge: round
    an opening it is only thought, and ends nowhere.
    """
    a, b, c, d = mating.material.bounds
    thin = _FRAME * max(c - a, d - b)
    x0, y0, x1, y1 = bounds
    return (max(x0, a + thin), max(y0, b + thin), min(x1, c - thin), min(y1, d - thin))


def _overlay(
    ax: Axes, mating: Any, bounds: Bounds, spacing_mm: float
) -> dict[str, tuple[Artist, ...]]:
    """Draw both regions and where they clash."""
    material = shapely.intersection(mating.material, shapely.box(*bounds))
    artists: dict[str, tuple[Any, ...]] = {
        "material": (
            add_fill(ax, material, "waste"),
            add_hatch(ax, material, "waste", spacing_mm=spacing_mm),
        ),
        "part": (add_fill(ax, mating.part, "part"),),
        "edge": (
            add_lines(ax, _edges(mating.material, bounds), "edge"),
            add_lines(ax, _rings(mating.part), "edge", weight=0.7),
        ),
    }
    for name, found in (("lost", mating.interferences), ("thin", mating.tight)):
        whole = shapely.union_all([clash.area for clash in found]) if found else None
        artists[name] = () if whole is None else (add_fill(ax, whole, name),)
    return artists


def _places(mating: Any, units: Units) -> list[tuple[Badge | None, shapely.LineString, str]]:
    """Return what is enlarged: its badge, the measure across it, and words."""
    found = [*mating.interferences, *mating.tight][:_MOST_ENLARGED]
    if not found:
        line = shapely.shortest_line(mating.part, mating.material)
        return [(None, line, f"least gap {_length(mating.gap_mm, units)}")]
    return [
        (
            Badge(number, "square", clash.depth_mm > 0),
            _across(mating, clash),
            _clash_words(clash, units),
        )
        for number, clash in enumerate(found, start=1)
    ]


def _across(mating: Any, clash: Any) -> shapely.LineString:
    """Return the measure at a clash: into the material's edge, or across the gap."""
    here = shapely.Point(clash.at_mm)
    edge = mating.material.boundary if clash.depth_mm > 0 else mating.part.boundary
    return shapely.shortest_line(here, edge)


def _clash_words(clash: Any, units: Units) -> str:
    kind = "overlap" if clash.depth_mm > 0 else "gap"
    return f"{kind} {_length(abs(clash.depth_mm), units)}"


def _enlarged(
    ax: Axes,
    mating: Any,
    line: shapely.LineString,
    told: tuple[Badge | None, str],
    *,
    units: Units,
) -> list[Artist]:
    """Draw one place large, with a measure across it."""
    badge, words = told
    points = shapely.get_coordinates(line)
    half = max(_GAPS * line.length, _LEAST_WINDOW_MM) / 2
    (x, y), window = points.mean(axis=0), half
    bounds = (x - window, y - window, x + window, y + window)
    ax.set(xlim=bounds[::2], ylim=bounds[1::2], xticks=[], yticks=[])
    ax.spines[:].set(color=FAINT, linewidth=0.6)
    part = _clipped(mating.part, bounds)
    spacing = 2 * window / 16
    artists = [
        a
        for found in _overlay(ax, _Near(mating, part), _shared(mating, bounds), spacing).values()
        for a in found
    ]
    if line.length:
        artists.append(measure_line(ax, points[0], points[-1]))
    if badge:
        artists += draw_badge(ax, badge, 0.09, 0.91, transform=ax.transAxes)
    caption = ax.annotate(
        words,
        xy=(0, 0),
        xycoords="axes fraction",
        xytext=(0, -5),
        textcoords="offset points",
        va="top",
        annotation_clip=False,
        **text_style(7.5, INK),
    )
    return [*artists, caption, *ruler(ax, units=units)]


class _Near:
    """A mating seen through a window: the part is cut off there, all else as it is."""

    def __init__(self, mating: Any, part: BaseGeometry) -> None:
        self.part, self.material = part, mating.material
        self.interferences, self.tight = mating.interferences, mating.tight


def _clipped(region: BaseGeometry, bounds: Bounds) -> BaseGeometry:
    return shapely.intersection(region, shapely.box(*bounds))


def _edges(region: BaseGeometry, bounds: Bounds) -> list[Any]:
    parts = shapely.get_parts(shapely.clip_by_rect(region.boundary, *bounds))
    return [shapely.get_coordinates(p) for p in parts]


def _rings(region: BaseGeometry) -> list[Any]:
    rings = shapely.get_rings(shapely.get_parts(region))
    return [np.asarray(shapely.get_coordinates(r)) for r in rings]
