"""Outline: a drawing as true regions in millimetres, y up.

Comes out of `read_outline`, of shapely geometry, of path data or of text; goes into reach,
operations, proof and picture. It never changes: fit, scale, rotate, mirror, move and select
return another one. It keeps the drawn curves and one matrix, so that a region is always
flattened afresh at its final size: scaling up never scales an error up.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any, Literal

import shapely
from shapely.geometry.base import BaseGeometry

from outline2path.drawing.source import Reading, Source
from outline2path.errors import DrawingError, SettingError
from outline2path.findings import Finding
from outline2path.late import later
from outline2path.tolerance import DEFAULT_TOLERANCE_MM
from outline2path.units import parse_angle, parse_length

if TYPE_CHECKING:
    from outline2path.drawing.choosing import Choice
    from outline2path.drawing.contents import Entry
    from outline2path.drawing.drawn import Drawn
    from outline2path.drawing.figures import Figure, FillRule
    from outline2path.drawing.rings import Ring
    from outline2path.reach.spots import Reach
    from outline2path.shop.cutter import Cutter

__all__ = ["Matrix", "Outline"]

Matrix = tuple[float, float, float, float, float, float]
"""[a, b, c, d, e, f]: x' = a x + c y + e, y' = b x + d y + f."""

_IDENTITY: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
_FLIP: Matrix = (1.0, 0.0, 0.0, -1.0, 0.0, 0.0)


@dataclass(frozen=True, eq=False, repr=False)
class Outline:
    """Regions in mm, y up.

    Attributes
    ----------
    matrix : tuple of float
        From the drawing's CSS pixels (page, y down) to mm, y up.
    source : Source
        Where it came from.
    findings : tuple of Finding
        What must be known about it.

    Examples
    --------
    >>> plate = Outline.from_shapely(shapely.box(0, 0, 40, 20)).fit(width="80 mm")
    >>> plate.size_mm, plate.region.area
    ((80.0, 40.0), 3200.0)
    """

    figures: tuple[Figure, ...] = field(default=(), repr=False)
    matrix: Matrix = _IDENTITY
    source: Source = field(default_factory=Source)
    findings: tuple[Finding, ...] = ()
    reading: Reading = field(default_factory=Reading, repr=False)
    solid: shapely.MultiPolygon | None = field(default=None, repr=False)
    _flat: dict[float, Drawn] = field(default_factory=dict, init=False, repr=False)

    @classmethod
    def from_shapely(cls, geometry: BaseGeometry) -> Outline:
        """Make an outline from a shapely Polygon or MultiPolygon in mm, y up.

        Raises
        ------
        DrawingError
            When the geometry holds no area, is not valid, or is not finite.

        Examples
        --------
        >>> Outline.from_shapely(shapely.box(0, 0, 4, 2)).size_mm
        (4.0, 2.0)
        """
        parts = [g for g in shapely.get_parts(geometry).tolist() if g.geom_type == "Polygon"]
        parts = [g for g in parts if not g.is_empty]
        if not parts:
            raise DrawingError(f"{geometry.geom_type} holds no area", remedy="give polygons")
        solid = shapely.orient_polygons(shapely.MultiPolygon(parts))
        if not all(map(math.isfinite, solid.bounds)):
            raise DrawingError(f"the geometry reaches to {solid.bounds}, which is not finite")
        if not shapely.is_valid(solid):
            reason = shapely.is_valid_reason(solid)
            raise DrawingError(
                f"the geometry is not valid ({reason})", remedy="pass it through make_valid first"
            )
        return cls(solid=solid)

    @classmethod
    def from_path(cls, d: str, *, rule: FillRule = "nonzero", y_up: bool = False) -> Outline:
        """Make an outline from path data in mm; y grows downwards unless told otherwise.

        Examples
        --------
        >>> Outline.from_path("M0 0 A5 5 0 0 1 10 0 Z").size_mm
        (10.0, 5.0)
        """
        from outline2path.drawing.making import figure_from_path

        return cls((figure_from_path(d, rule=rule, y_up=y_up),), matrix=_FLIP).checked()

    @classmethod
    def from_polygons(
        cls, rings: Iterable[Sequence[Sequence[float]]], *, rule: FillRule = "evenodd"
    ) -> Outline:
        """Make an outline from closed rings of points (x, y) in mm, y up.

        Examples
        --------
        >>> Outline.from_polygons([[(0, 0), (4, 0), (4, 3)]]).region.area
        6.0
        """
        from outline2path.drawing.making import figure_from_rings

        return cls((figure_from_rings(rings, rule=rule),), matrix=_FLIP).checked()

    @classmethod
    def from_text(cls, text: str, *, height: str | float, font: str | None = None) -> Outline:
        """Make an outline from a line of text, capitals `height` high, baseline on y = 0.

        Examples
        --------
        >>> round(Outline.from_text("H", height="20 mm").size_mm[1], 6)
        20.0
        """
        from outline2path.drawing.making import figure_from_text

        return cls((figure_from_text(text, height=height, font=font),), matrix=_FLIP).checked()

    def checked(self) -> Outline:
        """Return the outline itself; refuse one that holds neither area nor lines."""
        if self.region.is_empty and self.lines.is_empty:
            raise DrawingError(
                f"the {len(self.figures)} shapes hold nothing to cut", remedy="draw closed shapes"
            )
        return self

    def told(self, findings: tuple[Finding, ...]) -> Outline:
        """Return the same outline with these findings instead; what is flattened stays so."""
        outline = replace(self, findings=findings)
        outline._flat.update(self._flat)
        return outline

    def knowing(self, tolerance_mm: float, drawn: Drawn) -> Outline:
        """Return the outline itself, which now knows how it is flattened to a tolerance."""
        self._flat[tolerance_mm] = drawn
        return self

    @property
    def region(self) -> shapely.MultiPolygon:
        """The filled regions in mm, y up, outer rings counter-clockwise, within 2 micrometres."""
        return self.region_within(self.fine_mm)

    @property
    def fine_mm(self) -> float:
        """Tolerance of `region` and `lines`: a tenth of the default budget."""
        return DEFAULT_TOLERANCE_MM / 10

    @property
    def lines(self) -> shapely.MultiLineString:
        """Open lines in mm, for engraving; empty unless strokes are read as centre lines."""
        lines: shapely.MultiLineString = self.drawn_within(self.fine_mm).lines
        return lines

    def region_within(self, tolerance_mm: float) -> shapely.MultiPolygon:
        """Return the filled regions, no curve farther than `tolerance_mm` from its chords.

        Parameters
        ----------
        tolerance_mm : float
            Above 0. Vertices lie on the true curves, extreme points in x and y included.

        Raises
        ------
        SettingError
            When the tolerance is not a positive number.
        """
        region: shapely.MultiPolygon = self.drawn_within(tolerance_mm).region
        return region

    def drawn_within(self, tolerance_mm: float) -> Drawn:
        """Return region, lines and the area of each figure, flattened once for each tolerance."""
        if not (math.isfinite(tolerance_mm) and tolerance_mm > 0):
            raise SettingError(
                f"tolerance {tolerance_mm!r} mm is not a positive number", value=tolerance_mm
            )
        known = self._flat.get(tolerance_mm)
        if known is None:
            from outline2path.drawing.drawn import draw_figures

            known = draw_figures(self, tolerance_mm)
            self._flat[tolerance_mm] = known
        return known

    @cached_property
    def bounds_mm(self) -> tuple[float, float, float, float]:
        """Least x, least y, greatest x, greatest y in mm."""
        region, lines = self.region, self.lines
        if lines.is_empty:
            bounds: tuple[float, float, float, float] = region.bounds
            return bounds
        x0, y0, x1, y1 = shapely.total_bounds([region, lines]).tolist()
        return (x0, y0, x1, y1)

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height in mm."""
        x0, y0, x1, y1 = self.bounds_mm
        return (x1 - x0, y1 - y0)

    def transformed(self, matrix: Matrix) -> Outline:
        """Return the outline under a further affine matrix (mm to mm).

        Examples
        --------
        >>> Outline.from_shapely(shapely.box(0, 0, 4, 2)).transformed((1, 0, 0, 3, 0, 0)).size_mm
        (4.0, 6.0)
        """
        if not all(map(math.isfinite, matrix)) or matrix[0] * matrix[3] == matrix[1] * matrix[2]:
            raise SettingError(f"the matrix {matrix!r} does not keep areas", value=matrix)
        findings = tuple(
            x if x.at_mm is None else x.moved(_apply(matrix, *x.at_mm)) for x in self.findings
        )
        return replace(self, matrix=_compose(matrix, self.matrix), findings=findings)

    def fit(
        self, *, width: str | float | None = None, height: str | float | None = None
    ) -> Outline:
        """Scale evenly so that the outline is `width` wide, or `height` high, lengths with unit.

        Examples
        --------
        >>> Outline.from_shapely(shapely.box(0, 0, 4, 2)).fit(height="1 in").size_mm
        (50.8, 25.4)
        """
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
        degrees = parse_angle(angle)
        t = math.radians(degrees)
        cos, sin = math.cos(t), math.sin(t)
        if degrees % 90 == 0:
            cos, sin = float(round(cos)), float(round(sin))
        return self.transformed((cos, sin, -sin, cos, 0.0, 0.0))

    def mirror(self) -> Outline:
        """Mirror left to right, as seen from the other face."""
        return self.transformed((-1.0, 0.0, 0.0, 1.0, 0.0, 0.0))

    def move(self, dx: str | float = 0.0, dy: str | float = 0.0) -> Outline:
        """Move by dx, dy (lengths with unit; positive is right and up)."""
        return self.transformed((1.0, 0.0, 0.0, 1.0, parse_length(dx), parse_length(dy)))

    def select(self, choice: str | Choice) -> Outline:
        """Return the part of the drawing that a choice takes, at the same place.

        Parameters
        ----------
        choice : str or Choice
            Such as "id=heron", "layer=Cut, fill=red", "#heron" or ".part"; see `choosing`.

        Raises
        ------
        DrawingError
            When nothing is chosen, or nothing to cut is left of it.
        """
        from outline2path.drawing.choosing import choose, parse_choice
        from outline2path.drawing.drawn import read_by_policy
        from outline2path.drawing.telling import retold

        wanted = parse_choice(choice) if isinstance(choice, str) else choice
        chosen = replace(self, figures=choose(self.figures, wanted))
        chosen = (read_by_policy(chosen) if self.reading.by_policy else chosen).checked()
        return chosen.told(retold(self, chosen))

    def split(self, by: str) -> dict[str, Outline]:
        """Return one outline for each id, class, label, layer, element, fill or stroke.

        Names that hold nothing to cut are left out.
        """
        from outline2path.drawing.choosing import Choice, keys_of, parse_choice

        key = "class_name" if by == "class" else by
        parse_choice(f"{by}=*")
        found = {}
        for name in keys_of(self.figures, key):
            escaped = name.replace("[", "[[]").replace("*", "[*]").replace("?", "[?]")
            with suppress(DrawingError):
                found[name] = self.select(Choice(**{key: escaped}))
        return found

    def contents(self) -> tuple[Entry, ...]:
        """Return what the drawing holds, shape by shape, with sizes in mm."""
        from outline2path.drawing.contents import contents_of

        return contents_of(self)

    @property
    def rings(self) -> tuple[Ring, ...]:
        """Every edge of the region, in mm, with the elements it came from."""
        from outline2path.drawing.rings import rings_of

        return rings_of(self, self.fine_mm)

    def to_svg(self) -> str:
        """Return clean SVG at true size; reading it gives the same outline."""
        from outline2path.drawing.writing import svg_of

        return svg_of(self, tolerance_mm=self.fine_mm)

    def to_wkt(self) -> str:
        """Return the region as one MULTIPOLYGON in mm, y up."""
        from outline2path.drawing.writing import wkt_of

        return wkt_of(self, tolerance_mm=self.fine_mm)

    def narrow_spots(
        self, cutter: Cutter, *, side: Literal["outside", "inside"] = "outside"
    ) -> Reach:
        """Where this cutter cannot get; see `outline2path.reach`."""
        reach: Reach = later("narrow_spots", self, cutter.diameter_mm, side=side)
        return reach

    def draw(self, *, ax: Any = None) -> Any:
        """Draw the outline with matplotlib; see `outline2path.picture`."""
        return later("draw_outline", self, ax=ax)

    def __repr__(self) -> str:
        (width, height), parts = self.size_mm, self.region.geoms
        holes = sum(len(part.interiors) for part in parts)
        return f"Outline({width:.2f} x {height:.2f} mm, regions={len(parts)}, holes={holes})"

    def _repr_png_(self) -> tuple[bytes, dict[str, int]]:
        shown: tuple[bytes, dict[str, int]] = later("for_notebook", later("outline_png", self))
        return shown


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
