"""Check: can this cutter get everywhere in this outline? Answered without a program."""

from __future__ import annotations

import os
from dataclasses import dataclass
from typing import Any, Literal

from outline2path.drawing.outline import Outline
from outline2path.findings import Finding
from outline2path.job.report import report
from outline2path.job.words import count, outline_words
from outline2path.late import later
from outline2path.reach.spots import Reach, narrow_spots
from outline2path.reach.walls import Wall, thin_walls, wall_findings
from outline2path.shop.cutter import Cutter
from outline2path.units import format_length, parse_length

__all__ = ["Check", "check"]


@dataclass(frozen=True, eq=False, kw_only=True)
class Check:
    """What a cutter can and cannot do in an outline, with the thin walls of the part."""

    outline: Outline
    cutter: Cutter
    reach: Reach
    walls: tuple[Wall, ...]
    settings: dict[str, Any]
    findings: tuple[Finding, ...]

    def report(self) -> dict[str, Any]:
        """Return the report as plain JSON values."""
        return report(
            self.outline,
            self.reach,
            walls=self.walls,
            settings=self.settings,
            findings=self.findings,
        )

    def summary(self) -> str:
        """Return the answer in a few lines of words."""
        kinds = [spot.kind for spot in self.reach.spots]
        spots = ", ".join(
            count(kinds.count(k), k) for k in ("gap", "hole", "corner") if k in kinds
        )
        largest = self.reach.largest_cutter_mm
        widest = (
            "nothing limits the cutter"
            if largest is None
            else (f"the widest cutter that passes everywhere: {format_length(largest)}")
        )
        return "\n".join(
            (
                f"{outline_words(self.outline)}",
                f"cutter {self.cutter.label}: {spots or 'reaches everywhere'}; "
                f"{self.reach.unreached_area_mm2:.2f} mm2 out of reach; {widest}",
            )
        )

    def save_picture(self, path: str | os.PathLike[str]) -> None:
        """Draw the outline with its narrow spots into a png, svg or pdf file."""
        later("save_reach", path, self.reach, walls=self.walls)


def check(
    outline: Outline,
    *,
    cutter: str | float | Cutter,
    flutes: int = 2,
    side: Literal["outside", "inside", "on"] = "outside",
    tolerance: str | float = 0.02,
    allowance: str | float = 0.0,
    thin_wall: str | float = 1.0,
) -> Check:
    """Say where a cutter cannot get, and which walls are thin.

    Parameters
    ----------
    outline : Outline
        In mm.
    cutter : Cutter, str or float
        The cutter or its diameter.
    flutes : int
        Where only a diameter is given.
    side : "outside", "inside" or "on"
        Side of the outline that is cut; on the line nothing is out of reach.
    tolerance, allowance, thin_wall : str or float
        Lengths: losses below the tolerance are left out; the allowance grows the part; walls
        thinner than `thin_wall` are reported.

    Examples
    --------
    >>> import shapely
    >>> plate = shapely.box(0, 0, 40, 30).difference(shapely.box(10, 10, 12, 20))
    >>> [s.kind for s in check(Outline.from_shapely(plate), cutter="3 mm").reach.spots]
    ['hole']
    """
    tool = cutter if isinstance(cutter, Cutter) else Cutter(cutter, flutes=flutes)
    tolerance_mm, allowance_mm = parse_length(tolerance), parse_length(allowance)
    thin_mm = parse_length(thin_wall)
    reach = narrow_spots(
        outline,
        tool.diameter_mm,
        side=side,
        tolerance_mm=tolerance_mm,
        allowance_mm=allowance_mm,
    )
    walls = thin_walls(outline, thinner_than_mm=thin_mm)
    settings = {
        "cutter_mm": tool.diameter_mm,
        "flutes": tool.flutes,
        "side": side,
        "tolerance_mm": tolerance_mm,
        "allowance_mm": allowance_mm,
        "thin_wall_mm": thin_mm,
    }
    findings = (*outline.findings, *reach.findings, *wall_findings(walls))
    return Check(
        outline=outline,
        cutter=tool,
        reach=reach,
        walls=walls,
        settings=settings,
        findings=findings,
    )
