"""Asking: the operations a person can ask a job for, with units and names a person uses.

Each method reads its figures, makes a step of them and hands it to the job; nothing is computed.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from outline2path.drawing.outline import Outline
from outline2path.job.step import Bench, Step
from outline2path.operations.profile_settings import ProfileSettings
from outline2path.shop.cutter import Cutter
from outline2path.units import parse_feed, parse_length, parse_speed

if TYPE_CHECKING:
    from typing import Self

__all__ = ["Asking"]

Length = str | float
Lead = Literal["arc", "line", "none"]
Entry = Literal["plunge", "ramp", "helix"]


class Asking:
    """What can be asked for; `Job` keeps the steps."""

    bench: Bench

    def _add(self, step: Step) -> None:
        raise NotImplementedError(f"{self!r} keeps no steps")

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
    ) -> Self:
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
        self._add(
            Step(
                operation="profile",
                outline=outline,
                cutter=cutter,
                settings=settings,
                **_feeds(feed, plunge, speed),
            )
        )
        return self


def _feeds(
    feed: Length | None, plunge: Length | None, speed: Length | None
) -> dict[str, float | None]:
    """Read what was asked of feeds and speed."""
    return {
        "feed": None if feed is None else parse_feed(feed),
        "plunge": None if plunge is None else parse_feed(plunge),
        "rpm": None if speed is None else parse_speed(speed),
    }
