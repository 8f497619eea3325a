"""`outline2path prove`: replay a written program against the drawing it was to cut."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from outline2path.cli.cut import plan_from
from outline2path.cli.drawing import check_outputs, write_report
from outline2path.errors import ProgramError, SettingError
from outline2path.progress import on_terminal

if TYPE_CHECKING:
    from outline2path.job.planned import PlannedProgram

__all__ = ["run"]

_LARGEST_PROGRAM = 500_000_000


def run(args: argparse.Namespace) -> int:
    """Judge a program's text; return 0 where every check passes, else 1."""
    check_outputs(report=args.report, inputs=(args.program, args.drawing or args.job))
    text = _text(args.program)
    with on_terminal():
        planned = _of_job(args) if args.job else _of_drawing(args)
        proof = planned.prove(text)
    write_report(planned.report(proof=proof), args.report)
    if args.report != "-":
        print(f"{args.program}: {proof.verdict}")
        for check in proof.checks:
            print(f"  {'ok  ' if check.ok else 'FAIL'}  {check.name}: {check.detail}")
        for said in proof.about_header:
            print(f"  {said}")
    return 0 if proof.verdict == "pass" else 1


def _of_drawing(args: argparse.Namespace) -> PlannedProgram:
    """Plan the program that cut's options describe."""
    for name in ("cutter", "thickness"):
        if getattr(args, name) is None:
            raise SettingError(
                f"to judge {args.program} against a drawing --{name} is needed",
                value=args.program,
                remedy="give the options it was cut with",
            )
    return plan_from(args).only


def _of_job(args: argparse.Namespace) -> PlannedProgram:
    """Find the program of a job by its file's name."""
    from outline2path.job.toml import read_job

    programs = read_job(args.job).plan().programs
    named = {program.file_name: program for program in programs}
    name = Path(args.program).name
    if name not in named and len(programs) > 1:
        raise SettingError(
            f"{args.job} has no program called {name}",
            value=name,
            remedy=f"name the file as the job does: {', '.join(named)}",
        )
    return named.get(name, programs[0])


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
