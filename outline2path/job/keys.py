"""Keys: what a table of a job's file may say, taken from the Python functions themselves.

In: a function such as `Job.pocket` or `Stock`. Out: a Key for each of its arguments, with the kind
of value, the choices, the default and the words of its docstring. Reader, schema and starting
file all use these, so that names and defaults of Python and TOML cannot drift apart.
"""

from __future__ import annotations

import inspect
import re
import types
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from outline2path.drawing.figures import FillRule
from outline2path.drawing.outline import Outline
from outline2path.drawing.source import Paint, Strokes
from outline2path.errors import SettingError
from outline2path.shop.cutter import Cutter

__all__ = ["REQUIRED", "Key", "Kind", "keys_of"]

_NAMES = {
    **dict.fromkeys(("Self", "Job", "Plan", "Limits"), object),
    "Outline": Outline,
    "Cutter": Cutter,
    "Strokes": Strokes,
    "Paint": Paint,
    "FillRule": FillRule,
}
"""Names in hints that their modules import for type checking only."""
REQUIRED = inspect.Parameter.empty
"""Default of a key that must be given."""


@dataclass(frozen=True)
class Kind:
    """A kind of value.

    Attributes
    ----------
    name : str
        "quantity" (a number, or text with a unit), "number", "integer", "boolean", "text",
        "choice", "drawing", "cutter" (names of tables), "list" or "table".
    choices : tuple of str
        Of a choice.
    items : tuple of Kind
        Of a list: one for all its items, or one for each of `length` items.
    length : int or None
        Of a list of fixed length.
    keys : mapping of str to Key
        Of a table.
    """

    name: str
    choices: tuple[str, ...] = ()
    items: tuple[Kind, ...] = ()
    length: int | None = None
    keys: Mapping[str, Key] | None = None


@dataclass(frozen=True, kw_only=True)
class Key:
    """One key: its name in the file, the argument it stands for, its kinds, default and words.

    Examples
    --------
    >>> def cut(*, depth: str | float = 2.0) -> None: ...
    >>> key = keys_of(cut)["depth"]
    >>> key.kinds[0].name, key.default
    ('quantity', 2.0)
    """

    name: str
    argument: str
    kinds: tuple[Kind, ...]
    default: Any = REQUIRED
    words: str = ""

    @property
    def required(self) -> bool:
        """Whether it must be given."""
        return self.default is REQUIRED


def keys_of(
    function: Callable[..., Any],
    *,
    without: Collection[str] = (),
    words: str | None = None,
    owner: object = None,
) -> dict[str, Key]:
    """Return the keys that a function's arguments make.

    Parameters
    ----------
    function : callable
        Its hints and defaults are read; `outline` becomes the key `drawing`.
    without : collection of str
        Arguments that are no keys.
    words : str, optional
        Docstring to take the words from; the function's own when left out.
    owner : object, optional
        A class whose docstring is read where the function is its `__init__`.

    Raises
    ------
    SettingError
        When an argument is of a kind that no file can hold.

    Examples
    --------
    >>> from outline2path.shop.stock import Stock
    >>> list(keys_of(Stock.__init__, owner=Stock))
    ['size', 'thickness', 'material', 'grain']
    """
    told = _words(words or inspect.getdoc(owner or function) or "")
    hints = get_type_hints(function, localns=_NAMES)
    found = {}
    for name, parameter in inspect.signature(function).parameters.items():
        if name in without or name == "self":
            continue
        key = "drawing" if name == "outline" else name
        found[key] = Key(
            name=key,
            argument=name,
            kinds=_kinds(hints[name], name),
            default=parameter.default,
            words=told.get(name, ""),
        )
    return found


def _kinds(hint: Any, name: str) -> tuple[Kind, ...]:
    """Return the kinds that a type hint allows."""
    members = get_args(hint) if get_origin(hint) in {Union, types.UnionType} else (hint,)
    members = tuple(m for m in members if m is not type(None))
    if str in members and (float in members or int in members):
        rest = tuple(m for m in members if m not in {str, float, int})
        return (Kind("quantity"), *(_kind(m, name) for m in rest))
    return tuple(_kind(m, name) for m in members)


def _kind(hint: Any, name: str) -> Kind:
    plain = {str: "text", float: "number", int: "integer", bool: "boolean"}
    named = {Outline: "drawing", Cutter: "cutter"}
    if hint in plain:
        return Kind(plain[hint])
    if hint in named:
        return Kind(named[hint])
    if get_origin(hint) is Literal:
        return Kind("choice", choices=tuple(get_args(hint)))
    arguments = [a for a in get_args(hint) if a is not Ellipsis]
    if not arguments:
        raise SettingError(f"{name} is of a kind no file can hold, {hint!r}", value=name)
    fixed = get_origin(hint) is tuple and Ellipsis not in get_args(hint)
    items = tuple(kind for a in arguments for kind in _kinds(a, name))
    return Kind(
        "list", items=tuple(dict.fromkeys(items)), length=len(arguments) if fixed else None
    )


def _words(doc: str) -> dict[str, str]:
    """Read the Parameters part of a docstring: what is said of each argument."""
    part = re.search(r"Parameters\n-+\n(.*?)(?:\n\n\w+\n-+\n|\Z)", doc, re.DOTALL)
    told: dict[str, str] = {}
    names: list[str] = []
    for line in (part[1] if part else "").splitlines():
        if line and not line[0].isspace():
            names = [n.strip() for n in line.partition(" : ")[0].split(",")]
        for name in names if line[:1].isspace() else ():
            told[name] = f"{told.get(name, '')} {line.strip()}".strip()
    return told
