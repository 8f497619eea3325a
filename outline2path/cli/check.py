"""`outline2path check`: where the cutter cannot get, before wood is bought."""

from __future__ import annotations

import argparse

from outline2path.cli.drawing import check_outputs, sized_drawing, tell_findings, write_report

__all__ = ["run"]


def run(args: argparse.Namespace) -> int:
    """Check one drawing with one cutter; return 0, or 1 where an error finding stands."""
    from outline2path.findings import worst
    from outline2path.job.check import check

    check_outputs(args.report, args.picture)
    outline = sized_drawing(args)
    checked = check(
        outline,
        cutter=args.cutter,
        flutes=args.flutes,
        side=args.side,
        tolerance=args.tolerance,
        allowance=args.allowance,
        thin_wall=args.thin_wall,
    )
    if args.picture:
        checked.save_picture(args.picture)
    write_report(checked.report(), args.report)
    if args.report != "-":
        print(checked.summary())
        tell_findings(checked.findings)
    return 1 if worst(checked.findings) == "error" else 0
