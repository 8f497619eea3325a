"""Planning: one step becomes cuts.

In: a step, how its drawing lies, the bench, the surface it starts from. Out: a PlannedStep. The
operation itself is looked up here by name and nowhere else. Lengths in mm, work coordinates.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING, Any

import shapely

from outline2path.errors import SettingError
from outline2path.findings import Finding
from outline2path.job.placing import Bed, Placement
from outline2path.job.step import Bench, Step
from outline2path.operations.cut import Cuts, Tab
from outline2path.reach.spots import Reach, narrow_spots
from outline2path.reach.walls import Wall, thin_walls, wall_findings
from outline2path.shop.feeds import Feeds, feed_findings, starting_feeds
from outline2path.shop.machine import Machine
from outline2path.stages import stage

if TYPE_CHECKING:
    from outline2path.drawing.outline import Outline

__all__ = ["MOST_DIAMETERS", "THIN_WALL_MM", "PlannedStep", "blank_outline", "plan_step"]

THIN_WALL_MM = 1.0
"""Walls below this are reported: common practice in plywood, no source."""
MOST_DIAMETERS = 100_000
"""Longest edge, in cutter diameters: beyond it, cutting takes days and judging takes minutes."""
_TOLD_BY_REACH = {"hole-uncut", "opening-uncut"}
_HOMES = {
    "face": "facing",
    "pocket": "pocket",
    "drill": "drill",
    "engrave": "engrave",
    "chamfer": "chamfer",
    "profile": "profile",
}


@dataclass(frozen=True, eq=False, kw_only=True)
class PlannedStep:
    """A step with all that was worked out for it.

    Attributes
    ----------
    step : Step
        As asked for.
    placement : Placement
        Its outline in work coordinates, and the stock's box.
    top_mm, bottom_mm : float
        Work z of the surface it starts from and of its floor, or of the stock's underside where
        it goes through.
    cuts : Cuts
        What the operation planned.
    feeds : Feeds
        Speed and feeds commanded.
    reach, walls : Reach, tuple of Wall
        Where the cutter cannot get; walls of the part that are thin.
    findings : tuple of Finding
        Everything found before the proof.
    """

    step: Step
    placement: Placement
    top_mm: float
    bottom_mm: float
    cuts: Cuts
    feeds: Feeds
    reach: Reach
    walls: tuple[Wall, ...]
    findings: tuple[Finding, ...]

    @property
    def tabs(self) -> tuple[Tab, ...]:
        """What holds the part."""
        return tuple(tab for contour in self.cuts.contours for tab in contour.tabs)

    @property
    def settings(self) -> dict[str, Any]:
        """Every resolved number and choice of the operation, defaults included."""
        settings = self.step.settings
        return {name: getattr(settings, name) for name in settings.__dataclass_fields__}


def plan_step(step: Step, *, bed: Bed, bench: Bench, top_mm: float) -> PlannedStep:
    """Plan one step.

    Raises
    ------
    SettingError
        When settings contradict one another, the stock or the cutter.
    RefusedError
        When the cutter reaches nothing.
    """
    machine = bench.machine or Machine()
    cutter, material = step.cutter, bench.stock.material
    placement = bed.place(blank_outline(bed) if step.outline is None else step.outline)
    outline = placement.outline
    bottom_mm = _floor(step, bench, top_mm)
    _check_flutes(step, top_mm - bottom_mm)
    _check_size(outline, step, bench)
    operation = getattr(
        import_module(f"outline2path.operations.{_HOMES[step.operation]}"), step.operation
    )
    feeds = starting_feeds(
        cutter, material, machine, rpm=step.rpm, feed=step.feed, plunge=step.plunge
    )
    with stage(step.operation) as counts:
        cuts: Cuts = operation(
            outline, cutter, settings=step.settings, top_mm=top_mm, bottom_mm=bottom_mm
        )
        counts["contours"] = len(cuts.contours)
        counts["cuts"] = sum(len(contour.cuts) for contour in cuts.contours)
    with stage("narrow spots") as counts:
        reach = narrow_spots(
            outline,
            cutter.diameter_mm,
            side=_side(step),
            tolerance_mm=bench.tolerance_mm,
            allowance_mm=getattr(step.settings, "allowance_mm", 0.0),
        )
        counts["spots"] = len(reach.spots)
    profiled = step.operation == "profile"
    walls = thin_walls(outline, thinner_than_mm=THIN_WALL_MM) if profiled else ()
    return PlannedStep(
        step=step,
        placement=placement,
        top_mm=top_mm,
        bottom_mm=bottom_mm,
        cuts=cuts,
        feeds=feeds,
        reach=reach,
        walls=walls,
        findings=(
            *outline.findings,
            *reach.findings,
            *wall_findings(walls),
            *(f for f in cuts.findings if f.code not in _TOLD_BY_REACH),
            *feed_findings(feeds, cutter, material, machine=machine),
        ),
    )


def blank_outline(bed: Bed) -> Outline:
    """Return the whole blank, in the drawing's coordinates."""
    from outline2path.drawing.outline import Outline  # keeps the chain of imports short

    a, _, _, d, e, f = bed.matrix
    x0, y0, x1, y1 = bed.stock_box_mm
    corners = (x0 - e) / a, (y0 - f) / d, (x1 - e) / a, (y1 - f) / d
    return Outline.from_shapely(
        shapely.box(
            min(corners[0], corners[2]),
            min(corners[1], corners[3]),
            max(corners[0], corners[2]),
            max(corners[1], corners[3]),
        )
    )


def _floor(step: Step, bench: Bench, top_mm: float) -> float:
    """Work z of the step's floor, or of the stock's underside."""
    if step.left_mm is not None:
        floor = bench.bottom_mm + step.left_mm
    elif step.depth_mm is not None:
        floor = top_mm - step.depth_mm
    else:
        return bench.bottom_mm
    if not bench.bottom_mm <= floor < top_mm:
        deep, thick = top_mm - floor, top_mm - bench.bottom_mm
        raise SettingError(
            f"a {step.operation} {deep:g} mm deep is not within the {thick:g} mm of stock",
            value=deep,
            limit=thick,
            remedy="give a depth above zero and no more than the stock is thick",
        )
    return floor


def _side(step: Step) -> Any:
    """Which side of the outline the cutter has to reach."""
    if step.operation == "profile":
        return step.settings.side
    return "inside" if step.operation == "pocket" else "on"


def _check_flutes(step: Step, deep_mm: float) -> None:
    """Refuse a depth per pass that the cutting edges do not cover."""
    edges = step.cutter.flute_length_mm
    per_pass = getattr(step.settings, "depth_per_pass_mm", None)
    if edges is not None and per_pass is not None and min(per_pass, deep_mm) > edges:
        raise SettingError(
            f"a depth per pass of {per_pass:g} mm is more than the {edges:g} mm of flutes",
            value=per_pass,
            limit=edges,
            remedy="cut shallower, or use a longer cutter",
        )


def _check_size(outline: Outline, step: Step, bench: Bench) -> None:
    """Refuse a part that the tolerance swallows, and an edge too long for such a cutter."""
    wide = step.cutter.diameter_mm
    size, edge = max(outline.size_mm), outline.region.length
    if size <= bench.tolerance_mm:
        raise SettingError(
            f"the part would be {size:.3g} mm across, no more than the tolerance",
            value=size,
            limit=bench.tolerance_mm,
            remedy="give it a width or a scale",
        )
    if edge > MOST_DIAMETERS * wide:
        raise SettingError(
            f"{edge / 1000:.0f} m of edge are too much for a cutter of {wide:g} mm",
            value=edge,
            limit=MOST_DIAMETERS * wide,
            remedy="make the part smaller, or use a wider cutter",
        )
