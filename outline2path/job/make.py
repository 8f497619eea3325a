"""Make: a job's set-ups become a plan.

The way of the data in one page: lay the drawing out on each blank, put the steps in order, turn
each into cuts, link those of one cutter, or of a whole set-up, into a program, write its text, and
say what the judge is to hold it to.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import groupby, pairwise
from typing import TYPE_CHECKING, Any

import numpy as np

from outline2path.errors import SettingError
from outline2path.findings import Finding
from outline2path.job.going_on import going_on
from outline2path.job.heading import program_text
from outline2path.job.heights import height_findings
from outline2path.job.laying import check_laid
from outline2path.job.meeting import meetings
from outline2path.job.numbers import turns
from outline2path.job.placing import Bed, Box, bed_for
from outline2path.job.plan import Plan
from outline2path.job.planned import PlannedProgram
from outline2path.job.planning import PlannedStep, plan_step
from outline2path.job.sequence import Order, cutter_numbers, grouped, like
from outline2path.job.step import About, Bench, SetUp, Step
from outline2path.job.travel import travel_findings
from outline2path.job.wanted import keep_out, wanted_in_turn
from outline2path.path.assemble import Run, assemble_runs
from outline2path.path.hop import Hop
from outline2path.path.measure import bounds_mm
from outline2path.path.time import times
from outline2path.path.toolpath import RAPID, Toolpath
from outline2path.shop.machine import Machine
from outline2path.stages import expect, stage
from outline2path.tolerance import Budget

if TYPE_CHECKING:
    from outline2path.shop.cutter import Cutter

__all__ = ["make_plan"]


def make_plan(
    set_ups: Sequence[SetUp], *, name: str = "job", order: Order = "usual", job_sha256: str = ""
) -> Plan:
    """Plan all steps of a job.

    Raises
    ------
    SettingError
        When settings contradict one another, the stock or a cutter.
    RefusedError
        When a cutter reaches nothing.
    """
    _check_parts(set_ups)
    numbers = cutter_numbers(set_ups, order=order)
    expect(sum(_stages(set_up, order) for set_up in set_ups))
    programs: list[PlannedProgram] = []
    for set_up in set_ups:
        bed = _bed(set_up, set_ups)
        programs += _programs(set_up, bed, order, numbers)
    programs = _with_changes(programs)
    for number, told in (*meetings(programs).items(), *going_on(programs).items()):
        one = programs[number]
        programs[number] = replace(one, planned_findings=(*one.planned_findings, *told))
    if job_sha256:
        programs = [
            replace(one, expected=replace(one.expected, job_sha256=job_sha256)) for one in programs
        ]
    return Plan(name=name, set_ups=tuple(set_ups), programs=tuple(programs))


def _stages(set_up: SetUp, order: Order) -> int:
    """Count the stages of a set-up: two a step, and path and proof of each program."""
    return 2 * len(set_up.steps) + 2 * len(grouped(set_up.steps, order=order))


def _check_parts(set_ups: Sequence[SetUp]) -> None:
    """Refuse parts that overlap on their blank; one outline may be cut by several steps."""
    for _, sides in groupby(set_ups, key=lambda one: one.blank):
        parts: dict[Any, Step] = {}
        for step in (step for side in sides for step in side.steps):
            frees = step.operation == "profile" and step.settings.side == "outside"
            if frees and step.outline is not None:
                parts.setdefault(step.outline.region.wkb, step)
        if parts:
            check_laid([step.outline for step in parts.values() if step.outline is not None])


def _bed(set_up: SetUp, set_ups: Sequence[SetUp]) -> Bed:
    """Lay out what is drawn for a blank; all set-ups of the blank see it in the same place."""
    sides = [one for one in set_ups if one.blank == set_up.blank]
    steps = [step for one in sides for step in one.steps]
    stock = set_up.bench.stock
    if stock.width_mm is None and (set_up.about or all(s.outline is None for s in steps)):
        raise SettingError(
            f"the {set_up.name} needs stock of known width and height, not {stock!r}",
            value=stock.thickness_mm,
            remedy='give Stock("200 x 120 x 18 mm")',
        )
    boxes = [step.outline.bounds_mm for step in steps if step.outline is not None]
    return bed_for(
        _round(boxes) or (0.0, 0.0, stock.width_mm or 0.0, stock.height_mm or 0.0),
        stock=stock,
        zero=set_up.bench.zero,
        placed=set_up.bench.placed,
        cutter_mm=max(step.cutter.diameter_mm for step in steps),
        about=_mirrored(set_up, sides),
    )


def _mirrored(set_up: SetUp, sides: Sequence[SetUp]) -> About | None:
    """Tell the axis a drawing is mirrored about here: it is seen from where it is first used."""
    for first in sides:
        if any(step.outline is not None for step in first.steps):
            return None if set_up.about == first.about else set_up.about or first.about
    return None


def _round(boxes: list[Box]) -> Box | None:
    if not boxes:
        return None
    x0, y0, x1, y1 = zip(*boxes, strict=True)
    return min(x0), min(y0), max(x1), max(y1)


def _programs(
    set_up: SetUp, bed: Bed, order: Order, numbers: Mapping[Cutter, int]
) -> list[PlannedProgram]:
    """Plan one set-up; a faced blank is thinner for every later step."""
    programs: list[PlannedProgram] = []
    runs: list[Run] = []
    together: list[PlannedStep] = []
    changes = set_up.bench.programs == "per-set-up"
    top_mm = set_up.bench.top_mm
    for number, group in enumerate(grouped(set_up.steps, order=order), start=1):
        steps = []
        for step in group:
            with step.told():
                planned = plan_step(step, bed=bed, bench=set_up.bench, top_mm=top_mm)
            steps.append(planned)
            if _lowers_all(step):
                top_mm = planned.bottom_mm
        if changes:
            together += steps
            runs += _runs(steps, set_up.bench, order, number=numbers[steps[0].step.cutter])
        else:
            alone = _runs(steps, set_up.bench, order)
            programs.append(_program(steps, alone, set_up, number, earlier=programs))
    return [_program(together, runs, set_up, 1)] if changes else programs


def _lowers_all(step: Step) -> bool:
    return step.operation == "face" and step.outline is None


def _runs(
    steps: Sequence[PlannedStep], bench: Bench, order: Order, *, number: int | None = None
) -> list[Run]:
    """Give the steps of one cutter at one speed to the path; numbered where M6 puts it in."""
    machine = bench.machine or Machine()
    return [
        Run(
            contours=planned.cuts.contours,
            feed=planned.feeds.feed,
            plunge=planned.feeds.plunge,
            top_mm=planned.top_mm,
            most_feed=machine.greatest_feed,
            number=number,
            rpm=None if number is None else steps[0].feeds.rpm,
            like=like(planned.step) if order == "usual" else None,
        )
        for planned in steps
    ]


def _program(
    steps: list[PlannedStep],
    runs: list[Run],
    set_up: SetUp,
    number: int,
    *,
    earlier: Sequence[PlannedProgram] = (),
) -> PlannedProgram:
    """Link the steps of one program, write their text, and say what it was to make."""
    bench = set_up.bench
    machine = bench.machine or Machine()
    with stage("arcs and order") as counts:
        toolpath = assemble_runs(
            runs,
            clearance_mm=bench.top_mm + bench.clearance_mm,
            budget=Budget(bench.tolerance_mm),
            axis_feeds=machine.feeds,
            hop=_hop(steps, bench),
        )
        counts["moves"] = len(toolpath.moves)
    deeds = ", ".join(dict.fromkeys(planned.step.operation for planned in steps))
    name = f"{set_up.number}-{number} {deeds}"
    return PlannedProgram(
        name=name,
        set_up=set_up,
        steps=tuple(steps),
        toolpath=toolpath,
        times=times(
            toolpath,
            rapid=machine.rapids,
            acceleration=machine.accelerations,
            waiting_s=_waits_s(toolpath, machine),
        ),
        expected=wanted_in_turn(turns(steps, toolpath.sections), bench, earlier),
        program=program_text(steps, set_up=set_up, toolpath=toolpath, name=name),
        planned_findings=(
            *dict.fromkeys(finding for planned in steps for finding in planned.findings),
            *_place_findings(steps, set_up, toolpath),
            *(
                finding
                for cutter, deepest in _deepest(toolpath).items()
                for finding in height_findings(cutter, bench, deepest_mm=deepest)
            ),
            *_hold_findings(steps, bench),
        ),
    )


def _hop(steps: Sequence[PlannedStep], bench: Bench) -> Hop | None:
    """Give leave to cross low over the stock, a little wider round clamps than what turns."""
    if bench.hop_mm is None:
        return None
    box = steps[0].placement.stock_box_mm
    cutters = [planned.step.cutter for planned in steps]
    wide = [w or 0.0 for c in cutters for w in (c.diameter_mm, c.shank_mm, c.holder_mm)]
    return Hop(
        height_mm=bench.top_mm + bench.hop_mm,
        over_mm=box,
        around_mm=tuple(clamp.box_mm for clamp in keep_out(bench, box)),
        apart_mm=max(wide) / 2 + 1.0,
    )


def _waits_s(toolpath: Toolpath, machine: Machine) -> float:
    """Seconds a program stands still: for the spindle's starts and for cutters it changes."""
    spins = [(one.number, one.rpm) for one in toolpath.sections]
    numbers = [one.number for one in toolpath.sections]
    starts, changes = (sum(a != b for a, b in pairwise(each)) for each in (spins, numbers))
    return (starts + 1) * machine.spin_up_s + changes * machine.cutter_change_s


def _deepest(toolpath: Toolpath) -> dict[Cutter, float]:
    """Lowest z of each cutter's moves at a feed, mm."""
    moves = toolpath.moves[toolpath.moves["kind"] != RAPID]
    low = np.array([section.z_mm for section in toolpath.sections])
    np.minimum.at(low, moves["section"], moves["z"])
    found: dict[Cutter, float] = {}
    for section, z in zip(toolpath.sections, low.tolist(), strict=True):
        found[section.cutter] = min(z, found.get(section.cutter, z))
    return found


def _with_changes(programs: Sequence[PlannedProgram]) -> list[PlannedProgram]:
    """Count a change of cutter before each program that needs another one than the last."""
    told = list(programs[:1])
    for before, one in pairwise(programs):
        machine = one.bench.machine or Machine()
        another = one.steps[0].step.cutter != before.steps[-1].step.cutter
        change_s = machine.cutter_change_s if another else 0.0
        told.append(replace(one, times=replace(one.times, change_s=change_s)))
    return told


def _place_findings(
    steps: list[PlannedStep], set_up: SetUp, toolpath: Toolpath
) -> tuple[Finding, ...]:
    """Look at travel and stock; facing runs over the stock's edge and is meant to."""
    x0, y0, _, x1, y1, _ = bounds_mm(toolpath)
    a, b, _, c, d, _ = bounds_mm(toolpath, rapids=False)
    inside = [planned for planned in steps if planned.step.outline is not None]
    return tuple(
        dict.fromkeys(
            finding
            for planned in inside or steps
            for finding in travel_findings(
                (x0, y0, x1, y1),
                planned.placement,
                cut_mm=(a, b, c, d) if len(steps) == 1 else _cut_by(planned),
                cutter_mm=planned.step.cutter.diameter_mm,
                machine=set_up.bench.machine,
            )
            if inside or finding.code == "beyond-travel"
        )
    )


def _cut_by(planned: PlannedStep) -> Box:
    """Bounds of what one step of several cuts, x and y of the cutter's centre."""
    spans = [s for c in planned.cuts.contours for cut in c.cuts for s in cut.spans]
    if not spans:
        return planned.placement.outline.bounds_mm
    xy = np.vstack([span.points[:, :2] for span in spans])
    (x0, y0), (x1, y1) = xy.min(axis=0).tolist(), xy.max(axis=0).tolist()
    return x0, y0, x1, y1


def _hold_findings(steps: list[PlannedStep], bench: Bench) -> tuple[Finding, ...]:
    """Tell that nothing holds a part that is cut free without tabs, unless it is glued down."""
    profiles = [planned for planned in steps if planned.step.operation == "profile"]
    glued = bench.holding is not None and bench.holding.way == "tape and glue"
    if glued or not profiles or all(planned.tabs for planned in profiles):
        return ()
    return (
        Finding(
            code="no-tabs",
            severity="warning",
            message="no tabs: the part and what falls out of its holes come loose",
            remedy="hold them with tape and glue, or ask for tabs",
        ),
    )
