"""Captions: the key, the depths and the line of figures of a picture, in words.

In: values of the earlier rooms, mm. Out: blocks of notes and single lines. Words only; nothing is
drawn here.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from outline2path.picture.frame import Bounds, Units
from outline2path.picture.moves import Trace
from outline2path.picture.notes import Block, Row
from outline2path.picture.style import meaning
from outline2path.picture.words import in_words
from outline2path.units import MM_PER_INCH, format_length

if TYPE_CHECKING:
    from outline2path.drawing.outline import Outline
    from outline2path.operations.cut import Tab
    from outline2path.path.toolpath import Toolpath

__all__ = [
    "cutter_words",
    "depth_block",
    "key_rows",
    "long_words",
    "name_of",
    "outline_facts",
    "plan_facts",
    "plan_key",
    "reach_facts",
    "signed_words",
]

_MINUS = "\u2212"
_TIMES = "\u00d7"
_CM2_FROM = 1000.0
_MOST_DEPTH_ROWS = 10


def plan_key(
    lines: Sequence[Trace],
    *,
    tabs: Sequence[Tab],
    reach: Any,
    walls: Sequence[Any] = (),
    stock: Bounds | None,
) -> Block:
    """Return the key: one row for each meaning that is on the plot."""
    roles = {t.role for t in lines}
    shown = {
        "edge": True,
        "part": True,
        "stock": stock is not None,
        "waste": stock is not None,
        "kerf": "cut" in roles,
        "tab": bool(tabs),
        "lost": bool(getattr(reach, "spots", ())),
        "thin": any(getattr(w, "area", None) is not None for w in walls),
        "start": bool(roles & {"plunge", "ramp", "cut"}),
        "direction": "cut" in roles,
        **{name: name in roles for name in ("ramp", "lead-in", "lead-out", "rapid")},
    }
    return key_rows(n for n, on in shown.items() if on)


def cutter_words(diameter_mm: float, *, units: str = "mm") -> str:
    """Write a cutter's diameter as its maker does, with no zeros added.

    Examples
    --------
    >>> cutter_words(3.175), cutter_words(3.175, units="in")
    ('3.175 mm', '0.125 in')
    """
    if units == "in":
        return f"{round(diameter_mm / MM_PER_INCH, 4):g} in"
    return f"{round(diameter_mm, 4):g} mm"


def key_rows(names: Iterable[str]) -> Block:
    """Return a key with one row for each meaning named."""
    return Block("Key", tuple(Row(words=meaning(n).label, sign=n) for n in names))


def depth_block(
    lines: Sequence[Trace], place: Any, depths: Any, *, colours: Sequence[str], units: Units
) -> tuple[Block, ...]:
    """One row a depth: its stripe, z, and the length cut there; the middle left out if many."""
    if not len(depths):
        return ()
    length = np.zeros(len(depths))
    for t in lines:
        if t.role in {"cut", "tab", "ramp"}:
            length[place[t.section]] += t.length_mm
    rows = [
        Row(words=f"z {signed_words(z, units)}", colour=c, right=long_words(m, units))
        for z, c, m in zip(depths, colours, length, strict=True)
    ]
    if len(rows) > _MOST_DEPTH_ROWS:
        half = _MOST_DEPTH_ROWS // 2
        left = len(rows) - 2 * half
        rows = [*rows[:half], Row(words=f"{left} depths between", quiet=True), *rows[-half:]]
    return (Block("Depths, shallow to deep", tuple(rows), right="cut length"),)


def outline_facts(outline: Outline, units: Units) -> str:
    """Return an outline's figures: size, regions and holes, lines, area, length of edge."""
    region = outline.region
    holes = int(shapely.get_num_interior_rings(shapely.get_parts(region)).sum())
    counted = _count(len(region.geoms), "region") + (f", {_count(holes, 'hole')}" if holes else "")
    lines = outline.lines
    long = format_length(lines.length, units=units, decimals=1)
    told = [f"{_count(len(lines.geoms), 'line')}, {long} long"] if len(lines.geoms) else []
    if not region.is_empty:
        edge = format_length(region.length, units=units, decimals=1)
        told = [counted, *told, f"area {_area(region.area, units)}", f"edge {edge}"]
    return _joined(_size(outline, units), *told)


def reach_facts(reach: Any, units: Units) -> str:
    """Return a reach's figures: spots, lost area (mm2 or in2), the widest cutter that passes."""
    count = _count(len(reach.spots), "narrow spot") if reach.spots else "no narrow spot"
    lost = f"{_area(reach.unreached_area_mm2, units)} not reached"
    largest = (
        "no gap or hole limits the cutter"
        if reach.largest_cutter_mm is None
        else f"widest cutter that passes everywhere: {_wide(reach.largest_cutter_mm, units)}"
    )
    return _joined(_size(reach.outline, units), count, lost, largest)


def plan_facts(
    outline: Outline,
    toolpath: Toolpath,
    *,
    tabs: int,
    time_s: float | None,
    units: Units,
    grain: str | None = None,
) -> str:
    """Return a plan's figures: size, grain, cutters, contours, passes, tabs, time in seconds."""
    cutters = sorted({s.cutter.diameter_mm for s in toolpath.sections}, reverse=True)
    named = ", ".join(cutter_words(d, units=units) for d in cutters)
    contours = [(s.step, s.operation, s.contour) for s in toolpath.sections]
    passes = max((contours.count(c) for c in set(contours)), default=0)
    return _joined(
        _size(outline, units),
        f"grain along {grain}" if grain else "",
        f"cutter {named}" if named else "",
        f"{_count(len(set(contours)), 'contour')}, {_count(passes, 'pass')}",
        _count(tabs, "tab") if tabs else "",
        f"about {in_words(time_s)}" if time_s is not None else "",
    )


def _area(mm2: float, units: Units) -> str:
    if units == "in":
        return f"{mm2 / MM_PER_INCH**2:.3f} in\u00b2"
    return f"{mm2:.1f} mm\u00b2" if mm2 < _CM2_FROM else f"{mm2 / 100:.1f} cm\u00b2"


def _wide(mm: float, units: Units) -> str:
    return format_length(mm, units=units)


def _joined(*facts: str) -> str:
    return "  \u00b7  ".join(f for f in facts if f)


def _count(number: int, what: str) -> str:
    ending = "" if number == 1 else ("es" if what.endswith("s") else "s")
    return f"{number} {what}{ending}"


def _size(outline: Outline, units: Units) -> str:
    wide, high = outline.size_mm
    first = format_length(wide, units=units, decimals=1).rsplit(" ", 1)[0]
    return f"{first} {_TIMES} {format_length(high, units=units, decimals=1)}"


def signed_words(z_mm: float, units: Units) -> str:
    """Write a height with a true minus sign."""
    return format_length(z_mm, units=units).replace("-", _MINUS)


def long_words(mm: float, units: Units) -> str:
    """Write a length of cut: whole mm, m with two decimals, or whole inches."""
    if units == "in":
        return format_length(mm, units="in", decimals=0)
    return f"{mm / 1000:.2f} m" if mm >= 1000 else f"{mm:.0f} mm"


def name_of(outline: Outline) -> str:
    """Return the drawing's file name without its folder."""
    name = outline.source.file
    return name.replace("\\", "/").rsplit("/", 1)[-1] if name else "Outline"
