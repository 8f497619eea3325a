"""`outline2path demo`: a whole worked job in a folder, offline: a heron on its base."""

from __future__ import annotations

import argparse
from pathlib import Path

from outline2path.cli.drawing import hush_plotting
from outline2path.files import write_whole
from outline2path.progress import on_terminal

__all__ = ["run"]

_FILES = ("heron_on_base/job.toml", "heron_on_base/base.svg", "heron.svg")


def run(args: argparse.Namespace) -> int:
    """Copy the demo job into a folder, plan, judge and write it; return 0 where all passed."""
    from outline2path.job.folder import made_folder, write_folder
    from outline2path.job.toml import read_job

    hush_plotting()
    source = _demo_art()
    with made_folder(args.folder) as folder:
        with on_terminal():
            plan = read_job(source / _FILES[0]).plan()
            told = plan.summary()
        print(told)
        with on_terminal():
            written = write_folder(plan, folder / "programs", force=True)
        for name in _FILES:
            with made_folder((folder / name).parent) as place:
                write_whole(place / Path(name).name, (source / name).read_bytes())
    job = folder / _FILES[0]
    print(f"wrote {len(written)} files into {folder / 'programs'}")
    print(f"Open {written[-1]} first. Change {job} and run it again with")
    print(f"    outline2path job {job} -o {folder / 'programs'}")
    print("Nothing here knows your machine: its manual and trained supervision come first.")
    return 0 if plan.is_sound else 1


def _demo_art() -> Path:
    """Find the demo art: inside the installed package, or beside it in a checkout."""
    package = Path(__file__).parent.parent
    inside = package / "demo_art"
    return inside if inside.is_dir() else package.parent / "demo_art"
