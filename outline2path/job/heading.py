"""Heading: the program's text with its opening comments.

In: the planned steps of one program and their toolpath. Out: a Program, its verdict not yet told.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from outline2path.job.words import count
from outline2path.rs274.header import Header
from outline2path.rs274.program import Program
from outline2path.rs274.writer import write_program
from outline2path.shop.machine import Machine
from outline2path.units import format_length

if TYPE_CHECKING:
    from outline2path.job.planning import PlannedStep
    from outline2path.job.step import SetUp
    from outline2path.path.toolpath import Toolpath

__all__ = ["LENGTH_WORDS", "PASSED", "ZERO_WORDS", "program_text", "step_words", "zero_z_words"]

PASSED = "replay of this text passed"
ZERO_WORDS = {
    "lower-left": "lower left corner of the part",
    "centre": "centre of the part",
    "stock-corner": "lower left corner of the stock",
}
"""Where work zero lies in x and y, in words."""
LENGTH_WORDS = {
    "touch-off": "cutter changes: the program waits after each one (M0) until z was set to the "
    "new tip, as the manual of the machine says.",
    "table": "cutter changes: G43 takes the length of each cutter from the table of the machine. "
    "Measure and enter all of them first, as its manual says.",
}
"""Where the height of a new tip comes from, in words: common practice, no source."""


def zero_z_words(set_up: SetUp) -> str:
    """Say where work zero lies in z."""
    return "top of the stock" if set_up.bench.zero_z == "top" else "waste board under the stock"


def step_words(planned: PlannedStep) -> str:
    """Name a step: what it is done to, and what is done.

    The drawing is named by its file; without one it is "outline", and "stock" where the whole
    blank is meant.
    """
    step = planned.step
    if step.outline is None:
        return "stock: face"
    file = step.outline.source.file
    side = f"{step.settings.side} " if step.operation == "profile" else ""
    return f"{Path(file).stem if file else 'outline'}: {side}{step.operation}"


def program_text(
    steps: Sequence[PlannedStep], *, set_up: SetUp, toolpath: Toolpath, name: str = ""
) -> Program:
    """Write the text of one program."""
    bench, first = set_up.bench, steps[0]
    units = bench.units
    x0, y0, x1, y1 = first.placement.stock_box_mm
    number = {section.step: section.number for section in toolpath.sections}
    thick = format_length(bench.stock.thickness_mm, units=units)
    sides = f"{format_length(x1 - x0, units=units)} x {format_length(y1 - y0, units=units)}"
    alone = len(steps) == 1
    header = Header(
        title=step_words(first) if alone else name,
        size_mm=first.placement.outline.size_mm if alone else None,
        zero_xy=ZERO_WORDS[bench.zero],
        zero_z=zero_z_words(set_up),
        stock=f"{bench.stock.told_as}, {thick} thick"
        + ("" if first.placement.stock_assumed else f", {sides}"),
        notes=(
            *(
                note
                for step, planned in enumerate(steps)
                for note in _notes(planned, step, toolpath, units, cutter=number.get(step))
            ),
            *([LENGTH_WORDS[bench.cutter_lengths]] if len(set(number.values())) > 1 else []),
        ),
    )
    return write_program(
        toolpath,
        header=header,
        rpm=first.feeds.rpm,
        units=units,
        lengths=bench.cutter_lengths,
        spin_up_s=(bench.machine or Machine()).spin_up_s,
    ).with_verdict(PASSED)


def _notes(
    planned: PlannedStep, number: int, toolpath: Toolpath, units: str, *, cutter: int | None
) -> tuple[str, ...]:
    """Say how one step is cut, with which cutter where they are numbered."""
    settings, feeds = planned.step.settings, planned.feeds
    depths = {section.z_mm for section in toolpath.sections if section.step == number}
    several = any(section.step > 0 for section in toolpath.sections)
    words = [step_words(planned)] if several else []
    if hasattr(settings, "direction"):
        words.append(f"{settings.direction} cut")
    words.append(count(len(depths), "depth"))
    if cutter is not None:
        words.append(f"cutter {cutter}")
    if getattr(settings, "through_mm", 0.0) and planned.step.depth_mm is None:
        words.append(f"{format_length(settings.through_mm, units=units)} through")
    return (
        ", ".join(words),
        f"speed {feeds.rpm:.0f} rpm, feed {feeds.feed:.0f}, plunge {feeds.plunge:.0f} mm/min",
    )
