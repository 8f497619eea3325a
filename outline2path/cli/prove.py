"""`outline2path prove`: replay a written program against the drawing it was to cut."""

from __future__ import annotations

import argparse
from pathlib import Path

from outline2path.cli.cut import plan_from
from outline2path.cli.drawing import check_outputs, write_report
from outline2path.errors import ProgramError

__all__ = ["run"]

_LARGEST_PROGRAM = 500_000_000


def run(args: argparse.Namespace) -> int:
    """Judge a program's text; return 0 where every check passes, else 1."""
    check_outputs(report=args.report, inputs=(args.program, args.drawing))
    text = _text(args.program)
    plan = plan_from(args)
    proof = plan.prove(text)
    write_report(plan.report(proof=proof), args.report)
    if args.report != "-":
        print(f"{args.program}: {proof.verdict}")
        for check in proof.checks:
            print(f"  {'ok  ' if check.ok else 'FAIL'}  {check.name}: {check.detail}")
    return 0 if proof.verdict == "pass" else 1


def _text(name: str) -> str:
    """Read a program as ASCII text; bytes outside it are left for the reader to refuse."""
    path = Path(name)
    try:
        if path.stat().st_size > _LARGEST_PROGRAM:
            raise ProgramError(
                f"{name} holds {path.stat().st_size} bytes",
                limit=_LARGEST_PROGRAM,
                remedy="no controller of a small mill reads so long a program",
            )
        return path.read_bytes().decode("ascii", "backslashreplace")
    except OSError as fault:
        raise ProgramError(
            f"cannot read {name}: {fault.strerror}", value=name, remedy="check the name"
        ) from fault
