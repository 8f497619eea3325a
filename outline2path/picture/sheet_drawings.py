"""Sheet drawings: small line drawings for a set-up sheet, as SVG inside the page.

In: figures of the sheet's content, mm. Out: SVG text, sized in CSS pixels, drawn with the page's
own colours by class names (`line`, `soft`, `mark`, `fill`), so that they follow dark and light.
"""

from __future__ import annotations

from outline2path.picture.sheet_content import SetUpPage, Tool

__all__ = ["cutter_drawing", "turn_drawing", "zero_drawing"]

_WIDE, _HIGH = 164.0, 116.0
_SIDE_HIGH = 11.0
_ARROW = 20.0
_LARGER = 1.25
_OUTSIDE = 9.0


def _svg(wide: float, high: float, label: str, body: str) -> str:
    return (
        f'<svg class="small" viewBox="0 0 {wide:.1f} {high:.1f}" width="{_LARGER * wide:.0f}" '
        f'height="{_LARGER * high:.0f}" '
        f'role="img" aria-label="{label}">{body}</svg>'
    )


def _arrow(x: float, y: float, along: tuple[float, float], name: str) -> str:
    """Return an axis arrow of work zero with its letter."""
    dx, dy = along
    tip, wing = (x + dx * _ARROW, y + dy * _ARROW), 3.2
    left = (tip[0] - wing * (dx * 1.6 + dy), tip[1] - wing * (dy * 1.6 + dx))
    right = (tip[0] - wing * (dx * 1.6 - dy), tip[1] - wing * (dy * 1.6 - dx))
    points = " ".join(f"{a:.1f},{b:.1f}" for a, b in (tip, left, right))
    at = (tip[0] + dx * 7, tip[1] + dy * 7 + 3.2)
    return (
        f'<path class="mark" d="M{x:.1f} {y:.1f}L{tip[0]:.1f} {tip[1]:.1f}"/>'
        f'<polygon class="fill" points="{points}"/>'
        f'<text x="{at[0]:.1f}" y="{at[1]:.1f}" text-anchor="middle">{name}</text>'
    )


def _target(x: float, y: float) -> str:
    """Return the mark of a zero point: a circle with two dark quarters."""
    r = 4.6
    return (
        f'<circle class="plate" cx="{x:.1f}" cy="{y:.1f}" r="{r}"/>'
        f'<path class="fill" d="M{x:.1f} {y:.1f}v{-r}a{r} {r} 0 0 1 {r} {r}z'
        f'M{x:.1f} {y:.1f}v{r}a{r} {r} 0 0 1 {-r} {-r}z"/>'
        f'<circle class="mark" cx="{x:.1f}" cy="{y:.1f}" r="{r}"/>'
    )


def _clamps(set_up: SetUpPage, corner: tuple[float, float], scale: float) -> str:
    """Return the clamps as boxes with a cross, cut off a little way outside the blank."""
    out = _OUTSIDE / scale
    wide, high, _ = set_up.size_mm
    body = []
    for x0, y0, x1, y1 in set_up.clamps_mm:
        a, c = (corner[0] + scale * min(max(x, -out), wide + out) for x in (x0, x1))
        d, b = (corner[1] - scale * min(max(y, -out), high + out) for y in (y0, y1))
        body.append(
            f'<path class="clamp" d="M{a:.1f} {b:.1f}H{c:.1f}V{d:.1f}H{a:.1f}Z'
            f'M{a:.1f} {b:.1f}L{c:.1f} {d:.1f}M{a:.1f} {d:.1f}L{c:.1f} {b:.1f}"/>'
        )
    return "".join(body)


def zero_drawing(set_up: SetUpPage) -> str:
    """Draw the blank from above and from the front, with work zero on both.

    Examples
    --------
    >>> from outline2path.picture.sheet_content import Zero
    >>> page = SetUpPage(number=1, name="", material="", size_mm=(200, 150, 9),
    ...     size_assumed=False, stock_box_mm=(0, 0, 200, 150), top_mm=0,
    ...     zero=Zero(xy="", z="", across=0, up=0, on_top=True), turned=None, new_blank=True,
    ...     holding=(), through_mm=0, clearance_mm=5, programs=())
    >>> zero_drawing(page).startswith("<svg")
    True
    """
    wide_mm, high_mm, _ = set_up.size_mm
    scale = min((_WIDE - 44) / wide_mm, (_HIGH - 44) / high_mm)
    wide, high = wide_mm * scale, high_mm * scale
    left, top = 14.0, 16.0
    x = left + set_up.zero.across * wide
    y = top + (1 - set_up.zero.up) * high
    side_top = top + high + 36
    z = side_top if set_up.zero.on_top else side_top + _SIDE_HIGH
    board = side_top + _SIDE_HIGH
    body = (
        f'<rect class="stock" x="{left}" y="{top}" width="{wide:.1f}" height="{high:.1f}"/>'
        + _clamps(set_up, (left, top + high), scale)
        + _arrow(x, y, (1.0, 0.0), "x")
        + _arrow(x, y, (0.0, -1.0), "y")
        + _target(x, y)
        + f'<text class="soft" x="{left + wide + 6:.1f}" y="{top + 8}">from above</text>'
        f'<rect class="stock" x="{left}" y="{side_top:.1f}" width="{wide:.1f}" '
        f'height="{_SIDE_HIGH}"/>'
        f'<path class="line" d="M{left - 8} {board:.1f}h{wide + 16:.1f}"/>'
        + _arrow(x, z, (0.0, -1.0), "z")
        + _target(x, z)
        + f'<text class="soft" x="{left + wide + 6:.1f}" y="{side_top + 8:.1f}">from the front'
        "</text>"
    )
    return _svg(left + wide + 78, board + 7, "where work zero lies", body)


def turn_drawing(set_up: SetUpPage) -> str:
    """Draw which way the blank is turned over; nothing where it is not."""
    if set_up.turned is None:
        return ""
    wide, high, left, top = 74.0, 50.0, 18.0, 20.0
    right, low, middle = left + wide, top + high, (left + wide / 2, top + high / 2)
    if set_up.turned == "y":
        axis = f"M{middle[0]} {top - 12}V{low + 10}"
        sweep = f"M{left + 8} {top + 12}C{left + 14} {top - 20} {right - 14} {top - 20}"
        sweep += f" {right - 8} {top + 8}"
        end = (right - 8, top + 8)
        tip = f"{end[0] - 5},{end[1] - 6} {end[0] + 3},{end[1] - 7} {end[0] + 1},{end[1] + 3}"
    else:
        axis = f"M{left - 12} {middle[1]}H{right + 14}"
        sweep = f"M{right - 14} {low - 8}C{right + 22} {low - 8} {right + 22} {top + 8}"
        sweep += f" {right - 10} {top + 8}"
        end = (right - 10, top + 8)
        tip = f"{end[0] + 6},{end[1] - 5} {end[0] + 6},{end[1] + 4} {end[0] - 3},{end[1]}"
    body = (
        f'<rect class="stock" x="{left}" y="{top}" width="{wide}" height="{high}"/>'
        f'<path class="axis" d="{axis}"/><path class="mark" d="{sweep}"/>'
        f'<polygon class="fill" points="{tip}"/>'
        f'<text class="soft" x="{middle[0]}" y="{low + 20}" text-anchor="middle">front edge</text>'
    )
    return _svg(right + 30, low + 26, f"turned over about the {set_up.turned} axis", body)


def cutter_drawing(tool: Tool) -> str:
    """Draw the cutter's silhouette: shape of its end, and the depth it reaches.

    The drawing is not to scale; the figures beside it count.
    """
    x, half, top, low = 34.0, 11.0, 20.0, 74.0
    end = {
        "ball": f"V{low - half}A{half} {half} 0 0 1 {x - half} {low - half}",
        "v": f"V{low - 13}L{x} {low}L{x - half} {low - 13}",
        "chamfer": f"V{low - 9}L{x + 3} {low}H{x - 3}L{x - half} {low - 9}",
        "drill": f"V{low - 7}L{x} {low}L{x - half} {low - 7}",
    }.get(tool.shape, f"V{low}H{x - half}")
    collet = f"M{x - 17} 4H{x + 17}L{x + 13} {top}H{x - 13}Z"
    ruler = x + half + 12
    body = (
        f'<path class="plate" d="{collet}"/><path class="mark" d="{collet}"/>'
        f'<path class="tool" d="M{x - half} {top}H{x + half}{end}Z"/>'
        f'<path class="mark" d="M{x - half} {top}H{x + half}{end}Z"/>'
        f'<path class="line" d="M{x - half} {low - 20}C{x - 3} {low - 24} {x + 3} {low - 34} '
        f"{x + half} {low - 38}M{x - half} {low - 36}C{x - 3} {low - 40} {x + 3} {low - 46} "
        f'{x + half} {low - 50}"/>'
        f'<path class="line" d="M{ruler - 4} {top}h8M{ruler - 4} {low}h8M{ruler} {top}V{low}"/>'
        f'<text class="soft" x="{ruler + 5}" y="{(top + low) / 2 - 2}">stick-</text>'
        f'<text class="soft" x="{ruler + 5}" y="{(top + low) / 2 + 8}">out</text>'
    )
    return _svg(104, 80, f"a {tool.shape} cutter", body)
