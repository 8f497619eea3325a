"""Job: what is to be made, from which stock, on which machine.

A job collects steps with the units and names a person uses; `plan` turns it into moves, text and
findings. The job itself computes nothing, so it may be changed until it is planned.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from outline2path.drawing.outline import Outline
from outline2path.errors import SettingError
from outline2path.job.placing import Zero
from outline2path.job.step import Bench, ProfileStep
from outline2path.operations.profile_settings import ProfileSettings
from outline2path.shop.cutter import Cutter
from outline2path.shop.machine import Machine
from outline2path.shop.stock import Stock
from outline2path.units import parse_feed, parse_length, parse_speed

if TYPE_CHECKING:
    from outline2path.job.plan import Plan

__all__ = ["Job"]

Length = str | float
Lead = Literal["arc", "line", "none"]
Entry = Literal["plunge", "ramp", "helix"]


class Job:
    """A job at the bench.

    Parameters
    ----------
    stock : Stock
        The blank, at least its measured thickness.
    machine : Machine, optional
        Checked against travel, feeds and speeds where given; a small mill is assumed for the
        estimate of time.
    zero : "lower-left", "centre" or "stock-corner"
        Work zero in x and y: of the part's box, or of the stock.
    zero_z : "top" or "bottom"
        Work zero in z: top of the stock, or the waste board under it.
    clearance : str or float
        Height above the stock's top at which rapids cross, a length.
    units : "mm" or "in"
        Of the written program.
    tolerance : str or float
        T of the promise: nothing more is left on the part where the cutter reaches.

    Examples
    --------
    >>> import shapely
    >>> job = Job(stock=Stock(thickness="6 mm"))
    >>> plate = Outline.from_shapely(shapely.box(0, 0, 40, 30))
    >>> plan = job.profile(plate, Cutter("1/8 in"), tabs=2).plan()
    >>> plan.prove().verdict
    'pass'
    """

    def __init__(
        self,
        *,
        stock: Stock,
        machine: Machine | None = None,
        zero: Zero = "lower-left",
        zero_z: Literal["top", "bottom"] = "top",
        clearance: Length = 5.0,
        units: Literal["mm", "in"] = "mm",
        tolerance: Length = 0.02,
    ) -> None:
        for name, value, allowed in (
            ("zero", zero, ("lower-left", "centre", "stock-corner")),
            ("zero_z", zero_z, ("top", "bottom")),
            ("units", units, ("mm", "in")),
        ):
            if value not in allowed:
                raise SettingError(
                    f"{name} {value!r} is unknown", value=value, remedy=f"one of {allowed}"
                )
        height = parse_length(clearance)
        if not 0.5 <= height <= 200:
            raise SettingError(
                f"a clearance of {height:g} mm is outside 0.5 to 200 mm",
                value=height,
                limit=(0.5, 200),
                remedy="leave it out for 5 mm",
            )
        self.bench = Bench(
            stock=stock,
            machine=machine,
            zero=zero,
            zero_z=zero_z,
            clearance_mm=height,
            units=units,
            tolerance_mm=parse_length(tolerance),
        )
        self.steps: list[ProfileStep] = []

    def profile(
        self,
        outline: Outline,
        cutter: Cutter,
        *,
        side: Literal["outside", "inside", "on"] = "outside",
        allowance: Length = 0.0,
        depth_per_pass: Length = 1.5,
        through: Length = 0.3,
        finish_allowance: Length = 0.0,
        tabs: int = 0,
        tab_length: Length = 6.0,
        tab_height: Length = 1.5,
        lead: Lead = "arc",
        entry: Entry = "plunge",
        direction: Literal["climb", "conventional"] = "climb",
        feed: Length | None = None,
        plunge: Length | None = None,
        speed: Length | None = None,
    ) -> Job:
        """Add a profile round an outline, and return the job.

        Parameters
        ----------
        outline : Outline
            The drawn regions, in mm.
        cutter : Cutter
            A flat cutter.
        side : "outside", "inside" or "on"
            Outside makes the drawn regions the part; inside makes them the opening; on runs
            along the line.
        allowance, finish_allowance : str or float
            Left on the part for good; left by all passes but the finishing ones.
        depth_per_pass, through : str or float
            Most that one pass takes; how far the last goes below the stock.
        tabs, tab_length, tab_height : int, str or float
            Tabs on each outer edge; length along it, height above the stock's bottom.
        lead, entry, direction : str
            How the cutter comes to the edge, down into the stock, and round it.
        feed, plunge, speed : str or float, optional
            Feeds and spindle speed; a starting point for the material where left out.

        Raises
        ------
        SettingError, UnitError
            When a figure is impossible or cannot be read.
        """
        settings = ProfileSettings(
            side=side,
            allowance_mm=parse_length(allowance),
            depth_per_pass_mm=parse_length(depth_per_pass),
            through_mm=parse_length(through),
            finish_allowance_mm=parse_length(finish_allowance),
            tabs=tabs,
            tab_length_mm=parse_length(tab_length),
            tab_height_mm=parse_length(tab_height),
            lead=lead,
            entry=entry,
            direction=direction,
            tolerance_mm=self.bench.tolerance_mm,
        )
        self.steps.append(
            ProfileStep(
                outline=outline,
                cutter=cutter,
                settings=settings,
                feed=None if feed is None else parse_feed(feed),
                plunge=None if plunge is None else parse_feed(plunge),
                rpm=None if speed is None else parse_speed(speed),
            )
        )
        return self

    def plan(self) -> Plan:
        """Turn the steps into a plan.

        Raises
        ------
        SettingError
            When the job has no step or more than one, or settings contradict one another.
        RefusedError
            When the cutter reaches nothing at all.
        """
        from outline2path.job.make import make_plan  # the later rooms are loaded when needed

        if len(self.steps) != 1:
            raise SettingError(
                f"this job has {len(self.steps)} steps",
                value=len(self.steps),
                limit=1,
                remedy="give it one profile; several steps want a job each for now",
            )
        return make_plan(self.steps[0], self.bench)

    def __repr__(self) -> str:
        return f"Job({self.bench.stock!r}, steps={len(self.steps)})"
