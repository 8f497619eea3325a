"""One line of a program taken apart into its words, by NISTIR 6556, 3.3.

In: a line of text. Out: a `Block` of numbers by letter, G and M codes by modal group, and
comments. Spaces and tabs mean nothing outside comments and neither does case; words may come in
any order; numbers have no exponent. Refused: whatever the report does not allow, with the
characters concerned and the section. Expressions and parameters are in the language but are
refused here with a clear word, since a cutting program needs none.

Faults that many controllers overlook go to `forgive`, which raises in strict reading and notes
in lenient reading; the others are raised at once.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field

from outline2path.errors import ProgramError

__all__ = ["LONGEST_LINE", "Block", "Forgive", "read_block"]

Forgive = Callable[[str, str], None]
"""Called with what is wrong and the section that says so."""

LONGEST_LINE = 256
"""Characters in a line (3.3)."""
_LONGEST_LENIENT = 4096
_MOST_M_WORDS = 4
_GREATEST = 1e7
_WHOLE_WITHIN = 0.0001
_LETTERS = "ABCDFGHIJKLMPQRSTXYZ"
_WORD = re.compile(rf"([{_LETTERS}])([+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+))")
_NUMBERED = re.compile(r"N([0-9]{1,5})(?![0-9])")
_NUMBERED_LENIENT = re.compile(r"N([0-9]+)")
_BLANKS = str.maketrans("", "", " \t")


@dataclass(slots=True)
class Block:
    """The words of one line.

    Attributes
    ----------
    words : dict of str to float
        Value by letter, G, M and N left out, in the units of the text.
    g, m : tuple of int
        Codes: ten times the G value (G59.1 is 591), the M value.
    comments : tuple of str
        Text inside the parentheses.
    skippable : bool
        Whether the line begins with the block-delete slash.
    """

    words: dict[str, float] = field(default_factory=dict)
    g: tuple[int, ...] = ()
    m: tuple[int, ...] = ()
    comments: tuple[str, ...] = ()
    skippable: bool = False

    @property
    def empty(self) -> bool:
        """Whether nothing but comments, a number or a slash is there."""
        return not (self.words or self.g or self.m)


def read_block(line: str, forgive: Forgive) -> Block:
    """Take a line apart.

    Parameters
    ----------
    line : str
        One line without its end.
    forgive : callable
        Called with (what, section) for a fault that lenient reading lets pass.

    Raises
    ------
    ProgramError
        When the line is not in the language; `limit` names the section.

    Examples
    --------
    >>> def strictly(what, section): raise ProgramError(what, limit=section)
    >>> block = read_block("n7 g0x +0. 12 34y 7 (to the corner)", strictly)
    >>> block.g, block.words, block.comments
    ((0,), {'X': 0.1234, 'Y': 7.0}, ('to the corner',))
    """
    if len(line) > LONGEST_LINE:
        if len(line) > _LONGEST_LENIENT:
            raise _fault(f"the line has {len(line)} characters, at most {LONGEST_LINE}", "3.3")
        forgive(f"the line has {len(line)} characters, at most {LONGEST_LINE}", "3.3")
    comments: tuple[str, ...] = ()
    if "(" in line or ")" in line or ";" in line:
        line, comments = _without_comments(line, forgive)
    if not line.isascii():
        bad = next(c for c in line if not c.isascii())
        raise _fault(f"character {bad!r} is not in the language", "3.3")
    bare = line.translate(_BLANKS).upper()
    skippable = bare.startswith("/")
    bare = _without_number(bare[1:] if skippable else bare, forgive)
    block = _gather(_split(bare), forgive)
    block.comments, block.skippable = comments, skippable
    return block


def _fault(what: str, section: str) -> ProgramError:
    return ProgramError(f"{what}", limit=section)


def _without_comments(line: str, forgive: Forgive) -> tuple[str, tuple[str, ...]]:
    """Cut the comments out; they never nest and close on their line (3.3.4)."""
    kept: list[str] = []
    comments: list[str] = []
    at = 0
    while (opens := _first(line, at)) >= 0:
        kept.append(line[at:opens])
        if line[opens] == ";":
            forgive("a comment after ; is not in the language", "3.3.4")
            comments.append(line[opens + 1 :].strip())
            return "".join(kept), tuple(comments)
        closes = line.find(")", opens)
        inside = line[opens + 1 : closes] if closes >= 0 else line[opens + 1 :]
        if closes < 0:
            raise _fault(f"the comment ({inside[:40]} is not closed on its line", "3.3.4")
        if "(" in inside:
            raise _fault(f"the comment ({inside[:40]}) has another inside", "3.3.4")
        if not inside.replace("\t", " ").isprintable():
            forgive(f"the comment {inside[:40]!r} holds characters not to be printed", "3.3.4")
        comments.append(inside.strip())
        at = closes + 1
    kept.append(line[at:])
    return "".join(kept), tuple(comments)


def _first(line: str, at: int) -> int:
    """Index of the next character that begins a comment, or -1."""
    found = [i for i in (line.find("(", at), line.find(";", at)) if i >= 0]
    return min(found, default=-1)


def _without_number(bare: str, forgive: Forgive) -> str:
    """Cut off the line number: N and at most five digits, at the beginning (3.3.1)."""
    if not bare.startswith("N"):
        return bare
    match = _NUMBERED.match(bare)
    if match is None:
        match = _NUMBERED_LENIENT.match(bare)
        if match is None:
            raise _fault(f"the line number {bare[:12]} is no whole number", "3.3.1")
        forgive(f"the line number N{match[1][:20]} has more than 5 digits", "3.3.1")
    return bare[match.end() :]


def _split(bare: str) -> list[tuple[str, str]]:
    """All words, letter and number text; every character must belong to one."""
    pairs = _WORD.findall(bare)
    if sum(1 + len(number) for _, number in pairs) != len(bare):
        raise _misfit(bare)
    return pairs


def _misfit(bare: str) -> ProgramError:
    """Say which characters are no word, and why."""
    at = 0
    while match := _WORD.match(bare, at):
        at = match.end()
    rest = bare[at : at + 12]
    letter = rest[0]
    if "[" in rest or "#" in rest or "]" in rest:
        return _fault(f"{rest!r} is an expression or parameter, which is not read here", "3.3.2.2")
    if letter == "N":
        return _fault(f"the line number {rest!r} is not at the beginning", "3.3.1")
    if letter in _LETTERS:
        return _fault(f"the word {rest!r} has no number", "3.3.2.1")
    if letter.isalpha():
        return _fault(f"the letter {letter!r} begins no word of the language", "3.3.2")
    return _fault(f"{rest!r} is no word", "3.3")


def _gather(pairs: list[tuple[str, str]], forgive: Forgive) -> Block:
    """Sort the words; any letter but G and M comes at most once (3.3.5)."""
    block = Block()
    for letter, text in pairs:
        value = float(text)
        if not -_GREATEST <= value <= _GREATEST:
            raise _fault(f"the number in {letter}{text[:20]} is beyond any machine", "3.3.2.1")
        if letter == "G":
            block.g += (_whole(value * 10, f"G{text}"),)
        elif letter == "M":
            block.m += (_whole(value, f"M{text}"),)
        elif letter in block.words:
            raise _fault(f"the letter {letter} comes twice in a line", "3.3.5")
        else:
            block.words[letter] = value
    if len(block.m) > _MOST_M_WORDS:
        forgive(f"{len(block.m)} M words are in a line, at most {_MOST_M_WORDS}", "3.3.5")
    return block


def _whole(value: float, word: str) -> int:
    """Take a value that must be whole as such within 0.0001 (3.3.2.1)."""
    whole = round(value)
    if abs(value - whole) > _WHOLE_WITHIN or whole < 0:
        raise _fault(f"the word {word} is no code", "3.3.2.1")
    return whole
