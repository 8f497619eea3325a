"""Comments: any text as RS-274 comment lines every controller takes.

In: text in any script. Out: lines `(...)` of printable ASCII, at most 80 characters, no bracket
inside (NISTIR 6556 section 3.3.4: a comment may not nest). Characters that small controllers act
on even inside a comment (! ~ ? %) and the start of an operator message (`MSG,`) are replaced:
common practice, no source. Text that has no ASCII likeness becomes an underscore.
"""

from __future__ import annotations

import re
import textwrap
import unicodedata

__all__ = ["LONGEST_BLOCK", "comment_lines"]

LONGEST_BLOCK = 80
"""Characters a block: what small controllers commonly take (from memory, a setting not a law)."""

_LIKENESS = str.maketrans(
    {
        "(": "[",
        ")": "]",
        "!": ".",
        "?": ".",
        "~": "-",
        "%": " percent",
        ";": ",",
        "\N{LATIN SMALL LETTER SHARP S}": "ss",
        "\N{LATIN SMALL LETTER AE}": "ae",
        "\N{LATIN CAPITAL LETTER AE}": "AE",
        "\N{LATIN SMALL LETTER O WITH STROKE}": "o",
        "\N{LATIN CAPITAL LETTER O WITH STROKE}": "O",
        "\N{LATIN SMALL LIGATURE OE}": "oe",
        "\N{LATIN CAPITAL LIGATURE OE}": "OE",
        "\N{LATIN SMALL LETTER D WITH STROKE}": "d",
        "\N{LATIN SMALL LETTER L WITH STROKE}": "l",
        "\N{LATIN CAPITAL LETTER L WITH STROKE}": "L",
        "\N{MULTIPLICATION SIGN}": "x",
        "\N{DIVISION SIGN}": "/",
        "\N{EN DASH}": "-",
        "\N{EM DASH}": "-",
        "\N{MINUS SIGN}": "-",
        "\N{LEFT SINGLE QUOTATION MARK}": "'",
        "\N{RIGHT SINGLE QUOTATION MARK}": "'",
        "\N{LEFT DOUBLE QUOTATION MARK}": '"',
        "\N{RIGHT DOUBLE QUOTATION MARK}": '"',
        "\N{DEGREE SIGN}": " deg",
        "\N{MICRO SIGN}": "u",
        "\N{GREEK SMALL LETTER MU}": "u",
        "\N{DIAMETER SIGN}": "diameter ",
    }
)
_MESSAGE = re.compile(r"^(\s*\w+)\s*,")
_UNPRINTABLE = re.compile(r"[^\x20-\x7e]")


def comment_lines(text: str, *, indent: str = "  ") -> tuple[str, ...]:
    """Turn text into comment lines, wrapped at 80 characters.

    Parameters
    ----------
    text : str
        Anything; line ends count as spaces.
    indent : str
        Put before continued lines.

    Examples
    --------
    >>> comment_lines("Käthe's sign (6 mm)")
    ("(Kathe's sign [6 mm])",)
    >>> comment_lines("MSG, stop!")
    ('(MSG - stop.)',)
    """
    plain = " ".join(text.split()).translate(_LIKENESS)
    plain = unicodedata.normalize("NFKD", plain).translate(_LIKENESS)
    plain = "".join(c for c in plain if not unicodedata.combining(c))
    plain = _UNPRINTABLE.sub("_", plain)
    wrapped = textwrap.wrap(plain, LONGEST_BLOCK - 2, subsequent_indent=indent) or [""]
    return tuple(f"({_MESSAGE.sub(_spoken, line)})" for line in wrapped)


def _spoken(start: re.Match[str]) -> str:
    """Take the comma from a line's first word, so that no controller reads a message."""
    return f"{start[1]} -" if start[1].strip().isupper() else start[0]
