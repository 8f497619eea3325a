"""Wanted: what the judge is to hold a program to, told without a word about how it is cut.

In: the planned steps of one program and the programs run before it in the same set-up. Out: a
value of the proof room. Lengths in mm, work coordinates.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from outline2path.errors import SettingError
from outline2path.proof.expected import Expected, ExpectedTab

if TYPE_CHECKING:
    from outline2path.job.planned import PlannedProgram
    from outline2path.job.planning import PlannedStep
    from outline2path.job.step import Bench

__all__ = ["wanted"]


def wanted(
    steps: Sequence[PlannedStep], bench: Bench, earlier: Sequence[PlannedProgram]
) -> Expected:
    """Say what a program was to make."""
    if len(steps) + len(earlier) != 1 or steps[0].step.operation != "profile":
        raise SettingError(
            f"a set-up of {len(steps) + len(earlier)} steps cannot be judged yet",
            value=len(steps),
            limit=1,
            remedy="give each profile a job of its own",
        )
    planned = steps[0]
    settings, cutter = planned.step.settings, planned.step.cutter
    return Expected(
        region_fine=planned.placement.outline,
        side=settings.side,
        allowance_mm=settings.allowance_mm,
        cutter_mm=cutter.diameter_mm,
        tolerance_mm=bench.tolerance_mm,
        top_mm=bench.top_mm,
        bottom_mm=bench.bottom_mm,
        through_mm=settings.through_mm,
        depth_per_pass_mm=settings.depth_per_pass_mm,
        clearance_mm=bench.top_mm + bench.clearance_mm,
        flute_length_mm=cutter.flute_length_mm,
        tabs=tuple(
            ExpectedTab(at_mm=t.at_mm, length_mm=t.length_mm, height_mm=t.height_mm)
            for t in planned.tabs
        ),
        stock_mm=planned.placement.stock_box_mm,
        most_feed_mm_min=bench.machine.greatest_feed if bench.machine else None,
        most_rpm=bench.machine.speeds_rpm[1] if bench.machine else None,
    )
