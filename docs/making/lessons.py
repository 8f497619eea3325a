"""Lessons: a notebook as a page of Markdown, its code as blocks to be run like any other."""

from __future__ import annotations

import json

from docs.making.running import ROOT

__all__ = ["lesson"]


def lesson(name: str) -> str:
    """Return the page of `notebooks/NAME.ipynb`."""
    text = (ROOT / "notebooks" / f"{name}.ipynb").read_text(encoding="utf-8")
    return "\n\n".join(_cell(cell) for cell in json.loads(text)["cells"]) + "\n"


def _cell(cell: dict[str, object]) -> str:
    source = cell["source"]
    text = source if isinstance(source, str) else "".join(map(str, source))  # type: ignore[call-overload]
    return f"```python\n{text.rstrip()}\n```" if cell["cell_type"] == "code" else text
