"""Show: pictures as bytes, for notebooks and for files.

In: the values the plan view draws. Out: the bytes of a PNG, or a file written whole.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Any

from outline2path.files import write_whole
from outline2path.picture.dots import DENSE, SCREEN_DPI, file_kind, picture
from outline2path.units import MM_PER_INCH

if TYPE_CHECKING:
    from outline2path.drawing.outline import Outline
    from outline2path.picture.drawn import Drawn
    from outline2path.reach.spots import Reach

__all__ = [
    "gauge_png",
    "mating_png",
    "outline_png",
    "page_png",
    "plan_png",
    "reach_png",
    "save_plan",
    "save_reach",
]

PRINT_IN = 190 / MM_PER_INCH
"""Width of pictures for print: inside the margins of A4 and letter upright."""
_PAGE_DPI = 200.0


def outline_png(outline: Outline, **options: Any) -> bytes:
    """Return an outline as a PNG for a notebook; options as for `draw_outline`."""
    from outline2path.picture.plan_view import draw_outline

    return picture(draw_outline(outline, **options), dpi=SCREEN_DPI * DENSE)


def reach_png(reach: Any, **options: Any) -> bytes:
    """Return a reach as a PNG for a notebook; options as for `draw_reach`."""
    from outline2path.picture.plan_view import draw_reach

    return picture(draw_reach(reach, **options), dpi=SCREEN_DPI * DENSE)


def mating_png(mating: Any, **options: Any) -> bytes:
    """Return a mating as a PNG for a notebook; options as for `draw_mating`."""
    from outline2path.picture.together import draw_mating

    return picture(draw_mating(mating, **options), dpi=SCREEN_DPI * DENSE)


def gauge_png(gauge: Any, **options: Any) -> bytes:
    """Return a gauge as a PNG for a notebook; options as for `draw_gauge`."""
    from outline2path.picture.together import draw_gauge

    return picture(draw_gauge(gauge, **options), dpi=SCREEN_DPI * DENSE)


def plan_png(**options: Any) -> bytes:
    """Return a plan as a PNG for a notebook; options as for `draw_plan`."""
    from outline2path.picture.plan_view import draw_plan

    return picture(draw_plan(**options), dpi=SCREEN_DPI * DENSE)


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
    kind = file_kind(Path(path).suffix.lstrip(".").lower())  # before anything is drawn
    return write_whole(path, picture(_page(**options), kind=kind))


def page_png(**options: Any) -> bytes:
    """Return a plan drawn as `save_plan` draws it, as PNG bytes for paper and screen alike."""
    return picture(_page(**options), dpi=_PAGE_DPI)


def save_reach(path: str | os.PathLike[str], reach: Reach, **options: Any) -> Path:
    """Draw a reach into a file for print, as `save_plan` does; options as for `draw_reach`.

    Raises
    ------
    SettingError, OutputError
        As `save_plan`.
    """
    from outline2path.picture.plan_view import draw_reach

    kind = file_kind(Path(path).suffix.lstrip(".").lower())
    return write_whole(path, picture(draw_reach(reach, **options), kind=kind))


def _page(**options: Any) -> Drawn:
    from outline2path.picture.plan_view import draw_plan

    return draw_plan(wide_in=PRINT_IN, **options)
