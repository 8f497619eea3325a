"""`outline2path read`: what a drawing holds, with sizes, and its outline as WKT or clean SVG."""

from __future__ import annotations

import argparse

from outline2path.cli.drawing import check_outputs, sized_drawing, tell_findings
from outline2path.files import together, write_whole

__all__ = ["run"]

_MOST_LISTED = 60


def run(args: argparse.Namespace) -> int:
    """Read one drawing and say what it holds; return 0."""
    from outline2path.job.words import count, outline_words

    check_outputs(args.wkt, args.svg, inputs=(args.drawing,))
    outline = sized_drawing(args)
    with together() as beside:
        if args.wkt:
            write_whole(beside(args.wkt), outline.to_wkt() + "\n")
        if args.svg:
            write_whole(beside(args.svg), outline.to_svg())
    lines = len(outline.lines.geoms)
    engraved = f", {count(lines, 'line')} to engrave" if lines else ""
    print(f"{outline_words(outline)}{engraved}; sized by {outline.source.sized_by}")
    entries = outline.contents()
    for entry in entries[:_MOST_LISTED]:
        print(f"  {entry}")
    if len(entries) > _MOST_LISTED:
        print(f"  and {len(entries) - _MOST_LISTED} shapes more")
    tell_findings(outline.findings)
    return 0
