"""Choosing: parts of a drawing by id, class, label, layer, element or colour.

In: figures and a `Choice`, or its text such as "layer=Cut, fill=red". Out: the figures that it
takes. A name may hold `*` and `?`. A choice of a group takes everything in it. Colours are
compared as colours, so `red` takes `#f00` too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from fnmatch import fnmatchcase
from typing import TYPE_CHECKING

from outline2path.drawing.paint import parse_colour
from outline2path.errors import DrawingError, SettingError

if TYPE_CHECKING:
    from outline2path.drawing.figures import Element, Figure

__all__ = ["Choice", "choose", "keys_of", "parse_choice"]

_WORDS = {"class": "class_name", "color": "fill", "colour": "fill", "name": "label"}
_FORMS = (
    "write id=heron, class=part, label=base, layer=Cut, element=circle, fill=red or stroke=blue"
)


@dataclass(frozen=True, kw_only=True)
class Choice:
    """What a part must be; every field given must hold.

    Attributes
    ----------
    id, class_name, label, layer, element : str or None
        Of the shape or of any group around it; `*` and `?` stand for any letters.
    fill, stroke : str or None
        Colour of the shape's own fill or line; "none" for no paint, "*" for any.

    Examples
    --------
    >>> Choice(id="wing-*")
    Choice(id='wing-*')
    """

    id: str | None = None
    class_name: str | None = None
    label: str | None = None
    layer: str | None = None
    element: str | None = None
    fill: str | None = None
    stroke: str | None = None

    def __repr__(self) -> str:
        given = [(f.name, getattr(self, f.name)) for f in fields(self)]
        return f"Choice({', '.join(f'{k}={v!r}' for k, v in given if v is not None)})"

    def __str__(self) -> str:
        given = [(f.name, getattr(self, f.name)) for f in fields(self)]
        named = [f"{k}={v}" for k, v in given if v is not None]
        return ", ".join(named).replace("class_name=", "class=")

    def takes(self, figure: Figure) -> bool:
        """Tell whether a figure is chosen."""
        named = [(k, getattr(self, k)) for k in ("id", "class_name", "label", "layer", "element")]
        return all(
            any(_is(element, key, wanted) for element in figure.lineage)
            for key, wanted in named
            if wanted is not None
        ) and all(
            _same_colour(have, wanted)
            for have, wanted in ((figure.fill, self.fill), (figure.stroke_colour, self.stroke))
            if wanted is not None
        )


def parse_choice(text: str) -> Choice:
    """Read a choice.

    Parameters
    ----------
    text : str
        Parts such as `layer=Cut`, joined by commas when all must hold. `#heron` is short for
        an id, `.part` for a class; a bare name is an id.

    Raises
    ------
    SettingError
        When a part has no name or an unknown key.

    Examples
    --------
    >>> parse_choice("layer=Cut, fill=red"), parse_choice("#heron")
    (Choice(layer='Cut', fill='red'), Choice(id='heron'))
    """
    known = {f.name for f in fields(Choice)}
    given: dict[str, str] = {}
    for part in _parts(text):
        key, equals, value = part.partition("=")
        if not equals:
            short = {"#": "id", ".": "class_name"}.get(part[:1])
            key, value = short or "id", part[1:] if short else part
        key = _WORDS.get(key.strip().lower(), key.strip().lower())
        if key not in known or not value.strip():
            raise SettingError(f"{part!r} chooses nothing", value=text, remedy=_FORMS)
        given[key] = value.strip()
    if not given:
        raise SettingError(f"{text!r} chooses nothing", value=text, remedy=_FORMS)
    return Choice(**given)


def choose(figures: Sequence[Figure], choice: Choice) -> tuple[Figure, ...]:
    """Return the figures that a choice takes.

    Raises
    ------
    DrawingError
        When it takes none; the message lists what there is.

    Examples
    --------
    >>> choose([], Choice(id="heron"))
    Traceback (most recent call last):
    ...
    outline2path.errors.DrawingError: nothing in the drawing has id=heron; it has no names
    """
    chosen = tuple(f for f in figures if choice.takes(f))
    if not chosen:
        names = [
            f"{k}={v}" for k in ("id", "label", "layer", "class_name") for v in keys_of(figures, k)
        ]
        has = ", ".join(names[:12]).replace("class_name=", "class=") or "no names"
        raise DrawingError(
            f"nothing in the drawing has {choice}", value=choice, remedy=f"it has {has}"
        )
    return chosen


def keys_of(figures: Sequence[Figure], key: str) -> tuple[str, ...]:
    """Return the different ids, labels, layers, classes, elements or colours, in drawing order.

    Examples
    --------
    >>> keys_of([], "layer")
    ()
    """
    found: dict[str, None] = {}
    for figure in figures:
        if key in ("fill", "stroke"):
            colour = figure.fill if key == "fill" else figure.stroke_colour
            found.setdefault(colour or "none")
        else:
            found.update((v, None) for e in figure.lineage for v in _values(e, key))
    return tuple(found)


def _parts(text: str) -> list[str]:
    """Parts between commas, those inside parentheses of a colour left alone."""
    parts, depth = [""], 0
    for letter in text:
        depth += (letter == "(") - (letter == ")")
        if letter == "," and depth == 0:
            parts.append("")
        else:
            parts[-1] += letter
    return [p.strip() for p in parts if p.strip()]


def _values(element: Element, key: str) -> tuple[str, ...]:
    """Return what an element has under a key."""
    if key == "class_name":
        return element.classes
    if key == "layer":
        name = element.label or element.id
        return (name,) if element.is_layer and name else ()
    value = element.name if key == "element" else getattr(element, key)
    return (value,) if value else ()


def _is(element: Element, key: str, wanted: str) -> bool:
    return any(fnmatchcase(value, wanted) for value in _values(element, key))


def _same_colour(have: str | None, wanted: str) -> bool:
    if wanted == "*" or have is None:
        return have is not None if wanted == "*" else wanted.lower() == "none"
    colour = parse_colour(wanted)
    return have == (colour.colour if colour else wanted.lower())
