"""Figures: what the walk through a drawing finds, one value for each drawn shape.

A figure is curves in user units, the matrix to CSS pixels of the page, how it is painted, the
clip paths over it, and the elements it stands in. Figures are still exact: nothing is flattened.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from outline2path.drawing.curves import Curves
    from outline2path.drawing.transforms import Affine

__all__ = ["Clip", "Element", "Figure", "FillRule", "Stroke"]

FillRule = Literal["nonzero", "evenodd"]


@dataclass(frozen=True, eq=False, slots=True)
class Element:
    """An element of the drawing, as a person would point at it.

    Attributes
    ----------
    name : str
        Element name, such as "path".
    line : int
        Line in the file, counted from 1; 0 where there is no file.
    id, label : str or None
        Its id, and the label a drawing program gave it.
    classes : tuple of str
        Its classes.
    is_layer : bool
        Whether a drawing program marked it as a layer.

    Examples
    --------
    >>> str(Element(name="path", id="heron", line=12))
    '<path> "heron" (line 12)'
    """

    name: str
    line: int = 0
    id: str | None = None
    label: str | None = None
    classes: tuple[str, ...] = ()
    is_layer: bool = False

    def __str__(self) -> str:
        title = self.id or self.label
        return (
            f"<{self.name}>"
            + (f' "{title[:40]}"' if title else "")
            + (f" (line {self.line})" if self.line else "")
        )


@dataclass(frozen=True, slots=True)
class Stroke:
    """How a line is drawn, lengths in the figure's user units.

    Attributes
    ----------
    width : float
        Full width.
    cap : "butt", "round" or "square"
    join : "miter", "round" or "bevel"
    miter_limit : float
        Greatest ratio of miter length to width.
    dashes : tuple of float
        Lengths on, off, on, ...; empty for a whole line.
    dash_offset : float
        Where in the pattern the line begins.
    fixed_width : bool
        Whether the width ignores the figure's matrix (non-scaling-stroke).
    """

    width: float = 1.0
    cap: str = "butt"
    join: str = "miter"
    miter_limit: float = 4.0
    dashes: tuple[float, ...] = ()
    dash_offset: float = 0.0
    fixed_width: bool = False


@dataclass(eq=False, slots=True)
class Clip:
    """A clip path: what is drawn is kept only inside the union of these figures.

    `over` holds the clip paths that clip this one.
    """

    figures: tuple[Figure, ...] = ()
    over: tuple[Clip, ...] = ()


@dataclass(frozen=True, eq=False, slots=True)
class Figure:
    """One drawn shape.

    Attributes
    ----------
    curves : Curves
        In user units.
    matrix : tuple of float
        From user units to CSS pixels of the page, y down.
    fill, stroke_colour : str or None
        Colour as #rrggbb or a word for other paint ("pattern", "gradient"); None: not painted.
    rule : "nonzero" or "evenodd"
    stroke : Stroke or None
        How its line is drawn, where it is painted.
    light : bool
        Whether the fill is nearer to white than to black.
    clips : tuple of Clip
        Everything that clips it.
    lineage : tuple of Element
        The elements it stands in, outermost first, itself last.
    """

    curves: Curves
    matrix: Affine = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
    fill: str | None = "#000000"
    rule: FillRule = "nonzero"
    stroke_colour: str | None = None
    stroke: Stroke | None = None
    light: bool = False
    clips: tuple[Clip, ...] = ()
    lineage: tuple[Element, ...] = field(default=(Element(name="shape"),))

    @property
    def element(self) -> Element:
        """The element itself."""
        return self.lineage[-1]
