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
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO, Literal

from outline2path.drawing.limits import Limits
from outline2path.errors import DrawingError, SettingError

if TYPE_CHECKING:
    from outline2path.drawing.notes import Notes
    from outline2path.drawing.outline import Outline
    from outline2path.drawing.viewport import Page

__all__ = ["read_outline"]

_MM_PER_INCH = 25.4


def read_outline(
    source: str | os.PathLike[str] | bytes | BinaryIO,
    *,
    ppi: float = 96.0,
    paint: Literal["union", "visible"] = "union",
    languages: tuple[str, ...] = ("en",),
    limits: Limits | None = None,
) -> Outline:
    """Read an SVG drawing.

    Parameters
    ----------
    source : str, path, bytes or binary file
        A file name, "-" for standard input, or the bytes of a file. Plain or gzip (.svgz).
    ppi : float
        Pixels to the inch; 96 by the standard, 72 or 90 in some old drawings.
    paint : "union" or "visible"
        All that is painted, or what a viewer would see as dark.
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

    Examples
    --------
    >>> outline = read_outline(b'<svg width="40mm" height="20mm"><rect width="25.4mm" '
    ...                        b'height="10mm"/></svg>')
    >>> [round(v, 9) for v in outline.bounds_mm]
    [0.0, 10.0, 25.4, 20.0]
    """
    from outline2path.drawing.document import parse_document
    from outline2path.drawing.lengths import Basis
    from outline2path.drawing.notes import Notes
    from outline2path.drawing.outline import Outline, Reading, Source
    from outline2path.drawing.placing import Place
    from outline2path.drawing.scene import walk
    from outline2path.drawing.styles import apply_styles
    from outline2path.drawing.viewport import page_of

    if not 1 <= ppi <= 10_000:
        raise SettingError(f"{ppi!r} pixels to the inch is no resolution", value=ppi)
    limits = limits or Limits()
    name, data = _bytes_of(source, limits)
    document = parse_document(data, limits=limits)
    notes = Notes()
    for text in (*document.notes, *apply_styles(document)):
        notes.add("style" if text.startswith("<") else "encoding", "warning", text)
    page = page_of(document.root.attrib, basis=Basis(ppi=ppi))
    box = page.view_box
    w, h = (box[2], box[3]) if box else (page.width or 100.0, page.height or 100.0)
    basis = Basis(width=w, height=h, page_width=w, page_height=h, ppi=ppi)
    place = Place(matrix=page.matrix, basis=basis)
    scene = walk(document, place, notes, limits=limits, languages=languages)
    scale = _MM_PER_INCH / ppi
    width, height = page.width or w, page.height or h
    outline = Outline(
        figures=scene.figures,
        matrix=(scale, 0.0, 0.0, -scale, 0.0, height * scale),
        reading=Reading(paint=paint),
    )
    if outline.region.is_empty:
        raise _nothing(notes)
    _tell_size(page, outline, notes)
    return Outline(
        figures=outline.figures,
        matrix=outline.matrix,
        reading=outline.reading,
        findings=notes.findings(),
        source=Source(
            file=name,
            sha256=hashlib.sha256(data).hexdigest(),
            page_px=(width, height),
            page_mm=(width * scale, height * scale),
            sized_by=page.sized_by,
        ),
    )


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


def _nothing(notes: Notes) -> DrawingError:
    """The error of a drawing without anything to cut, with what was left out."""
    told = "; ".join(f.message for f in notes.findings()[:6])
    return DrawingError(
        "the drawing holds nothing to cut"
        + (f": {told}" if told else ": it has no filled shapes"),
        remedy="fill the shapes to be cut, and turn text and lines into paths",
    )


def _tell_size(page: Page, outline: Outline, notes: Notes) -> None:
    if page.physical:
        return
    w, h = outline.size_mm
    notes.add(
        "no-physical-size",
        "info",
        f"the file gives no size in mm or inches; sized by {page.sized_by}, "
        f"the outline is {w:.2f} x {h:.2f} mm",
        remedy="check that against the drawing, or give the width or height wanted",
    )
