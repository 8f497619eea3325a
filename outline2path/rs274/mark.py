r"""Mark: twelve digits that tie a header's verdict to the text it was given for.

In: a program's text. Out: the first twelve digits of the SHA-256 of its body: all lines from the
first one that is no comment, spaces at their ends left out, each ended by a line feed. So the
header may be completed after the body was judged, and a body that changed since is found out.
A header carries the mark at the end of its proof comment: `(proof: pass, text 1a2b3c4d5e6f)`.
"""

from __future__ import annotations

import hashlib
import re
from typing import Literal

__all__ = ["HeaderMark", "body_mark", "mark_of"]

HeaderMark = Literal["none", "matches", "changed"]
_DIGITS = 12
_MARK = re.compile(r"\bproof: [^()]*?\btext ([0-9a-f]{12})\b")


def body_mark(text: str) -> str:
    r"""Return the twelve digits that stand for a program's body, its opening comments left out.

    Examples
    --------
    >>> body_mark("(a title)\nG21\nM30\n") == body_mark("(another)\n(two)\nG21 \nM30")
    True
    """
    lines = text.splitlines()
    body = "".join(f"{line.rstrip()}\n" for line in lines[_first(lines) :])
    return hashlib.sha256(body.encode("utf-8", "surrogatepass")).hexdigest()[:_DIGITS]


def mark_of(text: str | bytes) -> HeaderMark:
    r"""Tell whether a header's verdict still belongs to its text, or was given for another.

    Examples
    --------
    >>> body = "G21\nM30\n"
    >>> mark_of(f"(proof: pass, text {body_mark(body)})\n{body}")
    'matches'
    >>> mark_of(f"(proof: pass, text {body_mark(body)})\nG20\n{body}")
    'changed'
    """
    plain = text.decode("utf-8", "replace") if isinstance(text, bytes) else text
    lines = plain.splitlines()
    header = " ".join(" ".join(line.strip(" \t()") for line in lines[: _first(lines)]).split())
    mark = _MARK.search(header)
    if mark is None:
        return "none"
    return "matches" if mark[1] == body_mark(plain) else "changed"


def _first(lines: list[str]) -> int:
    """Index of the first line that is no comment."""
    return next((n for n, line in enumerate(lines) if not _is_comment(line)), len(lines))


def _is_comment(line: str) -> bool:
    plain = line.strip()
    return not plain or (plain.startswith("(") and plain.endswith(")"))
