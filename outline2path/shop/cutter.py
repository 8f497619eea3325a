"""Cutter: what turns and cuts. Diameter, flutes and reach, lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass

from outline2path.errors import SettingError
from outline2path.units import format_length, parse_length

__all__ = ["Cutter"]


@dataclass(frozen=True, init=False)
class Cutter:
    """A flat end mill.

    Parameters
    ----------
    diameter : str or float
        Cutting diameter, a length with unit or mm.
    flutes : int
        Number of cutting edges.
    flute_length : str or float, optional
        Length of the cutting edges: the deepest cut at one depth.

    Raises
    ------
    SettingError
        When a figure is not positive, or the diameter is above 100 mm.

    Examples
    --------
    >>> Cutter("1/8 in", flutes=1)
    Cutter("3.175 mm", flutes=1)
    """

    diameter_mm: float
    flutes: int
    flute_length_mm: float | None

    def __init__(
        self,
        diameter: str | float,
        *,
        flutes: int = 2,
        flute_length: str | float | None = None,
    ) -> None:
        wide = parse_length(diameter)
        long = None if flute_length is None else parse_length(flute_length)
        if not 0.05 <= wide <= 100:
            raise SettingError(
                f"a cutter of {wide:g} mm is outside 0.05 to 100 mm",
                value=wide,
                limit=(0.05, 100),
                remedy="give the cutting diameter, as 3.175mm or 1/8in",
            )
        if isinstance(flutes, bool) or not isinstance(flutes, int) or not 1 <= flutes <= 12:
            raise SettingError(
                f"{flutes!r} flutes are outside 1 to 12", value=flutes, limit=(1, 12)
            )
        if long is not None and long <= 0:
            raise SettingError(f"a flute length of {long:g} mm is not positive", value=long)
        object.__setattr__(self, "diameter_mm", wide)
        object.__setattr__(self, "flutes", flutes)
        object.__setattr__(self, "flute_length_mm", long)

    @property
    def radius_mm(self) -> float:
        """Half the diameter, mm."""
        return self.diameter_mm / 2

    @property
    def label(self) -> str:
        """Short name for tables and program headers.

        >>> Cutter(3.175, flutes=1).label
        '3.175 mm, 1 flute'
        """
        plural = "" if self.flutes == 1 else "s"
        return f"{self.diameter_mm:g} mm, {self.flutes} flute{plural}"

    def __repr__(self) -> str:
        reach = (
            ""
            if self.flute_length_mm is None
            else f', flute_length="{format_length(self.flute_length_mm)}"'
        )
        return f'Cutter("{self.diameter_mm:g} mm", flutes={self.flutes}{reach})'
