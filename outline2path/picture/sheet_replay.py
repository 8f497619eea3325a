"""Sheet replay: the moves of a program as data for the picture that moves.

In: a program's text, its cutters and the blank. Out: JSON text, safe to stand inside a script
element. Moves come from reading the text anew, arcs as chords within a hundredth of a millimetre;
times share out the program's machine time by length over feed. Numbers travel as 32-bit floats,
base64, five a move: x, y, z of its end (mm), the time of its end (s), its feed (mm/min, 0 for a
rapid); line numbers as 32-bit integers.
"""

from __future__ import annotations

import base64
import json
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.picture.replay import Moves, straight_moves
from outline2path.picture.sheet_content import ProgramPage, SetUpPage
from outline2path.rs274.reader import read_program

if TYPE_CHECKING:
    from outline2path.rs274.motion import Motions

__all__ = ["replay_data"]

_CHORD_MM = 0.01
_RAPID_MM_MIN = 3000.0
_MOST_TEXT = 8_000_000
_SECONDS_A_MINUTE = 60.0


def replay_data(program: ProgramPage, set_up: SetUpPage, *, units: str) -> str:
    """Return the data of one program, as JSON.

    Parameters
    ----------
    program : ProgramPage
        Its `text` is read.
    set_up : SetUpPage
        The blank it is cut from.
    units : "mm" or "in"
        What is shown.
    """
    motions = read_program(program.text, strict=False)
    moves = straight_moves(motions, chord_mm=_CHORD_MM)
    steps = moves.end - moves.start
    way = np.sqrt((steps**2).sum(axis=1))
    pace = np.where(moves.feed > 0, moves.feed, _RAPID_MM_MIN)
    time = np.cumsum(way / pace * _SECONDS_A_MINUTE)
    whole = float(time[-1]) if len(time) else 0.0
    time *= program.time_s / whole if whole > 0 and program.time_s > 0 else 1.0
    table = np.column_stack((moves.end, time, moves.feed)).astype("<f4")
    start = moves.start[0].tolist() if len(moves.start) else [0.0, 0.0, 0.0]
    data = {
        "moves": _coded(table),
        "lines": _coded(moves.line.astype("<i4")),
        "start": [round(float(v), 4) for v in start],
        "radii": _radii(program, motions, moves),
        "box": list(set_up.stock_box_mm),
        "top": set_up.top_mm,
        "thick": set_up.size_mm[2],
        "units": units,
        "text": program.text[:_MOST_TEXT],
    }
    return json.dumps(data, separators=(",", ":")).replace("<", "\\u003c")


def _radii(program: ProgramPage, motions: Motions, moves: Moves) -> list[list[float]]:
    """Return the move from which each cutter turns, from 0 on, and its radius in mm."""
    wide = {tool.number: tool.diameter_mm / 2 for tool in program.tools}
    radii = [[0, program.tool.diameter_mm / 2]]
    for change in motions.changes:
        first = int(np.searchsorted(moves.line, change.line))
        radii.append([first, wide.get(change.number, radii[-1][1])])
    return radii


def _coded(table: NDArray[np.generic]) -> str:
    return base64.b64encode(table.tobytes()).decode("ascii")
