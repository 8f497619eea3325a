"""`outline2path demo`: cut every demo drawing into a folder, offline."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from outline2path.cli.drawing import save_picture
from outline2path.errors import OutputError
from outline2path.files import write_whole

__all__ = ["run"]

CUTTER_MM = 3.175
THICKNESS_MM = 6.0
TABS = 4


def run(args: argparse.Namespace) -> int:
    """Write a program, a report and a picture for each demo drawing; return 0 if all passed."""
    from outline2path.drawing.reader import read_outline
    from outline2path.job.job import Job
    from outline2path.shop.cutter import Cutter
    from outline2path.shop.stock import Stock

    folder = _made(Path(args.folder))
    sound = True
    for art in _drawings():
        outline = read_outline(art)
        job = Job(stock=Stock(thickness=THICKNESS_MM, material="birch plywood"))
        plan = job.profile(outline, Cutter(CUTTER_MM, flutes=1), tabs=TABS).plan()
        stem = folder / art.stem
        plan.write(stem.with_suffix(".nc"), force=True)
        save_picture(plan, stem.with_suffix(".png"))
        write_whole(stem.with_suffix(".json"), json.dumps(plan.report(), indent=2) + "\n")
        print(f"{plan.proof.verdict}  {stem.with_suffix('.nc')}  {plan!r}", flush=True)
        sound &= plan.is_sound
    print(
        "Open the .png beside each .nc. Nothing here knows your machine: its manual comes first."
    )
    return 0 if sound else 1


def _drawings() -> list[Path]:
    """Find the demo art: inside the installed package, or beside it in a checkout."""
    package = Path(__file__).parent.parent
    found = sorted((package / "demo_art").glob("*.svg"))
    return found or sorted((package.parent / "demo_art").glob("*.svg"))


def _made(folder: Path) -> Path:
    """Make the folder where it is missing."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise OutputError(
            f"cannot make the folder {folder}: {fault.strerror}",
            value=str(folder),
            remedy="name a folder that can be written",
        ) from fault
    return folder
