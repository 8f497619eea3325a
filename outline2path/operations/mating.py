"""Mating: whether a part goes into an opening, and with how much play.

In: two outlines in the same coordinates, mm: the part as it is seen along the way it is pushed in
(the end of a tenon, the edge of a panel), and the opening. Out: a Mating with the least gap all
round, the places where the two overlap, and those where the gap is below what was asked for.

The clearance is the whole play, both sides together, as everywhere here; a part in the middle of
its opening has half of it on each side. What is compared is the geometry as drawn: stock that
swells, and a cutter that leaves up to its tolerance, come on top.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from outline2path.drawing.outline import Outline
from outline2path.errors import SettingError
from outline2path.findings import Finding
from outline2path.late import later
from outline2path.operations.corners import VoidSide, checked_side
from outline2path.tolerance import GOUGE_LIMIT_MM
from outline2path.units import parse_length

__all__ = ["Clash", "Mating", "mates"]


@dataclass(frozen=True, kw_only=True)
class Clash:
    """A place where a part overlaps what it should fit into, or comes too near to it.

    Attributes
    ----------
    at_mm : tuple of float
        A point of it.
    depth_mm : float
        How deep the part stands in the material; negative: the gap that is left there.
    area : Polygon
        The overlap, or the part of the gap's margin that is missing.
    """

    at_mm: tuple[float, float]
    depth_mm: float
    area: shapely.Polygon

    @property
    def area_mm2(self) -> float:
        """Its area, mm2."""
        return float(self.area.area)


@dataclass(frozen=True, eq=False, kw_only=True)
class Mating:
    """How a part sits in an opening.

    Attributes
    ----------
    part, material : MultiPolygon
        The overlay: both regions in the same coordinates, mm.
    clearance_mm : float
        Asked for, both sides together.
    gap_mm : float
        Least gap between the two on any one side; negative: the greatest overlap.
    interferences : tuple of Clash
        Where they overlap.
    tight : tuple of Clash
        Where the gap is less than half the clearance.
    """

    part: shapely.MultiPolygon
    material: BaseGeometry
    clearance_mm: float
    gap_mm: float
    interferences: tuple[Clash, ...]
    tight: tuple[Clash, ...]

    @property
    def fits(self) -> bool:
        """Whether the part goes in with the clearance asked for."""
        return not self.interferences and not self.tight

    @property
    def findings(self) -> tuple[Finding, ...]:
        """The same as findings: an error for each overlap, a warning for each tight place."""
        return tuple(
            [
                Finding(
                    code="parts-interfere",
                    severity="error",
                    message=f"the part stands {clash.depth_mm:.3f} mm into the other",
                    at_mm=clash.at_mm,
                    value=clash.depth_mm,
                    limit=0.0,
                    unit="mm",
                    remedy="widen the opening, relieve its corners, or thin the part",
                )
                for clash in self.interferences
            ]
            + [
                Finding(
                    code="fit-tight",
                    severity="warning",
                    message=f"the gap is {-clash.depth_mm:.3f} mm, less than half the clearance",
                    at_mm=clash.at_mm,
                    value=-clash.depth_mm,
                    limit=self.clearance_mm / 2,
                    unit="mm",
                    remedy="widen the opening, or ask for less clearance",
                )
                for clash in self.tight
            ]
        )

    def __repr__(self) -> str:
        verdict = "fits" if self.fits else "does not fit"
        return (
            f"Mating({verdict}, least gap {self.gap_mm:.3f} mm, "
            f"interferences={len(self.interferences)}, tight={len(self.tight)})"
        )

    def draw(self, *, ax: Any = None) -> Any:
        """Draw both laid over one another, into `ax` where given; return what was drawn."""
        return later("draw_mating", self, ax=ax)

    @cached_property
    def _shown(self) -> tuple[bytes, dict[str, int]]:
        shown: tuple[bytes, dict[str, int]] = later("for_notebook", later("mating_png", self))
        return shown

    def _repr_png_(self) -> tuple[bytes, dict[str, int]]:
        return self._shown


def mates(
    part: Outline,
    opening: Outline,
    clearance: str | float,
    *,
    side: VoidSide = "inside",
    placed: Literal["as-drawn", "centre"] = "as-drawn",
) -> Mating:
    """Check that a part goes into an opening with a clearance.

    Parameters
    ----------
    part : Outline
        What is pushed in, as seen along the push.
    opening : Outline
        What it goes into.
    clearance : str or float
        Play asked for, both sides together; 0 or more.
    side : "inside" or "outside"
        Inside: the opening's regions are the void. Outside: they are the part with the void in
        it and round it.
    placed : "as-drawn" or "centre"
        Compare them where they lie, or move the part's middle onto that of the opening.

    Raises
    ------
    SettingError
        When the clearance is negative or a choice is unknown.

    Examples
    --------
    >>> tenon = Outline.from_shapely(shapely.box(-12, -2.9, 12, 2.9))
    >>> mortise = Outline.from_shapely(shapely.box(-12.05, -2.95, 12.05, 2.95))
    >>> mates(tenon, mortise, "0.1 mm")
    Mating(fits, least gap 0.050 mm, interferences=0, tight=0)
    """
    side, play = checked_side(side), parse_length(clearance)
    if play < 0:
        raise SettingError(
            f"a clearance of {play:g} mm is below 0", value=play, remedy="ask for 0 or more"
        )
    if placed not in ("as-drawn", "centre"):
        raise SettingError(f"placed {placed!r} is neither as-drawn nor centre", value=placed)
    pushed, void = part.region, opening.region
    if placed == "centre":
        move = np.subtract(_middle(void), _middle(pushed))
        pushed = shapely.transform(pushed, lambda p: p + move)
    material: BaseGeometry = void
    if side == "inside":
        reach = 1 + play
        x0, y0, x1, y1 = shapely.union(pushed, void).bounds
        material = shapely.box(x0 - reach, y0 - reach, x1 + reach, y1 + reach).difference(void)
    overlaps = _clashes(pushed.intersection(material), material)
    near = _tight(pushed, material, play / 2, overlaps)
    gap = -max(c.depth_mm for c in overlaps) if overlaps else float(pushed.distance(material))
    return Mating(
        part=pushed,
        material=material,
        clearance_mm=play,
        gap_mm=gap,
        interferences=overlaps,
        tight=near,
    )


def _middle(region: BaseGeometry) -> tuple[float, float]:
    x0, y0, x1, y1 = region.bounds
    return (x0 + x1) / 2, (y0 + y1) / 2


def _polygons(geometry: BaseGeometry) -> list[shapely.Polygon]:
    parts = shapely.get_parts(shapely.get_parts(geometry)).tolist()
    return [p for p in parts if p.geom_type == "Polygon" and not p.is_empty]


def _clashes(overlap: BaseGeometry, material: BaseGeometry) -> tuple[Clash, ...]:
    """Overlaps deeper than a micrometre, deepest first.

    The depth is the farthest that a corner of the overlap lies from the material's edge; where
    the part covers the material from edge to edge, it is the radius of the widest disc in it.
    """
    found = []
    for piece in _polygons(overlap):
        points = shapely.points(shapely.get_coordinates(piece))
        into = shapely.distance(points, material.boundary)
        place, depth = points[int(into.argmax())], float(into.max())
        if depth <= GOUGE_LIMIT_MM:
            place = piece.representative_point()
            depth = float(shapely.maximum_inscribed_circle(piece).length)
        if depth > GOUGE_LIMIT_MM:
            found.append(Clash(at_mm=(place.x, place.y), depth_mm=depth, area=piece))
    return tuple(sorted(found, key=lambda c: -c.depth_mm))


def _tight(
    part: BaseGeometry, material: BaseGeometry, half: float, overlaps: tuple[Clash, ...]
) -> tuple[Clash, ...]:
    """Places where a part grown by half the clearance reaches into the material."""
    grown = shapely.buffer(part, half - GOUGE_LIMIT_MM, join_style="mitre")
    if half <= GOUGE_LIMIT_MM or not grown.intersects(material):
        return ()
    found = []
    for piece in _polygons(grown.intersection(material)):
        gap = float(part.distance(piece))
        if not any(piece.intersects(c.area) for c in overlaps):
            point = shapely.shortest_line(piece, part).coords[0]
            found.append(Clash(at_mm=point, depth_mm=-gap, area=piece))
    return tuple(sorted(found, key=lambda c: -c.depth_mm))
