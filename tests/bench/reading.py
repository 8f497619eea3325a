"""The reading bench: thousands of open drawings, as read and as a renderer paints them.

    python -m tests.bench reading [--sample N] [--sets WORD] [--cache FOLDER] [--json FILE]

Each drawing is painted 1024 pixels wide by an independent renderer at 96 pixels to the inch, and
so is the outline read from it: once the fills alone, once fills and strokes together, read with
`strokes="outline"`. The two are equal to the edge pixel when no pixel off an edge differs and
none on an edge differs by more than half. Where they are not, both are painted once more from
pixels a quarter the size, averaged, since the renderer's own lines are only as fine as its
pixels; and lines without dashes are held against a second judge, shapely's buffers of the
same curves: renderers leave gaps inside bends tighter than half a line's width. Exit code
1 where fewer than 99.9 % of the drawings are equal, or one that is not has neither a finding
that says why nor the second judge on its side.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from collections import Counter
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from typing import Any

import shapely

import outline2path as o2p
from outline2path.drawing.lines import polylines
from outline2path.drawing.transforms import compose, greatest_scale
from tests.bench.corpora import HOME
from tests.bench.fetching import fetched, sample
from tests.bench.pool import each
from tests.drawing.renderer import FILLS_ONLY, compare

WIDTH_PX = 1024
FINER = 4
"""Where the two differ, pixels a side painted for one: the renderer's lines follow its pixels."""
WANTED = 0.999
FINE = 1e-5
"""Share of the page by which the second judge's curves may be off."""
UNSEEN = 1e-4
"""Share of the page below which the second judge sees no difference: a tenth of a pixel."""
CAPS = {"butt": "flat", "round": "round", "square": "square"}
JOINS = {"miter": "mitre", "round": "round", "bevel": "bevel"}
SHOWN = 20
SILENT = {"no-physical-size", "strokes-ignored"}
"""Findings that explain no difference."""


@dataclass
class Read:
    """What became of one drawing; of differences the worse of fills and strokes.

    `swept`: the strokes are what a disc sweeps along their curves.
    """

    set_name: str
    name: str
    crash: str | None = None
    refused: str | None = None
    wrong_px: int = 0
    astray_px: int = 0
    blur: float = 0.0
    swept: bool = False
    findings: list[str] = field(default_factory=list)
    seconds: float = 0.0

    @property
    def equal(self) -> bool:
        return not (self.crash or self.refused or self.wrong_px or self.astray_px)


def read(set_name: str, path: str) -> dict[str, Any]:
    """Read one drawing both ways and compare it with the renderer."""
    file = Path(path)
    found = Read(set_name, file.stem)
    svg = file.read_text(encoding="utf-8")
    for strokes, style in (("ignore", FILLS_ONLY), ("outline", None)):
        begin = time.process_time()
        try:
            outline = o2p.read_outline(file, strokes=strokes)
            _ = outline.region
        except o2p.DrawingError as error:
            outline = None
            if strokes == "outline" or "nothing to cut" not in error.message:
                found.refused = error.message[:200]
                break
        found.seconds += time.process_time() - begin
        far = compare(svg, outline, width=WIDTH_PX, style=style)
        if far.wrong or far.astray:
            far = compare(svg, outline, width=WIDTH_PX, style=style, finer=FINER)
            if outline is not None and strokes == "outline" and (far.wrong or far.astray):
                found.swept = as_swept(outline)
        found.wrong_px = max(found.wrong_px, far.wrong)
        found.astray_px = max(found.astray_px, far.astray)
        found.blur = max(found.blur, far.blur)
        if outline is not None:
            found.findings = sorted({*found.findings, *(f.code for f in outline.findings)})
            if all(f.stroke is None for f in outline.figures):
                break  # without strokes the second reading would be the first
    found.findings = [code for code in found.findings if code not in SILENT]
    return asdict(found)


def as_swept(outline: o2p.Outline) -> bool:
    """Whether every shape is its fill and what a disc sweeps along it, as shapely buffers it."""
    fine = FINE * max(outline.source.page_mm)
    fills = replace(outline, reading=replace(outline.reading, strokes="ignore"))
    areas = outline.drawn_within(fine).areas
    for figure, area, filled, lines in zip(
        outline.figures,
        areas,
        fills.drawn_within(fine).areas,
        polylines(outline.figures, outline.matrix, fine / 100),  # ends follow the last chord
        strict=True,
    ):
        pen, parts, paths, half = figure.stroke, [filled], [], 0.0
        if pen is not None:
            if pen.dashes or figure.clips:
                return False
            half = pen.width / 2 * greatest_scale(compose(outline.matrix, figure.matrix))
            how = {"cap_style": CAPS[pen.cap], "join_style": JOINS[pen.join], "quad_segs": 64}
            for xy, closed in lines:
                paths.append(shapely.LineString([*xy, xy[1]] if closed else xy))
                parts.append(paths[-1].buffer(half, **how, mitre_limit=pen.miter_limit))
        off = shapely.symmetric_difference(area, shapely.union_all(parts))
        off = shapely.buffer(off, -UNSEEN / 2 * max(outline.source.page_mm))
        for piece in shapely.get_parts(off):  # buffers lose small holes: ask the distance itself
            at = shapely.point_on_surface(piece)
            inside = filled.intersects(at) or any(path.distance(at) <= half for path in paths)
            if area.intersects(at) != inside:
                return False
    return True


def main(arguments: list[str]) -> int:
    """Run the bench; return 1 where something is wrong."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench reading")
    parser.add_argument("--sample", type=int, help="so many drawings, always the same")
    parser.add_argument("--sets", default="", help="sets or drawings whose name holds this")
    parser.add_argument("--workers", type=int, default=os.cpu_count())
    parser.add_argument("--json", type=Path, help="write every outcome")
    cache = Path(os.environ.get("O2P_CORPORA", HOME))
    parser.add_argument("--cache", type=Path, default=cache, help="where drawings are kept")
    options = parser.parse_args(arguments)
    drawings = [d for d in fetched(options.cache) if options.sets in f"{d.set_name}/{d.name}"]
    if options.sample:
        drawings = sample(drawings, options.sample)
    pieces = [(d.set_name, str(d.path)) for d in drawings]
    results = []
    for done in each(read, pieces, workers=options.workers, seconds=60, memory_mb=2048):
        name = Path(done.arguments[1]).stem
        results.append(
            Read(**done.value) if done.ended is None else Read(done.arguments[0], name, done.ended)
        )
        if len(results) % 500 == 0:
            print(f"\r{len(results)} of {len(pieces)}", end="", file=sys.stderr, flush=True)
    if options.json:
        options.json.write_text(json.dumps([asdict(r) for r in results], indent=1))
    return report(results)


def report(results: list[Read]) -> int:
    """Print the figures; return 1 where something is wrong."""
    differing = [r for r in results if not r.equal]
    for name, count in sorted(Counter(r.set_name for r in results).items()):
        off = sum(r.set_name == name for r in differing)
        print(f"{name}: {count} drawings, {off} not equal to the edge pixel")
    alone = sum(r.swept for r in differing)
    share = 1 - (len(differing) - alone) / max(len(results), 1)
    blur = sum(r.blur for r in results) / max(len(results), 1)
    print(
        f"equal to the edge pixel: {share:.3%} of {len(results)} (bar: {WANTED:.1%}), {alone} of "
        "them by the second judge, against the renderer"
    )
    print(f"edge pixels differ by {blur:.4f} on average (of 1)")
    for r in sorted(differing, key=lambda r: -r.wrong_px - r.astray_px)[:SHOWN]:
        told = ", ".join([*["second judge agrees"] * r.swept, *r.findings])
        why = r.crash or r.refused or told or "NO FINDING"
        print(f"  {r.set_name}/{r.name}: {r.wrong_px} wrong, {r.astray_px} astray: {why}")
    silent = [r for r in differing if r.crash or not (r.swept or r.refused or r.findings)]
    print(f"not equal and not explained by a finding: {len(silent)}")
    return int(share < WANTED or bool(silent))
