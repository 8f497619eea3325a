"""Wanted: what the judge is to hold a program to, told without a word about how it is cut.

In: the planned steps of one program and the programs run before it in the same set-up. Out: a
value of the proof room. Lengths in mm, work coordinates.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from hashlib import sha256
from typing import TYPE_CHECKING, Any, Protocol

import shapely

from outline2path.operations.chamfer_settings import cone_for
from outline2path.proof.expected_program import Earlier, ExpectedProgram, KeepOut
from outline2path.proof.feature import ExpectedTab, Feature, Kind
from outline2path.proof.mountings import ExpectedMountings, Mounting
from outline2path.rs274.program import Program

if TYPE_CHECKING:
    from outline2path.drawing.outline import Outline
    from outline2path.job.numbers import CutterTurn
    from outline2path.job.placing import Box
    from outline2path.job.planning import PlannedStep
    from outline2path.job.step import Bench
    from outline2path.shop.cutter import Cutter
    from outline2path.shop.machine import Machine

__all__ = ["Done", "keep_out", "wanted", "wanted_in_turn"]

_KINDS: dict[str, Kind] = {
    "face": "face",
    "pocket": "pocket",
    "drill": "hole",
    "engrave": "line",
    "chamfer": "chamfer",
    "profile": "profile",
}
_OTHER = {"outside": "inside", "inside": "outside"}


class Done(Protocol):
    """What was cut before in the same set-up: a program, or a turn of a cutter in this one."""

    @property
    def cutter(self) -> Cutter:
        """With what."""

    @property
    def steps(self) -> Sequence[PlannedStep]:
        """What was done."""

    @property
    def expected(self) -> ExpectedProgram | ExpectedMountings:
        """What the judge holds it to."""

    @property
    def program(self) -> Program:
        """Its text; empty for a turn in the same program."""


_SAME_TEXT = Program("")
"""Stands for the text of a turn in the very program: the judge has it already."""


@dataclass(frozen=True, eq=False, kw_only=True)
class _DoneTurn:
    """A turn that is over when the next one begins."""

    cutter: Cutter
    steps: Sequence[PlannedStep]
    expected: ExpectedProgram
    program: Program = _SAME_TEXT


def wanted_in_turn(
    turns: Sequence[CutterTurn], bench: Bench, earlier: Sequence[Done]
) -> ExpectedProgram | ExpectedMountings:
    """Say what a program was to make, cutter by cutter where it changes them.

    Parameters
    ----------
    turns : sequence of CutterTurn
        Of its cutters; one alone without a number is already in.
    bench : Bench
        Stock, machine, holding, work zero.
    earlier : sequence of Done
        The programs run before it in the same set-up.
    """
    if turns[0].number is None:
        return wanted(turns[0].steps, bench, earlier)
    mountings: list[Mounting] = []
    done: list[Done] = list(earlier)
    for turn in turns:
        one = wanted(turn.steps, bench, done)
        mountings.append(Mounting(number=turn.number or 0, wanted=one))
        done.append(_DoneTurn(cutter=turn.cutter, steps=turn.steps, expected=one))
    steps = [planned for turn in turns for planned in turn.steps]
    return ExpectedMountings(mountings=tuple(mountings), drawing_sha256=_drawings(steps))


def wanted(steps: Sequence[PlannedStep], bench: Bench, earlier: Sequence[Done]) -> ExpectedProgram:
    """Say what a program was to make."""
    per_pass = [getattr(planned.step.settings, "depth_per_pass_mm", None) for planned in steps]
    stated = [depth for depth in per_pass if depth is not None]
    machine = bench.machine
    return ExpectedProgram(
        features=tuple(
            replace(_feature(planned), standing=_standing(planned, earlier)) for planned in steps
        ),
        cutter=steps[0].step.cutter,
        top_mm=max(planned.top_mm for planned in steps),
        bottom_mm=bench.bottom_mm,
        clearance_mm=bench.top_mm + bench.clearance_mm,
        hop_mm=None if bench.hop_mm is None else bench.top_mm + bench.hop_mm,
        depth_per_pass_mm=max(stated) if len(stated) == len(steps) else None,
        stock_mm=steps[0].placement.stock_box_mm,
        most_feed_mm_min=_most_feed(machine),
        most_rpm=machine.speeds_rpm[1] if machine else None,
        keep_out=keep_out(bench, steps[0].placement.stock_box_mm),
        waste_board_mm=bench.bottom_mm - bench.waste_board_mm if bench.waste_board_mm else None,
        usual_chip_mm=_usual_chip(steps, bench),
        most_chip_mm=_most_chip(steps),
        before=_before(earlier),
        drawing_sha256=_drawings(steps),
    )


def _before(earlier: Sequence[Done]) -> tuple[Earlier, ...]:
    """Return the programs run before; what the last one knows of those before it is shared."""
    if not earlier:
        return ()
    last, known = earlier[-1], earlier[-1].expected.before
    if len(known) != len(earlier) - 1:
        known = _before(earlier[:-1])
    features = tuple(_feature(planned) for planned in last.steps if not _fills(planned))
    return (*known, Earlier(text=last.program.text, cutter=last.cutter, features=features))


def _usual_chip(steps: Sequence[PlannedStep], bench: Bench) -> tuple[float, float] | None:
    """Return the material's usual range of chip load for the cutter, mm."""
    material = bench.stock.material
    return material.chip_load_mm(steps[0].step.cutter.diameter_mm) if material else None


def _most_chip(steps: Sequence[PlannedStep]) -> float:
    """Return the thickest chip that the feeds and speeds of the steps ask for, mm.

    Where a feed is raised since chips are thin, they are thicker in corners.
    """
    flutes = steps[0].step.cutter.flutes
    return max(
        planned.feeds.chip_load_mm(flutes=flutes) * max(1.0, _raised(planned)) for planned in steps
    )


def _raised(planned: PlannedStep) -> float:
    """Return the greatest share of its feed that a step is cut at."""
    cuts = [cut for contour in planned.cuts.contours for cut in contour.cuts]
    return max((span.feed_factor for cut in cuts for span in cut.spans), default=1.0)


def _most_feed(machine: Machine | None) -> float | tuple[float, ...] | None:
    """Return the machine's greatest feed: along each move, or of each axis."""
    if machine is None:
        return None
    figures = machine.feeds.figures
    return figures if len(figures) > 1 else figures[0]


def _drawings(steps: Sequence[PlannedStep]) -> str:
    """Return the hash of the drawing file, of several files' hashes in order, or nothing."""
    sources = {planned.placement.outline.source.sha256 for planned in steps}
    known = sorted(one for one in sources if one)
    return (
        known[0] if len(known) == 1 else sha256("".join(known).encode()).hexdigest() * bool(known)
    )


def keep_out(bench: Bench, stock_box: Box) -> tuple[KeepOut, ...]:
    """Return the clamps in work coordinates; they are measured from the stock's lower corner."""
    clamps = () if bench.holding is None else bench.holding.clamps
    x, y = stock_box[:2]
    return tuple(
        KeepOut(
            box_mm=(
                clamp.box_mm[0] + x,
                clamp.box_mm[1] + y,
                clamp.box_mm[2] + x,
                clamp.box_mm[3] + y,
            ),
            top_mm=bench.bottom_mm + clamp.height_mm,
            name=clamp.name,
        )
        for clamp in clamps
    )


def _feature(planned: PlannedStep) -> Feature:
    """Say what one step was to make."""
    step, settings = planned.step, planned.step.settings
    more: dict[str, Any] = {}
    region: Any = planned.placement.outline
    bottom_mm = planned.bottom_mm
    if step.operation == "profile":
        more["side"] = settings.side
    if step.operation == "chamfer":
        cone = cone_for(step.cutter, settings)
        bottom_mm = planned.top_mm - cone.tip_depth_mm
        more["width_mm"] = cone.width_mm
        region, more["side"] = _edges(planned)
    if step.operation == "engrave":
        region = partial(_lines, planned.placement.outline)
    through = step.depth_mm is None and step.left_mm is None
    return Feature(
        name=step.operation,
        kind=_KINDS[step.operation],
        region_fine=region,
        top_mm=planned.top_mm,
        bottom_mm=bottom_mm,
        through_mm=getattr(settings, "through_mm", 0.0) if through else 0.0,
        allowance_mm=getattr(settings, "allowance_mm", 0.0),
        tabs=tuple(
            ExpectedTab(at_mm=t.at_mm, length_mm=t.length_mm, height_mm=t.height_mm)
            for t in planned.tabs
        ),
        tolerance_mm=settings.tolerance_mm,
        **more,
    )


def _standing(planned: PlannedStep, earlier: Sequence[Done]) -> tuple[ExpectedTab, ...]:
    """Return the tabs a larger cutter has left on an edge that a smaller one goes on with."""
    if planned.step.operation != "profile" or planned.step.settings.rest_of_mm is None:
        return ()
    outline = planned.step.outline
    return tuple(
        replace(tab, cutter_mm=program.cutter.diameter_mm)
        for program in earlier
        for one in program.steps
        if one.step.operation == "profile" and one.step.outline is outline
        for tab in _feature(one).tabs
    )


def _fills(planned: PlannedStep) -> bool:
    """Whether a step is told by a region with its holes filled, which later steps may cut."""
    return planned.step.operation == "chamfer" and planned.step.settings.edges == "outer"


def _edges(planned: PlannedStep) -> tuple[Any, str]:
    """Return the region whose edges are chamfered, and the side of it that is taken.

    The holes alone are regions of their own, taken on the other side.
    """
    settings, outline = planned.step.settings, planned.placement.outline
    if settings.edges == "all":
        return outline, settings.side
    if settings.edges == "outer":
        return partial(_rings, outline, False), settings.side
    return partial(_rings, outline, True), {"outside": "inside", "inside": "outside"}[
        settings.side
    ]


def _rings(outline: Outline, holes: bool, within_mm: float) -> shapely.MultiPolygon:
    """Return the outer edges, or the holes, as filled regions."""
    parts = shapely.get_parts(outline.region_within(within_mm))
    rings = [list(part.interiors) if holes else [part.exterior] for part in parts]
    return shapely.MultiPolygon([shapely.Polygon(ring) for several in rings for ring in several])


def _lines(outline: Outline, within_mm: float) -> shapely.MultiLineString:
    """Return the lines that are engraved: those drawn, and the edges of filled shapes."""
    drawn = outline.drawn_within(within_mm)
    edges = [ring for part in shapely.get_parts(drawn.region) for ring in shapely.get_rings(part)]
    return shapely.multilinestrings([*shapely.get_parts(drawn.lines), *edges])
