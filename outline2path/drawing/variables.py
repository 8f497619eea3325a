"""Variables: the custom properties of CSS -> the values that `var()` stands for.

In: the declarations of one element, as text, and the custom properties (`--name`) around it. Out:
the custom properties inside it, and its declarations with every `var()` replaced. Rules: CSS
Custom Properties 1 (from memory): a fallback may follow the name; properties that go round in a
circle, or have no value and no fallback, make the declaration that uses them invalid. Each
property is worked out once and texts are bounded, so a small file cannot make a large one.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

__all__ = ["custom_properties", "substituted"]

_CALL = "var("
_LONGEST = 4096
_DEEPEST = 20

Look = Callable[[str], str | None]


def custom_properties(own: Mapping[str, str], around: Mapping[str, str]) -> dict[str, str]:
    """Return the custom properties inside an element, those without a value left out.

    Examples
    --------
    >>> custom_properties({"--b": "var(--a) 2"}, {"--a": "1"})
    {'--a': '1', '--b': '1 2'}
    """
    known = {k: v for k, v in around.items() if k not in own}
    busy: set[str] = set()

    def look(name: str) -> str | None:
        if name in known or name not in own or name in busy or len(busy) > _DEEPEST:
            return known.get(name)
        busy.add(name)
        value = substituted(own[name], look)
        busy.discard(name)
        if value is not None:
            known[name] = value
        return value

    for name in own:
        look(name)
    return known


def substituted(text: str, look: Look) -> str | None:
    """Return a value with every `var()` replaced; None where one of them has no value.

    Parameters
    ----------
    text : str
        The value as written.
    look : callable
        Gives the value of a custom property by its name, or None.

    Examples
    --------
    >>> substituted("1px solid var(--c, red)", {}.get)
    '1px solid red'
    >>> substituted("var(--c)", {}.get) is None
    True
    """
    for _ in range(_LONGEST):
        start = text.find(_CALL)
        if start < 0:
            return text.strip()
        end = _closing(text, start + len(_CALL))
        name, comma, fallback = text[start + len(_CALL) : end].partition(",")
        value = look(name.strip())
        if value is None:
            value = fallback if comma else None
        value = value if value is None else value.strip()
        if value is None or len(text) + len(value) > _LONGEST:
            return None
        text = f"{text[:start]}{value}{text[end + 1 :]}"
    return None


def _closing(text: str, at: int) -> int:
    """Return where the bracket opened before `at` closes; the end of the text if never."""
    depth = 1
    for k in range(at, len(text)):
        depth += (text[k] == "(") - (text[k] == ")")
        if depth == 0:
            return k
    return len(text)
