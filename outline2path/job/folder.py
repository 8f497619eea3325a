"""Folder: everything a person takes to the machine, written side by side.

In: a plan. Out: one program and one picture for each cutter and set-up, the report, and the
set-up sheet. All files appear together, or none does.
"""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import TYPE_CHECKING

from outline2path.errors import OutputError, RefusedError
from outline2path.files import together, write_whole
from outline2path.late import later

if TYPE_CHECKING:
    from outline2path.job.plan import Plan

__all__ = ["REPORT", "SHEET", "made_folder", "write_folder"]

REPORT, SHEET = "report.json", "set-up-sheet.html"


def write_folder(
    plan: Plan, folder: str | os.PathLike[str], *, force: bool = False, pictures: bool = True
) -> tuple[Path, ...]:
    """Write a plan's programs, pictures, report and set-up sheet into a folder.

    Parameters
    ----------
    plan : Plan
        Judged on the way.
    folder : str or path
        Made where it is missing; files of the same names are replaced.
    force : bool
        Write in spite of error findings; the headers then say so.
    pictures : bool
        Draw each program.

    Returns
    -------
    tuple of Path
        What was written, in the order it is needed.

    Raises
    ------
    RefusedError
        When an error finding stands or a replay failed, and `force` is not set.
    OutputError
        When a file cannot be written; old files stay as they were.
    """
    if not plan.is_sound and not force:
        errors = [f for f in plan.findings if f.severity == "error"]
        raise RefusedError(
            f"nothing was written: {errors[0].message}"
            + (f" (and {len(errors) - 1} more)" if len(errors) > 1 else ""),
            at_mm=errors[0].at_mm,
            value=errors[0].value,
            limit=errors[0].limit,
            remedy=errors[0].remedy,
        )
    place = made_folder(folder)
    written = []
    with together() as beside:
        for program in plan.programs:
            names = [place / program.file_name]
            program.write(beside(names[0]), force=force)
            if pictures:
                names.append(names[0].with_suffix(".png"))
                write_whole(beside(names[1]), program.page_png)
            written += names
        text = json.dumps(plan.report(), indent=2, ensure_ascii=False, allow_nan=False) + "\n"
        write_whole(beside(place / REPORT), text.encode("utf-8", "backslashreplace"))
        write_whole(beside(place / SHEET), later("set_up_sheet", plan))
        written += [place / REPORT, place / SHEET]
    return tuple(written)


def made_folder(folder: str | os.PathLike[str]) -> Path:
    """Make a folder where it is missing.

    Raises
    ------
    OutputError
        When it cannot be made.
    """
    place = Path(folder)
    try:
        place.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise OutputError(
            f"cannot make the folder {place}: {fault.strerror}",
            value=str(place),
            remedy="name a folder that can be written",
        ) from fault
    return place
