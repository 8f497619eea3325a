"""Contents: what a drawing holds, shape by shape, with sizes, so that a person can choose.

In: an outline. Out: one `Entry` a figure, in painting order; sizes in mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import shapely

from outline2path.drawing.lines import polylines

if TYPE_CHECKING:
    from outline2path.drawing.figures import Element
    from outline2path.drawing.outline import Outline

__all__ = ["Entry", "contents_of"]


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One shape of a drawing.

    Attributes
    ----------
    element : Element
        The shape.
    layers : tuple of str
        Layers around it, outermost first.
    kind : "area", "line" or "nothing"
        Filled area, a line only, or nothing that is left to cut.
    size_mm : tuple of float
        Width and height, in mm.
    at_mm : tuple of float
        Lower left corner, in mm.
    area_mm2 : float
        Filled area.
    fill, stroke : str or None
        Colours as #rrggbb, or a word for other paint.
    """

    element: Element
    layers: tuple[str, ...]
    kind: Literal["area", "line", "nothing"]
    size_mm: tuple[float, float]
    at_mm: tuple[float, float]
    area_mm2: float
    fill: str | None
    stroke: str | None

    def __str__(self) -> str:
        kind = "nothing to cut" if self.kind == "nothing" else self.kind
        layer = f" in {' / '.join(self.layers)}" if self.layers else ""
        paint = ", ".join(
            f"{what} {colour}"
            for what, colour in (("fill", self.fill), ("stroke", self.stroke))
            if colour
        )
        return (
            f"{self.element}{layer}: {kind}, {self.size_mm[0]:.2f} x {self.size_mm[1]:.2f} mm"
            f" at x {self.at_mm[0]:.2f}, y {self.at_mm[1]:.2f}"
            + (f", {self.area_mm2:.1f} mm2" if self.area_mm2 else "")
            + (f" ({paint})" if paint else "")
        )


def contents_of(outline: Outline) -> tuple[Entry, ...]:
    """Return what an outline's drawing holds.

    Examples
    --------
    >>> from outline2path.drawing.outline import Outline
    >>> [str(e) for e in contents_of(Outline.from_path("M0 0H10V5H0Z"))]
    ['<path>: area, 10.00 x 5.00 mm at x 0.00, y -5.00, 50.0 mm2 (fill #000000)']
    """
    drawn = outline.drawn_within(outline.fine_mm)
    lines = polylines(outline.figures, outline.matrix, outline.fine_mm)
    entries = []
    for figure, area, parts in zip(outline.figures, drawn.areas, lines, strict=True):
        shape = area if not area.is_empty else shapely.MultiLineString([p for p, _ in parts])
        x0, y0, x1, y1 = shape.bounds
        is_line = figure.stroke is not None
        entries.append(
            Entry(
                element=figure.element,
                layers=tuple(e.label or e.id or "layer" for e in figure.lineage if e.is_layer),
                kind="area" if not area.is_empty else "line" if is_line else "nothing",
                size_mm=(x1 - x0, y1 - y0),
                at_mm=(x0, y0),
                area_mm2=area.area,
                fill=figure.fill,
                stroke=figure.stroke_colour,
            )
        )
    return tuple(entries)
