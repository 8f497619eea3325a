"""Plan: all programs of a job, in the order they are run.

Out of `make`. A plan never changes. A job with one profile makes one program; its values are
then the plan's own, so that the short way stays short.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from outline2path.errors import SettingError
from outline2path.findings import Finding
from outline2path.job.numbers import cutter_words
from outline2path.job.shown import plan_html
from outline2path.job.words import count, duration
from outline2path.late import later
from outline2path.progress import in_notebook
from outline2path.proof.joined import joined

if TYPE_CHECKING:
    from outline2path.job.placing import Placement
    from outline2path.job.planned import PlannedProgram
    from outline2path.job.step import SetUp
    from outline2path.operations.cut import Tab
    from outline2path.path.toolpath import Toolpath
    from outline2path.proof.expected_program import ExpectedProgram
    from outline2path.proof.mountings import ExpectedMountings
    from outline2path.proof.verdict import Proof
    from outline2path.reach.spots import Reach
    from outline2path.rs274.program import Program

__all__ = ["Plan"]


@dataclass(frozen=True, eq=False, kw_only=True)
class Plan:
    """The programs of a job.

    Attributes
    ----------
    name : str
        What the job is called.
    set_ups : tuple of SetUp
        In the order they are clamped.
    programs : tuple of PlannedProgram
        In the order they are run.
    """

    name: str
    set_ups: tuple[SetUp, ...]
    programs: tuple[PlannedProgram, ...]

    @property
    def only(self) -> PlannedProgram:
        """The one program of a plan that has no more.

        Raises
        ------
        SettingError
            When there are several; they are in `programs`.
        """
        if len(self.programs) != 1:
            raise SettingError(
                f"this plan has {len(self.programs)} programs",
                value=len(self.programs),
                limit=1,
                remedy="take one of plan.programs",
            )
        return self.programs[0]

    @property
    def program(self) -> Program:
        """The text of the only program."""
        return self.only.program

    @property
    def toolpath(self) -> Toolpath:
        """The moves of the only program."""
        return self.only.toolpath

    @property
    def expected(self) -> ExpectedProgram | ExpectedMountings:
        """What the judge holds the only program to."""
        return self.only.expected

    @property
    def placement(self) -> Placement:
        """Where the only program's outline lies."""
        return self.only.placement

    @property
    def reach(self) -> Reach:
        """Where the only program's cutter cannot get."""
        return self.only.reach

    @property
    def tabs(self) -> tuple[Tab, ...]:
        """All tabs of the job."""
        return tuple(tab for program in self.programs for tab in program.tabs)

    @property
    def proof(self) -> Proof:
        """The proof of the only program, or of all programs joined."""
        if len(self.programs) == 1:
            return self.only.proof
        with in_notebook():
            return joined({program.name: program.proof for program in self.programs})

    def prove(self, text: str | None = None) -> Proof:
        """Replay the programs' texts, or another text against what the only program was to make.

        Parameters
        ----------
        text : str, optional
            Another program, as one edited by hand; for plans of one program.
        """
        return self.proof if text is None else self.only.prove(text)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Everything found, each once, the checks that replays failed included."""
        return tuple(dict.fromkeys(f for program in self.programs for f in program.findings))

    @property
    def is_sound(self) -> bool:
        """Whether every program may be written without force."""
        return all(program.is_sound for program in self.programs)

    def write(self, path: str | os.PathLike[str], *, force: bool = False) -> Path:
        """Write the only program to a file, or the whole job into a folder; all of it or nothing.

        Parameters
        ----------
        path : str or path
            A name with an ending, as "heron.nc", is the file of a plan's one program. Any other
            name, and any of a plan of several programs, is a folder, made where it is missing,
            that gets the programs, their pictures, the report and the set-up sheet.
        force : bool
            Write in spite of error findings; the headers then say so.

        Raises
        ------
        RefusedError
            When an error finding stands or a replay failed, and `force` is not set.
        OutputError
            When a file cannot be written; an old file stays as it was.
        """
        if len(self.programs) == 1 and Path(path).suffix and not Path(path).is_dir():
            return self.only.write(path, force=force)
        later("write_folder", self, path, force=force)
        return Path(path)

    def report(self, *, proof: Proof | None = None) -> dict[str, Any]:
        """Return the report of the only program, or of the whole job, as plain JSON values."""
        if len(self.programs) == 1:
            return self.only.report(proof=proof)
        return {
            "schema": "outline2path.job-report/1",
            "name": self.name,
            "sound": self.is_sound,
            "time_s": round(self.time_s, 3),
            "programs": [
                {"name": one.name, "set_up": one.set_up.name, **one.report()}
                for one in self.programs
            ],
        }

    @property
    def time_s(self) -> float:
        """Seconds of all programs, with the changes of cutter between them."""
        return float(sum(one.times.total_s + one.times.change_s for one in self.programs))

    def summary(self) -> str:
        """Return what matters in a few lines of words."""
        if len(self.programs) == 1:
            return self.only.summary()
        lines = [
            f"{self.name}: {count(len(self.set_ups), 'set-up')}, "
            f"{count(len(self.programs), 'program')}, "
            f"about {duration(self.time_s)} with changes of cutter"
        ]
        for set_up in self.set_ups:
            lines.append(f"set-up {set_up.number}: {set_up.name}, {set_up.bench.stock!r}")
            lines += [
                f"  {one.proof.verdict}  {one.name}, {cutter_words(one.turns)}; "
                f"about {duration(one.times.total_s)}"
                for one in self.programs
                if one.set_up is set_up
            ]
        return "\n".join(lines)

    def draw(self, *, ax: Any = None) -> Any:
        """Draw the only program with matplotlib, into `ax` where given; return what was drawn."""
        return self.only.draw(ax=ax)

    def save_picture(self, path: str | os.PathLike[str]) -> None:
        """Draw the only program into a png, svg or pdf file, sized for print."""
        self.only.save_picture(path)

    def solid(
        self,
        *,
        set_up: SetUp | None = None,
        waste: Literal["keep", "dim", "remove"] = "remove",
        wide_px: int = 1000,
    ) -> Any:
        """Return what a blank looks like after a set-up, replayed from the programs' texts.

        Parameters
        ----------
        set_up : SetUp, optional
            One of `set_ups`; the last where left out.
        waste : "keep", "dim" or "remove"
            What becomes of stock that is not part of anything.
        wide_px : int
            Width of the picture in pixels.
        """
        return later("solid_of", self, set_up=set_up, waste=waste, wide_px=wide_px)

    def set_up_sheet(self, *, units: Literal["mm", "in"] | None = None) -> str:
        """Return the set-up sheet as one HTML page that needs nothing else.

        Parameters
        ----------
        units : "mm" or "in", optional
            Of its figures and pictures; the job's own where left out.
        """
        sheet: str = later("set_up_sheet", self, units=units)
        return sheet

    def _repr_html_(self) -> str:
        """Show several programs as a table; one shows itself."""
        return self.only._repr_html_() if len(self.programs) == 1 else plan_html(self)

    def _repr_png_(self) -> tuple[bytes, dict[str, int]] | None:
        return self.only._repr_png_() if len(self.programs) == 1 else None

    def __repr__(self) -> str:
        if len(self.programs) == 1:
            return repr(self.only).replace("PlannedProgram", "Plan", 1)
        return f"Plan({self.name}: {count(len(self.programs), 'program')})"
