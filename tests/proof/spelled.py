"""A program spelled out: every motion with its mode and both or all of its words, by itself.

A reader of its own for tests, a few lines long: it knows absolute G0 to G3 in millimetres and
nothing else, which is all that the programs changed here contain.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import shapely

NOWHERE = (0.001, 0.001, 99.0)
"""Before the first word: unlike any point that a program goes to."""
WORD = re.compile(r"([GMXYZIJFSTP])(-?[0-9.]+)")


@dataclass(frozen=True)
class Move:
    """One motion: mode, where it ends, the centre's offset, and the line it stands in."""

    mode: int
    x: float
    y: float
    z: float
    i: float = 0.0
    j: float = 0.0
    feed: float | None = None
    line: int = -1

    def words(self, before: Move | None) -> str:
        ends = "" if before and (self.x, self.y) == (before.x, before.y) else self._xy
        if before is None or self.z != before.z or not ends:
            ends += f" Z{self.z:.4f}"
        arc = f" I{self.i:.4f} J{self.j:.4f}" if self.mode > 1 else ""
        if arc and "X" not in ends:
            ends = self._xy + ends
        feed = "" if self.feed is None else f" F{self.feed:g}"
        return f"G{self.mode}{ends}{arc}{feed}"

    @property
    def _xy(self) -> str:
        return f" X{self.x:.4f} Y{self.y:.4f}"


def moves(lines: list[str]) -> list[Move]:
    """Read plain motions; what is not told stays as it was, z above everything at first."""
    found, at = [], Move(0, *NOWHERE)
    for n, line in enumerate(lines):
        words = {k: float(v) for k, v in WORD.findall(re.sub(r"\(.*?\)", "", line))}
        if not words.keys() & set("XYZIJ") or words.get("G", at.mode) > 3:
            continue
        at = Move(
            int(words.get("G", at.mode)), words.get("X", at.x), words.get("Y", at.y),
            words.get("Z", at.z), words.get("I", 0.0), words.get("J", 0.0), words.get("F"), n,
        )  # fmt: skip
        found.append(at)
    return found


def spelled(lines: list[str]) -> list[str]:
    """Write every motion out in full, so that lines may be moved about."""
    out, before = list(lines), None
    for move in moves(lines):
        if before is not None:
            out[move.line] = move.words(before)
        before = move
    return out


def path(lines: list[str]) -> list[tuple[float, shapely.LineString]]:
    """The cutter's centre as lines, each with the greater z of its ends; feed moves alone."""
    found, before = [], None
    for move in moves(lines):
        if before is not None and move.mode > 0:
            points = [(before.x, before.y), (move.x, move.y)]
            points = bent(before, move) if move.mode > 1 else points
            found.append((max(before.z, move.z), shapely.LineString(points)))
        before = move
    return found


def bent(before: Move, move: Move, sagitta: float = 0.001) -> list[tuple[float, float]]:
    """Points of an arc, radians and chords by school geometry."""
    cx, cy = before.x + move.i, before.y + move.j
    radius = np.hypot(move.i, move.j)
    a = np.arctan2(before.y - cy, before.x - cx)
    b = np.arctan2(move.y - cy, move.x - cx)
    turn = (b - a) % (2 * np.pi) if move.mode == 3 else -((a - b) % (2 * np.pi))
    turn = turn or (2 * np.pi if move.mode == 3 else -2 * np.pi)
    angle = a + np.linspace(0, turn, int(abs(turn) / np.sqrt(8 * sagitta / radius)) + 2)
    inner = np.column_stack([cx + radius * np.cos(angle), cy + radius * np.sin(angle)])
    return [(before.x, before.y), *map(tuple, inner[1:-1]), (move.x, move.y)]


@lru_cache(maxsize=64)
def ground(lines: tuple[str, ...], radius: float, z: float):
    """What a flat cutter takes at a height: shapely's buffers, united."""
    lower = {line.wkb for high, line in path(list(lines)) if high <= z + 0.001}
    each = shapely.from_wkb(np.array(sorted(lower), dtype=object))
    return shapely.union_all(shapely.buffer(each, radius, quad_segs=16))


def shifted(move: Move, dx: float, dy: float) -> Move:
    return replace(move, x=move.x + dx, y=move.y + dy)
