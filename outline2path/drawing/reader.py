"""Reader: an SVG file -> an Outline, in mm with y up, its origin at the page's lower left.

The way: bytes -> tree (document) -> properties (styles) -> figures (scene) -> Outline. The size
comes from width, height and viewBox of the file, 96 pixels to the inch unless another number is
asked for. What cannot be honoured is told as findings; where nothing is left to cut, an error
says why and lists what was left out.
"""

from __future__ import annotations

import hashlib
import os
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO, Literal

from outline2path.drawing.limits import Limits
from outline2path.errors import DrawingError, SettingError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from outline2path.drawing.figures import Figure
    from outline2path.drawing.notes import Notes
    from outline2path.drawing.outline import Outline
    from outline2path.drawing.source import Paint, Source, Strokes
    from outline2path.drawing.viewport import Page

__all__ = ["read_outline"]

_MM_PER_INCH = 25.4
_LIMITS = Limits()
_JOIN_MM = 0.05
"""Ends of lines closer than this are one point to any cutter (common practice, no source)."""


def read_outline(
    source: str | os.PathLike[str] | bytes | BinaryIO,
    *,
    strokes: Strokes | None = None,
    paint: Paint = "union",
    outside_page: Literal["drop", "keep", "clip"] = "drop",
    join_mm: float = _JOIN_MM,
    ppi: float = 96.0,
    languages: tuple[str, ...] = ("en",),
    limits: Limits | None = None,
) -> Outline:
    """Read an SVG drawing.

    Parameters
    ----------
    source : str, path, bytes or binary file
        A file name, "-" for standard input, or the bytes of a file. Plain or gzip (.svgz).
    strokes : "ignore", "outline" or "centreline", optional
        What lines mean: nothing, the area they cover, or the line itself (closed ones bound
        area, open ones are for engraving). Left out: "ignore" where the drawing has filled
        shapes, "centreline" where it has none; a finding says so.
    paint : "union" or "visible"
        All that is painted, or what a viewer would see as dark.
    outside_page : "drop", "keep" or "clip"
        Shapes wholly off the page are left out (those that reach over its edge stay whole),
        or all are kept, or all are cut off at the page's edge. A finding says so.
    join_mm : float
        Ends of lines closer than this are joined, in mm at the drawing's own size.
    ppi : float
        Pixels to the inch; 96 by the standard, 72 or 90 in some old drawings.
    languages : tuple of str
        For drawings that hold several languages, most wanted first.
    limits : Limits, optional
        Bounds on size, depth and counts.

    Returns
    -------
    Outline
        In mm, y up; the page's lower left corner is the origin.

    Raises
    ------
    DrawingError
        When the file cannot be read or holds nothing to cut.
    SettingError
        When a setting is impossible.

    Examples
    --------
    >>> outline = read_outline(b'<svg width="40mm" height="20mm"><rect width="25.4mm" '
    ...                        b'height="10mm"/></svg>')
    >>> [round(v, 9) for v in outline.bounds_mm]
    [0.0, 10.0, 25.4, 20.0]
    """
    from outline2path.drawing.drawn import read_by_policy
    from outline2path.drawing.notes import Notes
    from outline2path.drawing.outline import Outline
    from outline2path.drawing.pages import full_size, on_page
    from outline2path.drawing.source import Reading
    from outline2path.drawing.telling import tell, tell_nothing

    _check(strokes, paint, outside_page, join_mm, ppi)
    limits, notes = limits or _LIMITS, Notes()
    name, data = _bytes_of(source, limits)
    page, figures, hulls = _figures(data, notes, ppi=ppi, languages=languages, limits=limits)
    if not figures:
        raise tell_nothing(notes)
    reading = Reading(
        strokes=strokes or "ignore",
        by_policy=strokes is None,
        paint=paint,
        join_px=join_mm / _MM_PER_INCH * ppi,
    )
    size = full_size(page, figures)
    scale = _MM_PER_INCH / ppi
    if page.complete:
        figures = on_page(figures, hulls, size=size, how=outside_page, notes=notes)
    outline = Outline(
        figures=figures,
        matrix=(scale, 0.0, 0.0, -scale, 0.0, size[1] * scale),
        reading=reading,
        source=_source(name, data, size, scale=scale, sized_by=page.sized_by),
    )
    if strokes is None:
        outline = read_by_policy(outline)
    tell(outline, notes, physical=page.physical)
    return outline.told(notes.findings())


def _source(
    name: str | None, data: bytes, size: tuple[float, float], *, scale: float, sized_by: str
) -> Source:
    """Where an outline came from; `size` in CSS pixels, `scale` mm for each."""
    from outline2path.drawing.source import Source

    return Source(
        file=name,
        sha256=hashlib.sha256(data).hexdigest(),
        page_px=size,
        page_mm=(size[0] * scale, size[1] * scale),
        sized_by=sized_by,
    )


def _check(strokes: object, paint: object, outside_page: object, join: float, ppi: float) -> None:
    """Refuse impossible settings."""
    for value, known in (
        (strokes, (None, "ignore", "outline", "centreline")),
        (paint, ("union", "visible")),
        (outside_page, ("drop", "keep", "clip")),
    ):
        if value not in known:
            words = ", ".join(str(k) for k in known if k)
            raise SettingError(f"{value!r} is none of {words}", value=value, remedy="choose one")
    if not 1 <= ppi <= 10_000:
        raise SettingError(f"{ppi!r} pixels to the inch is no resolution", value=ppi)
    if not 0 <= join <= 100:
        raise SettingError(f"join_mm {join!r} is not a length from 0 to 100 mm", value=join)


def _figures(
    data: bytes, notes: Notes, *, ppi: float, languages: tuple[str, ...], limits: Limits
) -> tuple[Page, tuple[Figure, ...], NDArray[np.float64]]:
    """Page and figures of a file, and bounds of the figures."""
    from outline2path.drawing.document import parse_document
    from outline2path.drawing.lengths import Basis
    from outline2path.drawing.placing import Place
    from outline2path.drawing.scene import walk
    from outline2path.drawing.styles import apply_styles
    from outline2path.drawing.viewport import page_of

    document = parse_document(data, limits=limits)
    for text in (*document.notes, *apply_styles(document)):
        notes.add("style" if text.startswith("<") else "encoding", "warning", text)
    basis = Basis(ppi=ppi)
    page = page_of(document.root.attrib, basis=basis)
    box = page.view_box
    w, h = (box[2], box[3]) if box else (page.width or 100.0, page.height or 100.0)
    basis = replace(basis, width=w, height=h, page_width=w, page_height=h)
    place = Place(matrix=page.matrix, basis=basis)
    figures, hulls = walk(document, place, notes, limits=limits, languages=languages)
    return page, figures, hulls


def _bytes_of(
    source: str | os.PathLike[str] | bytes | BinaryIO, limits: Limits
) -> tuple[str | None, bytes]:
    """Name and content of a source, never more bytes than the limit and one."""
    most = limits.file_bytes + 1
    if isinstance(source, (bytes, bytearray, memoryview)):
        return None, bytes(source)
    if isinstance(source, str) and source == "-":
        return "-", sys.stdin.buffer.read(most)
    if not isinstance(source, (str, os.PathLike)):
        return getattr(source, "name", None), source.read(most)
    path = Path(source)
    try:
        if path.is_dir():
            raise DrawingError(f"{path} is a folder", remedy="give the name of an SVG file")
        with path.open("rb") as stream:
            return path.name, stream.read(most)
    except (OSError, ValueError) as fault:
        if isinstance(fault, DrawingError):
            raise
        why = getattr(fault, "strerror", None) or fault
        raise DrawingError(
            f"cannot read {str(path)[:200]}: {why}", remedy="check the name of the file"
        ) from fault
