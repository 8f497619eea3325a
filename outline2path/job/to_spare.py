"""To spare: how much room a program leaves, in travel, upright and along its cutter.

In: a planned program. Out: one `Room` for each respect in which the figures are known. What a
person left out is not judged. Lengths in mm.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from outline2path.job.heights import margins_mm
from outline2path.picture.sheet_content import Room

if TYPE_CHECKING:
    from outline2path.job.planned import PlannedProgram
    from outline2path.shop.cutter import Cutter

__all__ = ["deep_mm", "lowest_mm", "room_of"]


def lowest_mm(program: PlannedProgram, cutter: Cutter | None = None) -> float:
    """Return the lowest z of a program, or of one cutter in it, work coordinates."""
    return min(
        section.z_mm
        for section in program.toolpath.sections
        if cutter is None or section.cutter == cutter
    )


def deep_mm(program: PlannedProgram, cutter: Cutter | None = None) -> float:
    """Return how far a program, or one cutter in it, goes below the blank's top."""
    return program.bench.top_mm - lowest_mm(program, cutter)


def room_of(program: PlannedProgram) -> tuple[Room, ...]:
    """Return the room to spare in every respect whose figures are known."""
    moves, machine, room = program.toolpath.moves, program.bench.machine, []
    cutters = {turn.cutter: turn.number for turn in program.turns}
    if machine is not None:
        for axis, there in zip("xyz", machine.travel_mm, strict=True):
            needed = float(moves[axis].max() - moves[axis].min())
            room.append(Room(what=f"travel in {axis}", needed_mm=needed, there_mm=there))
    bench, lowest, board = program.bench, lowest_mm(program), program.bench.waste_board_mm
    if board > 0 and lowest < bench.bottom_mm:
        room.append(Room(what="waste board", needed_mm=bench.bottom_mm - lowest, there_mm=board))
    for cutter, number in cutters.items():
        named = f" of cutter {number}" if len(cutters) > 1 else ""
        room += _upright(program, cutter, named)
        for what, long in (
            ("stick-out", cutter.stick_out_mm),
            ("cutting edges", cutter.flute_length_mm),
        ):
            if long is not None:
                deep = deep_mm(program, cutter)
                room.append(Room(what=f"{what}{named}", needed_mm=deep, there_mm=long))
    return tuple(room)


def _upright(program: PlannedProgram, cutter: Cutter, named: str) -> list[Room]:
    """Room of one cutter under the collet and down to its deepest cut."""
    machine = program.bench.machine
    margins = margins_mm(cutter, program.bench, deepest_mm=lowest_mm(program, cutter))
    if machine is None or machine.under_collet_mm is None or margins is None:
        return []
    there, down = machine.under_collet_mm, machine.travel_mm[2]
    return [
        Room(what=f"height under the collet{named}", needed_mm=there - margins[0], there_mm=there),
        Room(what=f"reach downwards{named}", needed_mm=down - margins[1], there_mm=down),
    ]
