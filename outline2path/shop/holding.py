"""Holding: what keeps the work still, and where the cutter must not go for its sake.

In: how the work is held, with clamps, screws or jaws as boxes, lengths with unit. Out: frozen
values with the boxes in mm and the cautions that belong to each way of holding. Boxes are placed
from the stock's lower left corner, their heights are measured from its underside, since that is
what a rule can reach.

Cautions: tabs, tape and clamps are common practice, no source; cyanoacrylate glue after safety
data sheets (vapour irritates and may sensitise). The machine's manual comes first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, get_args

from outline2path.errors import SettingError
from outline2path.units import parse_length

__all__ = ["LARGE_PIECE_MM2", "Clamp", "Holding", "Way"]

LARGE_PIECE_MM2 = 100.0
"""A piece seen from above as large as this, a square of 10 mm, must be held where tabs are asked
for: the cutter can throw it. Common practice, no source."""

Way = Literal["tabs", "tape and glue", "clamps", "screws", "vice"]
"""How the work is held."""

_NEEDS_BOXES = ("clamps", "screws", "vice")
_CAUTIONS: dict[str, tuple[str, ...]] = {
    "tabs": (
        "Tabs hold the part only while the stock round it is held: fix the stock itself too.",
        "Cut tabs with a saw or knife away from your hand, with the spindle stopped.",
    ),
    "tape and glue": (
        "Cyanoacrylate fumes irritate eyes and lungs and may sensitise: air the room, keep your "
        "face away, keep it off cotton.",
        "Press the whole face down and let it set; dust and waste board must be clean.",
        "Heat softens the bond: do not dwell, and stop if the work creeps.",
    ),
    "clamps": (
        "Check every rapid against the clamps' height, then run the program raised, spindle off.",
    ),
    "screws": (
        "Screws in the cutter's way break it and throw the pieces: mark them, keep them clear.",
    ),
    "vice": (
        "Thin stock bows in a vice: hold it just enough, on a flat support, and check by hand.",
    ),
}


@dataclass(frozen=True, init=False)
class Clamp:
    """A clamp, screw or jaw: a box nothing may enter.

    Parameters
    ----------
    at : tuple of two (str or float)
        Its lower left corner, x and y from the stock's lower left corner; may be negative.
    size : tuple of two (str or float)
        Its width and depth.
    height : str or float
        Of its top above the stock's underside.
    name : str
        For people.

    Raises
    ------
    SettingError
        When a size is not positive.

    Examples
    --------
    >>> Clamp(at=("-10 mm", 20), size=(30, "25 mm"), height="1 in").box_mm
    (-10.0, 20.0, 20.0, 45.0)
    """

    box_mm: tuple[float, float, float, float]
    height_mm: float
    name: str

    def __init__(
        self,
        *,
        at: tuple[str | float, str | float],
        size: tuple[str | float, str | float],
        height: str | float,
        name: str = "a clamp",
    ) -> None:
        x, y = (parse_length(value) for value in at)
        wide, deep = (parse_length(value) for value in size)
        high = parse_length(height)
        if not min(wide, deep, high) > 0:
            raise SettingError(
                f"{name}, {wide:g} x {deep:g} mm and {high:g} mm high, is no box",
                value=min(wide, deep, high),
                remedy="give a width, a depth and a height above zero",
            )
        object.__setattr__(self, "box_mm", (x, y, x + wide, y + deep))
        object.__setattr__(self, "height_mm", high)
        object.__setattr__(self, "name", name)


@dataclass(frozen=True, init=False)
class Holding:
    """How the work is held.

    Parameters
    ----------
    way : "tabs", "tape and glue", "clamps", "screws" or "vice"
        See the module's note.
    clamps : sequence of Clamp
        Boxes to keep out of; needed for clamps, screws and a vice.
    name : str
        What the workshop calls it.

    Raises
    ------
    SettingError
        When the way is unknown, or a way that stands above the bed names no box.

    Examples
    --------
    >>> held = Holding("clamps", clamps=[Clamp(at=(0, 0), size=(30, 20), height=25)])
    >>> held.highest_mm
    25.0
    >>> Holding("vice")
    Traceback (most recent call last):
    outline2path.errors.SettingError: holding by vice needs the boxes to keep out of; give \
clamps=[Clamp(at=..., size=..., height=...)]
    """

    way: Way
    clamps: tuple[Clamp, ...]
    name: str

    def __init__(self, way: Way = "tabs", *, clamps: Sequence[Clamp] = (), name: str = "") -> None:
        if way not in get_args(Way):
            raise SettingError(
                f"the work cannot be held by {way!r}",
                value=way,
                limit=get_args(Way),
                remedy=f"one of {', '.join(get_args(Way))}",
            )
        if way in _NEEDS_BOXES and not clamps:
            raise SettingError(
                f"holding by {way} needs the boxes to keep out of",
                value=way,
                remedy="give clamps=[Clamp(at=..., size=..., height=...)]",
            )
        object.__setattr__(self, "way", way)
        object.__setattr__(self, "clamps", tuple(clamps))
        object.__setattr__(self, "name", name)

    @property
    def highest_mm(self) -> float:
        """Height of the highest box above the stock's underside; 0 where there is none."""
        return max((clamp.height_mm for clamp in self.clamps), default=0.0)

    @property
    def cautions(self) -> tuple[str, ...]:
        """What to mind, in plain sentences, for the set-up sheet."""
        return _CAUTIONS[self.way]
