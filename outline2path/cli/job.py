"""`outline2path job`: from a job's TOML file to a folder of programs, pictures and a sheet."""

from __future__ import annotations

import argparse
from pathlib import Path

from outline2path.cli.drawing import hush_plotting, tell_findings
from outline2path.errors import SettingError
from outline2path.files import write_whole
from outline2path.progress import on_terminal

__all__ = ["run"]


def run(args: argparse.Namespace) -> int:
    """Plan, judge and write a whole job, or with --new a starting file; return the exit code."""
    from outline2path.job.starting import new_job_text
    from outline2path.job.toml import read_job

    if args.new:
        if Path(args.job).exists():
            raise SettingError(
                f"{args.job} exists already", value=args.job, remedy="give another name"
            )
        print(f"wrote {write_whole(args.job, new_job_text())}; change it, then run it with -o")
        return 0
    if not args.output:
        raise SettingError(
            f"no folder was named to write {args.job} into", remedy="give -o FOLDER"
        )
    hush_plotting()
    with on_terminal():
        plan = read_job(args.job).plan()
        sound = plan.is_sound
    print(plan.summary())
    tell_findings(plan.findings)
    if not sound and not args.force:
        print("nothing was written; mend the errors above, or --force it")
        return 1
    from outline2path.job.folder import write_folder

    with on_terminal():
        written = write_folder(plan, args.output, force=args.force)
    for path in written:
        print(f"wrote {path}")
    return 0 if sound else 1
