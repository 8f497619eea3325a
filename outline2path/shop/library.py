"""Library: cutters, machines, materials, stock and holdings from a TOML file a workshop keeps.

In: the path of a file with tables such as [cutters."flat 3 mm"]. Each table holds what the Python
value takes, by the same names: `Cutter`, `Machine`, `Stock`, `Holding` and, in N/mm2, lengths,
m/min, kg/m3 and N, `Material`. A material may be `like` another one and say only what differs.
Out: a Shop, its values by name.

Refused, with the file, the line, the key and what was probably meant: unknown tables and keys,
values of a wrong kind or unit, figures that the value itself refuses, files that are no TOML, too
large, or hold too much.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from typing import Any, TypeVar

from outline2path.errors import SettingError
from outline2path.shop.cutter import Cutter
from outline2path.shop.holding import Clamp, Holding
from outline2path.shop.machine import Machine
from outline2path.shop.material import MATERIALS, Material, find_material
from outline2path.shop.shelf import Shelf, Table
from outline2path.shop.stock import Stock
from outline2path.units import MM_PER_INCH, parse_length

__all__ = ["Shop", "read_shop", "shipped_shop"]

T = TypeVar("T")
ChipLoads = tuple[tuple[str | float, str | float], ...]

_CHIP_WIDTHS = 3


@dataclass(frozen=True, kw_only=True)
class Shop:
    """What a workshop has, by the names it goes by.

    Attributes
    ----------
    cutters, machines, materials, stocks, holdings : mapping of str
        In the order of the file.

    Examples
    --------
    >>> shipped_shop().cutter("flat 3 mm").diameter_mm
    3.0
    >>> shipped_shop().cutter("flat 3")
    Traceback (most recent call last):
    outline2path.errors.SettingError: the shop has no cutter 'flat 3'; did you mean 'flat 3 mm'?
    """

    cutters: Mapping[str, Cutter] = field(default_factory=dict)
    machines: Mapping[str, Machine] = field(default_factory=dict)
    materials: Mapping[str, Material] = field(default_factory=dict)
    stocks: Mapping[str, Stock] = field(default_factory=dict)
    holdings: Mapping[str, Holding] = field(default_factory=dict)

    def cutter(self, name: str) -> Cutter:
        """Return a cutter by its name, or refuse with the nearest name."""
        return _named(self.cutters, name, "cutter")

    def machine(self, name: str) -> Machine:
        """Return a machine by its name, or refuse with the nearest name."""
        return _named(self.machines, name, "machine")

    def stock(self, name: str) -> Stock:
        """Return stock by its name, or refuse with the nearest name."""
        return _named(self.stocks, name, "stock")

    def holding(self, name: str) -> Holding:
        """Return a way of holding by its name, or refuse with the nearest name."""
        return _named(self.holdings, name, "holding")

    def material(self, name: str) -> Material:
        """Return a material by its name, or one that ships whose name stands in it.

        Examples
        --------
        >>> Shop().material("birch plywood").name
        'plywood'
        """
        return self.materials[name] if name in self.materials else find_material(name)


def _named(things: Mapping[str, T], name: str, what: str) -> T:
    if name in things:
        return things[name]
    near = get_close_matches(name, things, n=1, cutoff=0.4)
    known = ", ".join(map(repr, things)) or "none"
    raise SettingError(
        f"the shop has no {what} {name!r}",
        value=name,
        remedy=f"did you mean {near[0]!r}?" if near else f"it has: {known}",
    )


def read_shop(path: str | os.PathLike[str]) -> Shop:
    r"""Read a workshop's file.

    Parameters
    ----------
    path : str or path
        A TOML file of at most 1 MB.

    Raises
    ------
    SettingError
        When the file cannot be read, or anything in it is unknown, of a wrong kind or unit, or
        impossible; the message begins with the file and the line.

    Examples
    --------
    >>> import pathlib, tempfile
    >>> file = pathlib.Path(tempfile.mkdtemp(), "shop.toml")
    >>> _ = file.write_text('[cutters.small]\ndiameter = "1/8 in"\nflutes = 1\n')
    >>> read_shop(file).cutters
    {'small': Cutter("3.175 mm", flutes=1, name='small')}
    """
    return _shop(Shelf.of(path))


@cache
def shipped_shop() -> Shop:
    """Return the small library that ships: generic sizes, invented and labelled so.

    Examples
    --------
    >>> sorted(shipped_shop().materials)[:3]
    ['acrylic', 'aluminium', 'american beech']
    """
    text = files("outline2path.shop").joinpath("shipped.toml").read_text(encoding="utf-8")
    return _shop(Shelf("shipped.toml", text))


def _shop(shelf: Shelf) -> Shop:
    shelf.check_groups(("cutters", "machines", "materials", "stocks", "holdings"))
    materials = _materials(shelf)
    return Shop(
        cutters=_group(shelf, "cutters", Cutter),
        machines=_group(shelf, "machines", Machine),
        materials=materials,
        stocks=_stocks(shelf, materials),
        holdings=_holdings(shelf),
    )


def _group(shelf: Shelf, group: str, make: Callable[..., T]) -> dict[str, T]:
    """Make one value of each table of a group, named after its table unless it says otherwise."""
    return {
        table.name: table.call(make, {"name": table.name, **table.values})
        for table in shelf.tables(group)
    }


def _stocks(shelf: Shelf, materials: Mapping[str, Material]) -> dict[str, Stock]:
    found = {}
    for table in shelf.tables("stocks"):
        own = materials.get(table.values.get("material", ""))
        options = {**table.values, "material": "plywood"} if own else table.values
        stock = table.call(Stock, options)
        found[table.name] = stock.with_material(own) if own else stock
    return found


def _holdings(shelf: Shelf) -> dict[str, Holding]:
    found = {}
    for table in shelf.tables("holdings"):
        clamps = [part.call(Clamp, part.values) for part in table.parts("clamps")]
        options = {"name": table.name, **table.values, "clamps": tuple(clamps)}
        found[table.name] = table.call(Holding, options)
    return found


def _materials(shelf: Shelf) -> dict[str, Material]:
    """Make the materials: first those that stand alone, then those that are like another."""
    tables = shelf.tables("materials")
    found = {
        table.name: table.call(_material, {"name": table.name, **table.values})
        for table in tables
        if "like" not in table.values
    }
    for table in tables:
        if "like" in table.values:
            found[table.name] = _alike(table, {**MATERIALS, **found})
    return {table.name: found[table.name] for table in tables}


def _alike(table: Table, known: Mapping[str, Material]) -> Material:
    """Make a material that says only what differs from another."""
    like = table.values["like"]
    if like not in known:
        near = get_close_matches(str(like), known, n=1)
        raise table.fault(
            f"there is no material {like!r} to be like",
            "like",
            value=like,
            remedy=f"did you mean {near[0]!r}?" if near else f"name one of: {', '.join(known)}",
        )
    base = known[like]
    loads = tuple((low * MM_PER_INCH, high * MM_PER_INCH) for low, high in base.chip_loads_in)
    whole: dict[str, Any] = {
        "name": table.name,
        "cutting_force": base.cutting_force_n_mm2,
        "chip_loads": loads,
        "surface_speeds": base.surface_speeds_m_min,
        "density": base.density_kg_m3,
        "hardness": base.hardness_n,
    }
    rest = {key: value for key, value in table.values.items() if key != "like"}
    return table.call(_material, {**whole, **rest}, also=("like",))


def _material(
    *,
    name: str,
    cutting_force: float,
    chip_loads: ChipLoads,
    surface_speeds: tuple[float, float] | None = None,
    density: float | None = None,
    hardness: float | None = None,
    source: str = "no source told",
) -> Material:
    """Make a material from what a file says of it."""
    if len(chip_loads) != _CHIP_WIDTHS:
        raise SettingError(
            f"{len(chip_loads)} chip loads are told",
            value=chip_loads,
            remedy="give three pairs, low and high, for cutters of 1/8, 1/4 and 1/2 in",
        )
    pairs = [
        (parse_length(low) / MM_PER_INCH, parse_length(high) / MM_PER_INCH)
        for low, high in chip_loads
    ]
    return Material(
        name=name,
        cutting_force_n_mm2=float(cutting_force),
        chip_loads_in=(pairs[0], pairs[1], pairs[2]),
        surface_speeds_m_min=surface_speeds,
        density_kg_m3=density,
        hardness_n=hardness,
        source=source,
    )
