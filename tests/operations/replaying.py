"""From an operation's cuts to a written program, read back and judged."""

from outline2path.path.assemble import assemble
from outline2path.proof.expected_program import ExpectedProgram
from outline2path.proof.judge import judge
from outline2path.rs274.header import Header
from outline2path.rs274.writer import write_program
from outline2path.tolerance import Budget

CLEARANCE = 5.0


def written(cuts, *, top_mm=0.0):
    """The text of a program that makes these cuts."""
    path = assemble(
        cuts.contours,
        feed=900,
        plunge=300,
        clearance_mm=top_mm + CLEARANCE,
        top_mm=top_mm,
        budget=Budget(),
    )
    return write_program(path, header=Header(title="a test"), rpm=9000).text


def judged(cuts, features, cutter, *, top_mm=0.0, bottom_mm=-6.0):
    """The judge's word on the written program."""
    expected = ExpectedProgram(
        features=tuple(features),
        cutter=cutter,
        top_mm=top_mm,
        bottom_mm=bottom_mm,
        clearance_mm=top_mm + CLEARANCE,
    )
    return judge(written(cuts, top_mm=top_mm), expected)


def faults(proof):
    """What the judge found wrong, in words."""
    return [f"{check.name}: {check.detail}" for check in proof.checks if not check.ok]
