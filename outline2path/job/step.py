"""Bench, step and set-up: a job's fixed values as they go into a plan. Lengths in mm.

A step is one operation as asked for. A set-up is what happens between two times the work is
clamped: one blank, one side up, one work zero, its steps in the order they were asked for.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Literal

from outline2path.errors import OutlinePathError

if TYPE_CHECKING:
    from outline2path.drawing.outline import Outline
    from outline2path.job.placing import Placed, Zero
    from outline2path.rs274.change import Lengths
    from outline2path.shop.cutter import Cutter
    from outline2path.shop.holding import Holding
    from outline2path.shop.machine import Machine
    from outline2path.shop.stock import Stock

__all__ = ["About", "Bench", "Operation", "Programs", "SetUp", "Step"]

Operation = Literal["face", "pocket", "drill", "engrave", "chamfer", "profile"]
Programs = Literal["per-cutter", "per-set-up"]
"""What becomes one program: all that one cutter does, or a whole set-up with changes by M6."""
About = Literal["x", "y"]
"""The axis a blank is turned over about: "y" swaps left and right, "x" front and back."""


@dataclass(frozen=True, kw_only=True)
class Bench:
    """Stock, machine, holding, work zero and the settings of the whole program."""

    stock: Stock
    machine: Machine | None
    zero: Zero
    zero_z: Literal["top", "bottom"]
    clearance_mm: float
    units: Literal["mm", "in"]
    tolerance_mm: float
    placed: Placed = "centre"
    holding: Holding | None = None
    waste_board_mm: float = 0.0
    programs: Programs = "per-cutter"
    cutter_lengths: Lengths = "touch-off"
    hop_mm: float | None = None

    @property
    def top_mm(self) -> float:
        """Z of the stock's top in work coordinates."""
        return 0.0 if self.zero_z == "top" else self.stock.thickness_mm

    @property
    def bottom_mm(self) -> float:
        """Z of the stock's bottom in work coordinates."""
        return self.top_mm - self.stock.thickness_mm

    def with_stock(self, stock: Stock) -> Bench:
        """Return the bench with another blank on it."""
        return replace(self, stock=stock)


@dataclass(frozen=True, eq=False, kw_only=True)
class Step:
    """One operation: outline, cutter, settings, and the feeds a person asked for.

    Attributes
    ----------
    operation : Operation
        What is done.
    outline : Outline or None
        Where, in the drawing's coordinates; None for the whole blank.
    cutter : Cutter
        With what.
    settings : a settings value of the operation
        How.
    depth_mm : float or None
        Below the surface the step starts from; None goes through the stock, or as deep as
        the operation itself says.
    left_mm : float or None
        Instead of a depth: what stays of the stock's thickness.
    feed, plunge, rpm : float or None
        As asked for; a starting point for the material otherwise.
    where : str or None
        File and line that ask for it, where a file does.
    """

    operation: Operation
    outline: Outline | None
    cutter: Cutter
    settings: Any
    depth_mm: float | None = None
    left_mm: float | None = None
    feed: float | None = None
    plunge: float | None = None
    rpm: float | None = None
    where: str | None = None

    @contextmanager
    def told(self) -> Iterator[None]:
        """Let an error that is raised inside begin with the file and line of this step."""
        try:
            yield
        except OutlinePathError as fault:
            places = (self.where, fault.element)
            fault.element = ": ".join(place for place in places if place) or None
            raise


@dataclass(frozen=True, eq=False, kw_only=True)
class SetUp:
    """Steps on one blank as it lies.

    Attributes
    ----------
    number : int
        From 1, through the whole job.
    blank : int
        Which blank lies on the bench, from 1.
    name : str
        For people.
    bench : Bench
        Its stock is the blank as it is when this set-up begins.
    about : "x", "y" or None
        How the blank was turned over, as seen from its first side.
    steps : tuple of Step
        As asked for.
    """

    number: int
    blank: int
    name: str
    bench: Bench
    about: About | None = None
    steps: tuple[Step, ...] = ()
