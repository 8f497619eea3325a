"""A controller's modal state, and what each block makes of it.

In: the words and codes of one block after another. Out: rows of motion. The words act in the
fixed order of NISTIR 6556, Table 8, wherever they stand in the line: feed mode, F, S, T, tool
change, spindle, dwell, plane, units, coordinate system, distance mode, cycle return, G28, motion,
stop. Lengths are kept in mm, F and S as told: changing units does not convert a feed (3.5.7).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from outline2path.errors import ProgramError
from outline2path.rs274.arc_rules import (
    RADII_DIFFER_IN,
    RADII_DIFFER_MM,
    centre_form,
    lenient_limit,
    radius_form,
)
from outline2path.rs274.cycles import CYCLES, Hole, drill
from outline2path.rs274.motion import ARC, LINE, PLANE_AXES, RAPID, MotionRows
from outline2path.rs274.tooling import Tooling

__all__ = ["Controller", "Point"]

_UNKNOWN = math.nan
_NOISE = 2.0**-40
_AXES = "XYZ"
_OFFSETS = {17: "IJ", 18: "KI", 19: "JK"}
_SYSTEMS = {c: n for n, c in enumerate((540, 550, 560, 570, 580, 590, 591, 592, 593), start=1)}
_STRAIGHT = {0: RAPID, 10: LINE}
_PLAIN = frozenset({0, 10, 20, 30})
_ARCS = frozenset({20, 30})
_HOMES = frozenset({280, 300})
_TAKE_LENGTH = 430
_CYCLE_NEEDS = {810: "R", 820: "RP", 830: "RQ"}

Point = tuple[float, float, float]
Words = Mapping[str, float]
Codes = Mapping[str, int]


class Controller:
    """The state between blocks.

    Parameters
    ----------
    start_mm : tuple of float
        Where the tool stands, NaN where unknown.
    inch_mm : float
        Length of the inch in mm.
    forgive : callable
        Takes (what, section) of a fault that lenient reading lets pass.

    Examples
    --------
    >>> c = Controller(start_mm=(0.0, 0.0, 0.0), inch_mm=25.4, forgive=print)
    >>> c.execute({"X": 1.0, "F": 10.0}, {"units": 200, "motion": 10}, moves=True, line=3)
    >>> c.rows.table()["end"][0].tolist()
    [25.4, 0.0, 0.0]
    """

    def __init__(
        self, *, start_mm: Point, inch_mm: float, forgive: Callable[[str, str], None]
    ) -> None:
        self.x, self.y, self.z = start_mm
        self.rows = MotionRows(start=start_mm)
        self.forgive = forgive
        self.inch_mm = inch_mm
        self.unit = 1.0
        self.line = 0
        self.absolute = self.to_old_height = True
        self.plane = 17
        self.motion: int | None = None
        self.inverse = False
        self.simple = True
        self.feed = self.speed = self.dwell_s = 0.0
        self.spin = 0
        self.system = 1
        self.sticky: dict[str, float] = {}
        self.ended_by: str | None = None
        self.stops: list[int] = []
        self.tooling = Tooling()

    @property
    def rpm(self) -> float:
        """Spindle speed, rpm, + clockwise."""
        return self.spin * self.speed

    def plain(self, words: tuple[str | None, ...], line: int) -> bool:
        """Make a plain move at once: G0 to G3 or none, then X Y Z I J F as text.

        Returns
        -------
        bool
            False, with nothing done, where the block needs the whole order of execution.
        """
        g, x, y, z, i, j, f = words
        motion = int(g) * 10 if g else self.motion
        if motion not in _PLAIN or not self.simple:
            return False
        is_arc = motion in _ARCS
        if is_arc != bool(i or j) or not (x or y or (z and not is_arc)):
            return False
        self.motion, self.line = motion, line
        if f:
            self.feed = float(f)
        end = self._plain_end(x, y, z)
        if is_arc:
            self._plain_arc(end, i, j)
        else:
            self._emit(_STRAIGHT[motion], end)
        return True

    def _plain_arc(self, end: Point, i: str | None, j: str | None) -> None:
        self._arc(end, (float(i or 0) * self.unit, float(j or 0) * self.unit), None)

    def _plain_end(self, x: str | None, y: str | None, z: str | None) -> Point:
        return (
            float(x) * self.unit if x else self.x,
            float(y) * self.unit if y else self.y,
            float(z) * self.unit if z else self.z,
        )

    def execute(self, words: Words, codes: Codes, *, moves: bool, line: int) -> None:
        """Execute a block whose words and codes were found to go together.

        Parameters
        ----------
        words : mapping of str to float
            Value by letter.
        codes : mapping of str to int
            Ten times the G value, or the M value, by modal group.
        moves : bool
            Whether its axis words belong to a motion.
        line : int
            Its number in the text.

        Raises
        ------
        ProgramError
            When a word has an impossible value, or the motion cannot be made.
        """
        self.line = line
        self._feed_and_speed(words, codes)
        self._tool_and_spindle(words, codes)
        if codes.get("non-modal") == 40:
            self._dwell(words)
        self._modes(codes)
        if "length offset" in codes:
            taken = codes["length offset"] == _TAKE_LENGTH
            number = _whole(words, "H", "3.5.11") if taken else 0
            self.tooling.take_length(number, line=self.line)
        if codes.get("non-modal") in _HOMES:
            self._go_home(words)
        self._move(words, codes, moves)
        if codes.get("stop") in {2, 30}:
            self.ended_by = f"M{codes['stop']}"
        elif "stop" in codes:
            self.stops.append(line)

    def _feed_and_speed(self, words: Words, codes: Codes) -> None:
        for letter in "FST":
            if words.get(letter, 0.0) < 0:
                raise ProgramError(f"{letter}{words[letter]:g} is negative", limit="3.7")
        was = self.inverse
        self.inverse = codes.get("feed mode", 930 if was else 940) == 930
        if self.inverse or was:
            self.feed = 0.0
        self.feed = words.get("F", self.feed)
        self.speed = words.get("S", self.speed)

    def _tool_and_spindle(self, words: Words, codes: Codes) -> None:
        """M6 leaves the spindle stopped (3.6.3), M3 to M5 turn it."""
        self.tooling.named = _whole(words, "T", "3.7.3", self.tooling.named)
        if "tool change" in codes:
            self.tooling.change(line=self.line, rpm=self.rpm, z_mm=self.z)
            self.spin = 0
        if "spindle" in codes:
            self.spin = {3: 1, 4: -1, 5: 0}[codes["spindle"]]

    def _dwell(self, words: Words) -> None:
        if words.get("P", -1.0) < 0:
            raise ProgramError(f"G4 needs P, 0 or more, among {sorted(words)}", limit="3.5.4")
        self.dwell_s += words["P"]

    def _modes(self, codes: Codes) -> None:
        self.plane = codes.get("plane", self.plane * 10) // 10
        if "units" in codes:
            self.unit = self.inch_mm if codes["units"] == 200 else 1.0
        if "coordinate system" in codes:
            self.system = _SYSTEMS[codes["coordinate system"]]
        self.absolute = codes.get("distance", 900 if self.absolute else 910) == 900
        self.to_old_height = codes.get("cycle return", 980 if self.to_old_height else 990) == 980
        self.simple = self.absolute and not self.inverse and self.plane == 17

    def _go_home(self, words: Words) -> None:
        """G28 and G30: by way of the point told, to a place only the machine knows (3.5.8)."""
        if any(a in words for a in _AXES):
            self._emit(RAPID, self._target(words))
        self._emit(RAPID, (_UNKNOWN, _UNKNOWN, _UNKNOWN), system=0)

    def _move(self, words: Words, codes: Codes, moves: bool) -> None:
        motion = codes.get("motion", self.motion)
        if motion != self.motion:
            self.sticky = {}
        self.motion = motion
        in_machine = codes.get("non-modal") == 530
        if in_machine and motion not in {0, 10}:
            raise ProgramError(f"G53 without G0 or G1, mode {motion}", limit="3.5.12")
        if motion is None or motion == 800:
            return
        if not moves:
            if "motion" in codes:
                self.forgive(f"G{motion // 10} without an axis word", "3.5")
        elif in_machine:
            self._machine_move(words)
        elif motion in CYCLES:
            self._cycle(motion, words)
        elif motion in {20, 30}:
            self._arc_block(words)
        else:
            self._emit(LINE if motion else RAPID, self._target(words))

    def _target(self, words: Words) -> Point:
        """Take the point that the axis words tell, mm."""
        here = (self.x, self.y, self.z)
        base = (0.0, 0.0, 0.0) if self.absolute else here
        x, y, z = (
            base[n] + words[a] * self.unit if a in words else here[n] for n, a in enumerate(_AXES)
        )
        return x, y, z

    def _machine_move(self, words: Words) -> None:
        """Move in machine coordinates, which are always absolute (3.5.12)."""
        x, y, z = (words[a] * self.unit if a in words else _UNKNOWN for a in _AXES)
        here = (self.x, self.y, self.z)
        u, v, w = (_UNKNOWN if a in words else here[n] for n, a in enumerate(_AXES))
        self._emit(LINE if self.motion else RAPID, (u, v, w), centre=(x, y, z), system=0)

    def _arc_block(self, words: Words) -> None:
        a, b = (_AXES[n] for n in PLANE_AXES[self.plane][:2])
        letters = _OFFSETS[self.plane]
        told = [words.get(o) for o in letters]
        by_radius = "R" in words
        if ({"I", "J", "K"} - set(letters)) & words.keys():
            self.forgive(f"an offset out of the plane G{self.plane}", "3.5.3.2")
        if by_radius == (told != [None, None]):
            raise ProgramError(
                f"an arc needs R or {' '.join(letters)}, one of both, among {sorted(words)}",
                limit="3.5.3",
            )
        if a not in words and b not in words:
            self.forgive(f"an arc without {a} or {b}", "3.5.3.2")
        offset = ((told[0] or 0.0) * self.unit, (told[1] or 0.0) * self.unit)
        self._arc(self._target(words), offset, words["R"] * self.unit if by_radius else None)

    def _arc(self, end: Point, offset: tuple[float, float], radius: float | None) -> None:
        here = (self.x, self.y, self.z)
        a, b, _ = PLANE_AXES[self.plane]
        first, last = (here[a], here[b]), (end[a], end[b])
        if not (math.isfinite(sum(first)) and math.isfinite(sum(last))):
            raise ProgramError(f"an arc from a point never told, {first}", limit="3.5.3")
        turn = -1 if self.motion == 20 else 1
        limit = RADII_DIFFER_MM if self.unit == 1.0 else RADII_DIFFER_IN * self.inch_mm
        found = None
        if radius is None:
            found, *radii = centre_form(first, last, offset)
            self._check_radii(radii[0], radii[1], limit)
        else:
            found = radius_form(first, last, radius, turn, limit_mm=limit)
        if found is None:
            raise ProgramError(
                f"no arc of radius {radius} mm joins {first} and {last}", limit="3.5.3.1"
            )
        centre = [here[0], here[1], here[2]]
        centre[a], centre[b] = found
        self._emit(ARC, end, centre=(centre[0], centre[1], centre[2]), turn=turn)

    def _check_radii(self, first: float, last: float, limit: float) -> None:
        if first == 0:
            raise ProgramError(f"the arc's radius is {first:g}", limit="3.5.3.2")
        differ = abs(first - last)
        if differ <= limit + _NOISE * first:
            return
        what = (
            f"the arc's radii {first:.6g} and {last:.6g} mm differ by {differ:.4g} mm, "
            f"at most {limit:g}"
        )
        if differ > lenient_limit(first):
            raise ProgramError(f"{what}", limit="3.5.3.2")
        self.forgive(what, "3.5.3.2")

    def _cycle(self, motion: int, words: Words) -> None:
        """Drill; R, the depth, P and Q stay in force while the cycle repeats (3.5.16)."""
        a, b, c = PLANE_AXES[self.plane]
        here = (self.x, self.y, self.z)
        depth, unit = _AXES[c], self.unit
        kept = {depth, "R", "P", "Q"}
        self.sticky |= {k: v for k, v in words.items() if k in kept}
        repeats = self._check_cycle(motion, words, depth)
        retract = (0.0 if self.absolute else here[c]) + self.sticky["R"] * unit
        end = self._target(words)
        hole = Hole(
            first=(end[a], end[b]),
            step=(0.0, 0.0) if self.absolute else (end[a] - here[a], end[b] - here[b]),
            bottom=self.sticky[depth] * unit + (0.0 if self.absolute else retract),
            retract=retract,
            repeats=repeats,
            peck=self.sticky["Q"] * unit if motion == 830 else None,
            to_old_height=self.to_old_height,
        )
        if hole.fault:
            raise ProgramError(f"{hole.fault}", limit="3.5.16")
        for is_rapid, point in drill((here[a], here[b], here[c]), hole):
            spot = [0.0, 0.0, 0.0]
            spot[a], spot[b], spot[c] = point
            self._emit(RAPID if is_rapid else LINE, (spot[0], spot[1], spot[2]))
        self.dwell_s += self.sticky["P"] * repeats if motion == 820 else 0.0

    def _check_cycle(self, motion: int, words: Words, depth: str) -> int:
        """Return L, or refuse a cycle that lacks a word or has an impossible one."""
        missing = sorted({depth, *_CYCLE_NEEDS[motion]} - self.sticky.keys())
        repeats = words.get("L", 1.0)
        name = f"G{motion // 10}"
        if missing:
            raise ProgramError(f"{name} lacks the word {' '.join(missing)}", limit="3.5.16")
        if repeats != int(repeats) or repeats < 1:
            raise ProgramError(f"L{repeats:g} is no positive whole number", limit="3.5.16")
        if self.inverse:
            raise ProgramError(f"{name} while G93 is active", limit="3.5.16")
        if self.sticky.get("P", 0.0) < 0:
            raise ProgramError(f"P{self.sticky['P']:g} is negative", limit="3.5.16")
        return int(repeats)

    def _emit(
        self,
        kind: int,
        end: Point,
        *,
        centre: Point = (_UNKNOWN, _UNKNOWN, _UNKNOWN),
        turn: int = 0,
        system: int | None = None,
    ) -> None:
        """Add one row and stand at its end; under G93 the feed is minus F until the end."""
        feed = 0.0 if kind == RAPID else -self.feed if self.inverse else self.feed * self.unit
        where = self.system if system is None else system
        facts = (self.line, kind, self.plane, turn, where, self.tooling.mounted)
        self.rows.add(facts, end, centre=centre, feed=feed, rpm=self.spin * self.speed)
        self.x, self.y, self.z = end


def _whole(words: Words, letter: str, section: str, default: float = -1.0) -> int:
    """Return the value of a word that must be a whole number from 0 up."""
    value = words.get(letter, float(default))
    if value != int(value) or value < 0:
        told = f"{letter}{value:g}" if letter in words else f"no {letter}"
        raise ProgramError(f"{told} is no whole number", limit=section)
    return int(value)
