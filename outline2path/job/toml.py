"""TOML: a job from a text file, with the names and defaults of Python.

In: the path of a file with the tables [job], [stock], [machine], [cutters.NAME],
[drawings.NAME], [[set_up]] and [[set_up.step]]. Out: a `Job`, just as Python would have made it:
`[job]` holds what `Job` takes, `[cutters.small]` what `Cutter` takes, and a step with
`do = "pocket"` what `Job.pocket` takes, where `drawing` and `cutter` are the names of tables.

Refused, with the file, the line and what was probably meant: everything that `toml_file` checks,
names of drawings and cutters that are not there, drawings that are part of themselves, figures
that a function refuses, and parts that overlap on their blank.
"""

from __future__ import annotations

import os
import re
from typing import TYPE_CHECKING, Any

from outline2path.errors import SettingError
from outline2path.job.toml_file import TomlFile, meant
from outline2path.job.toml_parts import Parts, tuples

if TYPE_CHECKING:
    from outline2path.job.job import Job
    from outline2path.job.keys import Key
    from outline2path.job.toml_lines import Path as At
    from outline2path.shop.holding import Holding

__all__ = ["read_job"]

Table = dict[str, Any]

MOST_STEPS = 1000
"""Steps, cutters or drawings beyond this are refused."""


def read_job(path: str | os.PathLike[str]) -> Job:
    """Read a job from a TOML file.

    Parameters
    ----------
    path : str or path
        Drawings are looked for from its folder.

    Returns
    -------
    Job
        Ready to be planned.

    Raises
    ------
    SettingError, UnitError, DrawingError
        When anything in the file is unknown, impossible or missing; the message begins with the
        file and the line.

    Examples
    --------
    >>> import pathlib, tempfile
    >>> from outline2path.job.starting import new_job_text
    >>> file = pathlib.Path(tempfile.mkdtemp(), "job.toml")
    >>> _ = file.write_text(new_job_text())
    >>> read_job(file)
    Job(Stock("160 x 100 x 9 mm", material="birch plywood"), steps=3)
    """
    from outline2path.job.tables import file_keys  # the later rooms are loaded when needed

    file = TomlFile(path)
    file.check(file.values, file_keys(), ())
    for name in ("cutters", "drawings"):
        _check_count(file, file.values.get(name, {}), name)
    return _Reader(file).job()


def _check_count(file: TomlFile, tables: Any, name: str) -> None:
    if len(tables) > MOST_STEPS:
        raise file.fault(
            f"{len(tables)} {name} are more than {MOST_STEPS}",
            (name,),
            value=len(tables),
            limit=MOST_STEPS,
        )


class _Reader:
    """One reading: what was made of each table so far."""

    def __init__(self, file: TomlFile) -> None:
        self.file, self.values, self.parts = file, file.values, Parts(file)
        self._profiled: dict[int, list[str]] = {}

    def job(self) -> Job:
        from outline2path.job.job import Job
        from outline2path.shop.machine import Machine

        machine = self.values.get("machine")
        options = dict(self.values.get("job", {}))
        options["stock"] = self.parts.stocks[0]
        if machine is not None:
            options["machine"] = self.parts.call(Machine, machine, ("machine",))
        if "holding" in self.values:
            options["holding"] = self._holding(self.values["holding"])
        first = self.values["set_up"][0]
        if "name" in first:
            options["first_side"] = first["name"]
        job: Job = self.parts.call(Job, options, ("job",))
        job.sha256 = self.file.sha256
        for name in self.values.get("cutters", {}):
            self.parts.cutter(name, ("cutters", name))
        for name in self.values.get("drawings", {}):  # faults are told of in unused ones as well
            self.parts.drawing(name, ("drawings", name))
        for number, table in enumerate(self.values["set_up"]):
            self._set_up(job, table, number)
        self._check_parts(job)
        return job

    def _holding(self, table: Table) -> Holding:
        from outline2path.shop.holding import Clamp
        from outline2path.shop.holding import Holding as Held

        clamps = [
            self.parts.call(Clamp, clamp, ("holding", "clamps", number))
            for number, clamp in enumerate(table.get("clamps", ()))
        ]
        held: Holding = self.parts.call(Held, {**table, "clamps": clamps}, ("holding",))
        return held

    def _check_parts(self, job: Job) -> None:
        """Refuse parts that overlap on their blank, or hang over it where they lie as drawn."""
        from outline2path.job.laying import check_laid

        for number, names in self._profiled.items():  # by the first set-up of their blank
            stock = self.parts.stocks[number] if job.bench.placed == "as-drawn" else None
            outlines = [self.parts.drawing(name, ("drawings", name)) for name in names]
            try:
                check_laid(outlines, stock, names=names)
            except SettingError as fault:
                told = [name for name in names if re.search(rf"\b{re.escape(name)}\b", str(fault))]
                raise self.file.told(fault, ("drawings", told[-1]), {}) from fault

    def _set_up(self, job: Job, table: Table, number: int) -> None:
        at: At = ("set_up", number)
        if number:
            self._begin(job, table, number)
        for key in () if number else ("turn_over", "new_blank"):
            if key in table:
                raise self.file.fault(
                    f"the first set-up cannot have {key}",
                    (*at, key),
                    value=key,
                    remedy="it is [stock] with the first side up",
                )
        _check_count(self.file, table["step"], "step")
        for k, step in enumerate(table["step"]):
            self._step(job, step, (*at, "step", k))
            if step["do"] == "profile" and step.get("side", "outside") == "outside":
                self._add_part(number, step["drawing"])

    def _begin(self, job: Job, table: Table, number: int) -> None:
        """Go on from one set-up to the next: the blank turned over, or another blank."""
        at: At = ("set_up", number)
        how = [key for key in ("turn_over", "new_blank") if key in table]
        if len(how) != 1:
            found = "both turned over and on a new blank" if how else "neither turned over nor new"
            raise self.file.fault(
                f"set-up {number + 1} is {found}",
                at,
                value=how,
                remedy='give turn_over = "y", or new_blank = { size = "..." }',
            )
        named = {"name": table["name"]} if "name" in table else {}
        if how == ["turn_over"]:
            self.parts.call(job.turn_over, {"about": table["turn_over"], **named}, at)
        else:
            self.parts.call(job.new_blank, {"stock": self.parts.stocks[number], **named}, at)

    def _add_part(self, number: int, name: str) -> None:
        """Note a part that is cut out of a blank, under the blank's first set-up."""
        tables, drawings = self.values["set_up"], self.values["drawings"]
        first = max(k for k in range(number + 1) if k == 0 or "new_blank" in tables[k])
        known = self._profiled.get(first, [])
        if name not in known and "part_of" not in drawings[name]:
            self._profiled[first] = [*known, name]

    def _step(self, job: Job, table: Table, at: At) -> None:
        from outline2path.job.tables import step_keys

        do = table.get("do")
        if not isinstance(do, str) or do not in step_keys():
            raise self.file.fault(
                "a step does not say what to do" if do is None else f"do = {do!r} is no operation",
                (*at, "do"),
                value=do,
                remedy=meant(do, step_keys()),
            )
        keys = step_keys()[do]
        asked = {name: value for name, value in table.items() if name != "do"}
        self.file.check(asked, keys, at)
        options = {
            name: self._value(value, keys[name], (*at, name)) for name, value in asked.items()
        }
        job.where = self.file.where(at)
        self.parts.call(getattr(job, do), options, at, asked=asked, keys=keys)

    def _value(self, value: Any, key: Key, at: At) -> Any:
        """Put the object for the name of a drawing or cutter, and tuples for lists."""
        kinds = {kind.name for kind in key.kinds}
        if isinstance(value, str) and "drawing" in kinds:
            return self.parts.drawing(value, at)
        if isinstance(value, str) and "cutter" in kinds:
            return self.parts.cutter(value, at)
        return tuples(value)
