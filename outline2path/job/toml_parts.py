"""Parts: the blanks, cutters and drawings that a job's file names, each made once.

In: a checked TOML file. Out: `Stock`, `Cutter` and `Outline` values by the names of their tables;
whatever a function refuses is told with the line of the key that caused it. A drawing's table is
worked through in the order that `drawing_keys` gives.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterable, Mapping
from functools import cached_property
from typing import TYPE_CHECKING, Any

from outline2path.errors import OutlinePathError
from outline2path.job.toml_file import TomlFile, meant

if TYPE_CHECKING:
    from pathlib import Path

    from outline2path.drawing.outline import Outline
    from outline2path.job.keys import Key
    from outline2path.job.toml_lines import Path as At
    from outline2path.shop.cutter import Cutter
    from outline2path.shop.stock import Stock

__all__ = ["Parts", "tuples"]

Table = dict[str, Any]


class Parts:
    """What a file's tables stand for.

    Parameters
    ----------
    file : TomlFile
        Its tables have been checked.
    """

    def __init__(self, file: TomlFile) -> None:
        self.file, self.values = file, file.values
        self._cutters: dict[str, Cutter] = {}
        self._laid: dict[str, Outline] = {}
        self._done: dict[str, Outline] = {}

    @cached_property
    def stocks(self) -> list[Stock]:
        """The blank of each set-up."""
        from outline2path.shop.stock import Stock

        stocks = [self.call(Stock, self.values["stock"], ("stock",))]
        for number, table in enumerate(self.values["set_up"]):
            new = table.get("new_blank")
            at = ("set_up", number, "new_blank")
            stocks.append(stocks[-1] if new is None else self.call(Stock, new, at))
        return stocks[1:] or stocks

    @cached_property
    def _blanks(self) -> dict[str, int]:
        """The first set-up in which each drawing is cut, by its name."""
        first: dict[str, int] = {}
        drawings = self.values.get("drawings", {})
        for number, table in enumerate(self.values["set_up"]):
            for step in table["step"]:
                names = [v for v in step.values() if isinstance(v, str) and v in drawings]
                while names:
                    name = names.pop()
                    if first.setdefault(name, number) == number and "part_of" in drawings[name]:
                        names += {drawings[name]["part_of"]} & drawings.keys() - first.keys()
        return first

    def cutter(self, name: str, at: At) -> Cutter:
        """Return a cutter by its name; `at` is where it is asked for."""
        from outline2path.shop.cutter import Cutter

        table = self._table("cutters", name, at)
        if name not in self._cutters:
            self._cutters[name] = self.call(Cutter, table, ("cutters", name))
        return self._cutters[name]

    def drawing(self, name: str, at: At) -> Outline:
        """Return a drawing laid on its blank, its slots fitted and its corners relieved."""
        from outline2path.operations.fit import fit_slots
        from outline2path.operations.relief import relieve

        table = self._table("drawings", name, at)
        if name not in self._done:
            here: At = ("drawings", name)
            outline = self._lay(name, at, ())
            if "fit" in table:
                options = {"outline": outline, **table["fit"]}
                outline = self.call(fit_slots, options, (*here, "fit"))
            if "relief" in table:
                cutter = self.cutter(table["relief"]["cutter"], (*here, "relief", "cutter"))
                options = {**table["relief"], "outline": outline, "cutter": cutter}
                outline = self.call(relieve, options, (*here, "relief"), asked=table["relief"])
            self._done[name] = outline
        return self._done[name]

    def _table(self, kind: str, name: str, at: At) -> Table:
        known: Table = self.values.get(kind, {})
        if name not in known:
            raise self.file.fault(
                f"there is no [{kind}.{name[:40]}]",
                at,
                value=name,
                remedy=meant(name, known) if known else f"add a table [{kind}.{name[:40]}]",
            )
        table: Table = known[name]
        return table

    def _lay(self, name: str, at: At, above: tuple[str, ...]) -> Outline:
        from outline2path.job.drawing_keys import laid, sized

        table, here = self._table("drawings", name, at), ("drawings", name)
        if name in above:
            raise self.file.fault(
                f"the drawing {name!r} is part of itself", (*here, "part_of"), value=name
            )
        if name not in self._laid:
            outline = self._source(name, table, above)
            said = _those(table, sized)
            options = {**said, "outline": outline}
            outline = self.call(sized, options, here, asked=said, likely=("select", *said))
            said, stock = _those(table, laid), self.stocks[self._blanks.get(name, 0)]
            options = {**said, "outline": outline, "stock": stock}
            outline = self.call(laid, options, here, asked=said, likely=("copies", "at"))
            self._laid[name] = outline
        return self._laid[name]

    def _source(self, name: str, table: Table, above: tuple[str, ...]) -> Outline:
        """Return a drawing as it comes, before it is turned and sized."""
        from outline2path.drawing.reader import read_outline
        from outline2path.job.drawing_keys import MAKERS, gauge_piece
        from outline2path.job.tables import SOURCES

        here: At = ("drawings", name)
        given = [key for key in SOURCES if key in table]
        if len(given) != 1:
            raise self.file.fault(
                f"the drawing {name!r} comes from {' and '.join(given) or 'nowhere'}",
                here,
                value=given,
                remedy=f"give one of: {', '.join(SOURCES)}",
            )
        (source,) = given
        outline: Outline
        if source == "file":
            options = {**_those(table, read_outline), "source": self._path(table["file"], here)}
            outline = self.call(read_outline, options, (*here, "file"))
        elif source == "part_of":
            outline = self._lay(table["part_of"], (*here, "part_of"), (*above, name))
        elif source == "gauge":
            options = {"piece": table.get("piece", "plate"), "settings": table["gauge"]}
            outline = self.call(gauge_piece, options, (*here, "gauge"), asked=table["gauge"])
        else:
            outline = self.call(MAKERS[source], table[source], (*here, source))
        return outline

    def _path(self, name: str, at: At) -> Path:
        path = self.file.path.parent / name
        try:
            plain = path.is_file()
        except (OSError, ValueError):
            plain = False
        if not plain:
            raise self.file.fault(
                f"there is no drawing {name[:200]!r} in the folder of this file",
                (*at, "file"),
                value=name,
                remedy="give its name as seen from there",
            )
        return path

    def call(
        self,
        function: Callable[..., Any],
        options: Mapping[str, Any],
        at: At,
        *,
        asked: Mapping[str, Any] | None = None,
        keys: Mapping[str, Key] | None = None,
        likely: Iterable[str] = (),
    ) -> Any:
        """Call a function with what a table says; its errors get the place of their key."""
        named = {keys[name].argument if keys else name: v for name, v in options.items()}
        try:
            return function(**{name: tuples(value) for name, value in named.items()})
        except OutlinePathError as fault:
            table = options if asked is None else asked
            raise self.file.told(fault, at, table, likely=likely) from fault


def tuples(value: Any) -> Any:
    """Return a value with tuples for lists, however deep.

    Examples
    --------
    >>> tuples([[1, 2], "a"])
    ((1, 2), 'a')
    """
    return tuple(map(tuples, value)) if isinstance(value, list) else value


def _those(table: Table, function: Callable[..., Any]) -> Table:
    """Return what a table says of a function's own arguments."""
    names = inspect.signature(function).parameters
    return {name: value for name, value in table.items() if name in names}
