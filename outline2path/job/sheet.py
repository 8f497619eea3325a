"""Sheet: a plan told as a set-up sheet.

In: a plan. Out: the content of its sheet, and the sheet as one HTML file. This is the only place
that knows both; how a sheet looks is `outline2path.picture.sheet_page`'s business. Lengths in mm.
"""

from __future__ import annotations

from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from outline2path.findings import gathered
from outline2path.job.blanks import programs_of, solid_of, turning_of
from outline2path.job.heading import LENGTH_WORDS, ZERO_WORDS, zero_z_words
from outline2path.job.held import held_by
from outline2path.job.to_spare import deep_mm, room_of
from outline2path.path.toolpath import ROLES
from outline2path.picture.sheet_content import (
    Check,
    Finished,
    Pass,
    ProgramPage,
    SetUpPage,
    SheetContent,
    Tool,
    Zero,
)
from outline2path.picture.sheet_page import sheet_page
from outline2path.picture.sheet_words import length

if TYPE_CHECKING:
    from outline2path.job.numbers import CutterTurn
    from outline2path.job.plan import Plan
    from outline2path.job.planned import PlannedProgram
    from outline2path.job.step import SetUp
    from outline2path.path.toolpath import Toolpath

__all__ = ["set_up_sheet", "sheet_content"]

_SOLID_PX, _FINISHED_PX = 640, 900
_MOST_NOTES = 12


def set_up_sheet(plan: Plan, *, units: Literal["mm", "in"] | None = None) -> str:
    """Return a plan's set-up sheet as one HTML file that needs no network.

    Parameters
    ----------
    plan : Plan
        It is proved on the way, where it was not yet.
    units : "mm" or "in", optional
        What lengths are told in; the job's own unit if left out.
    """
    return sheet_page(sheet_content(plan, units=units))


def sheet_content(plan: Plan, *, units: Literal["mm", "in"] | None = None) -> SheetContent:
    """Return what a plan's sheet says."""
    bench = plan.set_ups[0].bench
    machine = bench.machine
    name = plan.name
    if name == "job" and len(plan.programs) == 1:
        file = plan.only.placement.outline.source.file
        name = Path(file).stem.replace("_", " ") if file else name
    told = units or bench.units
    sides = [length(side, told).split("\u00a0") for side in machine.travel_mm] if machine else []
    travel = " \u00d7 ".join(number for number, _ in sides)
    return SheetContent(
        title=name,
        units=told,
        program_units=bench.units,
        machine=f"{machine.name}, travel {travel} {told}" if machine else "",
        set_ups=tuple(_set_up(plan, number, told) for number in range(len(plan.set_ups))),
        finished=_finished(plan),
    )


def _before(plan: Plan, set_up: SetUp) -> SetUp | None:
    """Return the set-up before this one on the same blank."""
    same = [s for s in plan.set_ups if s.blank == set_up.blank and s.number < set_up.number]
    return same[-1] if same else None


def _set_up(plan: Plan, number: int, told: Literal["mm", "in"]) -> SetUpPage:
    set_up = plan.set_ups[number]
    bench, before = set_up.bench, _before(plan, set_up)
    programs = programs_of(plan, set_up)
    placed = programs[0].placement
    x0, y0, x1, y1 = placed.stock_box_mm
    turned = None
    if before is not None and before.about != set_up.about:
        turned = set_up.about or before.about
    lowest = min(s.z_mm for program in programs for s in program.toolpath.sections)
    return SetUpPage(
        number=set_up.number,
        name=set_up.name,
        material=bench.stock.told_as,
        size_mm=(x1 - x0, y1 - y0, bench.stock.thickness_mm),
        size_assumed=placed.stock_assumed,
        stock_box_mm=placed.stock_box_mm,
        top_mm=bench.top_mm,
        zero=Zero(
            xy=ZERO_WORDS[bench.zero],
            z=zero_z_words(set_up),
            across=-x0 / (x1 - x0),
            up=-y0 / (y1 - y0),
            on_top=bench.zero_z == "top",
        ),
        turned=turned,
        new_blank=before is None,
        holding=held_by(set_up, programs, units=told),
        clamps_mm=tuple(clamp.box_mm for clamp in bench.holding.clamps) if bench.holding else (),
        through_mm=max(round(bench.bottom_mm - lowest, 4), 0.0),
        clearance_mm=bench.clearance_mm,
        programs=tuple(_program(program, told) for program in programs),
        solid=solid_of(plan, set_up=set_up, wide_px=_SOLID_PX).png,
    )


def _program(program: PlannedProgram, units: Literal["mm", "in"]) -> ProgramPage:
    told = [
        (
            f.severity,
            f.message
            + (f" (and {places - 1} more like it)" if places > 1 else "")
            + (f"; {f.remedy}" if f.remedy else ""),
        )
        for f, places in gathered(program.findings)
    ]
    if len(told) > _MOST_NOTES:
        rest = len(told) - _MOST_NOTES
        told = [*told[:_MOST_NOTES], ("info", f"{rest} more notes stand in the report.")]
    return ProgramPage(
        name=program.name,
        file=program.file_name,
        tool=_tool(program, program.turns[0]),
        turns=tuple(_tool(program, turn) for turn in program.turns if turn.number is not None),
        lengths=_sentence(LENGTH_WORDS[program.bench.cutter_lengths]),
        time_s=program.times.total_s,
        lines=len(program.program.lines),
        passes=_passes(program),
        room=room_of(program),
        sound=program.is_sound,
        checks=tuple(Check(name=c.name, ok=c.ok, detail=c.detail) for c in program.proof.checks),
        notes=tuple(told),
        tabs=len(program.tabs),
        sha256=program.program.sha256,
        picture=program.page(units),
        text=program.program.text,
    )


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]


def _tool(program: PlannedProgram, turn: CutterTurn) -> Tool:
    cutter, feeds = turn.cutter, turn.feeds
    return Tool(
        name=cutter.label,
        shape=cutter.shape,
        diameter_mm=cutter.diameter_mm,
        flutes=cutter.flutes,
        stick_out_mm=cutter.stick_out_mm,
        flute_length_mm=cutter.flute_length_mm,
        reach_mm=deep_mm(program, cutter),
        rpm=feeds.rpm,
        feed=feeds.feed,
        plunge=feeds.plunge,
        chip_mm=feeds.chip_load_mm(flutes=cutter.flutes),
        number=turn.number,
    )


def _passes(program: PlannedProgram) -> tuple[Pass, ...]:
    """One row for each step and depth, in the order they first come."""
    top, path = program.bench.top_mm, program.toolpath
    feeds = _feeds(path)
    rows: dict[tuple[int, str, float], list[tuple[int, float, float, float]]] = {}
    for section, cut, seconds, feed in zip(
        path.sections,
        program.times.section_cut_mm,
        program.times.section_s,
        feeds.tolist(),
        strict=True,
    ):
        key = (section.step, section.operation, round(section.z_mm, 4))
        rows.setdefault(key, []).append((section.contour, cut, seconds, feed))
    return tuple(
        Pass(
            operation=operation,
            z_mm=z,
            deep_mm=top - z,
            contours=len({contour for contour, *_ in found}),
            cut_mm=sum(cut for _, cut, _, _ in found),
            time_s=sum(seconds for _, _, seconds, _ in found),
            feed=max(feed for *_, feed in found),
        )
        for (_, operation, z), found in rows.items()
    )


def _feeds(path: Toolpath) -> NDArray[np.float64]:
    """Return the greatest feed of each section's level cuts, or of all its moves without any."""
    moves = path.moves
    level, every = np.zeros(len(path.sections)), np.zeros(len(path.sections))
    cuts = moves[moves["role"] == ROLES.index("cut")]
    np.maximum.at(level, cuts["section"], cuts["feed"])
    np.maximum.at(every, moves["section"], moves["feed"])
    return np.where(level > 0, level, every)


def _finished(plan: Plan) -> tuple[Finished, ...]:
    """Return a picture of what each blank becomes, without its waste."""
    lasts = [list(group)[-1] for _, group in groupby(plan.set_ups, key=lambda s: s.blank)]
    wide = _FINISHED_PX if len(lasts) == 1 else _SOLID_PX
    return tuple(
        Finished(
            name=f"Blank {last.blank}" if len(lasts) > 1 else "",
            picture=solid_of(plan, set_up=last, waste="remove", wide_px=wide).png,
            turning=turning_of(plan, set_up=last),
        )
        for last in lasts
    )
