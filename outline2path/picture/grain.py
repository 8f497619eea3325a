"""Grain: the colour of a material at any point of a blank.

In: points in the blank's own coordinates, mm: x and y, one of them along the grain, z up from the
underside. Out: linear light, red green blue, 0 to 1. Wood is a bundle of growth rings about a
pith that runs a little askew below the blank, so that a cut at any depth and on any side shows
the rings it would; plywood is thin sheets of it laid crosswise. The look is our own invention.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from outline2path.picture.noise import noise, speckle

__all__ = ["LOOKS", "Look", "colour_at", "look_of"]

Floats = NDArray[np.float32]
Colour = tuple[float, float, float]
_WHOLE_MM = 10_000.0
"""Thicker than any blank: one piece is a single sheet."""


@dataclass(frozen=True, kw_only=True)
class Look:
    """How a material looks.

    Attributes
    ----------
    pale, dark : tuple of 3 floats
        Colours of early and late wood, sRGB 0 to 1.
    ring_mm : float
        Width of a growth ring; 0 where there is none.
    sheet_mm : float
        Thickness of a sheet of plywood; 0 for one piece.
    fibre : float
        Strength of the fine streaks along the grain.
    turned : bool
        Whether the grain runs along y, not along x.
    """

    pale: Colour
    dark: Colour
    ring_mm: float = 0.0
    sheet_mm: float = 0.0
    fibre: float = 0.0
    turned: bool = False


LOOKS = {
    "hardwood": Look(pale=(0.85, 0.66, 0.46), dark=(0.66, 0.44, 0.27), ring_mm=5.0, fibre=0.10),
    "softwood": Look(pale=(0.93, 0.79, 0.57), dark=(0.79, 0.56, 0.32), ring_mm=6.5, fibre=0.07),
    "plywood": Look(
        pale=(0.90, 0.77, 0.58),
        dark=(0.81, 0.65, 0.45),
        ring_mm=4.0,
        sheet_mm=1.4,
        fibre=0.07,
    ),
    "mdf": Look(pale=(0.72, 0.58, 0.43), dark=(0.62, 0.48, 0.34), fibre=0.05),
    "acrylic": Look(pale=(0.80, 0.87, 0.90), dark=(0.76, 0.84, 0.88)),
    "aluminium": Look(pale=(0.80, 0.81, 0.83), dark=(0.74, 0.75, 0.77), fibre=0.03),
}
"""Looks by the material's name in `outline2path.shop.material`."""


def look_of(material: str, *, grain: str | None = None) -> Look:
    """Return the look of a material, that of softwood where the name is not known.

    The grain runs along x unless it is told to run along y.
    """
    return replace(LOOKS.get(material, LOOKS["softwood"]), turned=grain == "y")


def colour_at(x: Floats, y: Floats, z: Floats, *, look: Look) -> Floats:
    """Return colours, shape (n, 3), at n points.

    Examples
    --------
    >>> point = np.zeros(1, dtype=np.float32)
    >>> colour_at(point, point, point, look=look_of("hardwood")).shape
    (1, 3)
    """
    along, across = (y, x) if look.turned else (x, y)
    sheet = None
    if look.sheet_mm:
        sheet = np.floor(z / np.float32(look.sheet_mm))
        crossed = sheet % 2 > 0
        along, across = np.where(crossed, across, along), np.where(crossed, along, across)
    late = _rings(along, across, z, look) if look.ring_mm else np.float32(0.0)
    if look.fibre:
        late = late + _fibres(along, across, z, look)
    if sheet is not None:
        late = late + _sheets(sheet, z, look)
    share = np.clip(late, 0.0, 1.4)[..., None].astype(np.float32)
    pale, dark = _light(look.pale), _light(look.dark)
    colours: Floats = np.clip(pale + (dark - pale) * share, 0.0, 1.0)
    return colours


def _light(colour: Colour) -> Floats:
    """Turn an sRGB colour into linear light, by a plain power of 2.2."""
    return np.array(colour, dtype=np.float32) ** np.float32(2.2)


def _rings(along: Floats, across: Floats, z: Floats, look: Look) -> Floats:
    """Return how late in the year the wood at each point grew, 0 to 1."""
    shift = np.float32(17.3) * np.floor(z / (look.sheet_mm or _WHOLE_MM))
    wobble = 14 * noise(along * 0.006 + (3.1 + shift), across * 0.012 + 7.7)
    wobble += 1.3 * noise(along * 0.03 + shift, across * 0.09)
    depth = z + 26 + 0.055 * along + 0.8 * wobble
    aside = across - 58 + 0.7 * wobble + shift
    ring = np.hypot(aside, depth) / look.ring_mm
    part = ring - np.floor(ring)
    strength = 0.55 + 0.6 * speckle(np.floor(ring), np.floor(ring) * 0 + 5)
    late: Floats = strength * np.where(part < 0.82, (part / 0.82) ** 2.4, (1 - part) / 0.18)
    return late * np.float32(0.75)


def _fibres(along: Floats, across: Floats, z: Floats, look: Look) -> Floats:
    """Fine streaks along the grain, and a few darker dashes."""
    side: Floats = across + np.float32(0.7) * z
    streak = noise(along * 0.06, side * 3.1) + noise(along * 0.21 + 40, side * 7.3) - 1
    dash = noise(along * 0.35 + 90, side * 4.9)
    whole: Floats = look.fibre * (2.4 * streak + 4.5 * np.clip(dash - 0.80, 0, 1) * 5)
    return whole


def _sheets(sheet: Floats, z: Floats, look: Look) -> Floats:
    """Sheets differ a little from one another; the glue between them is a dark line."""
    within = z / look.sheet_mm - sheet
    glue = np.clip(1 - np.minimum(within, 1 - within) / 0.05, 0, 1)
    tint = 0.75 * (sheet % 2) + 0.25 * (speckle(sheet, sheet * 0 + 9) - 0.5)
    whole: Floats = 0.45 * glue + tint
    return whole
