"""Writer: a toolpath as RS-274 text that any controller takes.

In: a `Toolpath` in mm. Out: a `Program` in mm or inches. Only the portable subset is used: G0 G1
G2 G3 G4 G17 G20 G21 G40 G49 G54 G80 G90 G94 M3 M5 M30, S F and comments, and on request T M6 M0 or
G43 H, where cutters are changed (`outline2path.rs274.change`). Every word is legal in NISTIR 6556
and harmless to small controllers. Every motion block names its G word; coordinates and feeds are
written where they change; arcs always carry X Y I J, the centre counted from the arc's start.
4 decimals in mm, 5 in inches, ASCII, at most 80 characters.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outline2path.errors import SettingError
from outline2path.path.measure import bounds_mm
from outline2path.path.toolpath import Section, Toolpath
from outline2path.rs274.change import Lengths, cutter_words, mounting_lines, spindle_lines
from outline2path.rs274.comment import comment_lines
from outline2path.rs274.grid import DECIMALS, on_grid, step_mm
from outline2path.rs274.header import Header
from outline2path.rs274.program import Program
from outline2path.units import format_length

__all__ = ["write_program"]

_WORDS = "XYZIJF"
_SAFE_START = (
    "G17 (arcs in the xy plane)",
    "{units}",
    "G40 (no cutter compensation)",
    "G49 (no tool length offset)",
    "G80 (no drilling cycle)",
    "G54 (first work zero)",
    "G90 (positions count from work zero)",
    "G94 (feeds a minute)",
)
_UNITS = {"mm": "G21 (millimetres)", "in": "G20 (inches)"}


def write_program(
    toolpath: Toolpath,
    *,
    header: Header,
    rpm: float,
    units: str = "mm",
    tool: int | None = None,
    spin_up_s: float = 2.0,
    lengths: Lengths = "touch-off",
) -> Program:
    """Write a toolpath as an RS-274 program.

    Parameters
    ----------
    toolpath : Toolpath
        Moves in mm, beginning and ending at clearance height. Where its passes number their
        cutters, the program mounts them with T and M6; else the one cutter is already in.
    header : Header
        What the opening comments state.
    rpm : float
        Spindle speed of passes that have none of their own.
    units : "mm" or "in"
        Units of the text.
    tool : int, optional
        Number of the cutter's place, for a path whose passes number none; writes T and M6.
    spin_up_s : float
        Seconds to wait for the spindle; 0 writes no dwell.
    lengths : "touch-off" or "table"
        After a change of cutter, wait until the height of its tip was measured, or take its
        length from the machine's table.

    Raises
    ------
    SettingError
        When a setting is out of range, a cutting move has no feed, the path goes beyond 10 m,
        uses several cutters without a number for each, or changes them below clearance height.
    ProgramError
        When an arc's start and end do not lie on one circle.

    Examples
    --------
    >>> import numpy as np
    >>> from outline2path.path.toolpath import MOVE
    >>> slot = np.array([(1, 1, 0, 0, 0, -1, 0, 0, 300), (1, 4, 0, 9, 0, -1, 0, 0, 900)], MOVE)
    >>> path = Toolpath(moves=slot, sections=(), start=(0, 0, 5), clearance_mm=5)
    >>> program = write_program(path, header=Header(title="slot"), rpm=9000)
    >>> program.lines[-6:-2]
    ('G4 P2', 'G0 X0.0000 Y0.0000', 'G1 Z-1.0000 F300', 'G1 X9.0000 F900')
    """
    _check(toolpath, rpm=rpm, units=units, tool=tool, spin_up_s=spin_up_s)
    start, blocks = on_grid(toolpath, units=units)
    at = np.vstack([start, np.column_stack([blocks["x"], blocks["y"], blocks["z"]])])
    spin = _Spindle(rpm=rpm, units=units, spin_up_s=spin_up_s, lengths=lengths)
    changes = _changes(toolpath, blocks["section"], at, spin)
    body = _motion_lines(at, blocks, units, fresh=list(changes))
    lines = [
        *_header_lines(toolpath, header, units),
        *(line.format(units=_UNITS[units]) for line in _SAFE_START),
        *_start_lines(toolpath, start, spin, tool),
        *_with_titles(body, blocks["section"], toolpath, units=units, changes=changes),
        "M5",
        "M30",
    ]
    return Program("\n".join(lines) + "\n")


@dataclass(frozen=True, kw_only=True)
class _Spindle:
    """How the spindle is started and cutters are changed."""

    rpm: float
    units: str
    spin_up_s: float
    lengths: Lengths

    def turns(self, one: Section | None) -> list[str]:
        own = None if one is None else one.rpm
        return spindle_lines(self.rpm if own is None else own, self.spin_up_s)

    def mounts(self, one: Section, *, first: bool = False) -> list[str]:
        return mounting_lines(one, lengths=self.lengths, first=first, units=self.units)

    def place(self, at: NDArray[np.int64]) -> tuple[str, str]:
        """Go to a height, and across to a place, both told in full."""
        scale, decimals = 10 ** DECIMALS[self.units], DECIMALS[self.units]
        x, y, z = (f"{value / scale:.{decimals}f}" for value in at.tolist())
        return f"G0 Z{z}", f"G0 X{x} Y{y}"


def _header_lines(toolpath: Toolpath, header: Header, units: str) -> tuple[str, ...]:
    """State the cutter, or every cutter by the number of its place."""
    words = {s.number: cutter_words(s.cutter) for s in toolpath.sections}
    return header.lines(
        cutter=words.get(None, ""),
        cutters={number: told for number, told in words.items() if number is not None},
        bounds_mm=bounds_mm(toolpath),
        units=units,
    )


def _start_lines(
    toolpath: Toolpath, start: NDArray[np.int64], spin: _Spindle, tool: int | None
) -> list[str]:
    """Go up, put the first cutter in where it has a number, start the spindle, go across.

    Where lengths come from a table, heights mean nothing before the first is taken from it.
    """
    first = toolpath.sections[0] if toolpath.sections else None
    up, across = spin.place(start)
    mounted = [] if tool is None else [f"T{tool}", "M6"]
    if first is not None and first.number is not None:
        mounted = spin.mounts(first, first=True)
        before = [] if spin.lengths == "table" else [up]
        return [*before, *mounted, *spin.turns(first), up, across]
    return [up, *mounted, *spin.turns(first), across]


def _changes(
    toolpath: Toolpath, section: NDArray[np.int32], at: NDArray[np.int64], spin: _Spindle
) -> dict[int, list[str]]:
    """Return the lines of every change of cutter or speed, by the block they stand before."""
    found: dict[int, list[str]] = {}
    clear = round(toolpath.clearance_mm / step_mm(spin.units))
    for block in (np.flatnonzero(np.diff(section)) + 1).tolist():
        was, one = (toolpath.sections[int(section[n])] for n in (block - 1, block))
        if (was.number, was.rpm) == (one.number, one.rpm):
            continue
        if at[block, 2] < clear:
            raise SettingError(
                f"cutter {one.number} is wanted at z {at[block, 2] * step_mm(spin.units):g} mm",
                limit=toolpath.clearance_mm,
                remedy="go up to clearance height before a change",
            )
        new = was.number != one.number
        found[block] = [
            *(spin.mounts(one) if new else []),
            *spin.turns(one),
            *(spin.place(at[block]) if new else ()),
        ]
    return found


def _motion_lines(
    at: NDArray[np.int64], blocks: NDArray[np.void], units: str, *, fresh: list[int]
) -> list[str]:
    """Format all blocks at once: one template for all, filled in one go.

    `at` are the points before and after them, `fresh` the blocks after which feeds are told anew.
    """
    if not len(blocks):
        return []
    before, at = at[:-1], at[1:]
    written = np.zeros((len(blocks), len(_WORDS)), bool)
    written[:, :3] = at != before
    arcs = blocks["kind"] >= 2
    for word in (0, 1, 3, 4):
        written[arcs, word] = True
    feeding = np.flatnonzero(blocks["kind"] > 0)
    feeds = blocks["feed"][feeding]
    written[feeding, 5] = np.diff(feeds, prepend=-1.0) != 0
    anew = np.searchsorted(feeding, fresh)
    written[feeding[anew[anew < len(feeding)]], 5] = True
    scale = 10 ** DECIMALS[units]
    lengths = np.column_stack([at, blocks["i"], blocks["j"]]) / scale
    values = np.column_stack([lengths, blocks["feed"]])[written]
    patterns = blocks["kind"] + 4 * (written @ (1 << np.arange(len(_WORDS))))
    kinds, chosen = np.unique(patterns, return_inverse=True)
    templates = [_template(pattern, DECIMALS[units]) for pattern in kinds.tolist()]
    text = "\n".join([templates[number] for number in chosen.ravel().tolist()])
    return (text % tuple(values.tolist())).split("\n")


def _template(pattern: int, decimals: int) -> str:
    words = [f"G{pattern % 4}"]
    for number, letter in enumerate(_WORDS):
        if pattern // 4 >> number & 1:
            words.append(f"{letter}%.7g" if letter == "F" else f"{letter}%.{decimals}f")
    return " ".join(words)


def _with_titles(
    lines: list[str],
    section: NDArray[np.int32],
    toolpath: Toolpath,
    *,
    units: str,
    changes: dict[int, list[str]],
) -> list[str]:
    """Put a comment before the first block of every section, and changes before that."""
    if not toolpath.sections or not lines:
        return lines
    begins = np.flatnonzero(np.diff(section, prepend=-1)).tolist()
    titled: list[str] = []
    for begin, end in zip(begins, [*begins[1:], len(lines)], strict=True):
        number = int(section[begin])
        one = toolpath.sections[number]
        depth = format_length(one.z_mm, units=units)
        title = f"{one.operation}, contour {one.contour + 1}, z {depth}"
        titled += changes.get(begin, [])
        titled += comment_lines(f"pass {number + 1} of {len(toolpath.sections)}: {title}")
        titled += lines[begin:end]
    return titled


def _check(
    toolpath: Toolpath, *, rpm: float, units: str, tool: int | None, spin_up_s: float
) -> None:
    step_mm(units)
    if not (math.isfinite(rpm) and 1 <= rpm <= 200_000):
        raise SettingError(f"{rpm!r} rpm is outside 1 to 200000", value=rpm, limit=(1, 200_000))
    if tool is not None and not 0 <= tool <= 99_999:
        raise SettingError(f"tool number {tool!r} is outside 0 to 99999", value=tool)
    if not (math.isfinite(spin_up_s) and 0 <= spin_up_s <= 600):
        raise SettingError(f"a dwell of {spin_up_s!r} s is outside 0 to 600 s", value=spin_up_s)
    feeds = toolpath.moves["feed"][toolpath.moves["kind"] > 0]
    if len(feeds) and not (np.isfinite(feeds).all() and 0 < feeds.min() <= feeds.max() < 1e6):
        raise SettingError(
            f"feeds of {feeds.min():g} to {feeds.max():g} mm/min are outside 0 to 1000000",
            remedy="give every cutting move a feed",
        )
    _check_cutters(toolpath)


def _check_cutters(toolpath: Toolpath) -> None:
    """Refuse several cutters unless each has a number of its own."""
    numbered = {(section.number, section.cutter) for section in toolpath.sections}
    numbers = {number for number, _ in numbered}
    if len(numbered) > 1 and (len(numbers) < len(numbered) or None in numbers):
        raise SettingError(
            f"one program cannot use {len(numbered)} cutters without a number for each",
            value=len(numbered),
            remedy="write one program a cutter, or number their places",
        )
