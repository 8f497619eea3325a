"""Drawings of a job's file: from a file, a text, a slot or a gauge to an outline on the blank.

In: what a table [drawings.NAME] says. Out: outlines in mm. The order is always the same: choose
in the drawing, turn it, mirror it, size it, lay it on the blank, then make its slots fit and
relieve its corners. A drawing that is `part_of` another chooses in it as it was laid, before its
slots were made to fit, so that both stay in register.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from outline2path.drawing.combining import combined
from outline2path.drawing.outline import Outline
from outline2path.drawing.single_line import single_line
from outline2path.errors import SettingError
from outline2path.job.laying import lay_at, rows
from outline2path.operations.fit import slot
from outline2path.operations.gauge import fit_gauge
from outline2path.shop.stock import Stock
from outline2path.units import parse_angle

__all__ = ["MAKERS", "gauge_piece", "laid", "sized"]

Length = str | float


def sized(
    outline: Outline,
    *,
    select: str | None = None,
    rotate: str | float = 0.0,
    mirror: bool = False,
    width: Length | None = None,
    height: Length | None = None,
    scale: float | None = None,
) -> Outline:
    """Choose in an outline, turn, mirror and size it.

    Parameters
    ----------
    outline : Outline
        As read.
    select : str, optional
        Part of the drawing: "id=heron", "layer=Cut, fill=red", "#heron".
    rotate : str or float
        Counter-clockwise, degrees.
    mirror : bool
        Left to right.
    width, height : str or float, optional
        Finished width or height of what is chosen; one of the two.
    scale : float, optional
        Instead: 2 doubles every length.

    Raises
    ------
    SettingError
        When more than one of width, height and scale is given.

    Examples
    --------
    >>> sized(Outline.from_path("M0 0H4V2H0Z"), rotate="90 deg", width="10 mm").size_mm
    (10.0, 20.0)
    """
    given = [name for name, v in (("width", width), ("height", height), ("scale", scale)) if v]
    if len(given) > 1:
        raise SettingError(
            f"{' and '.join(given)} are given together", value=given, remedy="give one of them"
        )
    if select is not None:
        outline = outline.select(select)
    if parse_angle(rotate):
        outline = outline.rotate(rotate)
    if mirror:
        outline = outline.mirror()
    if scale is not None:
        return outline.scale(scale)
    if width is None and height is None:
        return outline
    return outline.fit(width=width, height=height)


def laid(
    outline: Outline,
    stock: Stock,
    *,
    at: tuple[Length, Length] | None = None,
    copies: int = 1,
    spacing: Length = 8.0,
) -> Outline:
    """Lay an outline on the blank, once or in rows.

    Parameters
    ----------
    outline : Outline
        At its size.
    stock : Stock
        The blank.
    at : pair of lengths, optional
        Where the lower left corner of its box comes to lie, from the blank's lower left corner.
    copies : int
        How many, in rows from there.
    spacing : str or float
        Between copies, and to the blank's edges.

    Raises
    ------
    SettingError
        When the copies find no room.

    Examples
    --------
    >>> tag = Outline.from_path("M0 0H40V20H0Z")
    >>> laid(tag, Stock("100 x 60 x 3 mm"), copies=3, spacing="5 mm").bounds_mm
    (5.0, 5.0, 90.0, 50.0)
    """
    if copies != 1:
        return combined(rows([outline] * copies, stock, spacing=spacing, start=at))
    return outline if at is None else lay_at(outline, *at)


def gauge_piece(piece: str, settings: Mapping[str, Any]) -> Outline:
    """Return the plate or the labels of a fit gauge.

    Examples
    --------
    >>> gauge_piece("plate", {"thickness": "5.8 mm"}).size_mm[1]
    29.0
    """
    gauge = fit_gauge(**settings)
    return gauge.labels if piece == "labels" else gauge.plate


MAKERS: dict[str, Callable[..., Any]] = {
    "text": Outline.from_text,
    "single_line": single_line,
    "path": Outline.from_path,
    "slot": slot,
    "gauge": fit_gauge,
}
"""What a drawing can be made of instead of a file, by key; each is a table of the function's
arguments."""
