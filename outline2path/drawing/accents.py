"""Accents: letters with marks, set together from the alphabet's letters and marks of our own.

In: one sign. Out: its width and its pieces, each path data with a shift, on the alphabet's grid.
Which mark stands on which letter is Unicode's canonical decomposition (Unicode Standard Annex 15);
marks above stand over the middle of their letter, at small letters' height or at capitals'.
"""

from __future__ import annotations

import unicodedata
from typing import TypeAlias

from outline2path.drawing.alphabet import CAPITAL, LETTERS

__all__ = ["Piece", "pieces"]

Piece: TypeAlias = tuple[float, float, str]

_SMALL, _ROOM = 4.0, 0.8
_DOTLESS = {"i": (0.0, "M0 4V0"), "j": (1.2, "M1.2 4V-0.8A1.2 1.2 0 0 0 0 -2")}
_TALL = "bdfhklt"
_ABOVE = {  # half width, and path data with its foot on y = 0 and its middle on x = 0
    "\u0300": (0.5, "M0.3 0L-0.5 1"),
    "\u0301": (0.5, "M-0.3 0L0.5 1"),
    "\u0302": (0.8, "M-0.8 0L0 0.9L0.8 0"),
    "\u0303": (0.9, "M-0.9 0.2A0.45 0.35 0 0 0 0 0.2A0.45 0.35 0 0 1 0.9 0.2"),
    "\u0304": (0.8, "M-0.8 0.3H0.8"),
    "\u0306": (0.8, "M-0.8 0.7A0.8 0.7 0 0 1 0.8 0.7"),
    "\u0307": (0.0, "M0 0V0.5"),
    "\u0308": (0.7, "M-0.7 0V0.5M0.7 0V0.5"),
    "\u030a": (0.5, "M0.5 0.5A0.5 0.5 0 1 1 -0.5 0.5A0.5 0.5 0 1 1 0.5 0.5Z"),
    "\u030b": (1.0, "M-0.7 0L-0.1 1M0.4 0L1 1"),
    "\u030c": (0.8, "M-0.8 0.9L0 0L0.8 0.9"),
}
_BELOW = {
    "\u0326": (0.3, "M0.2 -0.5L-0.3 -1.5"),
    "\u0327": (0.3, "M0.2 -0.5L-0.3 -1.5"),
    "\u0328": (0.3, "M-0.2 -0.5L0.3 -1.5"),
}
_ROUND = LETTERS["o"][1]
_WHOLE = {  # letters that no mark makes
    "\u00c6": (6.3, "M0 0L3 6H6.3M3 6V0H6.3M3 3H5.8M1 2H3"),
    "\u00d8": (4.4, "M4.2 3A2 3 0 1 1 0.2 3A2 3 0 1 1 4.2 3ZM0 -0.6L4.4 6.6"),
    "\u00de": (4.0, "M0 0V6M0 4.5H2.5A1.5 1.5 0 0 0 2.5 1.5H0"),
    "\u00df": (3.0, "M0 0V4.6A1.4 1.4 0 0 0 2.8 4.6A1.4 1.4 0 0 0 1.4 3.2A1.6 1.6 0 0 0 1.4 0H1"),
    "\u00e6": (6.4, f"{_ROUND}M3.2 4V0M3.2 2H6.4A1.6 2 0 1 1 5.931 0.586"),
    "\u00f8": (3.6, "M3.4 2A1.6 2 0 1 1 0.2 2A1.6 2 0 1 1 3.4 2ZM0 -0.5L3.6 4.5"),
    "\u00fe": (3.2, "M0 2A1.6 2 0 1 1 3.2 2A1.6 2 0 1 1 0 2ZM0 6V-2"),
    "\u0153": (6.4, f"{_ROUND}M3.2 2H6.4A1.6 2 0 1 1 5.931 0.586"),
    "\u0131": _DOTLESS["i"],
    "\u0141": (4.0, "M0.5 6V0H4M0 2.4L1.8 3.6"),
    "\u0142": (1.4, "M0.7 6V0M0 2.4L1.4 3.6"),
}


def pieces(sign: str) -> tuple[float, tuple[Piece, ...]] | None:
    """Return a sign's width and its strokes, or None where it cannot be set.

    Examples
    --------
    >>> wide, (letter, mark) = pieces("\u00fc")
    >>> wide, mark
    (3.2, (1.6, 4.8, 'M-0.7 0V0.5M0.7 0V0.5'))
    >>> pieces("\u20ac") is None
    True
    """
    whole = LETTERS.get(sign) or _WHOLE.get(sign)
    if whole:
        return whole[0], ((0.0, 0.0, whole[1]),)
    base, *marks = list(unicodedata.normalize("NFD", sign))
    if base not in LETTERS or not marks or not set(marks) <= _ABOVE.keys() | _BELOW.keys():
        return None
    return _marked(base, marks)


def _marked(base: str, marks: list[str]) -> tuple[float, tuple[Piece, ...]]:
    """Set marks over and under a letter, each further one above the last."""
    known = {**_ABOVE, **_BELOW}
    above = not _ABOVE.keys().isdisjoint(marks)
    wide, path = _DOTLESS.get(base, LETTERS[base]) if above else LETTERS[base]
    half = max(wide / 2, *(known[mark][0] for mark in marks))
    top = (CAPITAL if base.isupper() or base in _TALL else _SMALL) + _ROOM
    found: list[Piece] = [(half - wide / 2, 0.0, path)]
    for mark in marks:
        up = top if mark in _ABOVE else 0.0
        found.append((half, up, known[mark][1]))
        top += _ROOM + 1 if up else 0.0
    return 2 * half, tuple(found)
