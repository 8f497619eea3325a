"""Material: what is cut, with the few figures that speeds and warnings need.

The chip loads are a much-copied trade table whose first publisher is not certain (from memory,
no source); they are starting points, never limits. Specific cutting forces: wood is of the order
of 10 to 60 N/mm2 (Koch, Wood Machining Processes, 1964, order only, from memory), particleboard
about 35 (Palubicki, Materials 2021, 14, 2208), soft aluminium alloy about 580 at 0.1 mm a tooth
(an insert maker's milling power table); acrylic has no dependable published value.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from outline2path.errors import SettingError
from outline2path.units import MM_PER_INCH

__all__ = ["MATERIALS", "Material", "find_material"]


@dataclass(frozen=True, kw_only=True)
class Material:
    """A stock material.

    Attributes
    ----------
    name : str
        Its everyday name.
    cutting_force_n_mm2 : float
        Specific cutting force kc, N/mm2.
    chip_loads_in : tuple of three (low, high)
        Chip load in inches a tooth for cutters of 1/8, 1/4 and 1/2 in.
    surface_speeds_m_min : (low, high) or None
        Usual speed of the edge, carbide, m/min; wood is limited by burning instead.
    density_kg_m3, hardness_n : float or None
        Of wood at 12 % moisture; the hardness is Janka's, side grain.
    source : str
        Where the figures come from.

    Raises
    ------
    SettingError
        When a figure is not positive, or a range runs downwards.

    Examples
    --------
    >>> Material(name="cork", cutting_force_n_mm2=-1, chip_loads_in=((0.004, 0.006),) * 3)
    Traceback (most recent call last):
    outline2path.errors.SettingError: cork: a figure of -1 is not positive
    """

    name: str
    cutting_force_n_mm2: float
    chip_loads_in: tuple[tuple[float, float], tuple[float, float], tuple[float, float]]
    surface_speeds_m_min: tuple[float, float] | None = None
    density_kg_m3: float | None = None
    hardness_n: float | None = None
    source: str = "common practice, no source"

    def __post_init__(self) -> None:
        ranges = (*self.chip_loads_in, self.surface_speeds_m_min or (1.0, 2.0))
        figures = (self.cutting_force_n_mm2, self.density_kg_m3, self.hardness_n)
        for low, high in ranges:
            if not 0 < low <= high < math.inf:
                raise SettingError(
                    f"{self.name}: {low:g} to {high:g} is no range above zero",
                    value=low,
                    limit=high,
                    remedy="give the lower figure first",
                )
        for figure in figures:
            if figure is not None and not 0 < figure < math.inf:
                raise SettingError(
                    f"{self.name}: a figure of {figure:g} is not positive", value=figure
                )

    def chip_load_mm(self, diameter_mm: float) -> tuple[float, float]:
        """Return the usual range of chip load (mm a tooth) for a cutter, from the table.

        Between the table's diameters the range is read on a straight line; below 1/8 in it
        shrinks with the diameter, above 1/2 in it stays.

        Examples
        --------
        >>> low, high = find_material("plywood").chip_load_mm(3.175)
        >>> round(low, 4), round(high, 4)
        (0.1016, 0.1524)
        """
        widths = (0.0, 3.175, 6.35, 12.7)
        low, high = (
            _on_line(diameter_mm, widths, (0.0, *(pair[k] for pair in self.chip_loads_in)))
            for k in (0, 1)
        )
        return low * MM_PER_INCH, high * MM_PER_INCH


def _on_line(x: float, xs: tuple[float, ...], ys: tuple[float, ...]) -> float:
    for x0, x1, y0, y1 in zip(xs, xs[1:], ys, ys[1:], strict=False):
        if x <= x1:
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return ys[-1]


MATERIALS = {
    m.name: m
    for m in (
        Material(
            name="hardwood",
            cutting_force_n_mm2=50,
            chip_loads_in=((0.003, 0.005), (0.009, 0.011), (0.019, 0.021)),
        ),
        Material(
            name="softwood",
            cutting_force_n_mm2=25,
            chip_loads_in=((0.004, 0.006), (0.011, 0.013), (0.021, 0.023)),
        ),
        Material(
            name="plywood",
            cutting_force_n_mm2=35,
            chip_loads_in=((0.004, 0.006), (0.011, 0.013), (0.021, 0.023)),
        ),
        Material(
            name="mdf",
            cutting_force_n_mm2=35,
            chip_loads_in=((0.004, 0.007), (0.013, 0.016), (0.025, 0.027)),
        ),
        Material(
            name="acrylic",
            cutting_force_n_mm2=200,
            chip_loads_in=((0.002, 0.004), (0.006, 0.009), (0.010, 0.012)),
            surface_speeds_m_min=(100, 300),
        ),
        Material(
            name="aluminium",
            cutting_force_n_mm2=580,
            chip_loads_in=((0.003, 0.004), (0.005, 0.007), (0.008, 0.010)),
            surface_speeds_m_min=(100, 300),
        ),
    )
}
"""The small library that ships, by name."""

_KIN = {
    "basswood": "softwood",
    "pine": "softwood",
    "cedar": "softwood",
    "fir": "softwood",
    "spruce": "softwood",
    "poplar": "softwood",
    "cherry": "hardwood",
    "walnut": "hardwood",
    "maple": "hardwood",
    "oak": "hardwood",
    "ash": "hardwood",
    "beech": "hardwood",
    "birch": "hardwood",
}


def find_material(name: str) -> Material:
    """Return the material whose name stands in `name`: "birch plywood" is plywood.

    Raises
    ------
    SettingError
        When no word of the name is known; the message lists what is.

    Examples
    --------
    >>> find_material("birch plywood").name, find_material("White oak").name
    ('plywood', 'hardwood')
    """
    words = name.lower().split()
    for word in words:
        if word in MATERIALS:
            return MATERIALS[word]
    for word in words:
        if word in _KIN:
            return MATERIALS[_KIN[word]]
    known = ", ".join([*MATERIALS, *_KIN])
    raise SettingError(f"no figures for {name!r}", value=name, remedy=f"name one of: {known}")
