"""Solid: what a blank will look like, from the programs' own text.

In: programs with their cutters in the order they are run, the blank's box and heights (mm), and,
to tell part from waste, the part's regions. Out: a picture of the blank as a lit solid, and a
`Drawn`. Everything shown comes from replaying the text; nothing is taken from the plan but what
is called waste. The picture is a parallel view, turned and tilted; it is for looking at, not for
measuring, and says in words how fine its cells are.
"""

from __future__ import annotations

import io
import math
import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
from numpy.typing import NDArray

from outline2path.errors import SettingError
from outline2path.files import write_whole
from outline2path.picture.dots import file_kind, picture
from outline2path.picture.drawn import Drawn
from outline2path.picture.grain import look_of
from outline2path.picture.height_field import Cutting, carve
from outline2path.picture.inside import cells_inside
from outline2path.picture.page import EDGE_PT, PAGE_IN, new_page
from outline2path.picture.shading import shaded
from outline2path.shop.material import find_material
from outline2path.units import format_length

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from shapely.geometry.base import BaseGeometry

__all__ = ["Solid", "draw_solid", "save_solid", "solid_picture", "solid_png"]

Box = tuple[float, float, float, float]
Waste = Literal["show", "dim", "remove"]
_WIDE_PX, _PX_RANGE = 1000, (50, 3000)
_TURN_DEG, _TILT_DEG, _TILTS = 24.0, 52.0, (20.0, 88.0)
_FINE = 2
_UNSIGNED: dict[str, Any] = {"Software": None}
_HALO_MM = 7.0
_LONG = (0.9, 0.6)
"""Length of a shadow to the right and to the front, in heights, the soft edge included."""
_BESIDE_MM = 3.0
_KEPT_CELLS = 1.5
_CAUTION = (
    "A picture of what the text of the programs makes, not of the machine: cutter, work holding "
    "and zero are yours to check. The machine\u2019s manual, local rules and trained supervision "
    "come first."
)


@dataclass(frozen=True, eq=False, kw_only=True)
class Solid:
    """A rendered blank.

    Attributes
    ----------
    dots : ndarray of uint8, shape (high, wide, 4)
        Red, green, blue, alpha, top row first; empty table is clear but for shadows.
    cell_mm : float
        Size of the height field's cells.
    height_error_mm : float
        Most a height is off at a cell's centre.
    removed_mm3 : float
        Volume the programs cut away inside what is shown.
    """

    dots: NDArray[np.uint8]
    cell_mm: float
    height_error_mm: float
    removed_mm3: float

    @property
    def png(self) -> bytes:
        """The picture alone as a PNG file."""
        from matplotlib.image import imsave

        stream = io.BytesIO()
        imsave(stream, np.ascontiguousarray(self.dots), format="png", metadata=_UNSIGNED)
        return stream.getvalue()

    def _repr_png_(self) -> tuple[bytes, dict[str, int]]:
        from outline2path.picture.dots import for_notebook

        return for_notebook(self.png)

    def __repr__(self) -> str:
        high, wide, _ = self.dots.shape
        return f"Solid({wide} x {high} dots, cells of {self.cell_mm:.3f} mm)"


def solid_picture(
    cuttings: Sequence[Cutting],
    *,
    stock_box_mm: Box,
    top_mm: float,
    bottom_mm: float,
    part: BaseGeometry | None = None,
    waste: Waste = "dim",
    material: str = "plywood",
    grain: str | None = None,
    turn_deg: float = _TURN_DEG,
    tilt_deg: float = _TILT_DEG,
    wide_px: int = _WIDE_PX,
) -> Solid:
    """Replay programs on a blank and render what is left.

    Parameters
    ----------
    cuttings : sequence of Cutting
        In the order they are run.
    stock_box_mm : tuple of float
        x0, y0, x1, y1 of the blank in the work coordinates of the picture.
    top_mm, bottom_mm : float
        Heights of the blank's top and underside there.
    part : shapely geometry, optional
        Regions that are wanted; the rest is waste. Everything is wanted if left out.
    waste : "show", "dim" or "remove"
        What becomes of the waste.
    material : str
        Everyday name, as of a `Stock`.
    grain : "x" or "y", optional
        The axis of the work coordinates that the grain runs along; x if left out.
    turn_deg, tilt_deg : float
        How far the plan is turned counter-clockwise, and how steeply it is looked at.
    wide_px : int
        About how many dots wide the picture becomes, 50 to 3000.

    Raises
    ------
    SettingError
        When a figure is out of range, the waste's word or the material is not known.
    ProgramError
        When a text has no safe meaning.

    Examples
    --------
    >>> from outline2path.shop.cutter import Cutter
    >>> text = chr(10).join(["G21 G90 G17 G0 X5 Y5 Z5", "G1 Z-1 F300", "X15", "G0 Z5", "M30"])
    >>> solid = solid_picture([Cutting(text=text, cutter=Cutter(2))], wide_px=120,
    ...     stock_box_mm=(0, 0, 20, 10), top_mm=0.0, bottom_mm=-3.0)
    >>> solid.dots.shape[2], round(solid.removed_mm3)
    (4, 23)
    """
    _check(waste, wide_px, tilt_deg)
    if waste == "remove" and part is not None and not part.is_empty:
        stock_box_mm = _shared(stock_box_mm, part.buffer(_BESIDE_MM).bounds)
    tall = top_mm - bottom_mm
    margin = (
        _HALO_MM,
        _HALO_MM + tall * _LONG[1],
        _HALO_MM + tall * _LONG[0],
        _HALO_MM,
    )
    turn = math.radians(turn_deg)
    sides = stock_box_mm[2] - stock_box_mm[0], stock_box_mm[3] - stock_box_mm[1]
    wide = abs(math.cos(turn)) * sides[0] + abs(math.sin(turn)) * sides[1]
    wide += margin[0] + margin[2]
    field = carve(
        cuttings,
        stock_box_mm=stock_box_mm,
        top_mm=top_mm,
        bottom_mm=bottom_mm,
        cell_mm=wide / (_FINE * wide_px),
        turn_deg=turn_deg,
        margin_mm=margin,
    )
    kept = None
    if part is not None and waste != "show":
        from shapely.affinity import rotate

        room = _KEPT_CELLS * field.grid.cell_mm
        kept = cells_inside(rotate(part.buffer(room), turn_deg, origin=(0, 0)), field.grid)
    look = look_of(find_material(material).name, grain=grain)
    dots = shaded(field, look=look, kept=kept, remove=waste == "remove", tilt_deg=tilt_deg)
    return Solid(
        dots=dots,
        cell_mm=field.grid.cell_mm,
        height_error_mm=field.height_error_mm,
        removed_mm3=field.removed_mm3,
    )


def draw_solid(
    cuttings: Sequence[Cutting],
    *,
    ax: Axes | None = None,
    title: str = "What it will look like",
    units: str = "mm",
    wide_in: float = PAGE_IN,
    **options: Any,
) -> Drawn:
    """Draw a blank as a lit solid.

    Parameters
    ----------
    cuttings : sequence of Cutting
        In the order they are run.
    ax : matplotlib Axes, optional
        Where to draw; a page of its own is made if left out.
    title : str
        Head line.
    units : "mm" or "in"
        Of the line of figures.
    wide_in : float
        Width of the page in inches, where one is made.
    options
        As for `solid_picture`; `stock_box_mm`, `top_mm` and `bottom_mm` must be given.
    """
    solid = solid_picture(cuttings, **options)
    facts = _facts(solid, options, units)
    high, wide, _ = solid.dots.shape
    if ax is None:
        inner = wide_in * 72 - 2 * EDGE_PT
        body = inner * high / wide
        page = new_page(body, title=title, facts=facts, caution=_CAUTION, wide_in=wide_in)
        ax = page.add_axes(EDGE_PT, page.low, inner, body)
    ax.set_axis_off()
    image = ax.imshow(solid.dots, interpolation="antialiased", aspect="equal")
    return Drawn(ax=ax, artists={"solid": (image,)}, title=title, facts=facts)


def solid_png(cuttings: Sequence[Cutting], **options: Any) -> bytes:
    """Return the picture alone as a PNG with a clear ground; options as for `solid_picture`."""
    return solid_picture(cuttings, **options).png


def save_solid(path: str | os.PathLike[str], cuttings: Sequence[Cutting], **options: Any) -> Path:
    """Draw a solid into a png, svg or pdf file, whole or not at all; options as `draw_solid`.

    Raises
    ------
    SettingError
        When the ending names no picture format, or an option is out of range.
    OutputError
        When the file cannot be written; an old file stays.
    """
    kind = file_kind(Path(path).suffix.lstrip(".").lower())
    return write_whole(path, picture(draw_solid(cuttings, **options), kind=kind))


def _check(waste: str, wide_px: int, tilt_deg: float) -> None:
    """Refuse what cannot be drawn."""
    if waste not in ("show", "dim", "remove"):
        raise SettingError(
            f"waste {waste!r} is unknown", value=waste, remedy="write show, dim or remove"
        )
    for name, value, (least, most) in (
        ("wide_px", wide_px, _PX_RANGE),
        ("tilt_deg", tilt_deg, _TILTS),
    ):
        if not least <= value <= most:
            raise SettingError(
                f"{name} {value:g} is outside {least:g} to {most:g}",
                value=value,
                limit=(least, most),
            )


def _shared(one: Box, other: Box) -> Box:
    """Return what two boxes share."""
    low = max(one[0], other[0]), max(one[1], other[1])
    return (*low, min(one[2], other[2]), min(one[3], other[3]))


def _facts(solid: Solid, options: dict[str, Any], units: str) -> str:
    x0, y0, x1, y1 = options["stock_box_mm"]
    size = (x1 - x0, y1 - y0, options["top_mm"] - options["bottom_mm"])
    words = " x ".join(format_length(side, units=units).split()[0] for side in size)
    fine = format_length(solid.cell_mm, units=units)
    true = format_length(solid.height_error_mm, units=units, decimals=3)
    return (
        f"blank {words} {units}; replayed from the programs\u2019 text in cells of {fine}, "
        f"heights true to {true}"
    )
