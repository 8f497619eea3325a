"""Shelf: a TOML file of tables [group.NAME], with the line of each key for its errors.

In: the text of a file. Out: tables whose values are handed to a function by name, after their keys
and kinds were held against its signature. TOML is read by the standard library, which tells no
lines; those are found by looking for the header and the key again (TOML 1.0, toml.io, from
memory).

Refused with file, line, key and what was probably meant: see `library`.
"""

from __future__ import annotations

import inspect
import os
import re
import tomllib
from collections.abc import Callable, Collection, Mapping
from contextlib import suppress
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import Any, TypeVar

from outline2path.errors import OutlinePathError, SettingError
from outline2path.units import parse_angle, parse_feed, parse_length, parse_speed

__all__ = ["Shelf", "Table"]

T = TypeVar("T")

_LARGEST = 1_000_000
"""Bytes: a workshop's file has thousands."""
_MOST = 2000
"""Tables in a group."""
_KINDS: dict[str, tuple[str, tuple[type, ...]]] = {
    "bool": ("true or false", (bool,)),
    "int": ("a whole number", (int,)),
    "float": ("a number", (int, float)),
    "str": ("text", (str,)),
    "str | float": ("a number, or text with a unit", (str, int, float)),
}


class Shelf:
    r"""A workshop's file.

    Parameters
    ----------
    name : str
        Of the file, for errors.
    text : str
        All of it.

    Raises
    ------
    SettingError
        When the text is no TOML.

    Examples
    --------
    >>> shelf = Shelf("shop.toml", "[cutters.small]\ndiameter = 3\n")
    >>> [(table.name, table.values, table.line("diameter")) for table in shelf.tables("cutters")]
    [('small', {'diameter': 3}, 2)]
    """

    def __init__(self, name: str, text: str) -> None:
        self.name, self.lines = name, text.splitlines()
        try:
            self.values: dict[str, Any] = tomllib.loads(text)
        except (tomllib.TOMLDecodeError, RecursionError) as fault:
            raise SettingError(
                f"no TOML: {str(fault)[:120] or 'nested too deep'}",
                element=name,
                remedy='tables look like [cutters.small], keys like diameter = "3 mm"',
            ) from fault

    @classmethod
    def of(cls, path: str | os.PathLike[str]) -> Shelf:
        """Read a file.

        Raises
        ------
        SettingError
            When it cannot be read, is too large or is no text.
        """
        file = Path(path)
        try:
            with file.open("rb") as stream:
                data = stream.read(_LARGEST + 1)
            text = data.decode("utf-8")
        except (OSError, ValueError) as fault:
            why = getattr(fault, "strerror", None) or "it is no UTF-8 text"
            raise SettingError(
                f"cannot be read: {why}", element=str(file)[:200], remedy="check its name"
            ) from fault
        if len(data) > _LARGEST:
            raise SettingError(
                f"more than {_LARGEST} bytes", element=str(file), limit=_LARGEST, remedy="split it"
            )
        return cls(file.name, text)

    def check_groups(self, known: Collection[str]) -> None:
        """Refuse groups that are none of those known, and groups that are no tables."""
        for group, tables in self.values.items():
            if group not in known:
                raise SettingError(
                    f"unknown table [{group}]",
                    element=f"{self.name}, line {self.header(group)}",
                    value=group,
                    remedy=_meant(group, known),
                )
            if not isinstance(tables, dict) or not all(
                isinstance(table, dict) for table in tables.values()
            ):
                raise SettingError(
                    f"[{group}] holds something without a name",
                    element=f"{self.name}, line {self.header(group)}",
                    value=group,
                    remedy=f"give each one a table of its own, as [{group}.small]",
                )
            if len(tables) > _MOST:
                raise SettingError(
                    f"{len(tables)} {group} are more than {_MOST}", element=self.name, limit=_MOST
                )

    def tables(self, group: str) -> list[Table]:
        """Return the tables of a group in the order of the file."""
        return [
            Table(self, f"{group}.{name}", name, values)
            for name, values in self.values.get(group, {}).items()
        ]

    def header(self, title: str) -> int:
        """Return the line of a table's header, or of the first line that speaks of it."""
        group, _, name = title.partition(".")
        quoted = "|".join(re.escape(f"{q}{name}{q}") for q in ("", '"', "'"))
        exact = re.compile(rf"\s*\[\s*{re.escape(group)}\s*\.\s*(?:{quoted})\s*\]")
        loose = re.compile(rf"\s*\[*\s*{re.escape(group)}\b")
        for pattern in (exact, loose) if name else (loose,):
            for number, line in enumerate(self.lines, 1):
                if pattern.match(line):
                    return number
        return 1


@dataclass(frozen=True, eq=False)
class Table:
    """One table of a shelf, or a part of one: its title, its name, its values.

    Examples
    --------
    >>> (table,) = Shelf("ours.toml", "[cutters.small]").tables("cutters")
    >>> table.title, table.name, table.values
    ('cutters.small', 'small', {})
    """

    shelf: Shelf
    title: str
    name: str
    values: Mapping[str, Any]

    def line(self, key: str) -> int:
        """Return the line of a key, or of the header where it is not found."""
        first = self.shelf.header(self.title)
        pattern = re.compile(rf"[^#]*(?<![\w-])[\"']?{re.escape(key)}[\"']?\s*=")
        for number, line in enumerate(self.shelf.lines[first:], first + 1):
            if line.lstrip().startswith("[") and "=" not in line:
                break
            if pattern.match(line):
                return number
        return first

    def parts(self, key: str) -> list[Table]:
        """Return the tables in a list of them.

        Raises
        ------
        SettingError
            When there is something else under that key.
        """
        found = self.values.get(key, [])
        if not isinstance(found, list) or not all(isinstance(part, dict) for part in found):
            raise self.fault(
                f"{key} is no list of tables",
                key,
                value=found,
                remedy=f"write {key} = [{{ ... }}]",
            )
        return [Table(self.shelf, self.title, f"{self.name}, {key}", part) for part in found]

    def call(
        self, make: Callable[..., T], options: Mapping[str, Any], *, also: Collection[str] = ()
    ) -> T:
        r"""Hand values to a function by name, and tell of what it refuses with file and line.

        Parameters
        ----------
        make : callable
            What makes the value; its signature names the keys and their kinds.
        options : mapping of str
            The table's values, and what goes with them.
        also : collection of str
            Keys known besides, for what was probably meant.

        Raises
        ------
        SettingError
            When a key is unknown or missing, or a value is of a wrong kind or refused.

        Examples
        --------
        >>> def brush(*, width: float) -> float:
        ...     return width
        >>> (table,) = Shelf("ours.toml", "[brushes.old]\nwidth = 3").tables("brushes")
        >>> table.call(brush, table.values)
        3
        """
        parameters = inspect.signature(make).parameters
        for key in self.values:
            if key not in parameters and key not in also:
                raise self.fault(
                    f"unknown key {key!r}", key, remedy=_meant(key, [*parameters, *also])
                )
        for name, parameter in parameters.items():
            if name in options and name in self.values:
                self._check_kind(name, str(parameter.annotation))
            elif name not in options and parameter.default is inspect.Parameter.empty:
                raise self.fault(f"{name} is missing", "", remedy=f"add a line {name} = ...")
        try:
            return make(**{key: _frozen(value) for key, value in options.items()})
        except OutlinePathError as fault:
            raise self._told(fault) from fault
        except (TypeError, ValueError, AttributeError, LookupError) as fault:
            key = next((k for k in self.values if isinstance(self.values[k], list | dict)), "")
            raise self.fault(
                f"a value is of the wrong kind ({str(fault)[:80]})",
                key,
                remedy="see the table's keys in the documentation",
            ) from fault

    def _check_kind(self, key: str, annotation: str) -> None:
        wanted = _KINDS.get(annotation.removesuffix(" | None"))
        value = self.values[key]
        if wanted is None:
            return
        words, types = wanted
        if not isinstance(value, types) or (isinstance(value, bool) and bool not in types):
            raise self.fault(
                f"{key} = {_shown(value)} is not {words}", key, value=value, remedy=f"give {words}"
            )

    def _told(self, fault: OutlinePathError) -> SettingError:
        """Repeat what a value refused, with file, line and key."""
        key = next((k for k, v in self.values.items() if _same(v, fault.value)), "")
        allowed = fault.limit if isinstance(fault.limit, tuple) else ()
        words = [word for word in allowed if isinstance(word, str)]
        remedy = _meant(str(fault.value), words) if words else fault.remedy
        return self.fault(
            f"{key}: {fault.message}" if key else fault.message,
            key,
            value=fault.value,
            remedy=remedy,
        )

    def fault(
        self, message: str, key: str, *, value: object = None, remedy: str | None = None
    ) -> SettingError:
        """Return an error that names the file, the line and the table."""
        line = self.line(key) if key else self.shelf.header(self.title)
        return SettingError(
            f"[{self.title}] {message}",
            element=f"{self.shelf.name}, line {line}",
            value=value,
            remedy=remedy,
        )


def _same(written: object, found: object) -> bool:
    """Tell whether a figure refused is the one that is written, or was read from it."""
    if found is None:
        return False
    if _frozen(written) == found or (isinstance(written, float) and repr(written) == repr(found)):
        return True
    if not isinstance(written, str):
        return False
    if isinstance(found, str):
        return found in written
    return isinstance(found, float | int) and _reads_as(written, found)


def _reads_as(written: str, figure: float) -> bool:
    """Tell whether a text with a number in front can be read as a figure, whatever its unit."""
    if re.match(r"\s*-?[\d.]+", written) is None:
        return False
    for parse in (parse_length, parse_feed, parse_speed, parse_angle):
        with suppress(OutlinePathError):
            if parse(written) == figure:
                return True
    return False


def _frozen(value: Any) -> Any:
    """Return lists as tuples, all the way down."""
    return tuple(map(_frozen, value)) if isinstance(value, list) else value


def _shown(value: object) -> str:
    return repr(value)[:40].replace("True", "true").replace("False", "false")


def _meant(name: str, known: Collection[str]) -> str:
    near = get_close_matches(name, known, n=1)
    return f"did you mean {near[0]!r}?" if near else f"known are: {', '.join(known)}"
