"""Mountings: what one program was to make with several cutters, one after another.

In: for every time a cutter is put in, the number of its place and what was to be made with it.
Out: a frozen value that the judge reads. Each mounting is judged as a program of its own; what the
cutters before it took is gone. Lengths in mm, z in work coordinates, up.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from outline2path.errors import SettingError

if TYPE_CHECKING:
    from outline2path.proof.expected_program import Earlier, ExpectedProgram
    from outline2path.shop.cutter import Cutter

__all__ = ["ExpectedMountings", "Mounting"]


@dataclass(frozen=True, kw_only=True, eq=False)
class Mounting:
    """One cutter put in, and what was to be made until the next one.

    Attributes
    ----------
    number : int
        Of its place on the machine: the T word.
    wanted : ExpectedProgram
        What was to be made. Of its `before`, those with a text are programs run earlier, those
        without one are the mountings before it in the same program.
    """

    number: int
    wanted: ExpectedProgram


@dataclass(frozen=True, kw_only=True, eq=False)
class ExpectedMountings:
    """What one program was to make with cutters that it changes.

    Attributes
    ----------
    mountings : tuple of Mounting
        In the order of the work, one at least.
    drawing_sha256, job_sha256 : str
        Hashes of what was asked for, repeated in the proof; empty where unknown.

    Raises
    ------
    SettingError
        When there is none, one number stands for two cutters, or a cutter is put in twice
        running.

    Examples
    --------
    >>> import shapely
    >>> from outline2path.proof.expected_program import ExpectedProgram
    >>> from outline2path.proof.feature import Feature
    >>> from outline2path.shop.cutter import Cutter
    >>> slot = Feature(kind="pocket", region_fine=shapely.box(0, 0, 40, 6), bottom_mm=-3.0)
    >>> wanted = ExpectedProgram(features=(slot,), cutter=Cutter(3.0), top_mm=0.0, bottom_mm=-6.0,
    ...                          clearance_mm=5.0)
    >>> ExpectedMountings(mountings=(Mounting(number=2, wanted=wanted),)).cutters
    {2: Cutter("3 mm", flutes=2)}
    """

    mountings: tuple[Mounting, ...]
    drawing_sha256: str = ""
    job_sha256: str = ""

    def __post_init__(self) -> None:
        if not self.mountings:
            raise SettingError(f"a program with {len(self.mountings)} cutters makes nothing")
        for one in self.mountings:
            if self.cutters[one.number] != one.wanted.cutter:
                raise SettingError(
                    f"number {one.number} stands for {self.cutters[one.number].label} and for "
                    f"{one.wanted.cutter.label}",
                    value=one.number,
                    remedy="give every cutter a number of its own",
                )
        for before, one in pairwise(self.mountings):
            if before.number == one.number:
                raise SettingError(f"cutter {one.number} is put in twice running")

    @property
    def cutters(self) -> dict[int, Cutter]:
        """The cutters by the number of their place, in the order they are first put in."""
        found: dict[int, Cutter] = {}
        for one in self.mountings:
            found.setdefault(one.number, one.wanted.cutter)
        return found

    @property
    def numbers(self) -> tuple[int, ...]:
        """The number of every mounting, in order."""
        return tuple(one.number for one in self.mountings)

    @property
    def before(self) -> tuple[Earlier, ...]:
        """The programs run before this one in the same set-up."""
        return self.mountings[0].wanted.before

    @property
    def start_mm(self) -> tuple[float, float, float] | None:
        """Where the tool stands before, if that is known."""
        return self.mountings[0].wanted.start_mm

    @property
    def top_mm(self) -> float:
        """The highest ground of all mountings, z in mm."""
        return max(one.wanted.top_mm for one in self.mountings)

    @property
    def clearance_mm(self) -> float:
        """Height at or above which the tool may travel sideways by rapid, mm."""
        return max(one.wanted.clearance_mm for one in self.mountings)
