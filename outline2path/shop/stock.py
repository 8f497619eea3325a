"""Stock: the blank on the mill's bed. Lengths in mm."""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass
from typing import Literal, get_args

from outline2path.errors import SettingError
from outline2path.late import later
from outline2path.shop.material import Material, find_material
from outline2path.units import parse_length, parse_size

__all__ = ["Grain", "Stock"]

Grain = Literal["x", "y"]
"""The axis that the grain runs along; turning the blank over leaves it."""
_THICKEST_MM = 500.0
_WIDEST_MM = 100_000.0


@dataclass(frozen=True, init=False)
class Stock:
    """A flat blank.

    Parameters
    ----------
    size : str, optional
        "width x height x thickness" with one unit for all or one for each: "200 x 150 x 9 mm".
        Left out when only the thickness is known; the plan then assumes enough around the part.
    thickness : str or float, optional
        Thickness as measured, where `size` is left out.
    material : str
        Everyday name; see `outline2path.shop.material`.
    grain : "x", "y" or None
        Which way the grain runs: told on the sheet and in the pictures, and left free (None)
        where it does not matter. Nothing is turned for it.

    Raises
    ------
    SettingError
        When a length is not positive or beyond reason, or the thickness is missing.
    UnitError
        When the size is not three lengths.

    Examples
    --------
    >>> Stock("200 x 150 x 9 mm", material="birch plywood")
    Stock("200 x 150 x 9 mm", material="birch plywood")
    >>> Stock(thickness="1/4 in").thickness_mm
    6.35
    >>> Stock("90 x 40 x 12 mm", material="oak", grain="x").told_as
    'oak, grain along x'
    """

    width_mm: float | None
    height_mm: float | None
    thickness_mm: float
    material_name: str
    material: Material
    grain: Grain | None

    def __init__(
        self,
        size: str | None = None,
        *,
        thickness: str | float | None = None,
        material: str = "plywood",
        grain: Grain | None = None,
    ) -> None:
        width = height = None
        if size is not None:
            width, height, thick = parse_size(size)
        elif thickness is not None:
            thick = parse_length(thickness)
        else:
            raise SettingError(
                f"stock of unknown thickness (size {size!r})",
                remedy='give Stock("200 x 150 x 9 mm") or thickness="9 mm"',
            )
        _check_lengths(width, height, thick)
        _check_grain(grain)
        object.__setattr__(self, "width_mm", width)
        object.__setattr__(self, "height_mm", height)
        object.__setattr__(self, "thickness_mm", thick)
        object.__setattr__(self, "material_name", material)
        object.__setattr__(self, "material", find_material(material))
        object.__setattr__(self, "grain", grain)

    @property
    def told_as(self) -> str:
        """Material and grain in words."""
        return self.material_name + (f", grain along {self.grain}" if self.grain else "")

    def with_material(self, material: Material) -> Stock:
        """Return the same blank of a material of one's own.

        Examples
        --------
        >>> from outline2path.shop.material import MATERIALS
        >>> Stock(thickness=9).with_material(MATERIALS["mdf"]).material_name
        'mdf'
        """
        other = copy(self)
        object.__setattr__(other, "material_name", material.name)
        object.__setattr__(other, "material", material)
        return other

    def with_thickness(self, thickness_mm: float) -> Stock:
        """Return the same blank of another thickness, as after facing it.

        Examples
        --------
        >>> Stock("90 x 40 x 12 mm").with_thickness(11.5)
        Stock("90 x 40 x 11.5 mm", material="plywood")
        """
        other = copy(self)
        object.__setattr__(other, "thickness_mm", thickness_mm)
        return other

    def __repr__(self) -> str:
        grain = f', grain="{self.grain}"' if self.grain else ""
        told = f'material="{self.material_name}"{grain}'
        if self.width_mm is None:
            return f'Stock(thickness="{self.thickness_mm:g} mm", {told})'
        size = f"{self.width_mm:g} x {self.height_mm:g} x {self.thickness_mm:g} mm"
        return f'Stock("{size}", {told})'

    def _repr_html_(self) -> str:
        return str(later("stock_html", self))

    def _repr_svg_(self) -> str:
        return str(later("stock_svg", self))


def _check_lengths(width: float | None, height: float | None, thick: float) -> None:
    """Refuse lengths that no blank has; width and height are both known or both not."""
    for length in (width, height, thick):
        if length is not None and length <= 0:
            raise SettingError(f"a stock length of {length:g} mm is not positive", value=length)
    if max(width or 0, height or 0) > _WIDEST_MM:
        raise SettingError(
            f"stock {width:g} x {height:g} mm is wider than {_WIDEST_MM:g} mm",
            value=max(width or 0, height or 0),
            limit=_WIDEST_MM,
            remedy="check its unit",
        )
    if thick > _THICKEST_MM:
        raise SettingError(
            f"stock {thick:g} mm thick is above {_THICKEST_MM:g} mm",
            value=thick,
            limit=_THICKEST_MM,
            remedy="check its unit",
        )


def _check_grain(grain: str | None) -> None:
    if grain not in (None, *get_args(Grain)):
        raise SettingError(
            f"a grain along {grain!r} is none of x and y",
            value=grain,
            limit=get_args(Grain),
            remedy='say "x" or "y", or leave it out where it does not matter',
        )
