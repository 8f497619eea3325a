"""Notebook: tables and pictures in the HTML that a notebook shows.

In: words and figures as text, and the bytes of a PNG. Out: HTML. A notebook that shows HTML shows
nothing else of a value, so a value with a table and a picture puts both into it. Columns of
figures stand right, words left; units belong into the heads. Every word is escaped, and nothing is
asked of a network.
"""

from __future__ import annotations

import re
from base64 import b64encode
from collections.abc import Sequence
from html import escape

__all__ = ["html_picture", "html_table"]

_FIGURE = re.compile(r"[-\u2212+]?[\d., ]*")
_LEFT, _RIGHT = ' style="text-align:left"', ' style="text-align:right"'


def html_table(
    heads: Sequence[str],
    rows: Sequence[Sequence[str]],
    *,
    caption: str = "",
    most: int = 40,
    below: Sequence[str] = (),
) -> str:
    """Return a table.

    Parameters
    ----------
    heads : sequence of str
        One a column, with its unit: "width mm".
    rows : sequence of sequence of str
        Cells, as many as there are heads.
    caption : str
        What the table tells, in a line over it.
    most : int
        Rows shown; the others are counted in a last line.
    below : sequence of str
        Sentences under it.

    Examples
    --------
    >>> html_table(("cutter", "width mm"), [("small", "3.175")], caption="a < b")[:43]
    '<table><caption style="text-align:left">a &'
    """
    sides = [
        _RIGHT if rows and all(_FIGURE.fullmatch(row[k]) for row in rows) else _LEFT
        for k in range(len(heads))
    ]
    told = f"<caption{_LEFT}>{escape(caption)}</caption>" if caption else ""
    head = "".join(f"<th{side}>{escape(h)}</th>" for h, side in zip(heads, sides, strict=True))
    body = "".join(
        "<tr>"
        + "".join(f"<td{side}>{escape(cell)}</td>" for cell, side in zip(row, sides, strict=True))
        + "</tr>"
        for row in rows[:most]
    )
    if len(rows) > most:
        body += f"<tr><td colspan='{len(heads)}'{_LEFT}>and {len(rows) - most} more</td></tr>"
    told_below = "".join(f"<p>{escape(words)}</p>" for words in below)
    return f"<table>{told}<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>{told_below}"


def html_picture(png: bytes, size: dict[str, int], *, words: str) -> str:
    """Return a PNG as an image of that width and height, and in words for who cannot see it.

    Examples
    --------
    >>> html_picture(b"png", {"width": 2, "height": 1}, words="a dot")
    '<img src="data:image/png;base64,cG5n" width="2" height="1" alt="a dot">'
    """
    data = b64encode(png).decode("ascii")
    return (
        f'<img src="data:image/png;base64,{data}" width="{size["width"]}" '
        f'height="{size["height"]}" alt="{escape(words)}">'
    )
