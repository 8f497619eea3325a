"""Folder: everything a person takes to the machine, written side by side.

In: a plan. Out: one program and one picture for each cutter and set-up, the report, and the
set-up sheet. All files appear together, or none does, nor a folder made for them.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING

from outline2path.errors import OutputError, RefusedError
from outline2path.files import together, write_whole
from outline2path.late import later
from outline2path.progress import in_notebook
from outline2path.stages import expect

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
    written = []
    blanks = len({set_up.blank for set_up in plan.set_ups})
    expect(len(plan.programs) + len(plan.set_ups) + 2 * blanks)  # what is drawn
    with in_notebook(), made_folder(folder) as place, together() as beside:
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


@contextmanager
def made_folder(folder: str | os.PathLike[str]) -> Iterator[Path]:
    """Make a folder where it is missing; where what follows fails, take it away again if empty.

    Raises
    ------
    OutputError
        When it cannot be made.

    Examples
    --------
    >>> import tempfile
    >>> with made_folder(f"{tempfile.mkdtemp()}/programs/today") as place:
    ...     place.is_dir()
    True
    """
    place = Path(folder)
    with _told(place):
        fresh = [p for p in (place, *place.parents) if not os.path.lexists(p)]
        place.mkdir(parents=True, exist_ok=True)
    try:
        yield place
    except BaseException:  # Ctrl-C, too
        with suppress(OSError):
            for made in fresh:
                made.rmdir()
        raise


@contextmanager
def _told(place: Path) -> Iterator[None]:
    """Tell of what the system refuses in our own words."""
    try:
        yield
    except (OSError, ValueError) as fault:
        why = getattr(fault, "strerror", None) or fault
        raise OutputError(
            f"cannot make the folder {str(place)[:200]}: {why}",
            value=str(place),
            remedy="name a folder that can be written",
        ) from fault
