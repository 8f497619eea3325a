"""Gallery: every demo drawing as the tool draws it, in one grid."""

from __future__ import annotations

import re
from collections.abc import Callable

from docs.making.running import ROOT, Shown

__all__ = ["gallery", "rooms"]


def gallery(picture: Callable[[Shown], str]) -> str:
    """Return the grid as HTML; `picture` turns a PNG into an image of the page."""
    from outline2path.drawing.reader import read_outline

    tiles = []
    for path in sorted((ROOT / "demo_art").glob("*.svg")):
        outline = read_outline(path)
        png, size = outline._repr_png_()
        words = path.stem.replace("_", " ").capitalize()
        tiles.append(
            f"<figure>{picture(Shown('png', png, size['width']))}"
            f"<figcaption>{words}, <code>{path.name}</code></figcaption></figure>"
        )
    return f'<div class="gallery">{"".join(tiles)}</div>'


def rooms() -> str:
    """Return a table of every module with the first words of its design note."""
    import ast

    parts = []
    package = ROOT / "outline2path"
    for folder in [package, *sorted(p for p in package.iterdir() if (p / "__init__.py").exists())]:
        rows = []
        for path in sorted(folder.glob("*.py")):
            note = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or ""
            first = re.split(r"\n\n|(?<=[a-z`)])\.\s", note, maxsplit=1)[0].replace("\n", " ")
            if not path.stem.startswith("__"):
                rows.append(f"| `{path.stem}` | {first.partition(': ')[2] or first} |")
        name = "ground floor" if folder == package else folder.name
        parts.append(
            f"## {name.capitalize()}\n\n| module | what it holds |\n|---|---|\n" + "\n".join(rows)
        )
    return "\n\n".join(parts)
