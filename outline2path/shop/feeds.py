"""Feeds and speeds: a small worksheet of handbook formulas, and a starting point.

Lengths mm, feeds mm/min, spindle speeds rpm, surface speeds m/min, power W, force N.
Formulas: Machinery's Handbook, speeds and feeds and machining power; beam theory for the
deflection. The starting point takes the low end of the usual chip load for the material; it is a
starting point only, and the machine's manual comes first.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from outline2path.errors import SettingError
from outline2path.findings import Finding
from outline2path.shop.cutter import Cutter
from outline2path.shop.machine import Machine
from outline2path.shop.material import Material

__all__ = [
    "Feeds",
    "chip_load_mm",
    "cutting_power_w",
    "feed_findings",
    "feed_mm_min",
    "removal_rate_mm3_min",
    "starting_feeds",
    "surface_speed_m_min",
    "tangential_force_n",
    "tip_deflection_mm",
]

LEAST, MOST = 1.0, 1_000_000.0
"""mm/min and rpm: below, a program would say 0; above, no mill goes."""
START_RPM = 10_000.0
"""Spindle speed of the starting point: common practice for small mills, no source."""
PLUNGE_SHARE = 0.3
"""Plunge as a share of the feed: 20 to 50 % is common practice, no source."""
CARBIDE_N_MM2 = 600e3
"""Elastic modulus of cemented carbide, N/mm2 (450 to 650 thousand by cobalt share)."""


@dataclass(frozen=True, kw_only=True)
class Feeds:
    """What the program commands: spindle speed (rpm), feed and plunge feed (mm/min).

    Examples
    --------
    >>> Feeds(rpm=9000, feed=1828.8, plunge=500).chip_load_mm(flutes=1)
    0.2032
    """

    rpm: float
    feed: float
    plunge: float

    def __post_init__(self) -> None:
        for label, figure in (("speed", self.rpm), ("feed", self.feed), ("plunge", self.plunge)):
            if not LEAST <= figure <= MOST:
                raise SettingError(
                    f"a {label} of {figure:g} is outside {LEAST:g} to {MOST:g}",
                    value=figure,
                    limit=(LEAST, MOST),
                    remedy="feeds are in mm a minute, speeds in turns a minute",
                )

    def chip_load_mm(self, *, flutes: int) -> float:
        """Return the chip load in mm a tooth.

        Examples
        --------
        >>> Feeds(rpm=10000, feed=1000, plunge=300).chip_load_mm(flutes=2)
        0.05
        """
        return chip_load_mm(self.feed, rpm=self.rpm, flutes=flutes)


def chip_load_mm(feed: float, *, rpm: float, flutes: int) -> float:
    """Return feed per tooth fz = vf / (n z), mm.

    Examples
    --------
    >>> chip_load_mm(1828.8, rpm=9000, flutes=1)
    0.2032
    """
    return feed / (rpm * flutes)


def feed_mm_min(chip_load: float, *, rpm: float, flutes: int) -> float:
    """Return feed vf = n z fz, mm/min, from a chip load in mm a tooth.

    Examples
    --------
    >>> feed_mm_min(0.2032, rpm=9000, flutes=1)
    1828.8
    """
    return chip_load * rpm * flutes


def surface_speed_m_min(diameter_mm: float, *, rpm: float) -> float:
    """Return the speed of the cutting edge vc = pi D n / 1000, m/min.

    Examples
    --------
    >>> round(surface_speed_m_min(3.175, rpm=9000), 6)
    89.77101
    """
    return math.pi * diameter_mm * rpm / 1000


def removal_rate_mm3_min(*, width_mm: float, depth_mm: float, feed: float) -> float:
    """Return Q = ae ap vf, mm3/min.

    Examples
    --------
    >>> round(removal_rate_mm3_min(width_mm=3.175, depth_mm=0.762, feed=1828.8), 4)
    4424.5073
    """
    return width_mm * depth_mm * feed


def cutting_power_w(
    removal_mm3_min: float, *, force_n_mm2: float, efficiency: float = 1.0
) -> float:
    """Return the power P = Q kc / (60e3 eta), W.

    Examples
    --------
    >>> round(cutting_power_w(2 * 80 * 280, force_n_mm2=1800, efficiency=0.8), 3)
    1680.0
    """
    return removal_mm3_min * force_n_mm2 / (60e3 * efficiency)


def tangential_force_n(chip_mm: float, *, depth_mm: float, force_n_mm2: float) -> float:
    """Return the peak tangential force on one tooth in a slot, Ft = kc ap fz, N.

    Examples
    --------
    >>> round(tangential_force_n(0.2032, depth_mm=0.762, force_n_mm2=35), 6)
    5.419344
    """
    return force_n_mm2 * depth_mm * chip_mm


def tip_deflection_mm(
    force_n: float, *, diameter_mm: float, stick_out_mm: float, modulus: float = CARBIDE_N_MM2
) -> float:
    """Return how far the tip of a round bar bends, F L^3 / (3 E I), mm.

    Examples
    --------
    >>> round(1000 * tip_deflection_mm(10, diameter_mm=3.175, stick_out_mm=12), 6)
    1.924538
    """
    return force_n * stick_out_mm**3 / (3 * modulus * math.pi * diameter_mm**4 / 64)


def starting_feeds(
    cutter: Cutter,
    material: Material,
    machine: Machine,
    *,
    rpm: float | None = None,
    feed: float | None = None,
    plunge: float | None = None,
) -> Feeds:
    """Return the feeds asked for, each one left out filled in with a starting point.

    Examples
    --------
    >>> from outline2path.shop.material import find_material
    >>> starting_feeds(Cutter(3.175, flutes=1), find_material("plywood"), Machine(), rpm=9000)
    Feeds(rpm=9000, feed=914.0, plunge=274.0)
    """
    slow, fast = machine.speeds_rpm
    speed = rpm if rpm is not None else min(max(START_RPM, slow), fast)
    low, _ = material.chip_load_mm(cutter.diameter_mm)
    usual = math.floor(feed_mm_min(low, rpm=speed, flutes=cutter.flutes))
    cut = feed if feed is not None else min(float(max(usual, 1)), machine.greatest_feed)
    share = min(PLUNGE_SHARE * cut, machine.greatest_plunge)
    down = plunge if plunge is not None else max(1.0, float(math.floor(share)))
    return Feeds(rpm=speed, feed=cut, plunge=down)


def feed_findings(
    feeds: Feeds, cutter: Cutter, material: Material, *, machine: Machine
) -> tuple[Finding, ...]:
    """Compare feeds with the usual range and the machine: findings, never a silent change.

    Examples
    --------
    >>> from outline2path.shop.material import find_material
    >>> found = feed_findings(Feeds(rpm=9000, feed=9000, plunge=300), Cutter(6),
    ...                       find_material("mdf"), machine=Machine())
    >>> [finding.code for finding in found]
    ['chip-load', 'feed-above-machine']
    """
    low, high = material.chip_load_mm(cutter.diameter_mm)
    chip = feeds.chip_load_mm(flutes=cutter.flutes)
    found = []
    if not low * 0.5 <= chip <= high * 1.05:
        better = feed_mm_min((low + high) / 2, rpm=feeds.rpm, flutes=cutter.flutes)
        why = "tends to rub and burn" if chip < low else "loads a small cutter and the hold"
        found.append(
            Finding(
                code="chip-load",
                severity="warning",
                message=f"a chip load of {chip:.3f} mm a tooth {why}; usual in {material.name} "
                f"with this cutter: {low:.3f} to {high:.3f} mm (common practice, no source)",
                value=chip,
                limit=high if chip > high else low,
                unit="mm",
                remedy=f"about {better:.0f} mm/min at {feeds.rpm:.0f} rpm, "
                "or keep your own figure if your machine's manual gives it",
            )
        )
    found += _beyond_machine(feeds, machine)
    slow, fast = machine.speeds_rpm
    if not slow <= feeds.rpm <= fast:
        found.append(
            Finding(
                code="speed-outside-machine",
                severity="warning",
                message=f"spindle speed {feeds.rpm:.0f} rpm is outside {slow:.0f} to {fast:.0f} "
                f"rpm of the {machine.name}",
                value=feeds.rpm,
                limit=fast if feeds.rpm > fast else slow,
                unit="rpm",
                remedy="choose a speed the spindle has",
            )
        )
    return tuple(found)


def _beyond_machine(feeds: Feeds, machine: Machine) -> list[Finding]:
    """Warn of feeds above what the machine has along a level move, or straight down."""
    slowed = len(machine.feeds.figures) > 1
    return [
        Finding(
            code=f"{what}-above-machine",
            severity="warning",
            message=f"{what} {asked:.0f} mm/min is above the {most:.0f} mm/min of the "
            f"{machine.name}" + (f" {way}, so such moves are slowed down" if slowed else ""),
            value=asked,
            limit=most,
            unit="mm/min",
            remedy=f"lower the {what}"
            + ("" if slowed else "; the machine would slow down by itself or lose steps"),
        )
        for what, asked, most, way in (
            ("feed", feeds.feed, machine.greatest_feed, "along its slower axis"),
            ("plunge", feeds.plunge, machine.greatest_plunge, "straight down"),
        )
        if asked > most
    ]
