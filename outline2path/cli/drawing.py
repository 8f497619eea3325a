"""What every subcommand does first and last: read and size the drawing, write the report."""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from outline2path.errors import DrawingError, SettingError
from outline2path.files import check_writable, write_whole
from outline2path.stages import stage

if TYPE_CHECKING:
    from outline2path.drawing.outline import Outline
    from outline2path.findings import Finding
    from outline2path.job.check import Check
    from outline2path.job.plan import Plan

__all__ = [
    "check_outputs",
    "hush_plotting",
    "save_picture",
    "sized_drawing",
    "tell_findings",
    "write_report",
]

_MOST_TOLD = 12


def sized_drawing(args: argparse.Namespace) -> Outline:
    """Read the drawing the arguments name, choose in it; turn, mirror and size it.

    Raises
    ------
    DrawingError
        When it cannot be read, or holds nothing to cut or nothing of what is chosen.
    SettingError
        When the scale is not a positive number.
    """
    from outline2path.drawing.reader import read_outline

    if args.drawing == "-" and sys.stdin is None:
        raise DrawingError(
            f"{args.drawing!r} means standard input, and that is closed",
            remedy="give the name of an SVG file",
        )
    with stage("read the drawing") as counts:
        outline = read_outline(args.drawing, strokes=args.strokes, paint=args.paint, ppi=args.ppi)
        counts["parts"] = len(outline.region.geoms)
    if args.select:
        outline = outline.select(args.select)
    if args.rotate:
        outline = outline.rotate(args.rotate)
    if args.mirror:
        outline = outline.mirror()
    if args.scale is not None:
        outline = outline.scale(args.scale)
    elif args.width is not None:
        outline = outline.fit(width=args.width)
    elif args.height is not None:
        outline = outline.fit(height=args.height)
    return outline


def check_outputs(
    *names: str | None, report: str | None = None, inputs: tuple[str, ...] = ()
) -> None:
    """Refuse output names that could not be written, before any work is done.

    Raises
    ------
    OutputError
        When a folder is missing or closed, or a name is no plain file's.
    SettingError
        When two outputs share a name, an output would take the place of an input, or anything
        but the report is to be printed.
    """
    if "-" in names:
        raise SettingError(
            f"only a report can be printed, so {'-'!r} names no file",
            value="-",
            remedy="give the name of a file",
        )
    given = [name for name in (*names, report) if name and name != "-"]
    for name in given:
        check_writable(name)
    places = [os.path.realpath(name) for name in given]
    if len(set(places)) < len(places):
        raise SettingError(f"two outputs share one name among {given}", value=given)
    read = {os.path.realpath(name): name for name in inputs if name != "-"}
    for name, place in zip(given, places, strict=True):
        if place in read:
            raise SettingError(
                f"the output {name} would take the place of the input {read[place]}",
                value=name,
                remedy="give it another name",
            )


def write_report(
    report: dict[str, Any], name: str | None, beside: Callable[[str], Path] = Path
) -> None:
    """Write a report to a file, print it where the name is -, or do nothing without a name.

    Letters that are not Unicode, as names of files may hold, are written as JSON escapes.
    """
    if not name:
        return
    text = json.dumps(report, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
    if name == "-":
        sys.stdout.write(text)
    else:
        write_whole(beside(name), text.encode("utf-8", "backslashreplace"))


def save_picture(made: Plan | Check, path: str | Path) -> None:
    """Draw a plan or a check into a file."""
    hush_plotting()
    made.save_picture(path)


def hush_plotting() -> None:
    """Leave unsaid what the plotting library logs, such as of a home folder that is missing."""
    import logging

    logging.getLogger("matplotlib").setLevel(logging.ERROR)


def tell_findings(findings: Iterable[Finding]) -> None:
    """Print the findings, gravest first, one a line; long lists are cut with a count."""
    from outline2path.findings import gathered

    ordered = gathered(findings)
    for finding, places in ordered[:_MOST_TOLD]:
        print(f"  {finding.words(places=places)}")
    if len(ordered) > _MOST_TOLD:
        print(f"  and {len(ordered) - _MOST_TOLD} more; the report lists them all")
