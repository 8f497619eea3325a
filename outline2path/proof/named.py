"""Named: the cutters that a program's opening comments name, held against those expected.

In: comments such as "cutter: 6 mm, 2 flutes" or "cutter 2: V 60 deg 6 mm, 2 flutes, tip 0.20 mm".
Out: the first difference, in words. A figure is compared only where the comment states it; but
where flutes are told, the words before the diameter are all there is: none means a flat cutter,
and no tip a sharp one. Lengths in mm, angles in degrees.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from outline2path.units import MM_PER_INCH

if TYPE_CHECKING:
    from outline2path.shop.cutter import Cutter

__all__ = ["NamedCutter", "named_cutters", "unlike"]

_SHAPES = frozenset({"flat", "ball", "v", "chamfer", "drill", "facing"})
_NUMBER = r"([0-9]*\.?[0-9]+)"
_NAMED = re.compile(
    r"\bcutter\b(?:[ ]?([0-9]{1,5})(?=[ ]?:))?[\s:=]{0,4}(?:([a-z]+)[ ])?"
    rf"(?:{_NUMBER} ?deg )?{_NUMBER}\s*(mm|in|inch)\b(.*)",
    re.IGNORECASE | re.ASCII | re.DOTALL,
)
_FLUTES = re.compile(r"\b[0-9]+ flutes?\b", re.IGNORECASE)
_POINT = re.compile(rf"\bpoint {_NUMBER} ?deg\b", re.IGNORECASE)
_TIP = re.compile(rf"\btip {_NUMBER} ?(mm|in)\b", re.IGNORECASE)
_MM = {"mm": 1.0, "in": MM_PER_INCH, "inch": MM_PER_INCH}
_HALF_A_DIGIT_MM = 0.0051
"""A length written with two decimals."""
_HALF_A_DEGREE = 0.051
"""Degrees: an angle written with one decimal."""
_LONGEST = 300
"""Characters of a comment that are looked at: no cutter takes more to name."""


@dataclass(frozen=True, kw_only=True)
class NamedCutter:
    """A cutter as a comment names it; None where it says nothing of something.

    Attributes
    ----------
    line : int
        Where.
    number : int or None
        Of its place on the machine.
    diameter_mm : float
        Cutting diameter.
    shape : str or None
        A shape of `Cutter`.
    angle_deg, tip_mm : float or None
        Included angle, and diameter of the tip's flat.
    """

    line: int
    number: int | None
    diameter_mm: float
    shape: str | None
    angle_deg: float | None
    tip_mm: float | None


def named_cutters(comments: Iterable[tuple[int, str]]) -> list[NamedCutter]:
    """Return the cutters that comments name.

    Examples
    --------
    >>> named_cutters([(4, "cutter 2: V 60 deg 6 mm, 2 flutes, tip 0.20 mm")])[0].tip_mm
    0.2
    """
    matches = ((line, _NAMED.search(text[:_LONGEST])) for line, text in comments)
    return [_named(line, match) for line, match in matches if match is not None]


def _named(line: int, match: re.Match[str]) -> NamedCutter:
    number, word, angle, diameter, unit, rest = match.groups()
    whole = _FLUTES.search(rest) is not None
    shape: str | None = (word or "").lower()
    if shape not in _SHAPES:
        shape = "flat" if whole and not word else None
    tip, point = _TIP.search(rest), _POINT.search(rest)
    degrees = angle or (point[1] if point else None)
    return NamedCutter(
        line=line,
        number=None if number is None else int(number),
        diameter_mm=float(diameter) * _MM[unit.lower()],
        shape=shape,
        angle_deg=None if degrees is None else float(degrees),
        tip_mm=float(tip[1]) * _MM[tip[2].lower()] if tip else 0.0 if whole else None,
    )


def unlike(named: NamedCutter, cutters: Mapping[int, Cutter]) -> tuple[str, float, float] | None:
    """Say how a named cutter differs from the one expected: words, figure found, figure wanted.

    Parameters
    ----------
    named : NamedCutter
        As a comment has it.
    cutters : mapping of int to Cutter
        Those expected, by number; 0 stands for the only cutter of a program without numbers.

    Examples
    --------
    >>> from outline2path.shop.cutter import Cutter
    >>> flat = named_cutters([(1, "cutter: 6 mm, 2 flutes")])[0]
    >>> unlike(flat, {0: Cutter(6, shape="v", angle=60)})[0]
    'a flat cutter of 6 mm, not a v cutter of 6 mm'
    """
    number = 0 if 0 in cutters or named.number is None else named.number
    if number not in cutters:
        if named.number is None:
            return None
        told = ", ".join(map(str, cutters))
        return f"a cutter {number}, expected are {told}", float(number), float(min(cutters))
    at = f" as cutter {number}" if number else ""
    return _other_shape(named, cutters[number], at) or _other_figure(named, cutters[number], at)


def _other_shape(named: NamedCutter, cutter: Cutter, at: str) -> tuple[str, float, float] | None:
    shape = named.shape or cutter.shape
    wide, want = named.diameter_mm, cutter.diameter_mm
    if shape == cutter.shape:
        return None
    a, b = (f"a {s} cutter of {d:g} mm" for s, d in ((shape, wide), (cutter.shape, want)))
    return f"{a}{at}, not {b}", wide, want


def _other_figure(named: NamedCutter, cutter: Cutter, at: str) -> tuple[str, float, float] | None:
    figures = (
        ("a cutter of {:g} mm", named.diameter_mm, cutter.diameter_mm, _HALF_A_DIGIT_MM),
        ("an angle of {:g} degrees", named.angle_deg, cutter.angle_deg, _HALF_A_DEGREE),
        ("a tip of {:g} mm", named.tip_mm, cutter.tip_mm, _HALF_A_DIGIT_MM),
    )
    for words, told_here, wanted, within in figures:
        if told_here is not None and abs(told_here - (wanted or 0.0)) > within:
            return f"{words.format(told_here)}{at}, not {wanted or 0:g}", told_here, wanted or 0.0
    return None
