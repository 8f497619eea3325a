"""Motions: what a program makes the machine do, as a NumPy table.

Out of the reader, into the proof and pictures. One row is one motion: a rapid, a straight feed
or an arc (a helix where the third axis moves too). Lengths in mm, feeds in mm/min, work
coordinates, z up; a coordinate the program has not told yet is NaN. Nothing here knows how a
program is written.

Arcs: the turn is +1 counter-clockwise, -1 clockwise, seen from the positive end of the axis
normal to the plane (NISTIR 6556, 3.5.3). `plane` is 17 (xy), 18 (zx) or 19 (yz).
"""

from __future__ import annotations

from array import array
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from outline2path.findings import Finding
    from outline2path.rs274.tooling import ToolChange, ToolLength

__all__ = [
    "ARC",
    "LINE",
    "MOTION",
    "PLANE_AXES",
    "RAPID",
    "EndState",
    "MotionRows",
    "Motions",
    "arc_radii",
    "arc_sweeps",
    "motion_lengths",
]

RAPID, LINE, ARC = 0, 1, 2

MOTION = np.dtype(
    [
        ("line", "i4"),
        ("kind", "u1"),
        ("plane", "u1"),
        ("turn", "i1"),
        ("system", "u1"),
        ("tool", "i4"),
        ("start", "f8", (3,)),
        ("end", "f8", (3,)),
        ("centre", "f8", (3,)),
        ("feed", "f8"),
        ("rpm", "f8"),
    ]
)
"""One motion. line: number in the text from 1; system: 1 to 9 for G54 to G59.3, 0 for a move in
machine coordinates (then `centre` holds the target told, and `end` is NaN on those axes);
feed: mm/min, 0 where none is set and on rapids; rpm: + clockwise (M3), - the other way, 0
still."""

PLANE_AXES = {17: (0, 1, 2), 18: (2, 0, 1), 19: (1, 2, 0)}
"""Plane to its first axis, second axis and normal."""

_UNKNOWN = float("nan")
_COLUMNS = 14
_CHUNK_ROWS = 1 << 16
_ABOVE_NOISE = float(np.finfo(float).eps) * 2**12


@dataclass(frozen=True, kw_only=True)
class EndState:
    """How the program left the machine.

    Attributes
    ----------
    ended_by : str or None
        "M2", "M30" or "%"; None where the text just stops.
    line : int
        Line of that end, or the last line.
    position_mm : tuple of float
        Last point; NaN where unknown.
    rpm : float
        Spindle at the last block before the end's own stop: + clockwise, 0 still.
    text_after : int or None
        First line with something to execute after the end.
    """

    ended_by: str | None
    line: int
    position_mm: tuple[float, float, float]
    rpm: float
    text_after: int | None


@dataclass(frozen=True, kw_only=True, eq=False)
class Motions:
    """A program read.

    Attributes
    ----------
    table : ndarray of MOTION
        Motions in the order of execution.
    lines : int
        Lines of text, those after the end included.
    comments : tuple of (int, str)
        Line and text of each comment before the first motion.
    codes_before_motion : frozenset of str
        The modal codes told before the first motion, "G21" and so on.
    stops : tuple of int
        Lines where the program waits for the operator (M0, M1, M60).
    changes : tuple of ToolChange
        Every M6.
    tool_lengths : tuple of ToolLength
        Every G43 and G49.
    skippable : tuple of int
        Lines that the machine's block-delete switch would leave out.
    dwell_s : float
        Sum of all dwells in seconds.
    end : EndState
        How it leaves the machine.
    findings : tuple of Finding
        What lenient reading let pass.
    """

    table: NDArray[np.void]
    lines: int
    end: EndState
    comments: tuple[tuple[int, str], ...] = ()
    codes_before_motion: frozenset[str] = frozenset()
    stops: tuple[int, ...] = ()
    changes: tuple[ToolChange, ...] = ()
    tool_lengths: tuple[ToolLength, ...] = ()
    skippable: tuple[int, ...] = ()
    dwell_s: float = 0.0
    findings: tuple[Finding, ...] = ()

    def __len__(self) -> int:
        return len(self.table)

    def __repr__(self) -> str:
        return f"Motions({len(self.table)} motions in {self.lines} lines)"


class MotionRows:
    """Collects motions one by one and becomes a table; memory is little above the table's.

    Examples
    --------
    >>> rows = MotionRows(start=(0.0, 0.0, 5.0))
    >>> rows.add((1, RAPID, 17, 0, 1, 0), (3.0, 4.0, 5.0), feed=0.0, rpm=0.0)
    >>> rows.table()["end"].tolist()
    [[3.0, 4.0, 5.0]]
    """

    def __init__(self, *, start: tuple[float, float, float]) -> None:
        self._start = start
        self._flat = array("d")
        self._chunks: list[NDArray[np.void]] = []

    @property
    def empty(self) -> bool:
        """Whether nothing was added yet."""
        return not (self._flat or self._chunks)

    def add(
        self,
        facts: tuple[int, int, int, int, int, int],
        end: tuple[float, float, float],
        *,
        centre: tuple[float, float, float] = (_UNKNOWN, _UNKNOWN, _UNKNOWN),
        feed: float,
        rpm: float,
    ) -> None:
        """Add one motion; `facts` are line, kind, plane, turn, system and tool."""
        self._flat.extend((*facts, *end, *centre, feed, rpm))
        if len(self._flat) >= _CHUNK_ROWS * _COLUMNS:
            self._flush()

    def table(self) -> NDArray[np.void]:
        """Return all motions in order; the rows are given up."""
        self._flush()
        table = np.empty(sum(map(len, self._chunks)), MOTION)
        at = len(table)
        while self._chunks:
            chunk = self._chunks.pop()
            at -= len(chunk)
            table[at : at + len(chunk)] = chunk
        return table

    def _flush(self) -> None:
        if not self._flat:
            return
        flat = np.frombuffer(self._flat, dtype=np.float64).reshape(-1, _COLUMNS)
        chunk = np.empty(len(flat), MOTION)
        for n, name in enumerate(("line", "kind", "plane", "turn", "system", "tool")):
            chunk[name] = flat[:, n]
        chunk["end"], chunk["centre"] = flat[:, 6:9], flat[:, 9:12]
        chunk["feed"], chunk["rpm"] = flat[:, 12], flat[:, 13]
        chunk["start"][0], chunk["start"][1:] = self._start, chunk["end"][:-1]
        self._start = tuple(chunk["end"][-1].tolist())
        self._chunks.append(chunk)
        self._flat = array("d")


def arc_radii(table: NDArray[np.void]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the start and end radius (mm) of each row, which must all be arcs.

    Examples
    --------
    >>> row = np.zeros(1, MOTION)
    >>> row["plane"], row["end"][0] = 17, (10, 0, 0)
    >>> row["centre"][0] = (5, 0, 0)
    >>> [float(r[0]) for r in arc_radii(row)]
    [5.0, 5.0]
    """
    start, end = _in_plane(table, "start"), _in_plane(table, "end")
    centre = _in_plane(table, "centre")
    return np.hypot(*(start - centre).T), np.hypot(*(end - centre).T)


def arc_sweeps(table: NDArray[np.void]) -> NDArray[np.float64]:
    """Return the angle (radians, above 0, at most one turn) of each row, which must be arcs.

    An end at the start is a full turn (NISTIR 6556, 3.5.3.2).
    """
    a = _in_plane(table, "start") - _in_plane(table, "centre")
    b = _in_plane(table, "end") - _in_plane(table, "centre")
    turn = np.where(table["turn"] < 0, -1.0, 1.0)
    angle = (np.arctan2(b[:, 1], b[:, 0]) - np.arctan2(a[:, 1], a[:, 0])) * turn
    angle = np.mod(angle, 2 * np.pi)
    return np.where(angle <= _ABOVE_NOISE, 2 * np.pi, angle)


def motion_lengths(table: NDArray[np.void]) -> NDArray[np.float64]:
    """Return the length (mm) of each motion, along the helix where an arc climbs.

    Examples
    --------
    >>> row = np.zeros(1, MOTION)
    >>> row["end"][0] = (3, 4, 12)
    >>> float(motion_lengths(row)[0])
    13.0
    """
    lengths = np.sqrt(np.sum((table["end"] - table["start"]) ** 2, axis=1))
    arcs = table["kind"] == ARC
    if arcs.any():
        rows = table[arcs]
        normal = np.array([PLANE_AXES[int(p)][2] for p in rows["plane"]])
        each = np.arange(len(rows))
        rise = rows["end"][each, normal] - rows["start"][each, normal]
        first, last = arc_radii(rows)
        lengths[arcs] = np.hypot((first + last) / 2 * arc_sweeps(rows), rise)
    return np.asarray(lengths)


def _in_plane(table: NDArray[np.void], name: str) -> NDArray[np.float64]:
    """Pick the two coordinates of a point that lie in each row's plane, (n, 2)."""
    points = table[name]
    plane = table["plane"]
    first = np.choose(plane - 17, [points[:, 0], points[:, 2], points[:, 1]])
    second = np.choose(plane - 17, [points[:, 1], points[:, 0], points[:, 2]])
    return np.column_stack((first, second))
