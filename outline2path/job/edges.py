"""Edges: profiles and chamfers, as a person asks a job for them.

Each method reads its figures, makes a step of them and hands it to the job; nothing is computed.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from outline2path.drawing.outline import Outline
from outline2path.job.asked import Asked, Direction, Entry, Lead, Length, feeds, length
from outline2path.job.step import Step
from outline2path.operations.chamfer_settings import ChamferSettings
from outline2path.operations.profile_settings import BeginOn, ProfileSettings
from outline2path.shop.cutter import Cutter
from outline2path.units import parse_length

if TYPE_CHECKING:
    from typing import Self

__all__ = ["Edges"]


class Edges(Asked):
    """What follows an outline's edge."""

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
        direction: Direction = "climb",
        begin_on: BeginOn | None = None,
        rest_of: Length | None = None,
        slow_inside_arcs: bool = False,
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
        begin_on : "front", "back", "left", "right" or None
            Side of the part on which the cut begins and ends, so that its mark is out of sight;
            None takes what keeps the rapids short.
        rest_of : str or float, optional
            Diameter of a larger cutter that ran round before: only what it left is cut.
        slow_inside_arcs : bool
            Lower the feed in sharp inner corners and on tight inside arcs, where more of the
            cutter is in the stock.
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
            begin_on=begin_on,
            rest_of_mm=length(rest_of),
            slow_inside_arcs=slow_inside_arcs,
            tolerance_mm=self.bench.tolerance_mm,
        )
        self._add(
            Step(
                operation="profile",
                outline=outline,
                cutter=cutter,
                settings=settings,
                **feeds(feed, plunge, speed),
            )
        )
        return self

    def chamfer(
        self,
        outline: Outline,
        cutter: Cutter,
        *,
        width: Length | None = None,
        depth: Length | None = None,
        side: Literal["outside", "inside"] = "outside",
        edges: Literal["all", "outer", "holes"] = "all",
        overrun: Length = 0.3,
        depth_per_pass: Length = 1.5,
        lead: Lead = "arc",
        direction: Direction = "climb",
        feed: Length | None = None,
        plunge: Length | None = None,
        speed: Length | None = None,
    ) -> Self:
        """Break an outline's edges at the slope of the cutter, and return the job.

        Parameters
        ----------
        outline : Outline
            The drawn regions, in mm.
        cutter : Cutter
            A V or chamfer cutter.
        width, depth : str or float
            Of the chamfer: seen from above, or down the wall; one of the two.
        side : "outside" or "inside"
            Outside makes the drawn regions the part; inside makes them the opening.
        edges : "all", "outer" or "holes"
            Which edges; the others are kept clear of.
        overrun, depth_per_pass : str or float
            How far the tip runs below the chamfer; most that one pass takes.
        lead, direction : str
            How the cutter comes to the edge, and which way it goes round.
        feed, plunge, speed : str or float, optional
            Feeds and spindle speed; a starting point for the material where left out.

        Raises
        ------
        SettingError, UnitError
            When a figure is impossible or cannot be read.
        """
        settings = ChamferSettings(
            side=side,
            edges=edges,
            width_mm=length(width),
            depth_mm=length(depth),
            overrun_mm=parse_length(overrun),
            depth_per_pass_mm=parse_length(depth_per_pass),
            tolerance_mm=self.bench.tolerance_mm,
            lead=lead,
            direction=direction,
        )
        self._add(
            Step(
                operation="chamfer",
                outline=outline,
                cutter=cutter,
                settings=settings,
                **feeds(feed, plunge, speed),
            )
        )
        return self
