"""Dots: a drawing as the bytes of a picture file.

In: a `Drawn`. Out: PNG, SVG or PDF bytes, the same for the same drawing. Notebook pictures hold
two dots for each on the page, so that they are sharp on dense screens; `for_notebook` tells a
notebook the size to show them at.
"""

from __future__ import annotations

import io
import struct
from typing import TYPE_CHECKING

from outline2path.errors import SettingError

if TYPE_CHECKING:
    from outline2path.picture.drawn import Drawn

__all__ = ["DENSE", "SCREEN_DPI", "file_kind", "for_notebook", "picture", "png_size"]

SCREEN_DPI = 100.0
"""Dots an inch on the page of a notebook: a page of 9 in is 900 px wide."""
DENSE = 2
"""Dots of the picture for each dot on the page."""
PRINT_DPI = 300.0
"""Dots an inch of pictures for print."""
_DPI_RANGE = (30.0, 1200.0)
_PNG_SIZE = slice(16, 24)
_UNDATED: dict[str, dict[str, None]] = {
    "png": {"Software": None},
    "svg": {"Date": None},
    "pdf": {"CreationDate": None},
}


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
    undated = _UNDATED[file_kind(kind)]
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
    >>> from outline2path.picture.show import outline_png
    >>> for_notebook(outline_png(Outline.from_shapely(shapely.box(0, 0, 40, 30))))[1]["width"]
    640
    """
    wide, high = png_size(png)
    return png, {"width": wide // DENSE, "height": high // DENSE}


def file_kind(name: str) -> str:
    """Return the name of a picture format that is known.

    Raises
    ------
    SettingError
        When it is none of png, svg and pdf.
    """
    if name not in _UNDATED:
        raise SettingError(
            f"{name!r} is no picture format", value=name, remedy="choose png, svg or pdf"
        )
    return name
