"""Meeting: hollows cut from both sides of a blank that break into one another.

In: the planned programs of a job. Out: findings, each under the number of the program that breaks
through. Outlines of a blank are all given as seen from its first side, so regions are compared as
they were drawn. Only floors that are meant to stay count: what goes through the stock anyway
cannot break through. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from shapely.geometry.base import BaseGeometry

from outline2path.drawing.transforms import IDENTITY, Affine, apply, compose, invert
from outline2path.findings import Finding
from outline2path.tolerance import SAME_MM

if TYPE_CHECKING:
    from outline2path.drawing.outline import Outline
    from outline2path.job.planned import PlannedProgram

__all__ = ["meetings"]

_HOLLOWS = {"pocket", "drill"}


@dataclass(frozen=True, eq=False, kw_only=True)
class _Hollow:
    """A hollow with a floor: its region as drawn, and how thick the stock is under it."""

    region: BaseGeometry
    lies: Affine  # from the drawing's mm to work coordinates
    under_mm: float
    deep_mm: float
    words: str


def meetings(programs: Sequence[PlannedProgram]) -> dict[int, tuple[Finding, ...]]:
    """Return what breaks through from the other side, by the program's place in the sequence.

    Earlier programs of the same blank are looked at, on its other side only.
    """
    found: dict[int, tuple[Finding, ...]] = {}
    for number, program in enumerate(programs):
        here = program.set_up
        across = [
            hollow
            for earlier in programs[:number]
            if earlier.set_up.blank == here.blank and earlier.set_up.about != here.about
            for hollow in _hollows(earlier)
        ]
        told = tuple(
            finding
            for hollow in _hollows(program)
            for other in across
            for finding in _meeting(hollow, other)
        )
        if told:
            found[number] = told
    return found


def _hollows(program: PlannedProgram) -> Iterator[_Hollow]:
    for planned in program.steps:
        step, bench = planned.step, program.bench
        under = planned.bottom_mm - bench.bottom_mm
        if step.operation in _HOLLOWS and step.outline is not None and under > SAME_MM:
            yield _Hollow(
                region=step.outline.region,
                lies=_moved(step.outline, planned.placement.outline),
                under_mm=under,
                deep_mm=planned.top_mm - planned.bottom_mm,
                words=f"the {step.operation} of set-up {program.set_up.number}",
            )


def _moved(drawn: Outline, lying: Outline) -> Affine:
    """Return what took an outline to where it lies; an outline's own matrix is never flat."""
    return compose(lying.matrix, invert(drawn.matrix) or IDENTITY)


def _meeting(hollow: _Hollow, other: _Hollow) -> Iterator[Finding]:
    """Tell where what stands under one floor is less than the other is deep."""
    left = hollow.under_mm - other.deep_mm
    if left > SAME_MM:
        return
    shared = hollow.region.intersection(other.region)
    if shared.area <= SAME_MM:
        return
    place = shared.representative_point()
    yield Finding(
        code="sides-meet",
        severity="warning",
        message=f"{hollow.words} breaks into {other.words}: together they are "
        f"{-left:.2f} mm deeper than the stock there",
        at_mm=apply(hollow.lies, place.x, place.y),
        value=left,
        limit=0.0,
        unit="mm",
        remedy="cut one of them less deep, or move it; leave it so if a hole is wanted",
    )
