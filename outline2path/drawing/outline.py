"""Outline: a drawing as true regions in millimetres, y up.

Comes out of `read_outline` or of shapely geometry; goes into reach, operations, proof and
picture. It never changes: fit, scale, rotate, mirror and move return another one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any, Literal

import shapely
from shapely.geometry.base import BaseGeometry

from outline2path.errors import DrawingError, SettingError
from outline2path.findings import Finding
from outline2path.late import later
from outline2path.tolerance import DEFAULT_TOLERANCE_MM
from outline2path.units import parse_angle, parse_length

if TYPE_CHECKING:
    from outline2path.reach.spots import Reach
    from outline2path.shop.cutter import Cutter

__all__ = ["Matrix", "Outline", "Source"]

Matrix = tuple[float, float, float, float, float, float]
"""[a, b, c, d, e, f]: x' = a x + c y + e, y' = b x + d y + f."""


@dataclass(frozen=True, kw_only=True)
class Source:
    """Where an outline came from: file name, hash, page in CSS pixels, and how it was sized."""

    file: str | None = None
    sha256: str | None = None
    page_px: tuple[float, float] | None = None
    sized_by: str = "made in Python"


@dataclass(frozen=True, eq=False)
class Outline:
    """(sketch; the drawing room deepens it) regions in mm, y up."""

    _region: shapely.MultiPolygon
    matrix: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
    source: Source = field(default_factory=Source)
    findings: tuple[Finding, ...] = ()

    @classmethod
    def from_shapely(cls, geometry: BaseGeometry) -> Outline:
        """Make an outline from a shapely Polygon or MultiPolygon in mm, y up."""
        parts = [g for g in shapely.get_parts(geometry).tolist() if g.geom_type == "Polygon"]
        if not parts:
            raise DrawingError(f"{geometry.geom_type} holds no area", remedy="give polygons")
        return cls(shapely.orient_polygons(shapely.MultiPolygon(parts)))

    @property
    def region(self) -> shapely.MultiPolygon:
        """The filled regions in mm, y up, outer rings counter-clockwise."""
        return self.region_within(DEFAULT_TOLERANCE_MM / 10)

    def region_within(self, tolerance_mm: float) -> shapely.MultiPolygon:
        """The filled regions, no curve farther than `tolerance_mm` from its chords."""
        return self._region

    @cached_property
    def bounds_mm(self) -> tuple[float, float, float, float]:
        """Least x, least y, greatest x, greatest y in mm."""
        x0, y0, x1, y1 = self.region.bounds
        return (x0, y0, x1, y1)

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height in mm."""
        x0, y0, x1, y1 = self.bounds_mm
        return (x1 - x0, y1 - y0)

    def transformed(self, matrix: Matrix) -> Outline:
        """Return the outline under a further affine matrix (mm to mm)."""
        a, b, c, d, e, f = matrix
        region = shapely.transform(
            self._region,
            lambda p: p @ [[a, b], [c, d]] + [e, f],
        )
        region = shapely.orient_polygons(region)
        findings = tuple(
            x.moved(None if x.at_mm is None else _apply(matrix, *x.at_mm)) for x in self.findings
        )
        return replace(
            self, _region=region, matrix=_compose(matrix, self.matrix), findings=findings
        )

    def fit(
        self, *, width: str | float | None = None, height: str | float | None = None
    ) -> Outline:
        """Scale evenly so that the outline is `width` wide, or `height` high, lengths with unit."""
        if (width is None) == (height is None):
            raise SettingError(
                f"fit needs a width or a height, got {width!r} and {height!r}",
                remedy="give one of the two",
            )
        wanted = parse_length(width if width is not None else height or 0)
        have = self.size_mm[0 if width is not None else 1]
        return self.scale(wanted / have)

    def scale(self, factor: float) -> Outline:
        """Scale evenly about the origin; factor 2 doubles every length."""
        if not (math.isfinite(factor) and factor > 0):
            raise SettingError(f"scale {factor!r} is not a positive number", value=factor)
        return self.transformed((factor, 0.0, 0.0, factor, 0.0, 0.0))

    def rotate(self, angle: str | float) -> Outline:
        """Turn counter-clockwise about the origin by an angle in degrees."""
        t = math.radians(parse_angle(angle))
        return self.transformed((math.cos(t), math.sin(t), -math.sin(t), math.cos(t), 0.0, 0.0))

    def mirror(self) -> Outline:
        """Mirror left to right, as seen from the other face."""
        return self.transformed((-1.0, 0.0, 0.0, 1.0, 0.0, 0.0))

    def move(self, dx: str | float = 0.0, dy: str | float = 0.0) -> Outline:
        """Move by dx, dy (lengths with unit; positive is right and up)."""
        return self.transformed((1.0, 0.0, 0.0, 1.0, parse_length(dx), parse_length(dy)))

    def narrow_spots(
        self, cutter: Cutter, *, side: Literal["outside", "inside"] = "outside"
    ) -> Reach:
        """Where this cutter cannot get; see `outline2path.reach`."""
        reach: Reach = later("narrow_spots", self, cutter.diameter_mm, side=side)
        return reach

    def draw(self, *, ax: Any = None) -> Any:
        """Draw the outline with matplotlib; see `outline2path.picture`."""
        return later("draw_outline", self, ax=ax)

    def _repr_png_(self) -> bytes:
        png: bytes = later("outline_png", self)
        return png


def _apply(m: Matrix, x: float, y: float) -> tuple[float, float]:
    return (m[0] * x + m[2] * y + m[4], m[1] * x + m[3] * y + m[5])


def _compose(outer: Matrix, inner: Matrix) -> Matrix:
    a, b, c, d, e, f = inner
    p, q = _apply(outer, e, f)
    o = outer
    return (
        o[0] * a + o[2] * b,
        o[1] * a + o[3] * b,
        o[0] * c + o[2] * d,
        o[1] * c + o[3] * d,
        p,
        q,
    )
