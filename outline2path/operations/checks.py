"""Checks: what every operation's settings are judged by, in one wording.

In: a frozen settings value whose fields are lengths in mm, angles in degrees and choices. Out:
nothing, or a SettingError that names field, value and limit. Knows no operation.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import fields
from typing import TYPE_CHECKING

from outline2path.errors import SettingError

if TYPE_CHECKING:
    from _typeshed import DataclassInstance
    from shapely.geometry.base import BaseGeometry

__all__ = ["check_choices", "check_finite", "check_holds_area", "check_within", "spoken"]


def spoken(name: str) -> str:
    """Return a field's name as a person says it.

    Examples
    --------
    >>> spoken("finish_allowance_mm")
    'finish allowance'
    """
    return name.removesuffix("_mm").removesuffix("_deg").replace("_", " ")


def check_finite(settings: DataclassInstance) -> None:
    """Refuse numbers that are no finite numbers.

    Raises
    ------
    SettingError
        Naming the first such field.
    """
    for field in fields(settings):
        value = getattr(settings, field.name)
        if isinstance(value, float) and not math.isfinite(value):
            raise SettingError(f"{spoken(field.name)} {value!r} is no finite number", value=value)


def check_choices(settings: object, choices: Mapping[str, tuple[str, ...]]) -> None:
    """Refuse a word that is none of those allowed.

    Raises
    ------
    SettingError
        Naming the field, the word and the words allowed.
    """
    for name, allowed in choices.items():
        value = getattr(settings, name)
        if value not in allowed:
            raise SettingError(
                f"{spoken(name)} {value!r} is none of {', '.join(allowed)}",
                value=value,
                limit=allowed,
            )


def check_within(settings: object, bounds: Mapping[str, tuple[float, float]]) -> None:
    """Refuse a number outside its bounds; None is left alone.

    Raises
    ------
    SettingError
        Naming the field, the value and both bounds.

    Examples
    --------
    >>> from types import SimpleNamespace
    >>> check_within(SimpleNamespace(stepover=1.5), {"stepover": (0.02, 1.0)})
    Traceback (most recent call last):
    outline2path.errors.SettingError: stepover 1.5 is outside 0.02 to 1
    """
    for name, (low, high) in bounds.items():
        value = getattr(settings, name)
        if value is not None and not low <= value <= high:
            raise SettingError(
                f"{spoken(name)} {value:g} is outside {low:g} to {high:g}",
                value=value,
                limit=(low, high),
            )


def check_holds_area(region: BaseGeometry, *, doing: str) -> None:
    """Refuse a drawing of open lines alone.

    Raises
    ------
    SettingError
        Naming what was to be done.

    Examples
    --------
    >>> import shapely
    >>> check_holds_area(shapely.MultiPolygon(), doing="clear")
    Traceback (most recent call last):
    outline2path.errors.SettingError: the outline holds 0 areas to clear; draw closed shapes, or \
engrave its lines
    """
    if region.is_empty:
        raise SettingError(
            f"the outline holds 0 areas to {doing}",
            value=region.area,
            remedy="draw closed shapes, or engrave its lines",
        )
