"""Calls that point up the house, loaded when first made.

Imports run one way, towards the ground floor. A few values nevertheless offer a method whose
answer is made in a later room: an outline shows itself as a picture, a plan proves itself.
Those calls are listed here by name, and nowhere else; the room is loaded at the call, so that
reading a drawing never loads a plotting library.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

__all__ = ["later"]

_ROOMS = {
    "cutter_html": "outline2path.picture.bench",
    "cutter_svg": "outline2path.picture.bench",
    "draw_gauge": "outline2path.picture.together",
    "draw_mating": "outline2path.picture.together",
    "gauge_png": "outline2path.picture.show",
    "machine_html": "outline2path.picture.bench",
    "mating_png": "outline2path.picture.show",
    "narrow_spots": "outline2path.reach.spots",
    "stock_html": "outline2path.picture.bench",
    "stock_svg": "outline2path.picture.bench",
    "thin_walls": "outline2path.reach.walls",
    "for_notebook": "outline2path.picture.dots",
    "outline_png": "outline2path.picture.show",
    "reach_png": "outline2path.picture.show",
    "plan_png": "outline2path.picture.show",
    "draw_outline": "outline2path.picture.plan_view",
    "draw_plan": "outline2path.picture.plan_view",
    "draw_reach": "outline2path.picture.plan_view",
    "page_png": "outline2path.picture.show",
    "save_plan": "outline2path.picture.show",
    "save_reach": "outline2path.picture.show",
    "set_up_sheet": "outline2path.job.sheet",
    "solid_of": "outline2path.job.blanks",
    "write_folder": "outline2path.job.folder",
}


def later(name: str, *args: Any, **options: Any) -> Any:
    """Call the function `name` of the later room that owns it.

    Examples
    --------
    >>> from outline2path.drawing.outline import Outline
    >>> import shapely
    >>> later("narrow_spots", Outline.from_shapely(shapely.box(0, 0, 9, 9)), 3.0).spots
    ()
    """
    return getattr(import_module(_ROOMS[name]), name)(*args, **options)
