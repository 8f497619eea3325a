"""Drawings the tests share: a page around a body, and the tables of tiny drawings."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from outline2path.drawing.outline import Outline
from outline2path.drawing.reader import read_outline
from outline2path.errors import DrawingError

HERE = Path(__file__).parent
SPACES = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'


def page(body: str, size: str = 'width="100" height="100" viewBox="0 0 100 100"') -> str:
    """A whole drawing around a body; a body with its own namespace is one already."""
    if body.startswith(("<svg xmlns", "<s:svg")):
        return body
    return f"<svg {SPACES} {size}>{body}</svg>"


def table(name: str) -> list[str]:
    """Lines of a table of drawings, comments left out."""
    lines = (HERE / name).read_text(encoding="utf-8").splitlines()
    return [line for line in lines if line and not line.startswith("#")]


def read(body: str, **options: object) -> Outline:
    """The outline of a body on its page."""
    return read_outline(page(body).encode(), **options)


def read_or_none(body: str, **options: object) -> Outline | None:
    """The outline, or None where the reader says that nothing is left to cut."""
    try:
        return read(body, **options)
    except DrawingError as fault:
        if "nothing to cut" not in str(fault):
            raise
        return None


def area_px2(body: str, **options: object) -> float:
    """Filled area in square CSS pixels."""
    outline = read_or_none(body, **options)
    return 0.0 if outline is None else outline.region.area * (96 / 25.4) ** 2


@cache
def codes(body: str, **options: object) -> tuple[str, ...]:
    """Codes of the findings of a drawing, the one about its missing size left out."""
    findings = read(body, **options).findings
    return tuple(f.code for f in findings if f.code != "no-physical-size")
