"""`outline2path check`: where the cutter cannot get, before wood is bought."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from outline2path.cli.drawing import (
    check_outputs,
    save_picture,
    sized_drawing,
    tell_findings,
    write_report,
)
from outline2path.files import together

if TYPE_CHECKING:
    from outline2path.job.check import Check

__all__ = ["checked", "run"]


def run(args: argparse.Namespace) -> int:
    """Check drawings with one cutter; return 0, 1 where an error finding stands, 2 unreadable."""
    from outline2path.findings import worst

    if len(args.drawing) > 1:
        from outline2path.cli.many import check_many

        return check_many(args)
    args.drawing = args.drawing[0]
    check_outputs(args.picture, report=args.report, inputs=(args.drawing,))
    check = checked(args)
    with together() as beside:
        if args.picture:
            save_picture(check, beside(args.picture))
        write_report(check.report(), args.report, beside)
    if args.report != "-":
        print(check.summary())
        tell_findings(check.findings)
    return 1 if worst(check.findings) == "error" else 0


def checked(args: argparse.Namespace) -> Check:
    """Check the one drawing that the arguments name."""
    from outline2path.job.check import check

    return check(
        sized_drawing(args),
        cutter=args.cutter,
        flutes=args.flutes,
        side=args.side,
        tolerance=args.tolerance,
        allowance=args.allowance,
        thin_wall=args.thin_wall,
    )
