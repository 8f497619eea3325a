"""Alike: what the steps of one program that do the same thing are told as: one outline.

In: planned steps of one program, and the one it is told by. Out: the outline, the reach and the
thin walls of all that are of its kind, so that a picture of twelve tags shows twelve parts.
Lengths in mm, work coordinates.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import shapely

from outline2path.drawing.outline import Outline

if TYPE_CHECKING:
    from outline2path.job.placing import Placement
    from outline2path.job.planning import PlannedStep
    from outline2path.reach.spots import Reach
    from outline2path.reach.walls import Wall

__all__ = ["placement_of", "reach_of", "steps_alike", "walls_of"]


def steps_alike(steps: Sequence[PlannedStep], main: PlannedStep) -> tuple[PlannedStep, ...]:
    """Return the steps that do what `main` does, on the same side of their outlines."""
    side = getattr(main.step.settings, "side", None)
    return tuple(
        planned
        for planned in steps
        if planned.step.operation == main.step.operation
        and getattr(planned.step.settings, "side", None) == side
    )


def placement_of(steps: Sequence[PlannedStep]) -> Placement:
    """Return where all these outlines lie, as one; one alone stays as it was drawn."""
    first = steps[0].placement
    regions = {planned.placement.outline.region.wkb: planned.placement for planned in steps}
    if len(regions) == 1:
        return first
    whole = shapely.union_all([one.outline.region for one in regions.values()])
    if whole.is_empty:  # lines without area
        return first
    outline = replace(Outline.from_shapely(whole), source=first.outline.source)
    return replace(first, outline=outline)


def reach_of(steps: Sequence[PlannedStep], outline: Outline) -> Reach:
    """Return where the cutter cannot get in any of these steps, all in one."""
    reaches = [planned.reach for planned in steps]
    if len(reaches) == 1:
        return reaches[0]
    limits = [r.largest_cutter_mm for r in reaches if r.largest_cutter_mm is not None]
    return replace(
        reaches[0],
        outline=outline,
        spots=tuple(spot for one in reaches for spot in one.spots),
        tight=tuple(place for one in reaches for place in one.tight),
        unreached_area_mm2=sum(one.unreached_area_mm2 for one in reaches),
        largest_cutter_mm=min(limits, default=None),
    )


def walls_of(steps: Sequence[PlannedStep]) -> tuple[Wall, ...]:
    """Return the thin walls of all these steps."""
    return tuple(wall for planned in steps for wall in planned.walls)
