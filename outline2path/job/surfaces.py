"""Surfaces: facing and pockets, as a person asks a job for them.

Each method reads its figures, makes a step of them and hands it to the job; nothing is computed.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from outline2path.drawing.outline import Outline
from outline2path.errors import SettingError
from outline2path.job.asked import Asked, Direction, Length, feeds, length
from outline2path.job.step import Step
from outline2path.operations.face_settings import FaceSettings
from outline2path.operations.pocket_settings import PocketSettings
from outline2path.shop.cutter import Cutter
from outline2path.units import parse_length

if TYPE_CHECKING:
    from typing import Self

__all__ = ["Surfaces"]


class Surfaces(Asked):
    """What takes a surface down to a floor."""

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
                depth_mm=length(depth),
                left_mm=length(to_thickness),
                **feeds(feed, plunge, speed),
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
        raise_thin_chips: bool = False,
        slow_inside_arcs: bool = False,
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
        raise_thin_chips, slow_inside_arcs : bool
            Raise the feed where a small stepover thins the chip; lower it on inside arcs, where
            the cutter's rim runs faster than its centre.
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
            rest_of_mm=length(rest_of),
            raise_thin_chips=raise_thin_chips,
            slow_inside_arcs=slow_inside_arcs,
        )
        self._add(
            Step(
                operation="pocket",
                outline=outline,
                cutter=cutter,
                settings=settings,
                depth_mm=length(depth),
                **feeds(feed, plunge, speed),
            )
        )
        return self
