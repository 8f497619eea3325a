"""One drawing through the whole way: read, compare with a renderer, check, cut, prove.

Comes in: a path, and which size, cutter and way of cutting. Goes out: a plain dict of figures,
with what went wrong by name. Nothing is caught but what the package raises on purpose and bugs,
which are told apart.
"""

from __future__ import annotations

import re
import time
import traceback
import zlib
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

import outline2path as o2p
from outline2path.job.check import check
from outline2path.tolerance import GOUGE_LIMIT_MM
from tests.drawing.renderer import compare

T = 0.02
RENDERED_PX = 512
EDGE_PX = 4
"""Wrong pixels above this are more than edges that fall on another side of a half."""

SIZES = ((140.0, 3.175), (60.0, 1.0), (300.0, 6.35), (90.0, 2.0), (40.0, 3.0), (200.0, 1.5))
"""Longer side of the part and diameter of the cutter, mm."""
WAYS: tuple[dict[str, Any], ...] = (
    {"tabs": 4},
    {"entry": "ramp"},
    {"lead": "line", "tabs": 2},
    {"entry": "helix", "finish_allowance": 0.2},
    {"side": "inside"},
    {"direction": "conventional", "lead": "none", "tabs": 3},
    {"side": "on"},
    {"allowance": 0.1, "tabs": 5},
)
"""One way in eight follows the line itself, where features below the tolerance have no width."""

NO_ROOM_FOR_TABS = {"tabs-none", "tabs-fewer"}
"""Where tabs find no room a piece comes loose, and the program is refused with these words."""


@dataclass
class Outcome:
    """What became of one drawing in one case."""

    set_name: str
    name: str
    case: str
    refused: str | None = None
    crash: str | None = None
    errors: list[str] = field(default_factory=list)
    told: list[str] = field(default_factory=list)
    gouge_mm: float | None = None
    leftover_mm: float | None = None
    wrong_px: int | None = None
    explained: list[str] = field(default_factory=list)
    seconds: dict[str, float] = field(default_factory=dict)

    @property
    def total_s(self) -> float:
        return sum(self.seconds.values())

    @property
    def gouges(self) -> bool:
        """Above a micrometre; above T where the cut follows the line itself."""
        limit = T if "side=on" in self.case else GOUGE_LIMIT_MM
        return self.gouge_mm is not None and self.gouge_mm > limit

    @property
    def leaves(self) -> bool:
        return self.leftover_mm is not None and self.leftover_mm > T

    @property
    def fails_otherwise(self) -> bool:
        """Refused by its proof for neither gouge nor left-over, and nothing told why before."""
        failed = any(code.startswith("proof-") for code in self.errors)
        return failed and not (self.gouges or self.leaves or set(self.told) & NO_ROOM_FOR_TABS)

    @property
    def differs(self) -> bool:
        return self.wrong_px is not None and self.wrong_px > EDGE_PX


def case_of(name: str, turn: int) -> tuple[float, float, dict[str, Any]]:
    """Size, cutter and way of one drawing's case: fixed by its name, spread over all."""
    pick = zlib.crc32(name.encode()) + turn * 7
    size, cutter = SIZES[pick % len(SIZES)]
    return size, cutter, WAYS[pick // len(SIZES) % len(WAYS)]


def tried(set_name: str, path: str, turn: int) -> dict[str, Any]:
    """Take one drawing through one case; return the outcome as a dict."""
    size, cutter, way = case_of(f"{set_name}/{Path(path).stem}", turn)
    words = " ".join(f"{k}={v}" for k, v in way.items())
    outcome = Outcome(set_name, Path(path).stem, f"{size:g} mm, cutter {cutter:g}, {words}")
    try:
        _through(outcome, Path(path), size, cutter, way, compared=turn == 0)
    except o2p.OutlinePathError as error:
        outcome.refused = f"{type(error).__name__}: {_shape_of(error.message)}"
    except Exception as bug:  # the bench exists to find these
        outcome.crash = _where(bug)
    return asdict(outcome)


def _through(
    outcome: Outcome,
    path: Path,
    size: float,
    cutter: float,
    way: dict[str, Any],
    *,
    compared: bool,
) -> None:
    clock = _Clock(outcome.seconds)
    outline = o2p.read_outline(path)
    _ = outline.region
    clock.lap("read")
    if compared:
        _compare(outcome, path, outline)
        clock.skip()
    if outline.region.is_empty:
        outline = o2p.read_outline(path, strokes="outline")
    wide = outline.size_mm[0] >= outline.size_mm[1]
    outline = outline.fit(width=size) if wide else outline.fit(height=size)
    _ = outline.region
    clock.lap("size")
    check(outline, cutter=cutter, side=way.get("side", "outside")).report()
    clock.lap("check")
    job = o2p.Job(stock=o2p.Stock(thickness=6), tolerance=T)
    plan = job.profile(outline, o2p.Cutter(cutter), **way).plan()
    clock.lap("plan")
    proof = plan.proof
    clock.lap("prove")
    outcome.gouge_mm, outcome.leftover_mm = proof.gouge_mm, proof.leftover_mm
    outcome.errors = sorted({f.code for f in plan.findings if f.severity == "error"})
    outcome.told = sorted({f.code for f in plan.findings if f.severity == "warning"})
    plan.report()
    clock.lap("report")


def _compare(outcome: Outcome, path: Path, outline: o2p.Outline) -> None:
    """Against an independent renderer, read the way that a viewer paints."""
    svg = path.read_text(encoding="utf-8")
    if outline.reading.strokes == "centreline":
        painted = o2p.read_outline(path, strokes="outline")
        difference = compare(svg, painted, width=RENDERED_PX, style=None)
    else:
        difference = compare(svg, outline, width=RENDERED_PX)
    outcome.wrong_px = difference.wrong
    told = {f.code for f in outline.findings if f.severity != "info"}
    outcome.explained = sorted(told) if difference.wrong > EDGE_PX else []


class _Clock:
    """Seconds of this process's own work, so that a busy machine does not count."""

    def __init__(self, seconds: dict[str, float]) -> None:
        self.seconds, self.last = seconds, time.process_time()

    def lap(self, name: str) -> None:
        now = time.process_time()
        self.seconds[name], self.last = now - self.last, now

    def skip(self) -> None:
        self.last = time.process_time()


def _shape_of(message: str) -> str:
    """A message without its figures, so that equal reasons count together."""
    return re.sub(r"\d[\d.,e+-]*", "#", message)[:90]


def _where(bug: BaseException) -> str:
    inside = [f for f in traceback.extract_tb(bug.__traceback__) if "outline2path" in f.filename]
    frame = (inside or traceback.extract_tb(bug.__traceback__))[-1]
    room = "/".join(Path(frame.filename).parts[-2:])
    return f"{type(bug).__name__}: {_shape_of(str(bug))} ({room}:{frame.lineno} {frame.name})"
