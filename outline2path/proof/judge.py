"""The judge: does this text make exactly this part, and safely?

In: the program's text alone, and what it was to make. Out: a `Proof`. The text is read back by
the standard and replayed; the judge knows nothing of how the program was planned or written.
Each question is answered by its own module of this room; here they are only put in order.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outline2path.errors import ProgramError
from outline2path.proof.along import spots_of, strays, uncut
from outline2path.proof.bridges import exempt_near_tabs, tabs
from outline2path.proof.clear import rapids
from outline2path.proof.conduct import conduct, known
from outline2path.proof.depths import depths
from outline2path.proof.edge import Edge
from outline2path.proof.expected import Expected
from outline2path.proof.gouge import Worst, gouge
from outline2path.proof.leftover import leftover, reachable
from outline2path.proof.loose import loose, loose_pieces
from outline2path.proof.room import bounds_of, room
from outline2path.proof.tracks import Nearest, Pieces, chords
from outline2path.proof.verdict import Check, Proof
from outline2path.rs274.motion import RAPID, Motions
from outline2path.rs274.reader import read_program
from outline2path.tolerance import GOUGE_LIMIT_MM

__all__ = ["judge"]

_SAGITTA_MM = 0.0001
_COARSE_MM = 0.005
_BEYOND_TABS_MM = 1.0
_EVEN = 0.001
_UNKNOWN = float("nan")


@dataclass(frozen=True, eq=False)
class _Replay:
    """A program's moves as the checks want them: rapids are cuts where they run in the stock."""

    table: NDArray[np.void]
    everywhere: Pieces
    low: Pieces
    feeds: Pieces
    coarse: Pieces

    @property
    def lines(self) -> NDArray[np.int32]:
        lines: NDArray[np.int32] = self.table["line"]
        return lines


def judge(text: str | bytes, expected: Expected) -> Proof:
    r"""Judge a program.

    Parameters
    ----------
    text : str or bytes
        The whole program.
    expected : Expected
        What it was to make, with which cutter, in which stock.

    Returns
    -------
    Proof
        Every check, and the figures; a program that cannot be read fails.

    Raises
    ------
    SettingError
        When the expected region holds no area.

    Examples
    --------
    >>> import shapely
    >>> wanted = Expected(region_fine=shapely.box(0, 0, 9, 9), side="outside", cutter_mm=2.0,
    ...                   top_mm=0.0, bottom_mm=-2.0, clearance_mm=5.0)
    >>> text = ("G21 G17 G90\nM3 S9000\nG0 Z5\nX-1.005 Y-1.005\nG1 Z-2 F300\nY10.005\nX10.005\n"
    ...         "Y-1.005\nX-1.005\nG0 Z5\nM30")
    >>> judge(text, wanted)
    Proof(pass: gouge 0.000 mm, leftover 0.007 mm, 21 of 21 checks hold)
    """
    data = text if isinstance(text, bytes) else text.encode("utf-8", "surrogatepass")
    sha = hashlib.sha256(data).hexdigest()
    motions, reads = _read(text, expected)
    if motions is None:
        return Proof(
            checks=(reads,),
            gouge_mm=None,
            leftover_mm=None,
            deepest_mm=None,
            bounds_mm=None,
            loose_pieces=None,
            program_sha256=sha,
        )
    replay = _replay(motions, expected)
    edge = Edge(
        expected.part,
        keeps_inside=expected.side != "inside",
        allowance_mm=0.0 if expected.side == "on" else expected.allowance_mm,
    )
    deep = _gouge(replay, edge, expected)
    left = _leftover(replay, edge, expected)
    pieces = loose_pieces(replay.coarse, expected, within_mm=_EVEN)
    checks = (
        reads,
        *conduct(motions, replay.table, expected),
        *room(replay.everywhere, replay.low, replay.lines, expected),
        rapids(replay.table, replay.feeds, expected),
        *depths(replay.coarse, replay.lines, expected),
        deep,
        left,
        tabs(replay.feeds, replay.lines, expected),
        loose(pieces, replay.lines, expected),
    )
    return Proof(
        checks=checks,
        gouge_mm=deep.value,
        leftover_mm=left.value,
        deepest_mm=float(replay.low.low.min()) if len(replay.low) else None,
        bounds_mm=bounds_of(replay.everywhere),
        loose_pieces=len(pieces),
        program_sha256=sha,
    )


def _read(text: str | bytes, expected: Expected) -> tuple[Motions | None, Check]:
    """Read strictly; where that fails say why, and go on with what lenient reading makes of it."""
    start = expected.start_mm or (_UNKNOWN, _UNKNOWN, _UNKNOWN)
    name = "reads cleanly"
    try:
        motions = read_program(text, start_mm=start)
    except ProgramError as fault:
        line = int(str(fault.element).rpartition(" ")[2])
        check = Check(name=name, ok=False, detail=f"{fault.message}", line=line)
    else:
        return motions, Check(name=name, ok=True, detail=f"{motions.lines} lines by the standard")
    try:
        return read_program(text, strict=False, start_mm=start), check
    except ProgramError:
        return None, check


def _replay(motions: Motions, expected: Expected) -> _Replay:
    table = known(motions.table)
    sure = np.isfinite(table["start"]).all(axis=1) & np.isfinite(table["end"]).all(axis=1)
    rows = np.flatnonzero(sure)
    exact, coarse = (_pieces(table, rows, sagitta) for sagitta in (_SAGITTA_MM, _COARSE_MM))
    low = exact.below(expected.top_mm - _EVEN)
    feeds = [p.where(table["kind"][p.row] != RAPID) for p in (low, coarse)]
    return _Replay(table, exact, low, feeds[0], feeds[1].below(expected.top_mm - _EVEN))


def _pieces(table: NDArray[np.void], rows: NDArray[np.int64], sagitta_mm: float) -> Pieces:
    part = chords(table[rows], sagitta_mm=sagitta_mm)
    return Pieces(part.start, part.end, rows[part.row])


def _gouge(replay: _Replay, edge: Edge, expected: Expected) -> Check:
    if expected.side == "on":
        worst, limit = strays(replay.low.lowest_once().thinned(), edge), expected.tolerance_mm
        what = "strays from the line by"
    else:
        worst = gouge(replay.low.lowest_once().thinned(), edge, expected.radius_mm)
        limit, what = GOUGE_LIMIT_MM, "cuts into the part by"
    ok = worst.value <= limit
    detail = f"nowhere {what} more than {limit:g} mm" if ok else f"{what} {worst.value:.4f} mm"
    return _figure("gouge", ok, detail, worst, (limit, replay))


def _leftover(replay: _Replay, edge: Edge, expected: Expected) -> Check:
    """Look at the underside away from tabs, and near tabs just above them."""
    size = (expected.radius_mm, expected.tolerance_mm)
    on_line = expected.side == "on"
    seen = None if on_line else reachable(edge, *size)
    spots = spots_of(edge) if seen is None else seen.rays.origin
    heights = [(expected.bottom_mm, exempt_near_tabs(spots, expected))]
    if expected.tabs:
        top = expected.bottom_mm + max(tab.height_mm for tab in expected.tabs)
        heights.append((top, ~exempt_near_tabs(spots, expected, more_mm=_BEYOND_TABS_MM)))
    worst = Worst(0.0, None, None)
    for z, exempt in heights:
        pieces = replay.feeds.below(z + _EVEN).lowest_once().thinned()
        path = Nearest(pieces.start, pieces.end)
        if seen is None:
            value, place = uncut(path, edge, exempt)
        else:
            value, place = leftover(seen, path, size, exempt=exempt)
        if value > worst.value:
            worst = Worst(value, place, _row_near(pieces, path, place))
    ok = worst.value <= expected.tolerance_mm
    detail = f"at most {worst.value:.4f} mm stays where the cutter reaches"
    if not ok:
        detail = f"{worst.value:.4f} mm or more stays on the edge"
    return _figure("leftover", ok, detail, worst, (expected.tolerance_mm, replay))


def _row_near(pieces: Pieces, path: Nearest, place: tuple[float, float] | None) -> int | None:
    """Name the move that passes nearest to a place."""
    chain = -1 if place is None else int(path.locate(np.array([place]))[1][0])
    return None if chain < 0 else int(pieces.row[path.first[chain]])


def _figure(name: str, ok: bool, detail: str, worst: Worst, more: tuple[float, _Replay]) -> Check:
    limit, replay = more
    line = None if worst.row is None else int(replay.lines[worst.row])
    return Check(
        name=name,
        ok=ok,
        detail=detail,
        at_mm=worst.at_mm,
        line=line,
        value=worst.value,
        limit=limit,
    )
