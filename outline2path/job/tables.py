"""Tables: every table of a job's file with its keys.

In: nothing. Out: for each table the keys it may hold, made from the functions that the values go
to. Only the frame is written here: which tables there are, and how they lie in one another.

    [job] [stock] [machine] [holding] [cutters.NAME] [drawings.NAME] [[set_up]] [[set_up.step]]
"""

from __future__ import annotations

import inspect
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any

from outline2path.job.keys import REQUIRED, Key, Kind, keys_of
from outline2path.shop.cutter import Cutter
from outline2path.shop.holding import Clamp, Holding
from outline2path.shop.machine import Machine
from outline2path.shop.stock import Stock

__all__ = ["SOURCES", "file_keys", "maker_keys", "step_keys"]

Keys = dict[str, Key]

SOURCES = ("file", "part_of", "text", "single_line", "path", "slot", "gauge")
"""A drawing comes from one of these."""
_OF_THEIR_OWN = ("stock", "machine", "holding")
"""What a job is given that has a table of its own."""


@cache
def step_keys() -> dict[str, Keys]:
    """Return the keys of each operation by its name, `do` left out.

    An operation is a public method of `Job` that takes a cutter.

    Examples
    --------
    >>> step_keys()["profile"]["depth_per_pass"].default
    1.5
    """
    from outline2path.job.job import Job  # keeps the chain of imports short

    methods = inspect.getmembers(Job, inspect.isfunction)
    return {
        name: keys_of(method)
        for name, method in methods
        if name[0] != "_" and "cutter" in inspect.signature(method).parameters
    }


@cache
def maker_keys(name: str) -> Keys:
    """Return the keys of a table in a drawing: text, path, slot, gauge, fit or relief.

    Examples
    --------
    >>> list(maker_keys("slot"))
    ['length', 'thickness', 'clearance', 'end_clearance', 'angle']
    """
    from outline2path.job.drawing_keys import MAKERS  # keeps the chain of imports short
    from outline2path.operations.fit import fit_slots
    from outline2path.operations.relief import relieve

    functions: dict[str, Callable[..., Any]] = {**MAKERS, "fit": fit_slots, "relief": relieve}
    return keys_of(functions[name], without=("outline",))


@cache
def file_keys() -> Keys:
    """Return the keys at the top of the file, with all tables in them.

    Examples
    --------
    >>> list(file_keys())
    ['job', 'stock', 'machine', 'holding', 'cutters', 'drawings', 'set_up']
    """
    from outline2path.job.job import Job  # keeps the chain of imports short

    stock = keys_of(Stock.__init__, owner=Stock)
    return {
        key.name: key
        for key in (
            _table("job", keys_of(Job.__init__, without=_OF_THEIR_OWN, owner=Job)),
            _table(
                "stock", stock, needed=True, words="The blank; one in all set-ups but new ones."
            ),
            _table("machine", keys_of(Machine.__init__, owner=Machine), words="The mill."),
            _table("holding", _holding(), words="What keeps the work still."),
            _named("cutters", keys_of(Cutter.__init__, owner=Cutter), "Each by a name."),
            _named("drawings", _drawing(), "Each by a name."),
            _list("set_up", _set_up(Job, stock), "In the order the work is clamped."),
        )
    }


def _holding() -> Keys:
    """Keys of the holding, with its clamps as tables of their own."""
    clamps = _list("clamps", keys_of(Clamp.__init__, owner=Clamp), "Boxes nothing may enter.")
    return {
        **keys_of(Holding.__init__, without=("clamps",), owner=Holding),
        "clamps": replace(clamps, default=None),
    }


def _drawing() -> Keys:
    """Keys of a drawing: where it comes from, its size, its place, its fit."""
    from outline2path.drawing.reader import read_outline  # keeps the chain of imports short
    from outline2path.job.drawing_keys import MAKERS, laid, sized

    reading = keys_of(read_outline, without=("source", "join_mm", "languages", "limits"))
    found = {
        "file": _text("file", "SVG drawing, seen from this file's folder."),
        "part_of": _text("part_of", "Another drawing, in which `select` chooses a part."),
    }
    for name in MAKERS:
        words = (inspect.getdoc(MAKERS[name]) or "").partition("\n")[0]
        found[name] = _table(name, maker_keys(name), words=words)
    found["piece"] = Key(
        name="piece",
        argument="piece",
        kinds=(Kind("choice", choices=("plate", "labels")),),
        default="plate",
        words="Which of a gauge's two outlines.",
    )
    found |= reading
    found |= keys_of(sized, without=("outline",))
    found |= keys_of(laid, without=("outline", "stock"))
    found["fit"] = _table("fit", maker_keys("fit"), words="Make its slots fit a measured mate.")
    found["relief"] = _table("relief", maker_keys("relief"), words="Relieve its inside corners.")
    return found


def _set_up(job: Any, stock: Keys) -> Keys:
    """Keys of a set-up; each operation's own keys are looked up by what its step does."""
    turned = keys_of(job.turn_over)
    return {
        "name": turned["name"],
        "turn_over": Key(
            name="turn_over",
            argument="about",
            kinds=turned["about"].kinds,
            default=None,
            words=f"Turn the same blank over. {turned['about'].words}",
        ),
        "new_blank": _table("new_blank", stock, words="Go on with another blank."),
        "step": _list("step", {}, "In any order; the plan puts them in the usual one."),
    }


def _text(name: str, words: str) -> Key:
    return Key(name=name, argument=name, kinds=(Kind("text"),), default=None, words=words)


def _table(name: str, keys: Keys, *, needed: bool = False, words: str = "") -> Key:
    default = REQUIRED if needed else None
    kinds = (Kind("table", keys=keys),)
    return Key(name=name, argument=name, kinds=kinds, default=default, words=words)


def _named(name: str, keys: Keys, words: str) -> Key:
    kinds = (Kind("named", keys=keys),)
    return Key(name=name, argument=name, kinds=kinds, default=None, words=words)


def _list(name: str, keys: Keys, words: str) -> Key:
    kinds = (Kind("tables", keys=keys),)
    return Key(name=name, argument=name, kinds=kinds, words=words)
