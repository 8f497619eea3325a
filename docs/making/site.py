"""Site: what Sphinx does beside its usual work for these pages.

Before a page is read its code is run and what it shows is put under each block; a page that is
one comment is filled in: a lesson from its notebook, tables of a schema, the gallery, the rooms.
Pictures are written once, under a name made from their bytes. The typeface is the one the
pictures are set in: it comes with the plotting library, is cut down to the letters in use and
laid beside the pages, so that no network is needed to build or to read them.
"""

from __future__ import annotations

import hashlib
import re
import tempfile
from base64 import b64decode
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from docs.making.gallery import gallery, rooms
from docs.making.lessons import lesson
from docs.making.running import Run, Shown, run_page
from docs.making.schemas import schema_page

if TYPE_CHECKING:
    from sphinx.application import Sphinx

__all__ = ["filled", "setup", "with_answers"]

_FILL = re.compile(r"<!-- (notebook|schema|rooms):? ?(\w*) -->")
_GALLERY = "<!-- gallery -->"
_DATA = re.compile('src="data:image/png;base64,([^"]*)"')
_FACES = {
    "DejaVuSans": "sans",
    "DejaVuSans-Bold": "bold",
    "DejaVuSans-Oblique": "slanted",
    "DejaVuSansMono": "mono",
}
_LETTERS = [(0x20, 0x7F), (0xA0, 0x180), (0x370, 0x400), (0x2010, 0x2070), (0x2190, 0x2400)]
"""Blocks of letters the pages use: Latin, Greek, dashes, arrows and signs."""


class _Pages:
    """Where pictures of the pages go."""

    def __init__(self, out: Path, docname: str) -> None:
        self.out = out / "_static" / "made"
        self.up = "../" * docname.count("/")

    def place(self, png: bytes) -> str:
        """Write a picture and return its address as seen from the page."""
        self.out.mkdir(parents=True, exist_ok=True)
        name = f"{hashlib.sha256(png).hexdigest()[:16]}.png"
        (self.out / name).write_bytes(png)
        return f"{self.up}_static/made/{name}"

    def image(self, shown: Shown) -> str:
        """Return the element that shows a picture."""
        words = "what the code above draws"
        return f'<img src="{self.place(shown.data)}" width="{shown.wide}" alt="{words}">'

    def answer(self, shown: Shown) -> str:
        """Return what a block shows as one piece of Markdown."""
        if shown.kind == "text":
            return f"{{.answer}}\n```text\n{shown.data.rstrip()}\n```\n\n"
        body = self.image(shown) if shown.kind == "png" else self._outside(shown.data)
        whole = re.sub(r"\n\s*\n", "\n", body)  # an empty line would end the HTML
        return f'<div class="shown">{whole}</div>\n\n'

    def _outside(self, html: str) -> str:
        """Take pictures out of HTML, so that a page stays light."""
        return _DATA.sub(lambda found: f'src="{self.place(b64decode(found[1]))}"', html)


def filled(page: str) -> str:
    """Return a page with a notebook's or a schema's text in place of its comment."""

    def fill(found: re.Match[str]) -> str:
        what, name = found.groups()
        if what == "rooms":
            return rooms()
        return lesson(name) if what == "notebook" else schema_page(name)

    return _FILL.sub(fill, page)


def with_answers(page: str, run: Run, answer: Callable[[Shown], str]) -> str:
    """Return a page with what each block showed put under it."""
    pieces, last = [], 0
    for block, shown in run.shown:
        begin, end = block.place
        pieces += [page[last:begin], f"```{block.language}\n{block.text}```\n\n"]
        pieces += map(answer, shown)
        last = end
    return "".join([*pieces, page[last:]])


def _read(app: Sphinx, docname: str, source: list[str]) -> None:
    pages = _Pages(Path(app.outdir), docname)
    page = filled(source[0])
    with tempfile.TemporaryDirectory() as folder:
        run = run_page(page, Path(folder))
    page = with_answers(page, run, pages.answer)
    if _GALLERY in page:
        page = page.replace(_GALLERY, gallery(pages.image))
    source[0] = page


def _typeface(app: Sphinx, fault: Exception | None) -> None:
    """Lay the typeface beside the pages, cut down to the letters these pages may use."""
    if fault is not None:
        return
    import matplotlib
    from fontTools.subset import Options, Subsetter
    from fontTools.ttLib import TTFont

    source = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    letters = [letter for first, last in _LETTERS for letter in range(first, last)]
    for file, name in _FACES.items():
        font = TTFont(source / f"{file}.ttf")
        del font["FFTM"]  # only says when the font was made
        cutter = Subsetter(Options(hinting=False, layout_features=["kern", "liga"]))
        cutter.populate(unicodes=letters)
        cutter.subset(font)
        font.flavor = "woff"
        font.save(Path(app.outdir) / "_static" / f"{name}.woff")


def setup(app: Sphinx) -> dict[str, bool]:
    """Take part in a build."""
    app.connect("source-read", _read)
    app.connect("build-finished", _typeface)
    return {"parallel_read_safe": False}
