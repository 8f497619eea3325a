"""Lines: where each key of a TOML text stands, so that an error can name its line.

In: the text of a TOML file. Out: tokens with their lines, and from those a table from the path of
a key, such as ("set_up", 0, "step", 2, "depth"), to its line, counted from 1. The standard
library's reader gives values without places; this scan gives places without values. It follows
TOML 1.0 (toml.io, from memory) for keys, headers, arrays and inline tables, and is run on text
that the reader has accepted.

Refused before anything is read: brackets nested, or keys dotted, deeper than any job is.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from outline2path.errors import SettingError

__all__ = ["Path", "Token", "key_lines", "tokens_of"]

Path = tuple[str | int, ...]
"""Keys and indices from the top of the file."""

_DEEPEST = 16
"""Nested brackets and dotted keys of a job need no more than five."""
_TOKEN = re.compile(
    r'(?P<text>"""(?:[^\\]|\\.)*?"{3,5}|\'\'\'.*?\'{3,5}|"(?:[^"\\\n]|\\.)*"|\'[^\'\n]*\')'
    r"|(?P<space>[ \t\r]+|\#[^\n]*)|(?P<newline>\n)"
    r"|(?P<sign>[\[\]{}=,.])|(?P<bare>[^\s\[\]{}=,.#]+)",
    re.DOTALL,
)
_ESCAPE = re.compile(r'\\(["\\])')


@dataclass(frozen=True, slots=True)
class Token:
    """A piece of the text: what it is ("text", "newline", "sign", "bare"), the piece, its line."""

    kind: str
    text: str
    line: int


def tokens_of(text: str) -> list[Token]:
    """Return the tokens of a TOML text, blanks and comments left out.

    Raises
    ------
    SettingError
        When brackets or dotted keys are nested too deep.

    Examples
    --------
    >>> [token.text for token in tokens_of("a = 1  # one")]
    ['a', '=', '1']
    """
    found, line, depth, dots = [], 1, 0, 0
    for match in _TOKEN.finditer(text):
        kind, piece = match.lastgroup or "", match[0]
        if kind != "space":
            found.append(Token(kind, piece, line))
        if kind == "sign":
            depth += (piece in "[{") - (piece in "]}")
            dots = dots + 1 if piece == "." else 0
        elif kind == "newline":
            dots = 0
        if max(depth, dots) > _DEEPEST:
            raise SettingError(
                f"brackets or dotted keys are nested more than {_DEEPEST} deep",
                element=f"line {line}",
                value=max(depth, dots),
                limit=_DEEPEST,
                remedy="a job needs no such nesting",
            )
        line += piece.count("\n")
    return found


def key_lines(tokens: list[Token]) -> dict[Path, int]:
    r"""Return the line of each table and each key.

    Parameters
    ----------
    tokens : list of Token
        Of a text that is TOML.

    Examples
    --------
    >>> lines = key_lines(tokens_of("[[step]]\ndo = 'drill'\nat = {x = 1,\n y = 2}"))
    >>> lines["step", 0, "do"], lines["step", 0, "at", "x"]
    (2, 3)
    """
    return dict(_Scan(tokens).run())


class _Scan:
    """A walk over the tokens; `at` is the next one."""

    def __init__(self, tokens: list[Token]) -> None:
        self.tokens, self.at = tokens, 0
        self.counts: dict[Path, int] = {}

    def run(self) -> Iterator[tuple[Path, int]]:
        table: Path = ()
        while self.at < len(self.tokens):
            token = self.tokens[self.at]
            if token.kind == "newline":
                self.at += 1
            elif token.text == "[":
                table = self._header()
                yield table, token.line
            else:
                yield from self._pair(table)

    def _header(self) -> Path:
        """Read [a.b] or [[a.b]] and return the table's path, arrays with their last index."""
        many = self._sign(1) == "["
        self.at += 2 if many else 1
        names = self._names("]")
        self.at += 2 if many else 1
        path: Path = ()
        for name in names[:-1]:
            path = self._inside((*path, name))
        path = (*path, names[-1])
        if many:
            self.counts[path] = self.counts.get(path, -1) + 1
        return self._inside(path)

    def _inside(self, path: Path) -> Path:
        return (*path, self.counts[path]) if path in self.counts else path

    def _pair(self, table: Path) -> Iterator[tuple[Path, int]]:
        line = self.tokens[self.at].line
        path = (*table, *self._names("="))
        self.at += 1
        yield path, line
        yield from self._value(path)

    def _value(self, path: Path) -> Iterator[tuple[Path, int]]:
        sign = self._sign(0)
        if sign == "[":
            yield from self._array(path)
        elif sign == "{":
            yield from self._inline(path)
        else:
            while self.at < len(self.tokens) and not self._ends():
                self.at += 1

    def _array(self, path: Path) -> Iterator[tuple[Path, int]]:
        index = 0
        self.at += 1
        while self._skipped() != "]":
            yield (*path, index), self.tokens[self.at].line
            yield from self._value((*path, index))
            index += 1
        self.at += 1

    def _inline(self, path: Path) -> Iterator[tuple[Path, int]]:
        self.at += 1
        while self._skipped() != "}":
            yield from self._pair(path)
        self.at += 1

    def _names(self, end: str) -> list[str]:
        """Read dotted names up to a sign."""
        names = []
        while self._sign(0) != end:
            token = self.tokens[self.at]
            if token.kind in {"bare", "text"}:
                names.append(_name(token))
            self.at += 1
        return names

    def _skipped(self) -> str:
        """Pass over line ends and commas; return the next sign, if it is one."""
        while self.tokens[self.at].kind == "newline" or self._sign(0) == ",":
            self.at += 1
        return self._sign(0)

    def _sign(self, ahead: int) -> str:
        token = self.tokens[self.at + ahead]
        return token.text if token.kind == "sign" else ""

    def _ends(self) -> bool:
        return self.tokens[self.at].kind == "newline" or self._sign(0) in {",", "]", "}"}


def _name(token: Token) -> str:
    """Take the quotes off a key."""
    if token.kind == "bare":
        return token.text
    inner = token.text[1:-1]
    return _ESCAPE.sub(r"\1", inner) if token.text[0] == '"' else inner
