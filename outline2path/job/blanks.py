"""Blanks: every program run on one blank, as seen from one of its set-ups.

In: a plan and a set-up. Out: the cuttings and parts in that set-up's work coordinates, and the
blank as a lit solid after them. What was cut while the blank lay the other side up is mirrored
and cut from below. Lengths in mm.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import shapely

from outline2path.picture.height_field import Cutting
from outline2path.progress import in_notebook
from outline2path.stages import stage

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from outline2path.job.plan import Plan
    from outline2path.job.planned import PlannedProgram
    from outline2path.job.step import SetUp
    from outline2path.picture.solid import Solid, Waste

__all__ = ["box_of", "cuttings_of", "parts_of", "programs_of", "solid_of", "turning_of"]

Matrix = tuple[float, float, float, float, float, float]


def programs_of(plan: Plan, set_up: SetUp) -> tuple[PlannedProgram, ...]:
    """Return the programs of a set-up, in the order they are run."""
    return tuple(program for program in plan.programs if program.set_up is set_up)


def box_of(plan: Plan, set_up: SetUp) -> tuple[float, float, float, float]:
    """Return the blank's box (x0, y0, x1, y1) in a set-up's work coordinates."""
    return programs_of(plan, set_up)[0].placement.stock_box_mm


def _between(plan: Plan, one: SetUp, other: SetUp) -> Matrix:
    """Return the map from a set-up's work coordinates to those of another of the same blank."""
    (x0, y0, x1, y1), (u0, v0, _, _) = box_of(plan, one), box_of(plan, other)
    over_x = (one.about == "y") != (other.about == "y")
    over_y = (one.about == "x") != (other.about == "x")
    a, e = (-1.0, u0 + x1) if over_x else (1.0, u0 - x0)
    d, f = (-1.0, v0 + y1) if over_y else (1.0, v0 - y0)
    return (a, 0.0, 0.0, d, e, f)


def cuttings_of(plan: Plan, last: SetUp) -> tuple[Cutting, ...]:
    """Every program run on a blank up to a set-up, as seen from that set-up."""
    same = [s for s in plan.set_ups if s.blank == last.blank and s.number <= last.number]
    found = []
    for set_up, later in zip(same, [*same[1:], None], strict=True):
        bench = set_up.bench
        plane = bench.top_mm
        if later is not None:
            plane -= bench.stock.thickness_mm - later.bench.stock.thickness_mm
        found += [
            Cutting(
                text=program.program.text,
                cutter=program.turns[0].cutter,
                cutters={
                    turn.number: turn.cutter for turn in program.turns if turn.number is not None
                },
                matrix=_between(plan, set_up, last),
                raised_mm=0.0 if later is None else last.bench.top_mm - plane,
                from_below=set_up.about != last.about,
            )
            for program in programs_of(plan, set_up)
        ]
    return tuple(found)


def parts_of(plan: Plan, last: SetUp) -> BaseGeometry | None:
    """Return what the profiles so far have cut free, as seen from a set-up."""
    from shapely.affinity import affine_transform

    regions = []
    for program in plan.programs:
        set_up = program.set_up
        if set_up.blank != last.blank or set_up.number > last.number:
            continue
        a, b, c, d, e, f = _between(plan, set_up, last)
        regions += [
            affine_transform(planned.placement.outline.region, [a, c, b, d, e, f])
            for planned in program.steps
            if planned.step.operation == "profile" and planned.step.settings.side == "outside"
        ]
    return shapely.union_all(regions) if regions else None


def solid_of(
    plan: Plan, *, set_up: SetUp | None = None, waste: Waste = "dim", wide_px: int = 1000
) -> Solid:
    """Return a blank as a lit solid, after a set-up and all before it on the same blank.

    Parameters
    ----------
    plan : Plan
        Its programs' text is replayed; nothing else of it is shown but what is waste.
    set_up : SetUp, optional
        The last one if left out.
    waste : "show", "dim" or "remove"
        What becomes of all that no profile has cut free.
    wide_px : int
        About how many dots wide the picture becomes.
    """
    from outline2path.picture.solid import solid_picture

    last = plan.set_ups[-1] if set_up is None else set_up
    with in_notebook(), stage("draw the blank"):
        return solid_picture(
            cuttings_of(plan, last), waste=waste, wide_px=wide_px, **_blank(plan, last)
        )


def turning_of(plan: Plan, *, set_up: SetUp) -> str:
    """Return a blank after a set-up, without its waste, as data for turning it on a screen."""
    from outline2path.picture.turning import turning_data

    with stage("turn the blank"):
        return turning_data(cuttings_of(plan, set_up), **_blank(plan, set_up))


def _blank(plan: Plan, set_up: SetUp) -> dict[str, Any]:
    bench = set_up.bench
    return {
        "stock_box_mm": box_of(plan, set_up),
        "top_mm": bench.top_mm,
        "bottom_mm": bench.bottom_mm,
        "part": parts_of(plan, set_up),
        "material": bench.stock.material_name,
        "grain": bench.stock.grain,
    }
