"""Show: pictures as bytes, for notebooks and for files.

In: the values the plan view draws. Out: the bytes of a PNG. Notebook pictures are small on the
page and hold two dots for each, so that they are sharp on dense screens; `for_notebook` tells a
notebook the size to show them at.
"""

from __future__ import annotations

import io
import os
import struct
from pathlib import Path
from typing import TYPE_CHECKING, Any

from outline2path.errors import SettingError
from outline2path.files import write_whole
from outline2path.units import MM_PER_INCH

if TYPE_CHECKING:
    from outline2path.drawing.outline import Outline
    from outline2path.picture.drawn import Drawn
    from outline2path.reach.spots import Reach

__all__ = [
    "for_notebook",
    "outline_png",
    "picture",
    "plan_png",
    "png_size",
    "reach_png",
    "save_plan",
    "save_reach",
]

SCREEN_DPI = 100.0
"""Dots an inch on the page of a notebook: a page of 9 in is 900 px wide."""
DENSE = 2
"""Dots of the picture for each dot on the page."""
PRINT_DPI = 300.0
"""Dots an inch of pictures for print."""
PRINT_IN = 190 / MM_PER_INCH
"""Width of pictures for print: inside the margins of A4 and letter upright."""
_DPI_RANGE = (30.0, 1200.0)
_PNG_SIZE = slice(16, 24)
_UNDATED: dict[str, dict[str, None]] = {
    "png": {"Software": None},
    "svg": {"Date": None},
    "pdf": {"CreationDate": None},
}


def outline_png(outline: Outline, **options: Any) -> bytes:
    """Return an outline as a PNG for a notebook; options as for `draw_outline`."""
    from outline2path.picture.plan_view import draw_outline

    return picture(draw_outline(outline, **options), dpi=SCREEN_DPI * DENSE)


def reach_png(reach: Any, **options: Any) -> bytes:
    """Return a reach as a PNG for a notebook; options as for `draw_reach`."""
    from outline2path.picture.plan_view import draw_reach

    return picture(draw_reach(reach, **options), dpi=SCREEN_DPI * DENSE)


def plan_png(**options: Any) -> bytes:
    """Return a plan as a PNG for a notebook; options as for `draw_plan`."""
    from outline2path.picture.plan_view import draw_plan

    return picture(draw_plan(**options), dpi=SCREEN_DPI * DENSE)


def picture(drawn: Drawn, *, kind: str = "png", dpi: float = PRINT_DPI) -> bytes:
    """Return a drawing as the bytes of a file.

    Parameters
    ----------
    drawn : Drawn
        What a drawing function gave back; its whole figure is saved.
    kind : "png", "svg" or "pdf"
        File format. The bytes are the same for the same drawing: no date goes in.
    dpi : float
        Dots an inch, 30 to 1200; PNG only.

    Raises
    ------
    SettingError
        When the format or the dots an inch are out of range.

    Examples
    --------
    >>> import shapely
    >>> from outline2path.drawing.outline import Outline
    >>> from outline2path.picture.plan_view import draw_outline
    >>> drawn = draw_outline(Outline.from_shapely(shapely.box(0, 0, 40, 30)))
    >>> png_size(picture(drawn, dpi=100))[0]
    640
    """
    undated = _UNDATED[_kind(kind)]
    if not _DPI_RANGE[0] <= dpi <= _DPI_RANGE[1]:
        raise SettingError(
            f"{dpi!r} dots an inch are outside {_DPI_RANGE[0]:g} to {_DPI_RANGE[1]:g}",
            value=dpi,
            limit=_DPI_RANGE,
        )
    from matplotlib import rc_context

    stream, figure = io.BytesIO(), drawn.figure
    with rc_context({"svg.hashsalt": "outline2path", "savefig.bbox": None}):
        figure.savefig(
            stream, format=kind, dpi=dpi, metadata=undated, facecolor=figure.get_facecolor()
        )
    return stream.getvalue()


def save_plan(path: str | os.PathLike[str], **options: Any) -> Path:
    """Draw a plan into a file for print: whole or not at all, 190 mm wide, no date inside.

    Parameters
    ----------
    path : path
        Ends in .png, .svg or .pdf. 190 mm fit A4 and letter paper upright.
    options
        As for `draw_plan`.

    Raises
    ------
    SettingError
        When the ending names no picture format.
    OutputError
        When the file cannot be written; an old file stays.
    """
    from outline2path.picture.plan_view import draw_plan

    kind = _kind(Path(path).suffix.lstrip(".").lower())
    return write_whole(path, picture(draw_plan(wide_in=PRINT_IN, **options), kind=kind))


def save_reach(path: str | os.PathLike[str], reach: Reach, **options: Any) -> Path:
    """Draw a reach into a file for print, as `save_plan` does; options as for `draw_reach`.

    Raises
    ------
    SettingError, OutputError
        As `save_plan`.
    """
    from outline2path.picture.plan_view import draw_reach

    kind = _kind(Path(path).suffix.lstrip(".").lower())
    return write_whole(path, picture(draw_reach(reach, **options), kind=kind))


def png_size(png: bytes) -> tuple[int, int]:
    """Return width and height of a PNG in dots, from its header (PNG, ISO/IEC 15948, 11.2.2)."""
    wide, high = struct.unpack(">II", png[_PNG_SIZE])
    return (wide, high)


def for_notebook(png: bytes) -> tuple[bytes, dict[str, int]]:
    """Return a PNG with the size to show it at, as a notebook's PNG hook takes it.

    Examples
    --------
    >>> import shapely
    >>> from outline2path.drawing.outline import Outline
    >>> for_notebook(outline_png(Outline.from_shapely(shapely.box(0, 0, 40, 30))))[1]["width"]
    640
    """
    wide, high = png_size(png)
    return png, {"width": wide // DENSE, "height": high // DENSE}


def _kind(name: str) -> str:
    if name not in _UNDATED:
        raise SettingError(
            f"{name!r} is no picture format", value=name, remedy="choose png, svg or pdf"
        )
    return name
