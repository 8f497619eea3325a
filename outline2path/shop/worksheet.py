"""Worksheet: feeds and speeds, every figure with its formula, its source and its usual range.

In: cutter, material, machine, and either feeds of one's own or none (a starting point is taken),
with width and depth of cut in mm. Out: a Worksheet of rows, and a warning for each row outside its
usual range, with the reason and a better value. Nothing is ever changed silently: the figures are
those that were asked for.

Usual ranges are rules of thumb (common practice, no source) unless a row says otherwise; formulas
are those of `feeds` and `chips`, from Machinery's Handbook, beam theory and elementary geometry.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from outline2path.shop.chips import chip_load_for_mm, engagement_deg, thickest_chip_mm
from outline2path.shop.feeds import (
    Feeds,
    chip_load_mm,
    cutting_power_w,
    feed_mm_min,
    removal_rate_mm3_min,
    starting_feeds,
    surface_speed_m_min,
    tangential_force_n,
    tip_deflection_mm,
)
from outline2path.shop.machine import Machine
from outline2path.shop.rows import Row, Worksheet

if TYPE_CHECKING:
    from outline2path.shop.cutter import Cutter
    from outline2path.shop.material import Material

__all__ = ["worksheet"]

_PRACTICE = "common practice, no source"
_HANDBOOK = "Machinery's Handbook, speeds and feeds"
_GEOMETRY = "elementary geometry"
_FLUTED = 0.8
"""A fluted cutter bends like a bar of 0.8 of its diameter (common practice, no source)."""
_MOST_BEND_MM = 0.05
"""Bending that shows on a wall (common practice, no source)."""
_STEP_DOWN = {"aluminium": (0.1, 0.3)}
_STEP_DOWN_SOFT = (0.1, 1.0)
"""Depth of cut in cutter diameters."""


def worksheet(
    cutter: Cutter,
    material: Material,
    *,
    machine: Machine | None = None,
    feeds: Feeds | None = None,
    width_mm: float | None = None,
    depth_mm: float | None = None,
    efficiency: float = 1.0,
) -> Worksheet:
    """Work out the figures of one cut.

    Parameters
    ----------
    cutter : Cutter
        With its stick-out, where bending is to be worked out.
    material : Material
        Chip loads and cutting force.
    machine : Machine, optional
        Its greatest feed, speeds and power.
    feeds : Feeds, optional
        One's own; a starting point for the material when left out.
    width_mm, depth_mm : float, optional
        Width of cut, a full slot when left out, and depth of cut, a quarter of the diameter.
    efficiency : float
        Share of the spindle's power that reaches the cutter.

    Raises
    ------
    SettingError
        When the width of cut is outside 0 to the diameter.

    Examples
    --------
    >>> from outline2path.shop.cutter import Cutter
    >>> from outline2path.shop.material import find_material
    >>> sheet = worksheet(Cutter("1/8 in", flutes=1), find_material("plywood"),
    ...                   feeds=Feeds(rpm=9000, feed=1828.8, plunge=500), depth_mm=0.762)
    >>> round(sheet["chip load"], 4), round(sheet["removal rate"] / 1000, 3)
    (0.2032, 4.425)
    """
    mill = machine or Machine()
    told = feeds or starting_feeds(cutter, material, mill)
    across = cutter.diameter_mm if width_mm is None else width_mm
    deep = cutter.diameter_mm / 4 if depth_mm is None else depth_mm
    chip = chip_load_mm(told.feed, rpm=told.rpm, flutes=cutter.flutes)
    rows = [
        *_commanded(told, mill),
        *_chip_rows(told, cutter, material, (across, deep, chip)),
        *_depth_rows(cutter, material, deep),
        *_load_rows(told, cutter, material, (across, deep, chip), (mill, efficiency)),
    ]
    return Worksheet(tuple(rows), told)


def _commanded(told: Feeds, mill: Machine) -> list[Row]:
    slow, fast = mill.speeds_rpm
    return [
        Row(
            name="spindle speed",
            value=told.rpm,
            unit="rpm",
            usual=(slow, fast),
            usual_source=f"the {mill.name}",
            reason="the spindle does not turn at this speed",
            better=f"{min(max(told.rpm, slow), fast):.0f} rpm",
        ),
        Row(
            name="feed",
            value=told.feed,
            unit="mm/min",
            formula="n z fz",
            source=_HANDBOOK,
            usual=(None, mill.greatest_feed),
            usual_source=f"the {mill.name}",
            reason="the machine would slow down by itself or lose steps",
            better=f"at most {mill.greatest_feed:.0f} mm/min",
        ),
        Row(
            name="plunge",
            value=told.plunge,
            unit="mm/min",
            usual=(0.2 * told.feed, 0.5 * told.feed),
            usual_source=f"20 to 50 % of the feed; {_PRACTICE}",
            reason="straight down a cutter's middle hardly cuts"
            if told.plunge > told.feed / 2
            else "so slow a plunge rubs and burns",
            better=f"about {0.3 * told.feed:.0f} mm/min",
        ),
    ]


def _chip_rows(
    told: Feeds, cutter: Cutter, material: Material, cut: tuple[float, float, float]
) -> list[Row]:
    across, deep, chip = cut
    wide = cutter.diameter_mm
    low, high = (
        chip_load_for_mm(usual, width_mm=across, diameter_mm=wide)
        for usual in material.chip_load_mm(wide)
    )
    thick = thickest_chip_mm(chip, width_mm=across, diameter_mm=wide)
    force = tangential_force_n(thick, depth_mm=deep, force_n_mm2=material.cutting_force_n_mm2)
    feed = feed_mm_min((low + high) / 2, rpm=told.rpm, flutes=cutter.flutes)
    thinned = ", thicker by the thinning" if across < wide / 2 else ""
    return [
        Row(
            name="surface speed",
            value=surface_speed_m_min(wide, rpm=told.rpm),
            unit="m/min",
            formula="pi D n / 1000",
            source=_HANDBOOK,
            usual=material.surface_speeds_m_min or (None, None),
            usual_source=_PRACTICE if material.surface_speeds_m_min else "",
            reason="outside what such a cutter is used at in this material",
            better=_speed_for(material, wide),
        ),
        Row(
            name="chip load",
            value=chip,
            unit="mm",
            formula="vf / (n z)",
            source=_HANDBOOK,
            usual=(low / 2, high),
            usual_source=f"half to all of the trade's table for {material.name}{thinned}; "
            f"{_PRACTICE}",
            reason="it tends to rub and burn"
            if chip < low
            else "it loads a small cutter and the hold, though at this depth with no more than "
            f"{force:.1f} N",
            better=f"about {feed:.0f} mm/min at {told.rpm:.0f} rpm",
        ),
        Row(
            name="engagement",
            value=engagement_deg(across, diameter_mm=wide),
            unit="deg",
            formula="acos(1 - 2 ae / D)",
            source=_GEOMETRY,
        ),
        Row(
            name="thickest chip",
            value=thick,
            unit="mm",
            formula="2 fz sqrt(a - a^2), a = ae / D" if across < wide / 2 else "fz",
            source=_GEOMETRY,
        ),
    ]


def _speed_for(material: Material, diameter_mm: float) -> str:
    if material.surface_speeds_m_min is None:
        return ""
    slow, fast = (
        speed / surface_speed_m_min(diameter_mm, rpm=1.0)
        for speed in material.surface_speeds_m_min
    )
    return f"{slow:.0f} to {fast:.0f} rpm"


def _depth_rows(cutter: Cutter, material: Material, deep: float) -> list[Row]:
    low, high = _STEP_DOWN.get(material.name, _STEP_DOWN_SOFT)
    wide = cutter.diameter_mm
    rows = [
        Row(
            name="depth of cut",
            value=deep / wide,
            unit="D",
            formula="ap / D",
            source=_GEOMETRY,
            usual=(None, high),
            usual_source=_PRACTICE,
            reason="deep for a light machine",
            better=f"{low * wide:.2f} to {high * wide:.2f} mm",
        )
    ]
    if cutter.stick_out_mm is not None:
        rows.append(
            Row(
                name="stick-out",
                value=cutter.stick_out_mm / wide,
                unit="D",
                formula="L / D",
                source=_GEOMETRY,
                usual=(None, 8.0 if high == 1.0 else 4.0),
                usual_source=_PRACTICE,
                reason="bending grows with the third power of the stick-out",
                better=f"at most {(8.0 if high == 1.0 else 4.0) * wide:.1f} mm",
            )
        )
    return rows


def _load_rows(
    told: Feeds,
    cutter: Cutter,
    material: Material,
    cut: tuple[float, float, float],
    mill: tuple[Machine, float],
) -> list[Row]:
    across, deep, chip = cut
    machine, efficiency = mill
    hard = material.cutting_force_n_mm2
    rate = removal_rate_mm3_min(width_mm=across, depth_mm=deep, feed=told.feed)
    thick = thickest_chip_mm(chip, width_mm=across, diameter_mm=cutter.diameter_mm)
    force = tangential_force_n(thick, depth_mm=deep, force_n_mm2=hard)
    rows = [
        Row(
            name="removal rate",
            value=rate,
            unit="mm3/min",
            formula="ae ap vf",
            source=_HANDBOOK,
        ),
        Row(
            name="power",
            value=cutting_power_w(rate, force_n_mm2=hard, efficiency=efficiency),
            unit="W",
            formula="Q kc / (60000 eta)",
            source="Machinery's Handbook, machining power",
            usual=(None, machine.power_w),
            usual_source=f"the {machine.name}" if machine.power_w else "",
            reason="the spindle would slow down or stall",
            better="less depth of cut, width of cut or feed",
        ),
        Row(
            name="force",
            value=force,
            unit="N",
            formula="kc ap h",
            source="Kienzle 1952, mean cutting force taken as constant",
        ),
    ]
    if cutter.stick_out_mm is not None:
        bend = tip_deflection_mm(
            force, diameter_mm=_FLUTED * cutter.diameter_mm, stick_out_mm=cutter.stick_out_mm
        )
        rows.append(
            Row(
                name="deflection",
                value=bend,
                unit="mm",
                formula="F L^3 / (3 E I), 0.8 D",
                source="beam theory; 0.8 of the diameter for the flutes is common practice",
                usual=(None, _MOST_BEND_MM),
                usual_source=_PRACTICE,
                reason="the cutter bends enough to show on a wall, and may chatter",
                better="a shorter stick-out, a wider cutter or less depth of cut",
            )
        )
    return rows
