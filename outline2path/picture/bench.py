"""Bench: cutter, stock and machine as a notebook shows them, a small drawing and a table.

In: values of the shop, mm. Out: SVG, sized in CSS pixels, and HTML. A cutter is drawn to scale
from its own radius at every height; a blank from above and from the front, with its grain, to
scale where its size is known. Lines take the colour of the words around them, so that they follow
dark and light.
"""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

import numpy as np

from outline2path.notebook import html_table
from outline2path.units import MM_PER_INCH

if TYPE_CHECKING:
    from outline2path.shop.axes import PerAxis
    from outline2path.shop.cutter import Cutter
    from outline2path.shop.machine import Machine
    from outline2path.shop.stock import Stock

__all__ = ["cutter_html", "cutter_svg", "machine_html", "stock_html", "stock_svg"]

_HIGH, _WIDE, _MARGIN = 116.0, 190.0, 12.0
_TIP_POINTS, _LONG = 24, 3.0
_GRAIN_LINES = 7
_THIN = 5.0
"""Least height, in pixels, at which a blank is drawn from the front."""


def cutter_svg(cutter: Cutter) -> str:
    """Return a cutter's silhouette, to scale, with a measure of its width.

    Examples
    --------
    >>> from outline2path.shop.cutter import Cutter
    >>> cutter_svg(Cutter("6 mm", shape="ball")).count("<path")
    2
    """
    length = cutter.flute_length_mm or max(_LONG * cutter.diameter_mm, 1.5 * _point(cutter))
    scale = min((_HIGH - 40) / length, 60 / cutter.diameter_mm)
    heights = np.linspace(0, _point(cutter), _TIP_POINTS)
    radii = [cutter.radius_at_mm(float(h)) for h in heights]
    middle, low = 58.0, 22.0 + length * scale
    right = [(middle + r * scale, low - h * scale) for h, r in zip(heights, radii, strict=True)]
    right.append((middle + cutter.radius_mm * scale, 22.0))
    left = [(2 * middle - x, y) for x, y in reversed(right)]
    half, shank = cutter.radius_mm * scale, _shank(cutter, scale)
    a, b, y = middle - half, middle + half, low + 9
    body = (
        f'<path d="{_line([*right, *left])}Z" fill="currentColor" fill-opacity="0.14" '
        f'stroke="currentColor"/>'
        f'<path d="M{middle - shank:.1f} 22V6H{middle + shank:.1f}V22'
        f'M{a:.1f} {y:.1f}H{b:.1f}M{a:.1f} {y - 3:.1f}v6M{b:.1f} {y - 3:.1f}v6" '
        f'fill="none" stroke="currentColor" stroke-width="0.8"/>'
        + _words(b + 6, y + 3.5, f"\u2300 {cutter.diameter_mm:g} mm")
    )
    return _svg(_WIDE, low + 18, f"silhouette of a {cutter.label} cutter", body)


def cutter_html(cutter: Cutter) -> str:
    """Return drawing and figures of a cutter; a length that is not known is left out."""
    rows = [
        ("shape", cutter.shape, ""),
        ("diameter", f"{cutter.diameter_mm:g}", "mm"),
        ("", f"{cutter.diameter_mm / MM_PER_INCH:.4g}", "in"),
        ("flutes", f"{cutter.flutes}", ""),
        ("included angle", _figure(cutter.angle_deg), "degrees"),
        ("flat at the tip", _figure(cutter.tip_mm or None), "mm"),
        ("flute length", _figure(cutter.flute_length_mm), "mm"),
        ("stick-out", _figure(cutter.stick_out_mm), "mm"),
        ("shank", _figure(cutter.shank_mm), "mm"),
        ("holder", _figure(cutter.holder_mm), "mm"),
    ]
    told = [row for row in rows if row[1]]
    caption = f"{cutter.name or 'cutter'}: {cutter.label}"
    return _beside(cutter_svg(cutter), html_table(("figure", "value", "unit"), told), caption)


def stock_svg(stock: Stock) -> str:
    """Return a blank from above and from the front, to scale; a strip where only its thickness
    is known.

    Examples
    --------
    >>> from outline2path.shop.stock import Stock
    >>> "from the front" in stock_svg(Stock("200 x 150 x 9 mm"))
    True
    """
    if stock.width_mm is None or stock.height_mm is None:
        front = f'<rect x="12" y="20" width="150" height="12" {_PLATE}/>'
        words = _words(12, 48, f"{stock.thickness_mm:g} mm thick, size not told")
        return _svg(_WIDE, 58, f"{stock!r} from the front", front + words)
    scale = min((_WIDE - 70) / stock.width_mm, (_HIGH - 30) / stock.height_mm)
    wide, high = stock.width_mm * scale, stock.height_mm * scale
    thick = max(stock.thickness_mm * scale, _THIN)
    x, top = _MARGIN, 16.0
    side = top + high + 26
    body = (
        f'<rect x="{x}" y="{top}" width="{wide:.1f}" height="{high:.1f}" {_PLATE}/>'
        + _grain(stock, (x, top, wide, high))
        + _words(x + wide / 2, top - 4, f"{stock.width_mm:g} mm", "middle")
        + _words(x + wide + 5, top + high / 2 + 3, f"{stock.height_mm:g} mm")
        + f'<rect x="{x}" y="{side:.1f}" width="{wide:.1f}" height="{thick:.1f}" {_PLATE}/>'
        + _words(x + wide + 5, side + thick / 2 + 3.5, f"{stock.thickness_mm:g} mm")
        + _words(x, side - 4, "from the front")
    )
    return _svg(_WIDE, side + thick + 8, f"{stock!r} from above and from the front", body)


def stock_html(stock: Stock) -> str:
    """Return drawing and figures of a blank."""
    rows = [
        ("material", stock.material_name, ""),
        ("width", _figure(stock.width_mm), "mm"),
        ("height", _figure(stock.height_mm), "mm"),
        ("thickness", f"{stock.thickness_mm:g}", "mm"),
        ("grain along", stock.grain or "", ""),
    ]
    told = [row for row in rows if row[1]]
    return _beside(stock_svg(stock), html_table(("figure", "value", "unit"), told), "stock")


def machine_html(machine: Machine) -> str:
    """Return the figures of a machine; what is not known is left out.

    Examples
    --------
    >>> from outline2path.shop.machine import Machine
    >>> "300 x 200 x 60" in machine_html(Machine())
    True
    """
    x, y, z = machine.travel_mm
    slow, fast = machine.speeds_rpm
    rows = [
        ("travel x, y, z", f"{x:g} x {y:g} x {z:g}", "mm"),
        ("greatest feed", _each(machine.feeds), "mm/min"),
        ("rapid", _each(machine.rapids), "mm/min"),
        ("acceleration", _each(machine.accelerations), "mm/s\u00b2"),
        ("spindle speed", f"{slow:g} to {fast:g}", "rpm"),
        ("bed to collet", _figure(machine.under_collet_mm), "mm"),
        ("power", _figure(machine.power_w), "W"),
        ("programs in", machine.units, ""),
        ("knows", ", ".join(_knows(machine)) or "lines only", ""),
    ]
    told = [row for row in rows if row[1]]
    return html_table(("figure", "value", "unit"), told, caption=machine.name)


_PLATE = 'fill="currentColor" fill-opacity="0.09" stroke="currentColor"'


def _knows(machine: Machine) -> list[str]:
    known = {"arcs": machine.arcs, "changes of cutter (M6)": machine.tool_change}
    return [name for name, there in known.items() if there]


def _each(of: PerAxis) -> str:
    """Write the figure for every axis, or the one for all."""
    return ", ".join(f"{figure:g}" for figure in of.figures)


def _figure(value: float | None) -> str:
    return "" if value is None else f"{value:g}"


def _point(cutter: Cutter) -> float:
    """Return the height at which a cutter has its full width; a little for a flat one, mm."""
    return max(cutter.point_length_mm, cutter.diameter_mm / 100)


def _shank(cutter: Cutter, scale: float) -> float:
    """Return half the shank's width in pixels, where told, else that of the cutting end."""
    return min((cutter.shank_mm or cutter.diameter_mm) / 2 * scale, 50.0)


def _grain(stock: Stock, box: tuple[float, float, float, float]) -> str:
    """Return a few fine lines along the grain."""
    if stock.grain is None:
        return ""
    x, y, wide, high = box
    across = high if stock.grain == "x" else wide
    at = [across * (k + 1) / (_GRAIN_LINES + 1) for k in range(_GRAIN_LINES)]
    lines = (
        [f"M{x + 4:.1f} {y + v:.1f}h{wide - 8:.1f}" for v in at]
        if stock.grain == "x"
        else [f"M{x + v:.1f} {y + 4:.1f}v{high - 8:.1f}" for v in at]
    )
    return (
        f'<path d="{"".join(lines)}" fill="none" stroke="currentColor" stroke-opacity="0.4" '
        'stroke-width="0.7"/>'
    )


def _line(points: list[tuple[float, float]]) -> str:
    return "M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in points)


def _words(x: float, y: float, words: str, anchor: str = "start") -> str:
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-size="11" text-anchor="{anchor}" '
        f'fill="currentColor">{escape(words)}</text>'
    )


def _svg(wide: float, high: float, label: str, body: str) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide:.0f} {high:.0f}" '
        f'width="{wide:.0f}" height="{high:.0f}" role="img" aria-label="{escape(label)}" '
        f'font-family="inherit">{body}</svg>'
    )


def _beside(svg: str, table: str, caption: str) -> str:
    return (
        f"<div>{escape(caption)}</div>"
        f'<div style="display:flex;flex-wrap:wrap;gap:1em;align-items:center">{svg}{table}</div>'
    )
