"""Planned program: one program with all that is known about it, before and after its proof.

In: planned steps, their toolpath, the text. Out, on request: the proof, the report,
pictures. It never changes. Its text is written only when no error finding stands and the replay
of that text passes, unless forced, and then the program's header says so.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from outline2path.errors import RefusedError
from outline2path.findings import Finding, worst
from outline2path.job.alike import placement_of, reach_of, steps_alike, walls_of
from outline2path.job.numbers import (
    CutterTurn,
    cutter_words,
    feed_words,
    main_of,
    settings_in_turn,
    turns,
)
from outline2path.job.report import report
from outline2path.job.shown import program_html
from outline2path.job.words import count, duration, outline_words
from outline2path.late import later
from outline2path.progress import in_notebook
from outline2path.stages import stage
from outline2path.units import format_length

if TYPE_CHECKING:
    from outline2path.job.placing import Placement
    from outline2path.job.planning import PlannedStep
    from outline2path.job.step import Bench, SetUp
    from outline2path.operations.cut import Tab
    from outline2path.path.time import Times
    from outline2path.path.toolpath import Toolpath
    from outline2path.proof.expected_program import ExpectedProgram
    from outline2path.proof.mountings import ExpectedMountings
    from outline2path.proof.verdict import Proof
    from outline2path.reach.spots import Reach
    from outline2path.reach.walls import Wall
    from outline2path.rs274.program import Program
    from outline2path.shop.cutter import Cutter
    from outline2path.shop.feeds import Feeds

__all__ = ["PlannedProgram"]


@dataclass(frozen=True, eq=False, kw_only=True)
class PlannedProgram:
    """One program.

    Attributes
    ----------
    name : str
        Its place in the job and what it does: "1-2 pocket".
    set_up : SetUp
        The set-up it belongs to.
    steps : tuple of PlannedStep
        In the order they are cut, all with one cutter unless the program changes it.
    toolpath : Toolpath
        Every move, mm.
    times : Times
        Seconds of each pass and in total.
    expected : ExpectedProgram or ExpectedMountings
        What the judge holds the program to.
    program : Program
        The text, as it will be written once it has passed.
    planned_findings : tuple of Finding
        Everything found before the proof.
    """

    name: str
    set_up: SetUp
    steps: tuple[PlannedStep, ...]
    toolpath: Toolpath
    times: Times
    expected: ExpectedProgram | ExpectedMountings
    program: Program
    planned_findings: tuple[Finding, ...]

    @property
    def file_name(self) -> str:
        """The program's name as a file's: "1-2-pocket-drill.nc"."""
        return "-".join(self.name.replace(",", "").split()) + ".nc"

    @property
    def bench(self) -> Bench:
        """The bench as it is in this set-up."""
        return self.set_up.bench

    @property
    def main(self) -> PlannedStep:
        """The step the program is told by: one that frees a part before all others."""
        return main_of(self.steps)

    @property
    def cutter(self) -> Cutter:
        """The cutter to be mounted, or that of the main step where there are several."""
        return self.main.step.cutter

    @cached_property
    def turns(self) -> tuple[CutterTurn, ...]:
        """Its cutters, one after another, and what each of them cuts."""
        return turns(self.steps, self.toolpath.sections)

    @property
    def feeds(self) -> Feeds:
        """Speed and feeds of the main step."""
        return self.main.feeds

    @property
    def alike(self) -> tuple[PlannedStep, ...]:
        """The steps that do what the main one does."""
        return steps_alike(self.steps, self.main)

    @cached_property
    def placement(self) -> Placement:
        """The outline of the main step and those like it, in work coordinates; the stock's box."""
        return placement_of(self.alike)

    @cached_property
    def reach(self) -> Reach:
        """Where the cutter cannot get in the main step and those like it."""
        return reach_of(self.alike, self.placement.outline)

    @property
    def walls(self) -> tuple[Wall, ...]:
        """Walls of the part that are thin."""
        return walls_of(self.alike)

    @property
    def tabs(self) -> tuple[Tab, ...]:
        """What holds the parts."""
        return tuple(tab for planned in self.steps for tab in planned.tabs)

    def prove(self, text: str | None = None) -> Proof:
        """Replay a program's text against what this one was to make.

        Parameters
        ----------
        text : str, optional
            Another program, as one edited by hand; the plan's own by default.
        """
        if text is None:
            return self.proof
        from outline2path.proof.judge import judge

        with in_notebook(), stage("judge the text") as counts:
            proof = judge(text, self.expected)
            counts["checks"] = len(proof.checks)
        return proof

    @cached_property
    def proof(self) -> Proof:
        """The proof of the plan's own program."""
        return self.prove(self.program.text)

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """Everything found, the checks that the replay failed included."""
        failed = tuple(
            Finding(
                code=f"proof-{check.name.replace(' ', '-')}",
                severity="error",
                message=f"the replay failed: {check.name}: {check.detail}",
                at_mm=check.at_mm,
                value=check.value,
                limit=check.limit,
                remedy="do not run this program",
            )
            for check in self.proof.failed
        )
        return self.planned_findings + failed

    @property
    def is_sound(self) -> bool:
        """Whether the program may be written without force."""
        return worst(self.findings) != "error" and self.proof.verdict == "pass"

    def write(self, path: str | os.PathLike[str], *, force: bool = False) -> Path:
        """Write the program, whole or not at all.

        Parameters
        ----------
        path : str or path
            File to write; its folder must exist.
        force : bool
            Write in spite of error findings; the header then says so.

        Raises
        ------
        RefusedError
            When an error finding stands or the replay failed, and `force` is not set.
        OutputError
            When the file cannot be written; an old file stays as it was.
        """
        if self.is_sound:
            return self.program.write(path)
        errors = [f for f in self.findings if f.severity == "error"]
        if not force:
            raise RefusedError(
                f"{path} was not written: {errors[0].message}"
                + (f" (and {len(errors) - 1} more)" if len(errors) > 1 else ""),
                at_mm=errors[0].at_mm,
                value=errors[0].value,
                limit=errors[0].limit,
                remedy=errors[0].remedy,
            )
        words = f"FAILED, written by force in spite of {count(len(errors), 'error')}"
        return self.program.with_verdict(words).write(path)

    @property
    def settings(self) -> dict[str, Any]:
        """Every resolved number and choice, defaults included; several steps are numbered."""
        steps = {
            (name if len(self.steps) == 1 else f"{number}_{planned.step.operation}_{name}"): value
            for number, planned in enumerate(self.steps, start=1)
            for name, value in planned.settings.items()
        }
        bench, cutter = self.bench, self.cutter
        return {
            **steps,
            **settings_in_turn(self.turns),
            "cutter_mm": cutter.diameter_mm,
            "flutes": cutter.flutes,
            "thickness_mm": bench.stock.thickness_mm,
            "material": bench.stock.material_name,
            "grain": bench.stock.grain,
            "clearance_mm": bench.clearance_mm,
            "tolerance_mm": bench.tolerance_mm,
            "units": bench.units,
            "feed_mm_min": self.feeds.feed,
            "plunge_mm_min": self.feeds.plunge,
            "speed_rpm": self.feeds.rpm,
            "chip_load_mm": self.feeds.chip_load_mm(flutes=cutter.flutes),
        }

    def report(self, *, proof: Proof | None = None) -> dict[str, Any]:
        """Return the report as plain JSON values; with another program's proof where given."""
        judged = self.proof if proof is None else proof
        totals = {
            "cut_mm": self.times.cut_mm,
            "rapid_mm": self.times.rapid_mm,
            "time_s": self.times.total_s,
            "naive_s": self.times.naive_s,
            "waiting_s": self.times.waiting_s,
            "change_s": self.times.change_s,
            "lines": len(self.program.lines),
            "bytes": self.program.size,
        }
        return report(
            self.placement.outline,
            self.reach,
            walls=self.walls,
            settings=self.settings,
            findings=self.findings if proof is None else self.planned_findings,
            placement={
                "zero": self.bench.zero,
                "zero_z": self.bench.zero_z,
                "stock_box_mm": self.placement.stock_box_mm,
            },
            cutting={
                "tabs": [
                    {"at_mm": t.at_mm, "length_mm": t.length_mm, "height_mm": t.height_mm}
                    for t in self.tabs
                ],
                "passes": self._passes(),
                "totals": totals,
                "proof": judged.as_dict(),
            },
        )

    @property
    def _side(self) -> str:
        """How pictures and words tell what stands: a pocket is cut inside its outline."""
        step = self.main.step
        if step.operation == "profile":
            return str(step.settings.side)
        if step.operation == "chamfer":
            return str(step.settings.side)
        return "inside" if step.operation in ("pocket", "drill") else "on"

    @property
    def _is_plain(self) -> bool:
        """Whether it is one profile, called by its drawing's name."""
        return len(self.set_up.steps) == 1 and self.main.step.operation == "profile"

    @property
    def _what(self) -> str:
        if self._is_plain:
            return self._side
        return ", ".join(dict.fromkeys(planned.step.operation for planned in self.steps))

    def _passes(self) -> list[dict[str, Any]]:
        return [
            {
                "operation": section.operation,
                "cutter": section.cutter.label,
                "contour": section.contour,
                "z_mm": section.z_mm,
                "cut_mm": cut,
                "time_s": seconds,
                "naive_s": naive,
            }
            for section, cut, seconds, naive in zip(
                self.toolpath.sections,
                self.times.section_cut_mm,
                self.times.section_s,
                self.times.section_naive_s,
                strict=True,
            )
        ]

    def summary(self) -> str:
        """Return what matters in a few lines of words."""
        units = self.bench.units
        depths = sorted({s.z_mm for s in self.toolpath.sections}, reverse=True)
        proof = self.proof
        return "\n".join(
            (
                f"part: {outline_words(self.placement.outline, units=units)}",
                f"cut:  {self._what} with {cutter_words(self.turns)}; "
                f"{count(len(depths), 'depth')} to z {format_length(min(depths), units=units)}; "
                f"{count(len(self.tabs), 'tab')}; {feed_words(self.turns)}",
                f"time: about {duration(self.times.total_s)} (length over feed alone: "
                f"{duration(self.times.naive_s)}); "
                f"{count(len(self.program.lines), 'block')}",
                f"proof: {proof.verdict}; {_proof_words(proof, self._side)}",
            )
        )

    def draw(self, *, ax: Any = None) -> Any:
        """Draw the plan with matplotlib, into `ax` where given; return what was drawn."""
        return later("draw_plan", **self._picture(), ax=ax)

    def save_picture(self, path: str | os.PathLike[str]) -> None:
        """Draw the plan into a png, svg or pdf file, sized for print."""
        later("save_plan", path, **self._picture())

    @cached_property
    def page_png(self) -> bytes:
        """The plan drawn once as a PNG, for its folder and the set-up sheet."""
        with stage("draw the plan"):
            page: bytes = later("page_png", **self._picture())
        return page

    def page(self, units: Literal["mm", "in"]) -> bytes:
        """Return the plan drawn as a page, its axes, scale bar and words in these units."""
        if units == self.bench.units:
            return self.page_png
        with stage("draw the plan"):
            page: bytes = later("page_png", **{**self._picture(), "units": units})
        return page

    def _picture(self) -> dict[str, Any]:
        return {
            "outline": self.placement.outline,
            "toolpath": self.toolpath,
            "reach": self.reach,
            "walls": self.walls,
            "tabs": self.tabs,
            "findings": self.findings,
            "stock_box_mm": self.placement.stock_box_mm,
            "side": self._side,
            "grain": self.bench.stock.grain,
            "time_s": self.times.total_s,
            "units": self.bench.units,
            "title": None if self._is_plain and self.set_up.number == 1 else self.name,
        }

    @cached_property
    def _shown(self) -> tuple[bytes, dict[str, int]]:
        shown: tuple[bytes, dict[str, int]] = later(
            "for_notebook", later("plan_png", **self._picture())
        )
        return shown

    def _repr_png_(self) -> tuple[bytes, dict[str, int]]:
        return self._shown

    def _repr_html_(self) -> str:
        return program_html(self, self._shown)

    def __repr__(self) -> str:
        return (
            f"PlannedProgram({self.name}: {outline_words(self.placement.outline)}; "
            f"{count(len(self.toolpath.sections), 'pass')}, about {duration(self.times.total_s)})"
        )


def _proof_words(proof: Proof, side: str) -> str:
    if proof.gouge_mm is None or proof.leftover_mm is None:
        return "the program could not be replayed"
    if side == "on":
        off = max(proof.gouge_mm, proof.leftover_mm)
        return f"the cutter's centre leaves the line by at most {off:.4f} mm"
    return (
        f"cut into the part: {proof.gouge_mm:.4f} mm, left on it: "
        f"at most {proof.leftover_mm:.4f} mm where the cutter reaches"
    )
