"""Calculating: the `calc()` of CSS -> a number.

In: the text between the brackets and a function that gives a single length in user units. Out: a
float, or None where the text cannot be worked out. Sums, differences, products and quotients
with brackets, as CSS Values and Units 3 section 8.1 (from memory) has them: a sign with blanks on
both sides adds, and at least one side of a product is a plain number.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable

__all__ = ["calculate"]

_TOKEN = re.compile(
    r"\s+([+-])\s+|\s*([*/()])|\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?(?:%|[a-zA-Z]*))"
)
_MOST = 200

Value = tuple[float, bool]
"""A number, and whether it is a length."""


def calculate(text: str, length: Callable[[str], float | None]) -> float | None:
    """Work out a sum of lengths.

    Parameters
    ----------
    text : str
        What stands inside `calc( )`.
    length : callable
        Gives a length with its unit in user units.

    Examples
    --------
    >>> calculate("2 * (3px + 4px) - 1px", lambda text: float(text[:-2]))
    13.0
    >>> calculate("3px * 4px", lambda text: float(text[:-2])) is None
    True
    """
    tokens = _tokens(text.strip().replace("calc(", "("))
    if not tokens:
        return None
    try:
        value, rest = _sum(tokens, length)
    except (ValueError, ZeroDivisionError, OverflowError, RecursionError):
        return None
    return value[0] if not rest and math.isfinite(value[0]) else None


def _tokens(text: str) -> list[str]:
    """Numbers, signs and brackets; none where anything else stands between them."""
    found: list[str] = []
    at = 0
    while at < len(text) and len(found) < _MOST:
        match = _TOKEN.match(text, at)
        if match is None:
            return []
        found.append(match[1] or match[2] or match[3])
        at = match.end()
    return found if at == len(text) else []


def _sum(tokens: list[str], length: Callable[[str], float | None]) -> tuple[Value, list[str]]:
    (total, is_length), rest = _product(tokens, length)
    while rest and rest[0] in "+-":
        sign = -1.0 if rest[0] == "-" else 1.0
        (more, also), rest = _product(rest[1:], length)
        if is_length != also:
            raise ValueError(f"{tokens[:8]} adds a number and a length")
        total += sign * more
    return (total, is_length), rest


def _product(tokens: list[str], length: Callable[[str], float | None]) -> tuple[Value, list[str]]:
    (total, is_length), rest = _one(tokens, length)
    while rest and rest[0] in "*/":
        (more, also), after = _one(rest[1:], length)
        if also and (is_length or rest[0] == "/"):
            raise ValueError(f"{tokens[:8]} multiplies lengths")
        total = total / more if rest[0] == "/" else total * more
        is_length, rest = is_length or also, after
    return (total, is_length), rest


def _one(tokens: list[str], length: Callable[[str], float | None]) -> tuple[Value, list[str]]:
    if not tokens or tokens[0] in "+-*/)":
        raise ValueError(f"{tokens[:8]} begins with no number")
    if tokens[0] == "(":
        value, rest = _sum(tokens[1:], length)
        if rest[:1] != [")"]:
            raise ValueError(f"{tokens[:8]} does not close its bracket")
        return value, rest[1:]
    if tokens[0][-1] in ".0123456789":
        return (float(tokens[0]), False), tokens[1:]
    known = length(tokens[0])
    if known is None:
        raise ValueError(f"{tokens[0]!r} is no length")
    return (known, True), tokens[1:]
