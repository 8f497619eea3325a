"""Drill: round holes, pecked straight down; wider ones are bored.

In: an Outline whose parts are circles (and places, in the settings), a Cutter, z of the surface
and of the floor, mm. Out: Cuts, one contour for each hole; `path` orders them by short travel.

- As wide as the cutter, to within the tolerance: pecked. Each peck is a plain move down and a
  rapid up to clear the chips; the next one comes back just above the last floor. No canned cycle
  is needed, since many small controllers know none.
- Wider: bored on a helix with a flat cutter (`bore`).
- Narrower than the cutter, not round, or wider than a drill: an error finding with its place.

The floor is where the hole still has its full diameter; a drill's point goes `point_length_mm`
deeper, and `through_mm` more where the hole goes through the stock. A drilled hole is as wide as
the drill; a bored one keeps the one-sided promise.

Refused: cutters that drill no round hole with straight walls (SettingError), and a job in which
no hole can be made (RefusedError).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from outline2path.errors import RefusedError, SettingError
from outline2path.findings import Finding
from outline2path.operations.bore import bore_cuts
from outline2path.operations.cut import Contour, Cut, Cuts, Span
from outline2path.operations.drill_settings import DrillSettings
from outline2path.operations.holes import Hole, round_holes
from outline2path.operations.passes import pass_depths
from outline2path.operations.shortfalls import flute_findings
from outline2path.operations.telling import at_most
from outline2path.tolerance import Budget

if TYPE_CHECKING:
    from outline2path.drawing.outline import Outline
    from outline2path.shop.cutter import Cutter

__all__ = ["DrillSettings", "drill"]


def drill(
    outline: Outline | None,
    cutter: Cutter,
    *,
    settings: DrillSettings | None = None,
    top_mm: float,
    bottom_mm: float,
) -> Cuts:
    """Plan the holes at an outline's circles and at the settings' places.

    Parameters
    ----------
    outline : Outline or None
        Circles, in mm, y up, in work coordinates.
    cutter : Cutter
        A drill, or a flat end mill whose edges reach its middle.
    settings : DrillSettings, optional
        Pecks, places, overrun; lengths in mm.
    top_mm, bottom_mm : float
        z of the surface and of the floor (the stock's underside for holes through it).

    Raises
    ------
    SettingError
        When the settings contradict each other or the cutter.
    RefusedError
        When not one hole can be made.

    Examples
    --------
    >>> from outline2path.operations.holes import circles
    >>> from outline2path.shop.cutter import Cutter
    >>> plan = drill(circles([(5, 5)], diameter=3), Cutter(3, shape="drill"),
    ...              settings=DrillSettings(peck_mm=2), top_mm=0.0, bottom_mm=-6.0)
    >>> [round(cut.z_mm, 3) for cut in plan.contours[0].cuts]
    [-1.8, -3.601, -5.401, -7.201]
    """
    settings = settings or DrillSettings()
    if cutter.shape not in ("drill", "flat"):
        raise SettingError(
            f"a {cutter.shape} cutter makes no straight hole",
            value=cutter.shape,
            remedy="use a drill or a flat end mill",
        )
    holes, findings = _holes(outline, cutter, settings)
    floor = bottom_mm - settings.through_mm
    drilled, bored, more = _sorted(holes, cutter, settings)
    findings += more
    if not drilled and not bored:
        raise _none_fits(findings)
    ways = [_pecks(hole, cutter, settings, top_mm=top_mm, floor_mm=floor) for hole in drilled]
    ways += [
        bore_cuts(hole, cutter, settings=settings, top_mm=top_mm, floor_mm=floor) for hole in bored
    ]
    contours = tuple(Contour(number=n, cuts=cuts) for n, cuts in enumerate(ways))
    if drilled and cutter.shape == "drill":
        findings.append(_below(drilled, cutter, settings))
    step = settings.peck_mm if drilled else settings.depth_per_pass_mm
    findings += flute_findings(cutter, deep_mm=top_mm - floor, step_mm=step)
    if drilled and cutter.shape == "flat":
        findings.append(_flat_plunge(drilled))
    return Cuts(contours, tuple(at_most(findings)))


def _holes(
    outline: Outline | None, cutter: Cutter, settings: DrillSettings
) -> tuple[list[Hole], list[Finding]]:
    """Gather circles and places, each place once."""
    holes, findings = list[Hole](), list[Finding]()
    if outline is not None:
        region = outline.region_within(Budget(settings.tolerance_mm).flatten_mm)
        holes, findings = round_holes(region, within_mm=settings.tolerance_mm / 2)
    r = cutter.radius_mm
    holes += [Hole((float(x), float(y)), r, r) for x, y in settings.points_mm]
    middles = np.array([hole.at_mm for hole in holes]).reshape(-1, 2)
    grid = np.round(middles / settings.tolerance_mm).astype(np.int64)
    first = np.sort(np.unique(grid, axis=0, return_index=True)[1])
    if len(first) < len(holes):
        findings.append(_twice(len(holes) - len(first)))
    return [holes[k] for k in first.tolist()], findings


def _sorted(
    holes: list[Hole], cutter: Cutter, settings: DrillSettings
) -> tuple[list[Hole], list[Hole], list[Finding]]:
    """Part holes into drilled and bored ones; findings on those that are neither."""
    drilled, bored, findings = list[Hole](), list[Hole](), list[Finding]()
    for hole in holes:
        wider = hole.radius_mm - cutter.radius_mm
        if abs(wider) <= settings.tolerance_mm:
            drilled.append(hole)
        elif wider < 0:
            findings.append(_narrow(hole, cutter))
        elif cutter.shape == "drill":
            findings.append(_wide(hole, cutter))
        else:
            bored.append(hole)
    return drilled, bored, findings


def _pecks(
    hole: Hole, cutter: Cutter, settings: DrillSettings, *, top_mm: float, floor_mm: float
) -> tuple[Cut, ...]:
    """One cut for each peck: down from the last floor, then up out of the hole."""
    point = cutter.point_length_mm if cutter.shape == "drill" else 0.0
    depths = pass_depths(
        top_mm=top_mm,
        bottom_mm=floor_mm - point,
        depth_per_pass_mm=settings.peck_mm,
        through_mm=0.0,
    )
    x, y = hole.at_mm
    cuts, above = [], top_mm
    for z in depths:
        down = Span("plunge", np.array([[x, y, above], [x, y, z]]))
        up = Span("lift", np.array([[x, y, z], [x, y, top_mm + settings.retract_mm]]))
        cuts.append(Cut("drill", cutter, z, (down, up)))
        above = z
    return tuple(cuts)


def _narrow(hole: Hole, cutter: Cutter) -> Finding:
    wide = 2 * hole.radius_mm
    return Finding(
        code="hole-narrow",
        severity="error",
        message=f"a hole {wide:.2f} mm wide is narrower than the {cutter.diameter_mm:g} mm "
        f"{'drill' if cutter.shape == 'drill' else 'cutter'}",
        at_mm=hole.at_mm,
        value=wide,
        limit=cutter.diameter_mm,
        unit="mm",
        remedy=f"use one of {wide:.2f} mm, or leave this circle out",
    )


def _wide(hole: Hole, cutter: Cutter) -> Finding:
    wide = 2 * hole.radius_mm
    return Finding(
        code="hole-wide",
        severity="error",
        message=f"a hole {wide:.2f} mm wide is wider than the {cutter.diameter_mm:g} mm drill, "
        "and a drill cannot cut sideways",
        at_mm=hole.at_mm,
        value=wide,
        limit=cutter.diameter_mm,
        unit="mm",
        remedy=f"use a drill of {wide:.2f} mm, or bore it with a flat end mill below that",
    )


def _twice(count: int) -> Finding:
    return Finding(
        code="hole-twice",
        severity="info",
        message=f"{count} {'place was' if count == 1 else 'places were'} asked for twice, and "
        "is made once",
        value=float(count),
    )


def _below(drilled: list[Hole], cutter: Cutter, settings: DrillSettings) -> Finding:
    deeper = settings.through_mm + cutter.point_length_mm
    return Finding(
        code="drill-below",
        severity="info",
        message=f"the drill's tip runs {deeper:.2f} mm below the floor: "
        f"{cutter.point_length_mm:.2f} mm of point"
        + (f" and {settings.through_mm:.2f} mm to go through" if settings.through_mm else ""),
        at_mm=drilled[0].at_mm,
        value=deeper,
        unit="mm",
        remedy="see that the waste board, or the stock below a blind hole, is thicker than that",
    )


def _flat_plunge(drilled: list[Hole]) -> Finding:
    return Finding(
        code="flat-plunge",
        severity="info",
        message=f"a flat end mill goes straight down at {len(drilled)} "
        f"{'place' if len(drilled) == 1 else 'places'}",
        at_mm=drilled[0].at_mm,
        value=float(len(drilled)),
        remedy="see that its edges reach its middle, or use a drill",
    )


def _none_fits(findings: list[Finding]) -> RefusedError:
    first = findings[0] if findings else None
    return RefusedError(
        f"no hole can be made: {first.message if first else 'nothing is drawn'}",
        at_mm=first.at_mm if first else None,
        value=first.value if first else None,
        limit=first.limit if first else None,
        remedy=first.remedy if first else "draw circles, or give places",
    )
