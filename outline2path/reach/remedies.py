"""What would help: remedies in words and numbers, and the findings that carry them.

In: a Spot or a Reach, lengths in mm. Out: sentences for people, and Findings for the report:

- nothing-reachable (error): the cutter is wider than every opening;
- unreachable-hole, narrow-gap (warning): with the cutter, and the scale, that would fit;
- sharp-waist (info): too narrow to pass, yet all of it is reached from both sides;
- tight-gap (warning): the cutter fits, but with no room for the tolerance of the path;
- rounded-corner (info): one finding for all corners, placed at the worst.

A corner between straight walls keeps its shape when the cutter's radius changes, so its lost depth
is proportional to the radius (sources: elementary geometry, r (1 / sin(b / 2) - 1) for an inside
angle b). Figures are rounded to the safe side.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from outline2path.findings import Finding

if TYPE_CHECKING:
    from outline2path.reach.narrow import Spot
    from outline2path.reach.spots import Reach

__all__ = ["advice", "cutter_for_loss", "fitting_cutter", "fitting_scale", "reach_findings"]

ACCEPTED_LOSS_MM = 0.1
"""Loss at a corner that most work can bear (common practice, no source)."""
SMALLEST_ADVISED_MM = 0.5
"""Finer cutters break too easily to be recommended (common practice, no source)."""
MOST_NAMED = 20
"""So many gaps and holes get a finding of their own; the rest share one."""


def fitting_cutter(gap_mm: float) -> float:
    """Return the widest cutter, to 0.01 mm, that fits a gap or hole of that width.

    Examples
    --------
    >>> fitting_cutter(2.999)
    2.99
    """
    return math.floor(round(gap_mm * 100, 4)) / 100


def fitting_scale(gap_mm: float, cutter_mm: float, *, allowance_mm: float = 0.0) -> float | None:
    """Return the scale, to 0.001, at which the cutter would fit the gap; None for no scale.

    The allowance on both walls does not grow with the drawing.

    Examples
    --------
    >>> fitting_scale(2.0, 3.0), fitting_scale(2.0, 3.0, allowance_mm=0.5)
    (1.5, 1.334)
    """
    drawn = gap_mm + 2 * allowance_mm
    if drawn <= 0:
        return None
    return math.ceil(round(1000 * (cutter_mm + 2 * allowance_mm) / drawn, 4)) / 1000


def cutter_for_loss(lost_depth_mm: float, cutter_mm: float, *, accepted_mm: float) -> float:
    """Return the widest cutter, to 0.01 mm, that loses no more than accepted in the same corner.

    Examples
    --------
    >>> cutter_for_loss(0.6576, 3.175, accepted_mm=0.1)
    0.48
    """
    return math.floor(100 * cutter_mm * accepted_mm / lost_depth_mm) / 100


def advice(spot: Spot, reach: Reach) -> str:
    """Return what would help at one spot, in a sentence without a full stop.

    Examples
    --------
    >>> from outline2path.drawing.outline import Outline
    >>> from outline2path.reach.spots import narrow_spots
    >>> import shapely
    >>> plate = shapely.box(0, 0, 40, 30) - shapely.box(10, 10, 12, 20)
    >>> reach = narrow_spots(Outline.from_shapely(plate), 3.0)
    >>> advice(reach.spots[0], reach)
    'use a cutter of 2.00 mm or less, or enlarge the drawing 1.5 times'
    """
    if spot.gap_mm is None:
        return _corner_advice(spot.lost_depth_mm, reach.cutter_mm)
    cutter = fitting_cutter(spot.gap_mm)
    scale = fitting_scale(spot.gap_mm, reach.cutter_mm, allowance_mm=reach.allowance_mm)
    smaller = f"use a cutter of {cutter:.2f} mm or less" if cutter > 0 else "widen it"
    return smaller if scale is None else f"{smaller}, or enlarge the drawing {scale:g} times"


def _corner_advice(lost_mm: float, cutter_mm: float) -> str:
    if lost_mm <= ACCEPTED_LOSS_MM:
        return "leave it, or cut a corner relief where a square mating part must go in"
    cutter = cutter_for_loss(lost_mm, cutter_mm, accepted_mm=ACCEPTED_LOSS_MM)
    relief = "cut a corner relief, or finish the corner by hand"
    if cutter < SMALLEST_ADVISED_MM:
        return relief
    return f"use a cutter of {cutter:.2f} mm or less (loses {ACCEPTED_LOSS_MM:g} mm), {relief}"


def reach_findings(reach: Reach) -> tuple[Finding, ...]:
    """Put a reach into findings, gravest first.

    Examples
    --------
    >>> from outline2path.drawing.outline import Outline
    >>> from outline2path.reach.spots import narrow_spots
    >>> import shapely
    >>> plate = shapely.box(0, 0, 40, 30) - shapely.box(10, 10, 12, 30)
    >>> print(reach_findings(narrow_spots(Outline.from_shapely(plate), 3.0))[0])
    warning: a gap of 2.00 mm is narrower than the 3 mm cutter at x 11.00, y 30.00; use a cutter \
of 2.00 mm or less, or enlarge the drawing 1.5 times
    """
    named = [spot for spot in reach.spots if spot.kind != "corner"]
    found = [*_nothing(reach), *(_named(spot, reach) for spot in named[:MOST_NAMED])]
    found += _rest(named[MOST_NAMED:], reach)
    found += _tight(reach)
    found += _corners([spot for spot in reach.spots if spot.kind == "corner"], reach)
    rank = {"error": 0, "warning": 1, "info": 2}
    return tuple(sorted(found, key=lambda finding: rank[finding.severity]))


def _nothing(reach: Reach) -> list[Finding]:
    if not reach.blocked:
        return []
    widths = [spot.gap_mm for spot in reach.spots if spot.gap_mm is not None]
    widest = max(widths, default=None)
    help_ = (
        "make the allowance smaller or the drawing larger"
        if widest is None
        else f"a cutter of {fitting_cutter(widest):.2f} mm enters the widest, "
        f"one of {fitting_cutter(min(widths)):.2f} mm every one"
    )
    return [
        Finding(
            code="nothing-reachable",
            severity="error",
            message=f"the {reach.cutter_mm:g} mm cutter is wider than every opening",
            value=widest,
            limit=reach.cutter_mm,
            unit="mm",
            remedy=help_,
        )
    ]


def _named(spot: Spot, reach: Reach) -> Finding:
    sharp = spot.kind == "gap" and spot.lost_area_mm2 == 0
    what = (
        f"a {spot.kind} of {spot.gap_mm:.2f} mm is narrower than the {reach.cutter_mm:g} mm cutter"
    )
    code = "unreachable-hole" if spot.kind == "hole" else "narrow-gap"
    return Finding(
        code="sharp-waist" if sharp else code,
        severity="info" if sharp else "warning",
        message=f"{what}, but is reached from both sides" if sharp else what,
        at_mm=spot.at_mm,
        value=spot.gap_mm,
        limit=reach.cutter_mm,
        unit="mm",
        remedy=advice(spot, reach),
    )


def _rest(spots: list[Spot], reach: Reach) -> list[Finding]:
    if not spots:
        return []
    least = min(spots, key=lambda spot: spot.gap_mm or 0.0)
    return [
        Finding(
            code="narrow-gap",
            severity="warning",
            message=f"{len(spots)} more gaps and holes are narrower than the "
            f"{reach.cutter_mm:g} mm cutter, the least {least.gap_mm:.2f} mm",
            at_mm=least.at_mm,
            value=least.gap_mm,
            limit=reach.cutter_mm,
            unit="mm",
            remedy=advice(least, reach),
        )
    ]


def _tight(reach: Reach) -> list[Finding]:
    if not reach.tight:
        return []
    x, y, width = reach.tight[0]
    count = len(reach.tight)
    are = "a gap or hole is" if count == 1 else f"{count} gaps or holes are"
    return [
        Finding(
            code="tight-gap",
            severity="warning",
            message=f"{are} hardly wider than the {reach.cutter_mm:g} mm cutter "
            f"({width:.3f} mm): a path within the tolerance does not enter",
            at_mm=(x, y),
            value=width,
            limit=reach.cutter_mm,
            unit="mm",
            remedy="use a cutter a little smaller, or a finer tolerance",
        )
    ]


def _corners(spots: list[Spot], reach: Reach) -> list[Finding]:
    if not spots:
        return []
    worst = max(spots, key=lambda spot: spot.lost_depth_mm)
    many = "1 inner corner is" if len(spots) == 1 else f"{len(spots)} inner corners are"
    most = "it loses" if len(spots) == 1 else "the worst loses"
    return [
        Finding(
            code="rounded-corner",
            severity="info",
            message=f"{many} rounded by the cutter; {most} {worst.lost_depth_mm:.2f} mm",
            at_mm=worst.at_mm,
            value=worst.lost_depth_mm,
            limit=reach.tolerance_mm,
            unit="mm",
            remedy=advice(worst, reach),
        )
    ]
