"""Two general-purpose readers of the same language, from the registries, agree move for move.

They know less of the standard: only plain programs are put to them.
"""

import numpy as np
import pytest

from outline2path.rs274.motion import ARC, LINE, RAPID
from outline2path.rs274.reader import read_program
from tests.proof import programs
from tests.proof.tampering import jobs

gcodeparser = pytest.importorskip("gcodeparser")
pygcode = pytest.importorskip("pygcode")

TEXTS = {name: job.text.replace("(pass)", "") for name, job in jobs().items()}
KINDS = {0: RAPID, 1: LINE, 2: ARC, 3: ARC}


def moves_of_gcodeparser(text):
    """Kind and end of every G0 to G3, words not told kept from before."""
    at, moves = [np.nan] * 3, []
    for line in gcodeparser.parse_gcode_lines(text):
        letter, number = line.command
        if letter == "G" and number in KINDS:
            at = [line.get_param(axis, default=v) for axis, v in zip("XYZ", at, strict=True)]
            moves.append((KINDS[number], *at))
    return moves


def moves_of_pygcode(text):
    """Kind and position after every block that moves."""
    machine = pygcode.Machine()
    moves, kinds = [], {"G00": RAPID, "G01": LINE, "G02": ARC, "G03": ARC}
    for line in text.splitlines():
        block = pygcode.Line(line).block
        machine.process_block(block)
        kind = next((kinds[str(g)[:3]] for g in block.gcodes if str(g)[:3] in kinds), None)
        if kind is not None:
            moves.append((kind, machine.pos.X, machine.pos.Y, machine.pos.Z))
    return moves


def ours(text, start):
    table = read_program(text, start_mm=start).table
    return [(int(r["kind"]), *r["end"].tolist()) for r in table]


@pytest.mark.parametrize("name", TEXTS)
def test_one_reader_agrees_move_for_move(name):
    nan = (np.nan,) * 3
    found, theirs = ours(TEXTS[name], nan), moves_of_gcodeparser(TEXTS[name])
    assert np.array(found) == pytest.approx(np.array(theirs), abs=1e-9, nan_ok=True), "floats"


@pytest.mark.parametrize("name", ["round corners", "opening", "on the line"])
def test_another_reader_agrees_move_for_move(name):
    found, theirs = ours(TEXTS[name], (0.0, 0.0, 0.0)), moves_of_pygcode(TEXTS[name])
    assert len(found) > 10
    assert np.array(found) == pytest.approx(np.array(theirs), abs=1e-9), "floats"


def test_they_agree_on_arcs_too():
    job = programs.plate_with_arcs()
    arcs = [s for s in job.lines if s.startswith("G2 ")]
    table = read_program(job.text).table
    table = table[table["kind"] == ARC]
    offsets = table["centre"][:, :2] - table["start"][:, :2]
    told = [pygcode.Line(s).block.gcodes[0].params for s in arcs]
    theirs = np.array([(p["I"].value, p["J"].value) for p in told])
    assert offsets == pytest.approx(theirs, abs=1e-9), "floats"
