"""Going on: a smaller cutter's profile where a larger one has been.

In: the planned programs of a job. Out: findings, each under the number of the program that goes
on, told before anything is written: that no larger cutter comes before it, that nothing holds the
part any more when it begins, or that it cuts into the tabs which do. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np

from outline2path.findings import Finding
from outline2path.proof.bridges import bitten_mm
from outline2path.proof.feature import ExpectedTab
from outline2path.proof.tracks import Nearest
from outline2path.tolerance import SAME_MM

if TYPE_CHECKING:
    from outline2path.job.planned import PlannedProgram
    from outline2path.job.planning import PlannedStep

__all__ = ["going_on"]


def going_on(programs: Sequence[PlannedProgram]) -> dict[int, tuple[Finding, ...]]:
    """Return what stands in the way of going on, by the program's place in the sequence."""
    found: dict[int, tuple[Finding, ...]] = {}
    for number, program in enumerate(programs):
        before = [
            planned
            for one in programs[:number]
            if one.set_up.blank == program.set_up.blank
            for planned in one.steps
        ]
        told: list[Finding] = []
        holding = program.bench.holding
        glued = holding is not None and holding.way == "tape and glue"
        for planned in program.steps:
            told += _faults(planned, before, glued)
            before.append(planned)
        if told:
            found[number] = tuple(told)
    return found


def _faults(planned: PlannedStep, before: Sequence[PlannedStep], glued: bool) -> Iterator[Finding]:
    """Look at one step that goes on."""
    step = planned.step
    if step.operation != "profile" or step.settings.rest_of_mm is None or step.outline is None:
        return
    larger, smaller = step.settings.rest_of_mm, step.cutter.diameter_mm
    region = step.outline.region
    same = [
        one
        for one in before
        if one.step.operation == "profile"
        and one.step.outline is not None
        and one.step.outline.region.equals_exact(region, 0.0)
        and one.step.settings.side == step.settings.side
    ]
    if not any(one.step.cutter.diameter_mm == larger for one in same):
        yield Finding(
            code="rest-without-larger",
            severity="error",
            message=f"a cutter of {smaller:g} mm is to cut what one of {larger:g} mm left, but no "
            "profile of this outline comes before it with that cutter",
            value=larger,
            remedy="add that profile first, or leave out rest_of",
        )
        return
    if not glued and not any(one.tabs for one in same):
        yield Finding(
            code="rest-on-loose",
            severity="error",
            message=f"the part is free and held by no tabs when the cutter of {smaller:g} mm goes "
            "on: it would be caught and thrown",
            value=0.0,
            limit=1.0,
            remedy="ask for tabs in the profile before and in this one, or hold the part by tape "
            "and glue and say so",
        )
    yield from _bitten(planned, same)


def _bitten(planned: PlannedStep, same: Sequence[PlannedStep]) -> Iterator[Finding]:
    """Find the first tab of a larger cutter that the smaller one cuts into."""
    step, outline = planned.step, planned.placement.outline
    for one in same:
        for tab in one.tabs:
            stands = ExpectedTab(at_mm=tab.at_mm, length_mm=tab.length_mm, height_mm=tab.height_mm)
            into = bitten_mm(
                stands,
                _below(planned, planned.bottom_mm + tab.height_mm),
                outline.region,
                keeps=step.settings.side == "outside",
                radius_mm=step.cutter.radius_mm,
            )
            if into > 0:
                yield Finding(
                    code="rest-cuts-tab",
                    severity="error",
                    message=f"the cutter of {step.cutter.diameter_mm:g} mm cuts {into:.2f} mm "
                    "into a tab that the larger one leaves",
                    at_mm=tab.at_mm,
                    value=into,
                    limit=0.0,
                    unit="mm",
                    remedy=f"ask for the same tabs here: {one.step.settings.tabs} of "
                    f"{tab.length_mm:g} mm, {tab.height_mm:g} mm high",
                )
                return


def _below(planned: PlannedStep, z_mm: float) -> Nearest:
    """Return what of a step's cuts runs lower than a height."""
    every = [
        np.stack((span.points[:-1], span.points[1:]), axis=1)
        for contour in planned.cuts.contours
        for cut in contour.cuts
        for span in cut.spans
    ]
    pieces = np.concatenate([np.empty((0, 2, 3)), *every])
    low = pieces[np.max(pieces[:, :, 2], axis=1) < z_mm - SAME_MM]
    return Nearest(low[:, 0], low[:, 1])
