"""TOML file: a job's file as values, with the line of each, checked against its tables.

In: the path of a file. Out: plain values, in which every key is known and of the right kind, and
`fault`, which says of any value where it stands. Refused, with file, line and what was probably
meant: files too large, text that is no TOML, unknown keys, wrong kinds, missing keys.
"""

from __future__ import annotations

import difflib
import os
import re
import stat
import tomllib
from collections.abc import Callable, Iterable, Mapping
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any

from outline2path.errors import OutlinePathError, SettingError
from outline2path.job import toml_lines
from outline2path.units import parse_length

if TYPE_CHECKING:
    from outline2path.job.keys import Key, Kind

__all__ = ["TomlFile", "meant"]

MOST_BYTES = 512 * 1024
"""A job's file is text written by a person; larger ones are refused."""
_LARGEST = 1e12
_SHOWN = 40
_SAID = {
    "quantity": 'a number, or text with a unit such as "6 mm"',
    "number": "a number such as 0.4",
    "integer": "a whole number such as 4",
    "boolean": "true or false",
    "text": 'text in quotes, such as "oak"',
    "drawing": "the name of a drawing, in quotes",
    "cutter": "the name of a cutter, in quotes",
    "list": "a list in square brackets",
    "table": "a table, { key = value }",
    "named": "tables with names, [cutters.NAME]",
    "tables": "tables in double brackets, [[set_up]]",
}


class TomlFile:
    """A file's values and their lines.

    Parameters
    ----------
    path : str or path
        Of the file; drawings are looked for beside it.

    Raises
    ------
    SettingError
        When it cannot be read, is too large, or is no TOML.
    """

    def __init__(self, path: str | os.PathLike[str]) -> None:
        self.path = Path(path)
        text = _text_of(self.path)
        self.sha256 = sha256(text.encode("utf-8")).hexdigest()
        try:
            tokens = toml_lines.tokens_of(text)
            self.values: dict[str, Any] = tomllib.loads(text)
        except OutlinePathError as fault:
            fault.element = f"{self.path.name}, {fault.element}"
            raise
        except (ValueError, RecursionError) as fault:
            raise _no_toml(self.path.name, fault) from fault
        self.lines = toml_lines.key_lines(tokens)

    def fault(
        self,
        message: str,
        at: toml_lines.Path,
        *,
        value: object = None,
        remedy: str | None = None,
        limit: object = None,
    ) -> SettingError:
        """Return an error with file and line of a key or, failing that, of its table."""
        return SettingError(
            message, element=self.where(at), value=value, remedy=remedy, limit=limit
        )

    def where(self, at: toml_lines.Path) -> str:
        """Return file and line of a key, in words."""
        known = (at[:n] for n in range(len(at), 0, -1) if at[:n] in self.lines)
        line = next((self.lines[path] for path in known), None)
        return self.path.name if line is None else f"{self.path.name}, line {line}"

    def told(
        self,
        fault: OutlinePathError,
        at: toml_lines.Path,
        table: Mapping[str, Any],
        *,
        likely: Iterable[str] = (),
    ) -> OutlinePathError:
        """Give an error of a function the place of the key that caused it.

        Where neither value nor words of the error show the key, it is the first of the `likely`
        ones that the table has.
        """
        key = _culprit(fault, table) or next((name for name in likely if name in table), None)
        where = self.where(at if key is None else (*at, key))
        named = f"{key}: {fault.message}" if key and key not in fault.message else fault.message
        return type(fault)(
            f"{fault.element}: {named}" if fault.element else named,
            element=where,
            at_mm=fault.at_mm,
            value=fault.value,
            limit=fault.limit,
            remedy=fault.remedy,
        )

    def check(
        self, table: Mapping[str, Any], keys: Mapping[str, Key], at: toml_lines.Path
    ) -> None:
        """Refuse unknown keys, values of the wrong kind, and missing keys.

        Raises
        ------
        SettingError
            For the first fault, with its line.
        """
        for name, value in table.items():
            if name not in keys:
                raise self.fault(
                    f"unknown key {name[:_SHOWN]!r}",
                    (*at, name),
                    value=name,
                    remedy=meant(name, keys),
                )
            self._check_value(value, keys[name].kinds, (*at, name))
        missing = [key.name for key in keys.values() if key.required and key.name not in table]
        if missing:
            form = _form(None, keys[missing[0]].kinds).removeprefix("write ")
            raise self.fault(
                f"{_title(at)} lacks {' and '.join(missing)}",
                at,
                value=missing,
                remedy=f"give {missing[0]}: {form}",
            )

    def _check_value(self, value: Any, kinds: tuple[Kind, ...], at: toml_lines.Path) -> None:
        kind = next((kind for kind in kinds if _is_kind(value, kind)), None)
        if kind is None:
            raise self.fault(
                f"{at[-1]} = {_shown(value)} will not do",
                at,
                value=value,
                remedy=_form(value, kinds),
            )
        if kind.name == "list":
            for k, item in enumerate(value):
                self._check_value(item, kind.items, (*at, k))
        elif kind.keys:
            for path, table in _tables(value, kind, at):
                self.check(table, kind.keys, path)


def _tables(value: Any, kind: Kind, at: toml_lines.Path) -> list[tuple[toml_lines.Path, Any]]:
    """Return the tables in a value, each with its path."""
    if kind.name == "table":
        return [(at, value)]
    pairs = value.items() if kind.name == "named" else enumerate(value)
    return [((*at, key), table) for key, table in pairs]


def _form(value: Any, kinds: tuple[Kind, ...]) -> str:
    """Say how a value of these kinds is written."""
    choices = [choice for kind in kinds for choice in kind.choices]
    if choices and isinstance(value, str):
        return meant(value, choices)
    if choices:
        listed = ", ".join(f'"{choice}"' for choice in choices)
        return f"write one of {listed}"
    return f"write {' or '.join(_SAID[kind.name] for kind in kinds)}"


def meant(name: object, known: Iterable[str]) -> str:
    """Say which of the known names was probably meant, or list them.

    Examples
    --------
    >>> meant("dept", ["depth", "cutter"]), meant("colour", ["depth", "cutter"])
    ('did you mean "depth"?', 'use one of: depth, cutter')
    """
    names = list(known)
    close = difflib.get_close_matches(str(name)[:_SHOWN].lower(), names, n=1, cutoff=0.6)
    return f'did you mean "{close[0]}"?' if close else f"use one of: {', '.join(names)}"


def _is_kind(value: Any, kind: Kind) -> bool:
    if kind.name == "choice":
        return value in kind.choices
    if kind.name == "list":
        return isinstance(value, list) and kind.length in (None, len(value))
    return _KINDS[kind.name](value)


def _is_number(value: Any) -> bool:
    """Whether a value is a finite number of a size that a workshop knows."""
    plain = not isinstance(value, bool) and isinstance(value, int | float)
    return plain and abs(value) <= _LARGEST  # false for what is not a number


def _is_text(value: Any) -> bool:
    return isinstance(value, str)


def _is_table(value: Any) -> bool:
    return isinstance(value, dict)


_KINDS: dict[str, Callable[[Any], bool]] = {
    "quantity": lambda value: _is_number(value) or _is_text(value),
    "number": _is_number,
    "integer": lambda value: _is_number(value) and isinstance(value, int),
    "boolean": lambda value: isinstance(value, bool),
    "text": _is_text,
    "drawing": _is_text,
    "cutter": _is_text,
    "table": _is_table,
    "named": lambda value: _is_table(value) and all(map(_is_table, value.values())),
    "tables": lambda value: isinstance(value, list) and all(map(_is_table, value)),
}


def _culprit(fault: OutlinePathError, table: Mapping[str, Any]) -> str | None:
    """Return the key whose value an error is about: by its value, by its name, or by both."""
    equal = [n for n, v in table.items() if fault.value is not None and _same(v, fault.value)]
    named = [n for n in table if re.search(rf"\b{n.replace('_', '.')}\b", fault.message)]
    named.sort(key=len, reverse=True)
    both = [name for name in named if name in equal]
    certain = both or (equal if len(equal) == 1 else named or equal)
    return certain[0] if certain else None


def _same(written: Any, found: object) -> bool:
    """Whether a value as written is the one an error names, read or not."""
    if type(written) is type(found) and written == found:
        return True
    if isinstance(written, list):
        return any(_same(item, found) for item in written)
    if isinstance(found, float) and isinstance(written, str | int | float):
        try:
            return parse_length(written) == found
        except OutlinePathError:
            return False
    return False


def _shown(value: Any) -> str:
    text = {True: "true", False: "false"}.get(value) if isinstance(value, bool) else None
    text = text or (f'"{value}"' if isinstance(value, str) else _plain(value))
    return text if len(text) <= _SHOWN else f"{text[:_SHOWN]}..."


def _plain(value: Any) -> str:
    if isinstance(value, int) and abs(value) > _LARGEST:
        return "a number too large"
    return "a table" if isinstance(value, dict) else str(value)


def _title(at: toml_lines.Path) -> str:
    names = [str(part) for part in at if isinstance(part, str)]
    many = bool(at) and isinstance(at[-1], int)
    return f"[[{'.'.join(names)}]]" if many else f"[{'.'.join(names)}]" if names else "the file"


def _text_of(path: Path) -> str:
    """Read a plain file as text, no more than the limit."""
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            raise SettingError(f"{path} is no plain file", value=str(path), remedy="name a file")
        with path.open("rb") as stream:
            data = stream.read(MOST_BYTES + 1)
    except (OSError, ValueError) as fault:
        if isinstance(fault, SettingError):
            raise
        why = getattr(fault, "strerror", None) or fault
        raise SettingError(
            f"cannot read {str(path)[:200]}: {why}", value=str(path), remedy="check its name"
        ) from fault
    if len(data) > MOST_BYTES:
        raise SettingError(
            f"{path.name} is larger than {MOST_BYTES // 1024} KiB",
            value=len(data),
            limit=MOST_BYTES,
            remedy="keep drawings in files of their own",
        )
    try:
        return data.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as fault:
        line = data[: fault.start].count(b"\n") + 1
        raise SettingError(
            f"byte {fault.start} is no UTF-8",
            element=f"{path.name}, line {line}",
            remedy="save the file as UTF-8 text",
        ) from fault


def _no_toml(name: str, fault: Exception) -> SettingError:
    """Put the standard library's words and line into ours."""
    text = str(fault)
    place = re.search(r"\s*\(at (?:line (\d+), column \d+|end of document)\)", text)
    line = place[1] if place else None
    said = text[: place.start()] if place else text
    return SettingError(
        f"this is no TOML: {said[:120]}",
        element=f"{name}, line {line}" if line else f"{name}, at its end" if place else name,
        remedy='write key = value, text in "quotes", tables in [brackets]',
    )
