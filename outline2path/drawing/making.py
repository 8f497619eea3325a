"""Making: outlines from path data, rings of points or text, without a file.

In: what a person at a notebook has at hand, lengths in mm. Out: an `Outline` that keeps the true
curves, as one read from a drawing does.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

import numpy as np

from outline2path.drawing.curves import Curves, join_curves
from outline2path.drawing.figures import Element, Figure, FillRule
from outline2path.drawing.pathdata import parse_path
from outline2path.errors import DrawingError, SettingError
from outline2path.units import parse_length

if TYPE_CHECKING:
    from outline2path.drawing.transforms import Affine

__all__ = ["figure_from_path", "figure_from_rings", "figure_from_text"]

_RULES = ("nonzero", "evenodd")
_PIECES = {1: "M", 2: "L", 3: "Q", 4: "C"}
_POINTS = {1: 1, 2: 1, 3: 2, 4: 3}
_CLOSE = 79
_LONGEST = 1000
"""Letters of a text: far more than one line on a workshop's stock."""


def figure_from_path(d: str, *, rule: FillRule = "nonzero", y_up: bool = False) -> Figure:
    """Return a figure of path data in mm.

    Parameters
    ----------
    d : str
        Path data, as in the attribute `d`.
    rule : "nonzero" or "evenodd"
        What is inside.
    y_up : bool
        Whether y grows upwards in the data; in SVG it grows downwards.

    Raises
    ------
    DrawingError
        When the data have a fault or draw nothing.

    Examples
    --------
    >>> len(figure_from_path("M0 0H10V5Z").curves.rows)
    3
    """
    curves, fault = parse_path(d)
    if fault is not None:
        raise DrawingError(
            f"path data break at {fault.text!r}, after {fault.kept} pieces",
            value=fault.text,
            remedy="mend the data there",
        )
    if not len(curves.rows):
        raise DrawingError(f"path data {d[:40]!r} draw nothing", value=d, remedy="give path data")
    return _figure(curves, "path", rule=rule, y_up=y_up)


def figure_from_rings(
    rings: Iterable[Sequence[Sequence[float]]], *, rule: FillRule = "evenodd"
) -> Figure:
    """Return a figure of closed rings of points in mm, y up.

    Raises
    ------
    DrawingError
        When a ring has fewer than three points or a number that is not finite.

    Examples
    --------
    >>> figure_from_rings([[(0, 0), (4, 0), (0, 3)]]).rule
    'evenodd'
    """
    parts = []
    for k, ring in enumerate(rings):
        points = np.asarray(ring, dtype=float)
        sound = points.ndim == 2 and points.shape[1] == 2 and np.isfinite(points).all()
        if not sound or len(np.unique(points, axis=0)) < 3:
            raise DrawingError(
                f"ring {k} of {len(points)} points is no ring",
                value=k,
                remedy="give at least three different points (x, y) in mm",
            )
        parts.append(Curves.from_points(points.tolist(), closed=True))
    if not parts:
        raise DrawingError(f"{len(parts)} rings hold no area", remedy="give at least one ring")
    return _figure(join_curves(parts), "polygon", rule=rule, y_up=True)


def figure_from_text(text: str, *, height: str | float, font: str | None = None) -> Figure:
    """Return a figure of a line of text, its baseline on y = 0 and its start at x = 0.

    Parameters
    ----------
    text : str
        One line.
    height : str or float
        Height of the capital H, with unit.
    font : str, optional
        Family name of an installed font; left out, the plotting library's own sans.

    Raises
    ------
    DrawingError
        When the font lacks a letter, or the text draws nothing or is too long.
    SettingError
        When the height is not above 0.

    Examples
    --------
    >>> figure_from_text("Hi", height="20 mm").rule
    'nonzero'
    """
    from matplotlib.font_manager import FontProperties, findfont, get_font
    from matplotlib.textpath import TextPath

    wanted = parse_length(height)
    if wanted <= 0:
        raise SettingError(f"letters {wanted:g} mm high cannot be cut", value=wanted)
    if len(text) > _LONGEST:
        raise DrawingError(
            f"a text of {len(text)} letters is longer than {_LONGEST}",
            value=len(text),
            limit=_LONGEST,
            remedy="set it in pieces",
        )
    family = FontProperties(family=font)
    try:
        known = get_font(findfont(family, fallback_to_default=False)).get_charmap()
    except ValueError as fault:
        raise DrawingError(
            f"the font {font!r} is not installed", value=font, remedy="give another family name"
        ) from fault
    missing = sorted({c for c in text if ord(c) not in known and not c.isspace()})
    if missing or not text.strip():
        raise DrawingError(
            f"the text {text[:40]!r} cannot be set: the font has no {missing or 'letters in it'}",
            value=text,
            remedy="choose another font or other letters",
        )
    capital = TextPath((0, 0), "H", size=100, prop=family)
    path = TextPath((0, 0), text, size=100, prop=family)
    scale = wanted / float(capital.get_extents().height)
    data = _path_data(path.vertices * scale, path.codes)
    return figure_from_path(data, y_up=True)


def _path_data(points: np.ndarray, codes: np.ndarray) -> str:
    """Write a path of the plotting library as path data."""
    pieces, k = [], 0
    while k < len(codes):
        code = int(codes[k])
        if code == _CLOSE:
            pieces.append("Z")
            k += 1
            continue
        n = _POINTS[code]
        numbers = " ".join(f"{x!r} {y!r}" for x, y in points[k : k + n].tolist())
        pieces.append(f"{_PIECES[code]}{numbers}")
        k += n
    return "".join(pieces)


def _figure(curves: Curves, name: str, *, rule: FillRule, y_up: bool) -> Figure:
    if rule not in _RULES:
        raise SettingError(f"{rule!r} is no fill rule", value=rule, remedy="nonzero or evenodd")
    matrix: Affine = (1.0, 0.0, 0.0, -1.0 if y_up else 1.0, 0.0, 0.0)
    return Figure(curves=curves, matrix=matrix, rule=rule, lineage=(Element(name=name),))
