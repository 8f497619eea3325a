"""Make: a step at the bench becomes a plan.

The way of the data in one page: place the outline, ask what the cutter reaches, turn the region
into cuts, link them, write the text, and say what the judge is to hold it to.
"""

from __future__ import annotations

from pathlib import Path

from outline2path.drawing.outline import Outline
from outline2path.errors import SettingError
from outline2path.findings import Finding
from outline2path.job.placing import Placement, place, travel_findings
from outline2path.job.plan import Plan
from outline2path.job.step import Bench, ProfileStep
from outline2path.job.words import count
from outline2path.operations.cut import Tab
from outline2path.path.assemble import assemble
from outline2path.path.measure import bounds_mm
from outline2path.path.time import times
from outline2path.path.toolpath import Toolpath
from outline2path.proof.expected import Expected, ExpectedTab
from outline2path.reach.spots import narrow_spots
from outline2path.reach.walls import thin_walls, wall_findings
from outline2path.rs274.header import Header
from outline2path.rs274.program import Program
from outline2path.rs274.writer import write_program
from outline2path.shop.cutter import Cutter
from outline2path.shop.feeds import Feeds, feed_findings, starting_feeds
from outline2path.shop.machine import Machine
from outline2path.tolerance import Budget
from outline2path.units import format_length

__all__ = ["make_plan"]

THIN_WALL_MM = 1.0
"""Walls below this are reported: common practice in plywood, no source."""
_TOLD_BY_REACH = {"hole-uncut", "opening-uncut"}
MOST_DIAMETERS = 100_000
"""Longest edge, in cutter diameters: beyond it, cutting takes days and judging takes minutes."""
_ZERO_WORDS = {
    "lower-left": "lower left corner of the part",
    "centre": "centre of the part",
    "stock-corner": "lower left corner of the stock",
}


def make_plan(step: ProfileStep, bench: Bench) -> Plan:
    """Plan one profile.

    Raises
    ------
    SettingError
        When settings contradict one another, the stock or the cutter.
    RefusedError
        When the cutter reaches nothing.
    """
    from outline2path.operations.profile import profile  # keeps the chain of imports short

    _check_flutes(step, bench)
    machine = bench.machine or Machine()
    cutter, settings = step.cutter, step.settings
    placement = place(
        step.outline, stock=bench.stock, zero=bench.zero, cutter_mm=cutter.diameter_mm
    )
    outline = placement.outline
    _check_size(outline, cutter, bench)
    feeds = starting_feeds(
        cutter, bench.stock.material, machine, rpm=step.rpm, feed=step.feed, plunge=step.plunge
    )
    cuts = profile(
        outline, cutter, settings=settings, top_mm=bench.top_mm, bottom_mm=bench.bottom_mm
    )
    toolpath = assemble(
        cuts.contours,
        feed=feeds.feed,
        plunge=feeds.plunge,
        clearance_mm=bench.top_mm + bench.clearance_mm,
        top_mm=bench.top_mm,
        budget=Budget(bench.tolerance_mm),
    )
    reach = narrow_spots(
        outline,
        cutter.diameter_mm,
        side=settings.side,
        tolerance_mm=bench.tolerance_mm,
        allowance_mm=settings.allowance_mm,
    )
    walls = thin_walls(outline, thinner_than_mm=THIN_WALL_MM)
    tabs = tuple(tab for contour in cuts.contours for tab in contour.tabs)
    return Plan(
        step=step,
        bench=bench,
        placement=placement,
        reach=reach,
        walls=walls,
        tabs=tabs,
        toolpath=toolpath,
        times=times(toolpath, rapid=machine.rapid, acceleration=machine.acceleration),
        feeds=feeds,
        expected=_expected(step, bench, placement, tabs),
        program=_program(step, bench, placement, toolpath, feeds),
        planned_findings=(
            *outline.findings,
            *reach.findings,
            *wall_findings(walls),
            *(f for f in cuts.findings if f.code not in _TOLD_BY_REACH),
            *feed_findings(feeds, cutter, bench.stock.material, machine=machine),
            *_place_findings(toolpath, placement, cutter.diameter_mm, bench),
            *_hold_findings(tabs),
        ),
    )


def _check_flutes(step: ProfileStep, bench: Bench) -> None:
    """Refuse a depth per pass that the cutting edges do not cover."""
    edges, per_pass = step.cutter.flute_length_mm, step.settings.depth_per_pass_mm
    if edges is not None and min(per_pass, bench.stock.thickness_mm) > edges:
        raise SettingError(
            f"a depth per pass of {per_pass:g} mm is more than the {edges:g} mm of flutes",
            value=per_pass,
            limit=edges,
            remedy="cut shallower, or use a longer cutter",
        )


def _check_size(outline: Outline, cutter: Cutter, bench: Bench) -> None:
    """Refuse a part that the tolerance swallows, and an edge too long for such a cutter."""
    size, edge = max(outline.size_mm), outline.region.length
    if size <= bench.tolerance_mm:
        raise SettingError(
            f"the part would be {size:.3g} mm across, no more than the tolerance",
            value=size,
            limit=bench.tolerance_mm,
            remedy="give it a width or a scale",
        )
    if edge > MOST_DIAMETERS * cutter.diameter_mm:
        raise SettingError(
            f"{edge / 1000:.0f} m of edge are too much for a cutter of {cutter.diameter_mm:g} mm",
            value=edge,
            limit=MOST_DIAMETERS * cutter.diameter_mm,
            remedy="make the part smaller, or use a wider cutter",
        )


def _place_findings(
    toolpath: Toolpath, placement: Placement, cutter_mm: float, bench: Bench
) -> tuple[Finding, ...]:
    x0, y0, _, x1, y1, _ = bounds_mm(toolpath)
    return travel_findings((x0, y0, x1, y1), placement, cutter_mm=cutter_mm, machine=bench.machine)


def _hold_findings(tabs: tuple[Tab, ...]) -> tuple[Finding, ...]:
    """Tell that nothing holds the part where no tab does."""
    if tabs:
        return ()
    return (
        Finding(
            code="no-tabs",
            severity="warning",
            message="no tabs: the part and what falls out of its holes come loose",
            remedy="hold them with tape and glue, or ask for tabs",
        ),
    )


def _expected(
    step: ProfileStep, bench: Bench, placement: Placement, tabs: tuple[Tab, ...]
) -> Expected:
    settings = step.settings
    return Expected(
        region_fine=placement.outline,
        side=settings.side,
        allowance_mm=settings.allowance_mm,
        cutter_mm=step.cutter.diameter_mm,
        tolerance_mm=bench.tolerance_mm,
        top_mm=bench.top_mm,
        bottom_mm=bench.bottom_mm,
        through_mm=settings.through_mm,
        depth_per_pass_mm=settings.depth_per_pass_mm,
        clearance_mm=bench.top_mm + bench.clearance_mm,
        flute_length_mm=step.cutter.flute_length_mm,
        tabs=tuple(
            ExpectedTab(at_mm=t.at_mm, length_mm=t.length_mm, height_mm=t.height_mm) for t in tabs
        ),
        stock_mm=placement.stock_box_mm,
        most_feed_mm_min=bench.machine.greatest_feed if bench.machine else None,
        most_rpm=bench.machine.speeds_rpm[1] if bench.machine else None,
    )


def _program(
    step: ProfileStep,
    bench: Bench,
    placement: Placement,
    toolpath: Toolpath,
    feeds: Feeds,
) -> Program:
    outline, settings = placement.outline, step.settings
    depths = {section.z_mm for section in toolpath.sections}
    name = outline.source.file
    width, height = (
        placement.stock_box_mm[2] - placement.stock_box_mm[0],
        placement.stock_box_mm[3] - placement.stock_box_mm[1],
    )
    thick = format_length(bench.stock.thickness_mm, units=bench.units)
    sides = (
        f"{format_length(width, units=bench.units)} x {format_length(height, units=bench.units)}"
    )
    header = Header(
        title=f"{Path(name).stem if name else 'outline'}: {settings.side} profile",
        size_mm=outline.size_mm,
        zero_xy=_ZERO_WORDS[bench.zero],
        zero_z="top of the stock" if bench.zero_z == "top" else "waste board under the stock",
        stock=f"{bench.stock.material_name}, {thick} thick"
        + ("" if placement.stock_assumed else f", {sides}"),
        notes=(
            f"{settings.direction} cut, {count(len(depths), 'depth')}, "
            f"{format_length(settings.through_mm, units=bench.units)} through",
            f"speed {feeds.rpm:.0f} rpm, feed {feeds.feed:.0f}, plunge {feeds.plunge:.0f} mm/min",
        ),
    )
    written = write_program(toolpath, header=header, rpm=feeds.rpm, units=bench.units)
    return written.with_verdict("replay of this text passed")
