"""Shortfalls: leads, tabs, entries and depths that were not to be had as asked.

In: the rings of a profile with what was planned for each, and the settings. Out: findings with
place, figure, limit and remedy, lengths in mm. The profile goes on with the next best way each
time; these findings say so.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from outline2path.findings import Finding, Severity

if TYPE_CHECKING:
    from outline2path.operations.leads import Lead
    from outline2path.operations.pieces import Pieces
    from outline2path.operations.profile_settings import ProfileSettings
    from outline2path.operations.rings import Ring
    from outline2path.operations.tabs import TabPlan
    from outline2path.shop.cutter import Cutter

__all__ = ["entry_findings", "flute_findings", "lead_findings", "loose_findings", "tab_findings"]


_STEEPER: dict[str, tuple[Severity, str | None]] = {
    "ramp": ("info", None),
    "plunge": ("warning", "use a cutter that may plunge, or take less depth per pass"),
}
"""What to say of a way down that takes the place of a gentler one."""


def _some(poor: list[int], rings: list[Ring]) -> str:
    return f"{len(poor)} of {len(rings)} rings {'has' if len(poor) == 1 else 'have'}"


def lead_findings(
    rings: list[Ring], leads: list[Lead], *, settings: ProfileSettings
) -> list[Finding]:
    """Tell where a lead had to become a simpler one, once for each kind it became.

    Examples
    --------
    >>> import numpy as np, shapely
    >>> from outline2path.operations.leads import Lead
    >>> from outline2path.operations.profile_settings import ProfileSettings
    >>> from outline2path.operations.rings import rings_of
    >>> area = shapely.MultiPolygon([shapely.box(0, 0, 4, 4)])
    >>> rings = rings_of(area, side="outside", direction="climb")
    >>> spot = np.array([[0.0, 0.0]])
    >>> leads = [Lead("none", 0.0, 0.0, 0.1, spot, spot)]
    >>> print(lead_findings(rings, leads, settings=ProfileSettings())[0].message)
    1 of 1 rings has no room for an arc lead: none instead
    """
    if settings.side == "on":
        return [_on_the_line(settings)] if settings.lead != "none" else []
    found = []
    for kind in ("line", "none"):
        poor = [k for k, lead in enumerate(leads) if lead.kind == kind != settings.lead]
        if not poor:
            continue
        x, y = rings[poor[0]].loop.at(leads[poor[0]].start_mm).tolist()
        found.append(
            Finding(
                code="lead-replaced",
                severity="info",
                message=f"{_some(poor, rings)} no room for "
                f"{'an arc' if settings.lead == 'arc' else 'a line'} lead: "
                f"{'a line' if kind == 'line' else 'none'} instead",
                at_mm=(x, y),
                value=float(len(poor)),
                remedy="expect a small mark on the wall where the cutter comes and goes",
            )
        )
    return found


def _on_the_line(settings: ProfileSettings) -> Finding:
    return Finding(
        code="lead-left-out",
        severity="info",
        message=f"a cut on the line has no waste side, so its {settings.lead} lead is left out",
    )


def tab_findings(
    rings: list[Ring], plans: list[TabPlan], *, settings: ProfileSettings, cutter_mm: float
) -> list[Finding]:
    """Tell of every ring with fewer tabs than it should have.

    Examples
    --------
    >>> import shapely
    >>> from outline2path.operations.profile_settings import ProfileSettings
    >>> from outline2path.operations.rings import rings_of
    >>> from outline2path.operations.tabs import TabPlan
    >>> area = shapely.MultiPolygon([shapely.box(0, 0, 4, 4)])
    >>> rings = rings_of(area, side="outside", direction="climb")
    >>> print(tab_findings(rings, [TabPlan((), 4)], settings=ProfileSettings(tabs=4),
    ...                    cutter_mm=3.0)[0].message)
    no tab finds room on a ring 16.0 mm long, 4 were wanted: the piece inside will come loose
    """
    found = []
    for ring, plan in zip(rings, plans, strict=True):
        have = len(plan.middles_mm)
        if have >= plan.needed:
            continue
        raised = settings.tab_length_mm + cutter_mm
        x, y = ring.loop.at(0.0).tolist()
        long = ring.loop.length_mm
        some = f"only {have} of {plan.needed} tabs find room on a ring {long:.1f} mm long"
        none = (
            f"no tab finds room on a ring {long:.1f} mm long, {plan.needed} were wanted: the "
            "piece inside will come loose"
        )
        found.append(
            Finding(
                code="tabs-fewer" if have else "tabs-none",
                severity="warning",
                message=some if have else none,
                at_mm=(x, y),
                value=float(have),
                limit=float(plan.needed),
                remedy=f"ask for shorter tabs (each lifts the cutter for {raised:.1f} mm), or "
                "hold the piece with tape or screws",
            )
        )
    return found


def loose_findings(
    pieces: Pieces, groups: list[set[int]], *, told: list[Finding], large_mm2: float
) -> list[Finding]:
    """Tell of pieces that no tab ties to the clamped stock, and that were not told of before.

    Parameters
    ----------
    pieces : Pieces
        What the path cuts off.
    groups : list of set of int
        Pieces that hang on nothing but one another.
    told : list of Finding
        A ring without tabs told of here lies beside its piece.
    large_mm2 : float
        What may be let fly.

    Examples
    --------
    >>> import shapely
    >>> from outline2path.operations.pieces import Pieces
    >>> pieces = Pieces(shapes=(shapely.box(0, 0, 20, 20),))
    >>> print(loose_findings(pieces, [{0}], told=[], large_mm2=100.0)[0].message)
    no tab finds room to tie a piece of 400 mm2 to the stock: it will come loose
    """
    found = []
    for group in groups:
        largest = max(group, key=lambda k: pieces.shapes[k].area)
        if any(_beside(pieces, largest, f) for f in told if f.code == "tabs-none"):
            continue
        area, spot = pieces.shapes[largest].area, pieces.shapes[largest].representative_point()
        found.append(
            Finding(
                code="tabs-none",
                severity="warning",
                message=f"no tab finds room to tie a piece of {area:.0f} mm2 to the stock: it "
                "will come loose",
                at_mm=(spot.x, spot.y),
                value=area,
                limit=large_mm2,
                unit="mm2",
                remedy="ask for shorter tabs, or hold the piece with tape or screws",
            )
        )
    return found


def _beside(pieces: Pieces, number: int, finding: Finding) -> bool:
    place = shapely.Point(finding.at_mm)
    return bool(pieces.shapes[number].exterior.dwithin(place, pieces.reach_mm))


def entry_findings(
    rings: list[Ring], leads: list[Lead], entries: list[str], *, settings: ProfileSettings
) -> list[Finding]:
    """Tell where a helix or ramp had to become another way down, once for each way it became.

    Examples
    --------
    >>> import numpy as np, shapely
    >>> from outline2path.operations.leads import Lead
    >>> from outline2path.operations.profile_settings import ProfileSettings
    >>> from outline2path.operations.rings import rings_of
    >>> area = shapely.MultiPolygon([shapely.box(0, 0, 4, 4)])
    >>> rings = rings_of(area, side="on", direction="climb")
    >>> spot = np.array([[0.0, 0.0]])
    >>> leads = [Lead("none", 0.0, 0.0, 0.1, spot, spot)]
    >>> print(entry_findings(rings, leads, ["ramp"], settings=ProfileSettings(entry="helix"))[0])
    info: 1 of 1 rings has no room for a helix: a ramp instead at x 4.00, y 0.00
    """
    found = []
    for way in _STEEPER:
        poor = [k for k, entry in enumerate(entries) if entry == way != settings.entry]
        if not poor:
            continue
        x, y = rings[poor[0]].loop.at(leads[poor[0]].start_mm).tolist()
        severity, remedy = _STEEPER[way]
        found.append(
            Finding(
                code="entry-replaced",
                severity=severity,
                message=f"{_some(poor, rings)} no room for a {settings.entry}: a {way} instead",
                at_mm=(x, y),
                value=float(len(poor)),
                remedy=remedy,
            )
        )
    return found


def flute_findings(cutter: Cutter, *, deep_mm: float, step_mm: float) -> list[Finding]:
    """Tell where a cut is deeper than the cutter's flutes are long, where that is known.

    One pass deeper than the flutes is an error, a whole cut deeper a warning: above the flutes
    the shank rubs on the wall and chips find no way out (common practice, no source).

    Parameters
    ----------
    cutter : Cutter
        `flute_length_mm` may be None: nothing is told.
    deep_mm, step_mm : float
        Depth of the whole cut and of one pass, mm.

    Examples
    --------
    >>> from outline2path.shop.cutter import Cutter
    >>> print(*flute_findings(Cutter(3, flute_length=5), deep_mm=6.3, step_mm=1.26))
    warning: the cut is 6.30 mm deep, the flutes are 5.00 mm long; use a longer cutter, or see \
that its shank clears the wall
    >>> flute_findings(Cutter(3), deep_mm=6.3, step_mm=1.26)
    []
    """
    long = cutter.flute_length_mm
    if long is None or deep_mm <= long:
        return []
    at_once = step_mm > long
    return [
        Finding(
            code="flutes-short",
            severity="error" if at_once else "warning",
            message=f"{'one pass' if at_once else 'the cut'} is "
            f"{step_mm if at_once else deep_mm:.2f} mm deep, the flutes are {long:.2f} mm long",
            value=step_mm if at_once else deep_mm,
            limit=long,
            unit="mm",
            remedy="take less depth per pass"
            if at_once
            else "use a longer cutter, or see that its shank clears the wall",
        )
    ]
