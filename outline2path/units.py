"""Lengths, feeds, speeds and angles with their units.

In: what a person writes ("1/8 in", "3.175mm", "72 in/min", 9000). Out: plain floats in the one
set of units used inside: mm, mm/min, rpm, degrees. A bare number already is in that unit.
Refused, with the forms that would do: unknown units, NaN, infinity, text that is no number.
The inch is 25.4 mm exactly (international yard and pound agreement of 1959, from memory).
"""

from __future__ import annotations

import math
import re

from outline2path.errors import UnitError

__all__ = [
    "MM_PER_INCH",
    "format_length",
    "parse_angle",
    "parse_feed",
    "parse_length",
    "parse_size",
    "parse_speed",
]

MM_PER_INCH = 25.4

_LENGTHS = {
    "": 1.0,
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": MM_PER_INCH,
    "inch": MM_PER_INCH,
    "inches": MM_PER_INCH,
    '"': MM_PER_INCH,
}
_PER_MINUTE = {"min": 1.0, "minute": 1.0, "s": 60.0, "sec": 60.0}
_NUMBER = r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?"
_QUANTITY = re.compile(
    rf"\s*(?:(?P<whole>\d+)\s+)?(?P<number>{_NUMBER})(?:\s*/\s*(?P<over>\d+))?"
    r"\s*(?P<unit>[a-zA-Z\"°]*(?:\s*/\s*[a-zA-Z]+)?)\s*"
)
_LONGEST = 64


def parse_length(value: str | float) -> float:
    """Read a length and return millimetres.

    Parameters
    ----------
    value : str or float
        A number of millimetres, or text with a unit: mm, cm, m, in. Fractions of an inch
        as the trade writes them: "1/8 in", "1 1/2 in".

    Returns
    -------
    float
        Millimetres; negative where a sign says so.

    Raises
    ------
    UnitError
        When the text is no number, or its unit is not a length.

    Examples
    --------
    >>> parse_length("1/8 in"), parse_length("3.175mm"), parse_length(6)
    (3.175, 3.175, 6.0)
    """
    number, unit = _split(value, "length", "3.175mm or 1/8in")
    if unit not in _LENGTHS:
        raise UnitError(f"{value!r} is no length", value=value, remedy="write 3.175mm or 1/8in")
    return number * _LENGTHS[unit]


def parse_size(text: str) -> tuple[float, float, float]:
    """Read "width x height x thickness" and return three lengths in mm.

    A unit after the last length serves those that have none.

    Raises
    ------
    UnitError
        When the text is not three lengths.

    Examples
    --------
    >>> parse_size("200 x 150 x 9 mm"), parse_size("8in x 6in x 9mm")
    ((200.0, 150.0, 9.0), (203.2, 152.39999999999998, 9.0))
    """
    texts = [part.strip() for part in re.split("[x\u00d7*]", text)]
    if len(texts) != 3 or not all(texts):
        raise UnitError(
            f"{text[:_LONGEST]!r} is not three lengths",
            value=text,
            remedy='write "200 x 150 x 9 mm"',
        )
    unit = re.sub(r"^[\d\s./+-]*", "", texts[2])
    bare = re.compile(r"[\d\s./+-]+")
    a, b, c = (parse_length(f"{t} {unit}" if bare.fullmatch(t) else t) for t in texts)
    return a, b, c


def parse_feed(value: str | float) -> float:
    """Read a feed and return millimetres a minute.

    Raises
    ------
    UnitError
        When the text is no number, or its unit is not a length over a time.

    Examples
    --------
    >>> round(parse_feed("72 in/min"), 4), parse_feed("20 mm/s"), parse_feed(900)
    (1828.8, 1200.0, 900.0)
    """
    number, unit = _split(value, "feed", "1800mm/min or 72in/min")
    length, _, time = unit.partition("/")
    if unit and (length not in _LENGTHS or not length or time not in _PER_MINUTE):
        raise UnitError(
            f"{value!r} is no feed", value=value, remedy="write 1800mm/min or 72in/min"
        )
    return number * _LENGTHS[length] * _PER_MINUTE.get(time, 1.0)


def parse_speed(value: str | float) -> float:
    """Read a spindle speed and return revolutions a minute.

    Raises
    ------
    UnitError
        When the text is no number, or its unit is not rpm.

    Examples
    --------
    >>> parse_speed("9000 rpm"), parse_speed(12000)
    (9000.0, 12000.0)
    """
    number, unit = _split(value, "spindle speed", "9000rpm")
    if unit not in {"", "rpm", "/min"}:
        raise UnitError(f"{value!r} is no spindle speed", value=value, remedy="write 9000rpm")
    return number


def parse_angle(value: str | float) -> float:
    """Read an angle and return degrees, counter-clockwise positive.

    Raises
    ------
    UnitError
        When the text is no number, or its unit is not deg or rad.

    Examples
    --------
    >>> parse_angle("30 deg"), parse_angle(-15)
    (30.0, -15.0)
    """
    number, unit = _split(value, "angle", "30deg")
    if unit == "rad":
        return math.degrees(number)
    if unit not in {"", "deg", "°"}:
        raise UnitError(f"{value!r} is no angle", value=value, remedy="write 30deg")
    return number


def format_length(mm: float, *, units: str = "mm", decimals: int = 2) -> str:
    """Write a length for people: 2 decimals in mm, one more in inches unless asked otherwise.

    Examples
    --------
    >>> format_length(3.175, decimals=3), format_length(3.175, units="in")
    ('3.175 mm', '0.125 in')
    """
    if units == "in":
        return f"{mm / MM_PER_INCH:.{decimals + 1}f} in"
    return f"{mm:.{decimals}f} mm"


def _split(value: str | float, what: str, forms: str) -> tuple[float, str]:
    """Take a quantity apart into a finite number and a lower-case unit."""
    if isinstance(value, bool) or not isinstance(value, (str, int, float)):
        raise UnitError(f"{value!r} is no {what}", value=value, remedy=f"write {forms}")
    if not isinstance(value, str):
        return _finite(float(value), value, what, forms), ""
    match = _QUANTITY.fullmatch(value) if len(value) <= _LONGEST else None
    if not match or (match["whole"] and not match["over"]) or match["over"] == "0":
        raise UnitError(f"{value[:_LONGEST]!r} is no {what}", value=value, remedy=f"write {forms}")
    number = float(match["number"])
    if match["over"]:
        number /= float(match["over"])
    number += float(match["whole"] or 0)
    return _finite(number, value, what, forms), re.sub(r"\s", "", match["unit"]).lower()


def _finite(number: float, value: object, what: str, forms: str) -> float:
    if not math.isfinite(number):
        raise UnitError(f"{value!r} is no finite {what}", value=value, remedy=f"write {forms}")
    return number
