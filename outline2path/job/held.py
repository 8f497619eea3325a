"""Held: what keeps blank and parts still in a set-up, in words for its sheet.

In: a set-up and its programs. Out: sentences. Where no holding was named, the usual ways are:
clamps or screws outside the cut, or tape and glue (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from outline2path.picture.sheet_words import length

if TYPE_CHECKING:
    from outline2path.job.planned import PlannedProgram
    from outline2path.job.step import SetUp
    from outline2path.shop.holding import Holding

__all__ = ["held_by"]


def held_by(set_up: SetUp, programs: Sequence[PlannedProgram], *, units: str) -> tuple[str, ...]:
    """Return how the blank and what is cut free of it are held, one sentence each."""
    holding = set_up.bench.holding
    words = _blank(holding, units)
    tabs = sum(len(program.tabs) for program in programs)
    freed = any(
        planned.step.operation == "profile" for program in programs for planned in program.steps
    )
    if tabs:
        one = "1 tab holds" if tabs == 1 else f"{tabs} tabs hold"
        words.append(f"{one} what is cut free; cut through by hand afterwards, blank clamped.")
    elif freed and (holding is None or holding.way != "tape and glue"):
        words.append(
            "No tabs: what is cut free lies loose. Hold every piece of it by tape and glue."
        )
    return (*words, *(holding.cautions if holding else ()))


def _blank(holding: Holding | None, units: str) -> list[str]:
    """Say how the blank itself is held, and where clamps stand."""
    if holding is None or (holding.way == "tabs" and not holding.clamps):
        return [
            "Clamps or screws at the blank\u2019s edge, outside everything that is cut, or tape "
            "and glue under the whole of it."
        ]
    words = [f"{_begun(holding.name or holding.way)}."]
    for clamp in holding.clamps:
        x0, y0, x1, y1 = (length(side, units) for side in clamp.box_mm)
        words.append(
            f"{_begun(clamp.name)}: x {x0} to {x1}, y {y0} to {y1} from the blank\u2019s lower "
            f"left corner, {length(clamp.height_mm, units)} high from its underside."
        )
    return words


def _begun(words: str) -> str:
    """Begin a sentence with a capital, leaving the rest as it is."""
    return words[:1].upper() + words[1:]
