"""Asking: the operations a person can ask a job for, with units and names a person uses.

Each method reads its figures, makes a step of them and hands it to the job; nothing is computed.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal

import shapely

from outline2path.drawing.outline import Outline
from outline2path.errors import SettingError
from outline2path.job.step import Bench, Step
from outline2path.operations.drill_settings import DrillSettings
from outline2path.operations.face_settings import FaceSettings
from outline2path.operations.pocket_settings import PocketSettings
from outline2path.operations.profile_settings import ProfileSettings
from outline2path.shop.cutter import Cutter
from outline2path.units import parse_feed, parse_length, parse_speed

if TYPE_CHECKING:
    from typing import Self

__all__ = ["Asking"]

Length = str | float
Lead = Literal["arc", "line", "none"]
Entry = Literal["plunge", "ramp", "helix"]
Direction = Literal["climb", "conventional"]
_CHORDS = 64
"""Chords to a quarter of a circle given by its place alone: within 0.01 % of its radius."""


class Asking:
    """What can be asked for; `Job` keeps the steps."""

    bench: Bench

    def _add(self, step: Step) -> None:
        raise NotImplementedError(f"{self!r} keeps no steps")

    def face(
        self,
        cutter: Cutter,
        *,
        outline: Outline | None = None,
        depth: Length | None = None,
        to_thickness: Length | None = None,
        pattern: Literal["zigzag", "one-way", "spiral-in"] = "zigzag",
        stepover: float = 0.4,
        overlap: Length = 1.0,
        depth_per_pass: Length = 0.5,
        along: Literal["auto", "x", "y"] = "auto",
        direction: Direction = "climb",
        feed: Length | None = None,
        plunge: Length | None = None,
        speed: Length | None = None,
    ) -> Self:
        """Face the stock flat, and return the job.

        Parameters
        ----------
        cutter : Cutter
            A facing or flat cutter.
        outline : Outline, optional
            What is faced; the whole blank where left out, and all later steps then start from
            the new surface.
        depth, to_thickness : str or float
            How much is taken off, or how thick the stock is to be; one of the two.
        pattern : "zigzag", "one-way" or "spiral-in"
            Lines to and fro, lines all one way, or rings from the edge inwards.
        stepover : float
            Greatest distance between neighbouring lines as a share of the cutter's diameter.
        overlap : str or float
            How far the cut goes beyond the edges.
        depth_per_pass : str or float
            Most that one pass takes.
        along, direction : str
            Which way the lines run, and which way the cutter bites.
        feed, plunge, speed : str or float, optional
            Feeds and spindle speed; a starting point for the material where left out.

        Raises
        ------
        SettingError, UnitError
            When a figure is impossible or cannot be read.
        """
        if (depth is None) == (to_thickness is None):
            raise SettingError(
                f"facing needs a depth or a thickness, got {depth!r} and {to_thickness!r}",
                remedy="give one of the two",
            )
        settings = FaceSettings(
            pattern=pattern,
            stepover=stepover,
            overlap_mm=parse_length(overlap),
            depth_per_pass_mm=parse_length(depth_per_pass),
            along=along,
            direction=direction,
            tolerance_mm=self.bench.tolerance_mm,
        )
        self._add(
            Step(
                operation="face",
                outline=outline,
                cutter=cutter,
                settings=settings,
                depth_mm=_length(depth),
                left_mm=_length(to_thickness),
                **_feeds(feed, plunge, speed),
            )
        )
        return self

    def drill(
        self,
        holes: Outline | Sequence[tuple[float, float]],
        cutter: Cutter,
        *,
        depth: Length | None = None,
        peck: Length = 2.0,
        retract: Length = 1.0,
        through: Length = 0.3,
        depth_per_pass: Length = 1.5,
        stepover: float = 0.4,
        finish_allowance: Length = 0.0,
        direction: Direction = "climb",
        feed: Length | None = None,
        plunge: Length | None = None,
        speed: Length | None = None,
    ) -> Self:
        """Drill round holes, bore those wider than the cutter, and return the job.

        Parameters
        ----------
        holes : Outline or sequence of (x, y)
            Circles, or places in the drawing's mm where holes as wide as the cutter go.
        cutter : Cutter
            A drill or a flat cutter.
        depth : str or float, optional
            To which a hole has its full width; left out, holes go through the stock.
        peck, retract : str or float
            Most that is drilled at once, and how far up it then comes above the surface.
        through : str or float
            How far the full width goes below the stock, for holes without a depth.
        depth_per_pass, stepover, finish_allowance, direction
            Of bores: most one turn goes down, distance of rings as a share of the diameter, what
            is left for a last circle, and which way it goes round.
        feed, plunge, speed : str or float, optional
            Feeds and spindle speed; a starting point for the material where left out.

        Raises
        ------
        SettingError, UnitError
            When a figure is impossible or cannot be read.
        """
        settings = DrillSettings(
            peck_mm=parse_length(peck),
            retract_mm=parse_length(retract),
            through_mm=parse_length(through) if depth is None else 0.0,
            tolerance_mm=self.bench.tolerance_mm,
            depth_per_pass_mm=parse_length(depth_per_pass),
            stepover=stepover,
            finish_allowance_mm=parse_length(finish_allowance),
            direction=direction,
        )
        circles = holes if isinstance(holes, Outline) else _circles(holes, cutter)
        self._add(
            Step(
                operation="drill",
                outline=circles,
                cutter=cutter,
                settings=settings,
                depth_mm=_length(depth),
                **_feeds(feed, plunge, speed),
            )
        )
        return self

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

    def pocket(
        self,
        outline: Outline,
        cutter: Cutter,
        *,
        depth: Length | None = None,
        stepover: float = 0.4,
        allowance: Length = 0.0,
        depth_per_pass: Length = 1.5,
        through: Length = 0.3,
        finish_allowance: Length = 0.0,
        floor_allowance: Length = 0.0,
        entry: Literal["auto", "plunge", "ramp", "helix"] = "auto",
        direction: Direction = "climb",
        rest_of: Length | None = None,
        feed: Length | None = None,
        plunge: Length | None = None,
        speed: Length | None = None,
    ) -> Self:
        """Add a pocket that clears an outline to a floor, and return the job.

        Parameters
        ----------
        outline : Outline
            What is taken away; its holes are islands that stand.
        cutter : Cutter
            A flat cutter.
        depth : str or float, optional
            Of the floor below the surface; left out, the pocket goes through the stock.
        stepover : float
            Distance between neighbouring rings as a share of the cutter's diameter, up to 1.
        allowance, finish_allowance, floor_allowance : str or float
            Left on the walls for good; left on walls and on the floor for a finishing pass.
        depth_per_pass, through : str or float
            Most that one pass takes; how far a pocket without a depth goes below the stock.
        entry, direction : str
            How the cutter comes down, and which way it goes round.
        rest_of : str or float, optional
            Diameter of a larger cutter that cleared this pocket before: only what it left is cut.
        feed, plunge, speed : str or float, optional
            Feeds and spindle speed; a starting point for the material where left out.

        Raises
        ------
        SettingError, UnitError
            When a figure is impossible or cannot be read.
        """
        settings = PocketSettings(
            stepover=stepover,
            tolerance_mm=self.bench.tolerance_mm,
            allowance_mm=parse_length(allowance),
            depth_per_pass_mm=parse_length(depth_per_pass),
            through_mm=parse_length(through) if depth is None else 0.0,
            finish_allowance_mm=parse_length(finish_allowance),
            floor_allowance_mm=parse_length(floor_allowance),
            entry=entry,
            direction=direction,
            rest_of_mm=_length(rest_of),
        )
        self._add(
            Step(
                operation="pocket",
                outline=outline,
                cutter=cutter,
                settings=settings,
                depth_mm=_length(depth),
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


def _length(given: Length | None) -> float | None:
    return None if given is None else parse_length(given)


def _circles(places: Sequence[tuple[float, float]], cutter: Cutter) -> Outline:
    """Return circles as wide as the cutter."""
    if not len(places):
        raise SettingError(f"no place to drill among {places!r}", remedy="give x and y in mm")
    return Outline.from_shapely(
        shapely.MultiPolygon(
            [shapely.Point(place).buffer(cutter.radius_mm, _CHORDS) for place in places]
        )
    )
