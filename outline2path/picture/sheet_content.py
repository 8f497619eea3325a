"""Sheet content: what a set-up sheet says, as plain values.

In: whatever a plan knows. Out: frozen values that the sheet is set from, and nothing else: the
sheet's makers never see a plan. Lengths in mm, feeds in mm/min, speeds in rpm, times in s, work
coordinates; pictures are PNG bytes.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

__all__ = [
    "Check",
    "Finished",
    "Pass",
    "ProgramPage",
    "Room",
    "SetUpPage",
    "SheetContent",
    "Tool",
    "Zero",
]


@dataclass(frozen=True, kw_only=True)
class Pass:
    """One row of the table of passes: all cuts of a step at one depth.

    Attributes
    ----------
    operation : str
        What is done.
    z_mm, deep_mm : float
        Height of the tip, and how far that is below the blank's top.
    contours : int
        How many contours are cut at this depth.
    cut_mm, time_s : float
        Way at cutting feed, and time.
    feed : float
        Greatest feed of its level cuts; of all its moves where nothing is cut level.
    """

    operation: str
    z_mm: float
    deep_mm: float
    contours: int
    cut_mm: float
    time_s: float
    feed: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Room:
    """Room to spare in one respect.

    Attributes
    ----------
    what : str
        Of what: "travel in x".
    needed_mm, there_mm : float
        What the program needs, and what is there.

    Examples
    --------
    >>> Room(what="travel in y", needed_mm=196.8, there_mm=200.0).spare_mm
    3.2
    """

    what: str
    needed_mm: float
    there_mm: float

    @property
    def spare_mm(self) -> float:
        """What is left; negative where it does not fit. Rounded to a micrometre."""
        return round(self.there_mm - self.needed_mm, 3)


@dataclass(frozen=True, kw_only=True)
class Check:
    """One question put to the program's text, and the answer."""

    name: str
    ok: bool
    detail: str


@dataclass(frozen=True, kw_only=True)
class Tool:
    """The cutter of a program, and how fast it runs.

    Attributes
    ----------
    name : str
        In words.
    shape : str
        "flat", "ball", "v", "chamfer", "drill" or "facing".
    diameter_mm : float
        Cutting diameter.
    flutes : int
        Number of cutting edges.
    stick_out_mm, flute_length_mm : float or None
        How far it stands out of the collet; length of its edges.
    reach_mm : float
        How deep the tip goes below the blank's top: the least it must stand out.
    rpm, feed, plunge, chip_mm : float
        Spindle speed, feeds, chip load a tooth.
    number : int or None
        Of its place on the machine, where the program puts it in.
    """

    name: str
    shape: str
    diameter_mm: float
    flutes: int
    stick_out_mm: float | None
    flute_length_mm: float | None
    reach_mm: float
    rpm: float
    feed: float
    plunge: float
    chip_mm: float
    number: int | None = None


@dataclass(frozen=True, kw_only=True)
class ProgramPage:
    """One program.

    Attributes
    ----------
    name, file : str
        What it is called, and its file's name.
    tool : Tool
        Cutter and speeds; the first of several.
    time_s : float
        Machine time.
    lines : int
        Blocks of text.
    passes : tuple of Pass
        In the order they are cut.
    room : tuple of Room
        Room to spare, as far as it is known.
    sound : bool
        Whether the program may be run: it was proved and nothing speaks against it.
    checks : tuple of Check
        What the proof looked at.
    notes : tuple of (severity, text)
        Findings: "info", "warning" or "error", and what to do.
    tabs : int
        How many tabs it leaves.
    sha256 : str
        Hash of the text.
    picture : bytes
        Plan view.
    text : str
        The program, for the picture that moves; empty to leave that out.
    turns : tuple of Tool
        Every cutter in the order they are put in, where the program changes them.
    lengths : str
        Then, where the height of a new tip comes from, in words.
    """

    name: str
    file: str
    tool: Tool
    time_s: float
    lines: int
    passes: tuple[Pass, ...]
    room: tuple[Room, ...]
    sound: bool
    checks: tuple[Check, ...]
    notes: tuple[tuple[str, str], ...] = ()
    tabs: int = 0
    sha256: str = ""
    picture: bytes = b""
    text: str = field(default="", repr=False)
    turns: tuple[Tool, ...] = ()
    lengths: str = ""

    @property
    def tools(self) -> tuple[Tool, ...]:
        """Every cutter, in the order they are put in; the only one, where none is changed."""
        return self.turns or (self.tool,)

    @property
    def tightest(self) -> Room | None:
        """Where there is least room to spare."""
        return min(self.room, key=lambda room: room.spare_mm, default=None)


@dataclass(frozen=True, kw_only=True)
class Zero:
    """Where work zero lies.

    Attributes
    ----------
    xy, z : str
        In words.
    across, up : float
        Where in the blank's width and height it lies: 0 is left and front, 1 right and back.
    on_top : bool
        Whether z counts from the blank's top, not from the waste board.
    """

    xy: str
    z: str
    across: float
    up: float
    on_top: bool


@dataclass(frozen=True, kw_only=True)
class SetUpPage:
    """What happens between two times the blank is clamped.

    Attributes
    ----------
    number : int
        From 1.
    name : str
        For people.
    material : str
        What the blank is of.
    size_mm : tuple of 3 floats
        Width, height and thickness of the blank.
    size_assumed : bool
        Whether width and height were not given.
    stock_box_mm : tuple of 4 floats
        x0, y0, x1, y1 of the blank in work coordinates.
    top_mm : float
        Height of its top in work coordinates.
    zero : Zero
        Work zero.
    turned : "x", "y" or None
        The axis the blank was turned over about just before this set-up.
    new_blank : bool
        Whether another blank is clamped than before.
    holding : tuple of str
        How it is held, one sentence each.
    clamps_mm : tuple of boxes
        x0, y0, x1, y1 of each clamp from the blank's lower left corner.
    through_mm : float
        How far the deepest program goes below the blank.
    clearance_mm : float
        How far above the blank rapids cross.
    programs : tuple of ProgramPage
        In the order they are run.
    solid : bytes
        Picture of the blank after this set-up.
    """

    number: int
    name: str
    material: str
    size_mm: tuple[float, float, float]
    size_assumed: bool
    stock_box_mm: tuple[float, float, float, float]
    top_mm: float
    zero: Zero
    turned: Literal["x", "y"] | None
    new_blank: bool
    holding: tuple[str, ...]
    through_mm: float
    clearance_mm: float
    programs: tuple[ProgramPage, ...]
    solid: bytes = b""
    clamps_mm: tuple[tuple[float, float, float, float], ...] = ()


@dataclass(frozen=True, kw_only=True)
class Finished:
    """What a blank becomes.

    Attributes
    ----------
    name : str
        Empty for the only one.
    picture : bytes
        Picture of it, without its waste.
    turning : str
        Data for turning it on the screen, as of `turning_data`; empty to leave that out.
    """

    name: str
    picture: bytes
    turning: str = field(default="", repr=False)


@dataclass(frozen=True, kw_only=True)
class SheetContent:
    """A whole sheet.

    Attributes
    ----------
    title : str
        What the job is called.
    units : "mm" or "in"
        What lengths are told in. Also the unit the programs are written in, unless
        `program_units` says otherwise.
    machine : str
        In words; empty where not given.
    set_ups : tuple of SetUpPage
        In the order they are clamped.
    program_units : "mm", "in" or None
        What the programs' text is written in.
    finished : tuple of Finished
        What each blank becomes.
    """

    title: str
    units: Literal["mm", "in"]
    machine: str
    set_ups: tuple[SetUpPage, ...]
    program_units: Literal["mm", "in"] | None = None
    finished: tuple[Finished, ...] = ()

    @property
    def programs(self) -> tuple[ProgramPage, ...]:
        """All programs in the order they are run."""
        return tuple(program for set_up in self.set_ups for program in set_up.programs)

    @property
    def time_s(self) -> float:
        """Machine time of all programs."""
        return sum(program.time_s for program in self.programs)

    @property
    def sound(self) -> bool:
        """Whether every program may be run."""
        return all(program.sound for program in self.programs)
