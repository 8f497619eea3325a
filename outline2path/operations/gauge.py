"""Gauge: a coupon with slots of stepping width, to find fit and cutter on one's own machine.

In: the mate's measured thickness, the first clearance, the step and the number of slots, with
units. Out: a plate with notches along its upper edge and a label below each, that says its
clearance in mm. The notches are open, so that the mate slides in by hand and nothing round keeps
it from seating.

How to use it. Cut the plate from the same stock, with the same cutter, speeds and settings as the
real parts, and try the mate in each slot. The label of the slot that holds as it should is the
`clearance` of `slot` and `fit_slots`, in Python and in a job's file. To find how wide the cutter
really cuts, measure one slot with a caliper and ask `cutting_width`: the answer is the diameter to
give the cutter in the next job. A cutter that runs out or flexes cuts wider than its shank says.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import shapely

from outline2path.drawing.combining import combined
from outline2path.drawing.outline import Outline
from outline2path.drawing.single_line import single_line
from outline2path.errors import SettingError
from outline2path.late import later
from outline2path.notebook import html_picture, html_table
from outline2path.shop.cutter import Cutter
from outline2path.tolerance import DEFAULT_TOLERANCE_MM, Budget
from outline2path.units import parse_length

__all__ = ["Gauge", "GaugeSlot", "cutting_width", "fit_gauge"]

Length = str | float

_MOST_SLOTS = 40
_WIDEST_CLEARANCE_MM = 5.0
_LABEL_SHARE = 0.8
"""Most of the room between two slots that a label may fill."""


@dataclass(frozen=True, kw_only=True)
class GaugeSlot:
    """One slot: number from the left, clearance and width in mm, middle of its mouth in mm."""

    number: int
    clearance_mm: float
    width_mm: float
    at_mm: tuple[float, float]

    @property
    def label(self) -> str:
        """The clearance in mm, as engraved.

        >>> GaugeSlot(number=1, clearance_mm=0.1, width_mm=6.1, at_mm=(10, 30)).label
        '0.10'
        """
        return f"{self.clearance_mm:.2f}"


@dataclass(frozen=True, eq=False, kw_only=True)
class Gauge:
    """A coupon for finding a fit.

    Attributes
    ----------
    plate : Outline
        To be cut out by an outside profile.
    labels : Outline
        Lines to be engraved, before the plate is cut free.
    slots : tuple of GaugeSlot
        From left to right.
    """

    plate: Outline
    labels: Outline
    slots: tuple[GaugeSlot, ...]

    def draw(self, *, ax: Any = None) -> Any:
        """Draw plate and labels, into `ax` where given; return what was drawn."""
        return later("draw_gauge", self, ax=ax)

    @cached_property
    def _shown(self) -> tuple[bytes, dict[str, int]]:
        shown: tuple[bytes, dict[str, int]] = later("for_notebook", later("gauge_png", self))
        return shown

    def _repr_png_(self) -> tuple[bytes, dict[str, int]]:
        return self._shown

    def _repr_html_(self) -> str:
        rows = [(f"{s.number}", s.label, f"{s.width_mm:.3f}") for s in self.slots]
        table = html_table(("slot", "clearance mm", "width mm"), rows)
        return html_picture(*self._shown, words="the gauge with its slots and labels") + table

    def __repr__(self) -> str:
        wide, high = self.plate.size_mm
        return f"Gauge({wide:.1f} x {high:.1f} mm, {len(self.slots)} slots)"


def fit_gauge(
    thickness: Length,
    *,
    first: Length = 0.0,
    step: Length = 0.05,
    count: int = 7,
    depth: Length = 12.0,
    wall: Length = 10.0,
    letters: Length = 3.5,
) -> Gauge:
    """Return a coupon with slots for a mate of measured thickness.

    Parameters
    ----------
    thickness : str or float
        The mate's, as measured.
    first, step : str or float
        Clearance of the first slot, and how much more each next one has.
    count : int
        Number of slots, 1 to 40.
    depth, wall : str or float
        Depth of the slots, and width of the wood between two of them.
    letters : str or float
        Height of the labels' letters.

    Raises
    ------
    SettingError
        When a figure is impossible, or a slot would have no width.

    Examples
    --------
    >>> gauge = fit_gauge("5.8 mm", step="0.05 mm", count=5)
    >>> [slot.label for slot in gauge.slots], round(gauge.slots[-1].width_mm, 6)
    (['0.00', '0.05', '0.10', '0.15', '0.20'], 6.0)
    """
    thick, start, more = (parse_length(x) for x in (thickness, first, step))
    deep, between, tall = (parse_length(x) for x in (depth, wall, letters))
    _check(count, thickness=thick, depth=deep, wall=between, letters=tall)
    slots, x = [], between
    high = between + 2 * tall + deep
    for number in range(1, count + 1):
        clearance = start + (number - 1) * more
        width = thick + clearance
        if not (width > 0 and abs(clearance) <= _WIDEST_CLEARANCE_MM):
            raise SettingError(
                f"slot {number} would have a clearance of {clearance:g} mm",
                value=clearance,
                limit=_WIDEST_CLEARANCE_MM,
                remedy="choose a smaller first clearance or step",
            )
        slots.append(
            GaugeSlot(
                number=number,
                clearance_mm=clearance,
                width_mm=width,
                at_mm=(x + width / 2, high),
            )
        )
        x += width + between
    voids = [
        shapely.box(
            s.at_mm[0] - s.width_mm / 2, high - deep, s.at_mm[0] + s.width_mm / 2, high + 1
        )
        for s in slots
    ]
    plate = shapely.box(0, 0, x, high).difference(shapely.union_all(voids))
    labels = [_label(s, base_mm=between / 2 + tall / 2, tall=tall, room=between) for s in slots]
    return Gauge(plate=Outline.from_shapely(plate), labels=combined(labels), slots=tuple(slots))


def cutting_width(
    cutter: Cutter,
    *,
    drawn: Length,
    measured: Length,
    tolerance: Length = DEFAULT_TOLERANCE_MM,
) -> float:
    """Return how wide a cutter really cuts, mm, from one slot of a gauge.

    Each wall of a slot lies half the cutter's width from the path, so what a slot is too wide, the
    cutter is too wide. The planner keeps its share of the tolerance off each wall; that is taken
    into account.

    Parameters
    ----------
    cutter : Cutter
        As given to the job that cut the gauge.
    drawn, measured : str or float
        Width of the slot as drawn, and as measured with a caliper.
    tolerance : str or float
        T of the job that cut the gauge.

    Raises
    ------
    SettingError
        When the answer differs from the cutter's stated diameter by more than a quarter of it.

    Examples
    --------
    >>> round(cutting_width(Cutter("3 mm"), drawn="6 mm", measured="6.05 mm"), 3)
    3.069
    """
    slot, found = parse_length(drawn), parse_length(measured)
    width = cutter.diameter_mm + found - slot + 2 * Budget(parse_length(tolerance)).margin_mm
    if abs(width - cutter.diameter_mm) > cutter.diameter_mm / 4:
        raise SettingError(
            f"a slot drawn {slot:g} mm and measured {found:g} mm would mean a cutter of "
            f"{width:.3f} mm, not {cutter.diameter_mm:g} mm",
            value=width,
            limit=cutter.diameter_mm,
            remedy="measure again, and check which cutter was in the spindle",
        )
    return width


def _check(count: int, **lengths: float) -> None:
    if isinstance(count, bool) or not isinstance(count, int) or not 1 <= count <= _MOST_SLOTS:
        raise SettingError(
            f"{count!r} slots are outside 1 to {_MOST_SLOTS}", value=count, limit=(1, _MOST_SLOTS)
        )
    for name, length in lengths.items():
        if not 0 < length <= 1000:
            raise SettingError(
                f"a {name} of {length:g} mm is outside 0 to 1000 mm", value=length, limit=(0, 1000)
            )


def _label(slot: GaugeSlot, *, base_mm: float, tall: float, room: float) -> Outline:
    """Set a slot's label under it, narrower than slot and wall together."""
    text = single_line(slot.label, height=tall)
    most = _LABEL_SHARE * (slot.width_mm + room)
    if text.size_mm[0] > most:
        text = text.fit(width=most)
    x0, _, x1, _ = text.bounds_mm
    return text.move(slot.at_mm[0] - (x0 + x1) / 2, base_mm)
