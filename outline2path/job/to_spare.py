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

__all__ = ["deep_mm", "lowest_mm", "room_of"]


def lowest_mm(program: PlannedProgram) -> float:
    """Return the lowest z of a program, work coordinates."""
    return min(section.z_mm for section in program.toolpath.sections)


def deep_mm(program: PlannedProgram) -> float:
    """Return how far a program's cutter goes below the blank's top."""
    return program.bench.top_mm - lowest_mm(program)


def room_of(program: PlannedProgram) -> tuple[Room, ...]:
    """Return the room to spare in every respect whose figures are known."""
    moves, cutter, machine = program.toolpath.moves, program.cutter, program.bench.machine
    deep, room = deep_mm(program), []
    if machine is not None:
        for axis, there in zip("xyz", machine.travel_mm, strict=True):
            needed = float(moves[axis].max() - moves[axis].min())
            room.append(Room(what=f"travel in {axis}", needed_mm=needed, there_mm=there))
    room += _upright(program)
    for what, long in (
        ("stick-out", cutter.stick_out_mm),
        ("cutting edges", cutter.flute_length_mm),
    ):
        if long is not None:
            room.append(Room(what=what, needed_mm=deep, there_mm=long))
    return tuple(room)


def _upright(program: PlannedProgram) -> list[Room]:
    """Room in the waste board, under the collet and down to the deepest cut."""
    bench, machine, lowest = program.bench, program.bench.machine, lowest_mm(program)
    board, room = bench.waste_board_mm, []
    if board > 0 and lowest < bench.bottom_mm:
        room.append(Room(what="waste board", needed_mm=bench.bottom_mm - lowest, there_mm=board))
    margins = margins_mm(program.cutter, bench, deepest_mm=lowest)
    if machine is None or machine.under_collet_mm is None or margins is None:
        return room
    there, down = machine.under_collet_mm, machine.travel_mm[2]
    return [
        *room,
        Room(what="height under the collet", needed_mm=there - margins[0], there_mm=there),
        Room(what="reach downwards", needed_mm=down - margins[1], there_mm=down),
    ]
