"""Numbers: who is put in when, in a program that changes cutters, and under which number.

In: the planned steps of one program and the passes of its toolpath. Out: the turns of its cutters,
and what is told of them. Feeds in mm/min, speeds in rpm.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING, Any

from outline2path.errors import SettingError

if TYPE_CHECKING:
    from outline2path.job.planning import PlannedStep
    from outline2path.path.toolpath import Section
    from outline2path.shop.cutter import Cutter
    from outline2path.shop.feeds import Feeds
    from outline2path.shop.machine import Machine

__all__ = [
    "CutterTurn",
    "check_changes",
    "cutter_words",
    "feed_words",
    "main_of",
    "settings_in_turn",
    "turns",
]


_WEIGHT = ("engrave", "face", "drill", "pocket", "chamfer", "profile")
"""Operations by how much they tell of what is made."""


@dataclass(frozen=True, eq=False, kw_only=True)
class CutterTurn:
    """One cutter put in, and the steps it cuts until the next one.

    Attributes
    ----------
    number : int or None
        Of its place on the machine; None where the program changes no cutter.
    steps : tuple of PlannedStep
        In the order they are cut.
    """

    number: int | None
    steps: tuple[PlannedStep, ...]

    @property
    def cutter(self) -> Cutter:
        """What is put in."""
        return self.steps[0].step.cutter

    @property
    def feeds(self) -> Feeds:
        """Speed and feeds of its main step."""
        return main_of(self.steps).feeds

    @property
    def words(self) -> str:
        """The cutter in words, with its number where it has one."""
        return self.cutter.label if self.number is None else f"{self.number}: {self.cutter.label}"


def main_of(steps: Sequence[PlannedStep]) -> PlannedStep:
    """Return the step that tells most of what is made: one that frees a part before all others."""
    return max(steps, key=_weight)


def _weight(planned: PlannedStep) -> tuple[int, bool]:
    """Tell how much of what is made a step tells: outer edges more than openings."""
    side = getattr(planned.step.settings, "side", None)
    return _WEIGHT.index(planned.step.operation), side == "outside"


def turns(steps: Sequence[PlannedStep], sections: Iterable[Section]) -> tuple[CutterTurn, ...]:
    """Return the turns of the cutters in a program: who cuts what, one after another.

    `sections` are the passes of its toolpath; they name the number of each step's cutter.
    """
    numbers = {section.step: section.number for section in sections}
    cut = [(planned, numbers.get(n)) for n, planned in enumerate(steps)]
    return tuple(
        CutterTurn(
            number=next((number for _, number in group if number is not None), None),
            steps=tuple(planned for planned, _ in group),
        )
        for group in (list(same) for _, same in groupby(cut, key=lambda one: one[0].step.cutter))
    )


def cutter_words(cutters: Sequence[CutterTurn]) -> str:
    """Name the cutters of a program, each once, in the order they are put in."""
    return "; ".join(dict.fromkeys(turn.words for turn in cutters))


def feed_words(cutters: Sequence[CutterTurn]) -> str:
    """Tell speed and feeds of each cutter, with its number where there are several."""
    return "; ".join(
        f"{f'cutter {turn.number}: ' if len(cutters) > 1 else ''}{turn.feeds.rpm:.0f} rpm, "
        f"feed {turn.feeds.feed:.0f}, plunge {turn.feeds.plunge:.0f} mm/min"
        for turn in cutters
    )


def settings_in_turn(cutters: Sequence[CutterTurn]) -> dict[str, Any]:
    """Return the cutters of a program that changes them, for its report; else nothing."""
    if cutters[0].number is None:
        return {}
    return {
        f"turn_{n}_{name}": value
        for n, turn in enumerate(cutters, start=1)
        for name, value in (
            ("number", turn.number),
            ("cutter", turn.cutter.label),
            ("feed_mm_min", turn.feeds.feed),
            ("plunge_mm_min", turn.feeds.plunge),
            ("speed_rpm", turn.feeds.rpm),
        )
    }


def check_changes(programs: str, lengths: str, machine: Machine | None) -> None:
    """Refuse programs that change cutters on a machine that is not known to take M6.

    Raises
    ------
    SettingError
        When the machine does not, or a table of lengths is asked for where nothing is changed.
    """
    if programs == "per-set-up" and not (machine and machine.tool_change):
        named = "no machine was given" if machine is None else f"the {machine.name} has no M6"
        raise SettingError(
            f"programs = {programs!r} change cutters by M6, but {named}",
            value=programs,
            limit="per-cutter",
            remedy="leave it out for a program per cutter, or, if the manual of the machine says "
            "that it takes M6, give the machine tool_change = true",
        )
    if lengths == "table" and programs != "per-set-up":
        raise SettingError(
            f"cutter_lengths = {lengths!r} says nothing where no program changes cutters",
            value=lengths,
            limit="touch-off",
            remedy='leave it out, or ask for programs = "per-set-up"',
        )
