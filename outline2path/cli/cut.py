"""`outline2path cut`: drawing in, judged program out."""

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
from outline2path.progress import on_terminal

if TYPE_CHECKING:
    from outline2path.job.plan import Plan

__all__ = ["plan_from", "run"]


def run(args: argparse.Namespace) -> int:
    """Plan, judge and write one program; return the exit code.

    The program is written when no error finding stands and the replay passes; with --force it is
    written all the same, says so in its header, and the exit code is 1.
    """
    check_outputs(args.output, args.picture, report=args.report, inputs=(args.drawing,))
    with on_terminal():
        plan = plan_from(args)
        sound = plan.is_sound
    with on_terminal(quiet=args.report == "-"), together() as beside:
        if args.picture:
            save_picture(plan, beside(args.picture))
        write_report(plan.report(), args.report, beside)
        if sound or args.force:
            plan.only.write(beside(args.output), force=args.force)
    if args.report != "-":
        print(plan.summary())
        tell_findings(plan.findings)
        if sound or args.force:
            print(f"wrote {args.output}" + ("" if sound else " in spite of the errors above"))
        else:
            print(f"{args.output} was not written; mend the errors above, or --force it")
    return 0 if sound else 1


def plan_from(args: argparse.Namespace) -> Plan:
    """Make the plan that cut's options describe."""
    from outline2path.job.job import Job
    from outline2path.shop.cutter import Cutter
    from outline2path.shop.stock import Stock

    job = Job(
        stock=Stock(thickness=args.thickness, material=args.material),
        zero=args.zero,
        zero_z=args.zero_z,
        clearance=args.clearance,
        units=args.units,
        tolerance=args.tolerance,
    )
    job.profile(
        sized_drawing(args),
        Cutter(args.cutter, flutes=args.flutes),
        side=args.side,
        allowance=args.allowance,
        depth_per_pass=args.depth_per_pass,
        through=args.through,
        finish_allowance=args.finish_allowance,
        tabs=args.tabs,
        tab_length=args.tab_length,
        tab_height=args.tab_height,
        lead=args.lead,
        entry=args.entry,
        direction=args.direction,
        feed=args.feed,
        plunge=args.plunge,
        speed=args.speed,
    )
    return job.plan()
