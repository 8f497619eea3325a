"""Marks: holes and engraving, as a person asks a job for them.

Each method reads its figures, makes a step of them and hands it to the job; nothing is computed.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import shapely

from outline2path.drawing.outline import Outline
from outline2path.errors import SettingError
from outline2path.job.asked import Asked, Direction, Length, feeds, length
from outline2path.job.step import Step
from outline2path.operations.drill_settings import DrillSettings
from outline2path.operations.engrave import EngraveSettings
from outline2path.shop.cutter import Cutter
from outline2path.units import parse_length

if TYPE_CHECKING:
    from typing import Self

__all__ = ["Marks"]

_CHORDS = 64
"""Chords to a quarter of a circle given by its place alone: within 0.01 % of its radius."""


class Marks(Asked):
    """What is made at places and along lines."""

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
                depth_mm=length(depth),
                **feeds(feed, plunge, speed),
            )
        )
        return self

    def engrave(
        self,
        outline: Outline,
        cutter: Cutter,
        *,
        depth: Length = 0.3,
        depth_per_pass: Length = 0.5,
        feed: Length | None = None,
        plunge: Length | None = None,
        speed: Length | None = None,
    ) -> Self:
        """Follow an outline's lines, and the edges of its filled shapes, and return the job.

        Parameters
        ----------
        outline : Outline
            Lines and shapes; text as lines comes from `single_line`.
        cutter : Cutter
            A V, chamfer, ball or flat cutter.
        depth, depth_per_pass : str or float
            Of the tip below the surface, and most that one pass takes.
        feed, plunge, speed : str or float, optional
            Feeds and spindle speed; a starting point for the material where left out.

        Raises
        ------
        SettingError, UnitError
            When a figure is impossible or cannot be read.
        """
        settings = EngraveSettings(
            depth_per_pass_mm=parse_length(depth_per_pass), tolerance_mm=self.bench.tolerance_mm
        )
        self._add(
            Step(
                operation="engrave",
                outline=outline,
                cutter=cutter,
                settings=settings,
                depth_mm=parse_length(depth),
                **feeds(feed, plunge, speed),
            )
        )
        return self


def _circles(places: Sequence[tuple[float, float]], cutter: Cutter) -> Outline:
    """Return circles as wide as the cutter."""
    if not len(places):
        raise SettingError(f"no place to drill among {places!r}", remedy="give x and y in mm")
    return Outline.from_shapely(
        shapely.MultiPolygon(
            [shapely.Point(place).buffer(cutter.radius_mm, _CHORDS) for place in places]
        )
    )
