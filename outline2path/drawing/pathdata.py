"""Path data: the text of a `d` attribute -> Curves, in one linear pass.

In: path data as SVG 2 section 9.3 defines it (from memory): M L H V C S Q T A Z, absolute and
relative, compact forms such as `M.5.5-1-1` and `a1 1 0 01 10 0` included. Out: segments in the
path's own units; quadratics raised to cubics, which is exact, and arcs as centre and axes. On a
fault everything before the faulty segment is kept (section 9.5.4) and the fault is returned as
text, for the user to see. Arcs go from end points to centre form by the formulas of appendix
B.2.4, with the standard's rules for radii that are zero, negative or too small.
"""

from __future__ import annotations

import math
import re
from array import array
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from outline2path.drawing.curves import ARC, CUBIC, LINE, Curves
from outline2path.errors import DrawingError
from outline2path.tolerance import SUM_EPSILON

__all__ = ["PathFault", "parse_path"]

_NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_LAZY = r"[+-]?(?:\d++(?:\.\d*+)?|\.\d++)(?:[eE][+-]?\d++)?"
_NUMBERS = re.compile(_NUMBER)
_COMMANDS = re.compile(r"([MmZzLlHhVvCcSsQqTtAa])")
_RUNS = re.compile(r"([MmZzLlHhVvCcSsQqTtAa])([^MmZzLlHhVvCcSsQqTtAa]*)")
_WHOLE = 10_000_000
"""Longer path data (characters) are checked piece by piece, to bound memory."""
_WSP = r"[ \t\r\n\f]"
_SEP = rf"{_WSP}*,?{_WSP}*"
_ARGUMENTS = re.compile(rf"{_WSP}*(?:{_NUMBER}(?:{_SEP}{_NUMBER})*)?{_WSP}*")
_ARC = re.compile(
    rf"({_NUMBER}){_SEP}({_NUMBER}){_SEP}({_NUMBER}){_SEP}([01]){_SEP}([01]){_SEP}"
    rf"({_NUMBER}){_SEP}({_NUMBER})"
)
_NEXT = re.compile(rf"{_SEP}")
_LARGE = re.compile(r"\d{12}|[eE]")
_PLAIN = re.compile(
    rf"{_WSP}*+(?:[MmZzLlHhVvCcSsQqTtAa]{_WSP}*+(?:{_LAZY}{_WSP}*+(?:,?{_WSP}*+{_LAZY}{_WSP}*+)*+)?)*+"
)
"""Path data without a fault between numbers; never looks at a character twice."""
_ARITY = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7}
_FARTHEST = 1e12
"""Coordinates beyond this (user units) count as faults: no drawing is that large."""


@dataclass(frozen=True)
class PathFault:
    """Where path data broke: the text at fault and how many segments were kept."""

    text: str
    kept: int


def parse_path(d: str, *, most: int = 250_000) -> tuple[Curves, PathFault | None]:
    """Read path data.

    Parameters
    ----------
    d : str
        Path data.
    most : int
        Segments read at most.

    Returns
    -------
    Curves
        What was read up to the first fault, in the path's units, y as in the file.
    PathFault or None
        The first fault.

    Raises
    ------
    DrawingError
        When the path holds more segments.

    Examples
    --------
    >>> curves, fault = parse_path("M0 0H10V5z")
    >>> curves.rows[:, 7:9].tolist(), fault
    ([[10.0, 0.0], [10.0, 5.0], [0.0, 0.0]], None)
    >>> parse_path("M10 10L20 20,30")[1]
    PathFault(text='L20 20,30', kept=1)
    """
    pen = _Pen(most)
    plain = _PLAIN.match(d) if len(d) <= _WHOLE else None
    pen.sound = plain is not None and plain.end() == len(d)
    pen.easy = pen.sound and len(d) <= most and not _LARGE.search(d)
    start = _COMMANDS.search(d)
    before = d[: start.start() if start else len(d)].strip()
    if before:
        return pen.curves(), PathFault(before[:30], 0)
    for command, text in map(re.Match.groups, _RUNS.finditer(d)):
        if not pen.run(command, text):
            shown = f"{command}{text.strip()}"[:30]
            return pen.curves(), PathFault(shown, pen.count)
    return pen.curves(), None


class _Pen:
    """The state of path reading: current point, start of sub-path, last control point."""

    def __init__(self, most: int) -> None:
        self.data = array("d")
        self.count = self.moves = 0
        self.most = most
        self.firsts: list[int] = []
        self.closed: list[bool] = []
        self.x = self.y = self.x0 = self.y0 = 0.0
        self.cx = self.cy = 0.0
        self.last = ""
        self.open = False
        self.sound = self.easy = False
        self._draw: dict[str, Callable[[list[float], bool], None]] = {
            "M": self._moves,
            "L": self._lines,
            "H": self._across,
            "V": self._along,
            "C": self._cubics,
            "S": self._smooth,
            "Q": self._quadratics,
            "T": self._smooth_quadratics,
            "A": self._arcs,
        }

    def curves(self) -> Curves:
        self._meet()
        rows = np.array(self.data).reshape(-1, 13)
        return Curves(
            rows, np.array(self.firsts, dtype=np.int64), np.array(self.closed, dtype=bool)
        )

    def run(self, command: str, text: str) -> bool:
        """Draw one command with all its arguments; False at a fault."""
        kind = command.upper()
        if kind != "M" and not self.last:
            return False
        if kind == "Z":
            self._close()
            return not text.strip(" \t\r\n\f")
        if kind == "A":
            numbers, sound = _arc_numbers(text)
        else:
            numbers, sound = _numbers(text, trusted=self.sound)
        arity, kept = _ARITY[kind], numbers
        if not self.easy or len(numbers) % arity:
            kept = self._near(numbers[: len(numbers) - len(numbers) % arity], arity)
            self._refuse_more(len(kept) // arity, moves=kind == "M")
        if kept:
            self._draw[kind](kept, command != kind)
            self.last = kind if kind != "M" or len(kept) == arity else "L"
        return sound and len(kept) == len(numbers) > 0

    def _near(self, numbers: list[float], arity: int) -> list[float]:
        """Leave out what follows a coordinate that no drawing is large enough for."""
        if not numbers or (max(numbers) <= _FARTHEST and min(numbers) >= -_FARTHEST):
            return numbers
        far = next(k for k, v in enumerate(numbers) if abs(v) > _FARTHEST)
        return numbers[: far - far % arity]

    def _refuse_more(self, more: int, *, moves: bool) -> None:
        """Refuse a path of more segments, or moves, than the limit."""
        held = max(self.count, self.moves)
        if more and max(self.count + more - moves, self.moves + moves) > self.most:
            raise DrawingError(
                f"a path holds more than {self.most} lines and curves, or moves",
                value=held,
                limit=self.most,
                remedy="simplify it, or raise the limit segments",
            )

    def _moves(self, v: list[float], relative: bool) -> None:
        """Move to the first point; lines follow to the others."""
        self._leave()
        self.moves += 1
        self.x = self.x0 = v[0] + (self.x if relative else 0.0)
        self.y = self.y0 = v[1] + (self.y if relative else 0.0)
        if len(v) > 2:
            self._lines(v[2:], relative)

    def _leave(self) -> None:
        self._meet()
        self.open = False

    def _begin(self) -> None:
        if not self.open:
            self.firsts.append(self.count)
            self.closed.append(False)
            self.open = True

    def _meet(self) -> None:
        """Let an end that misses the start by mere rounding, as sums of steps do, be the start."""
        near = SUM_EPSILON * max(abs(self.x0), abs(self.y0), 1.0)
        if self.open and abs(self.x - self.x0) <= near and abs(self.y - self.y0) <= near:
            self.data[-6:-4] = array("d", (self.x0, self.y0))
            self.x, self.y = self.x0, self.y0

    def _close(self) -> None:
        self._meet()
        if self.x != self.x0 or self.y != self.y0 or not self.open:
            self._begin()
            self._straight(self.x0, self.y0)
        self.closed[-1] = True
        self._leave()
        self.last = "Z"

    def _straight(self, x: float, y: float) -> None:
        a, b = self.x, self.y
        self.data.extend((LINE, a, b, a, b, x, y, x, y, 0.0, 0.0, 0.0, 0.0))
        self.count += 1
        self.x, self.y = x, y

    def _curve(self, x1: float, y1: float, x2: float, y2: float, x: float, y: float) -> None:
        self.data.extend((CUBIC, self.x, self.y, x1, y1, x2, y2, x, y, 0.0, 0.0, 0.0, 0.0))
        self.count += 1
        self.x, self.y = x, y

    def _lines(self, v: list[float], relative: bool) -> None:
        self._begin()
        a, b, extend = self.x, self.y, self.data.extend
        for x, y in _groups(v, 2):
            if relative:
                x, y = x + a, y + b
            extend((LINE, a, b, a, b, x, y, x, y, 0.0, 0.0, 0.0, 0.0))
            a, b = x, y
        self.x, self.y = a, b
        self.count += len(v) // 2

    def _across(self, v: list[float], relative: bool) -> None:
        self._begin()
        for x in v:
            self._straight(x + self.x if relative else x, self.y)

    def _along(self, v: list[float], relative: bool) -> None:
        self._begin()
        for y in v:
            self._straight(self.x, y + self.y if relative else y)

    def _cubics(self, v: list[float], relative: bool) -> None:
        self._begin()
        a, b, extend = self.x, self.y, self.data.extend
        for x1, y1, x2, y2, x, y in _groups(v, 6):
            if relative:
                x1, y1, x2, y2, x, y = x1 + a, y1 + b, x2 + a, y2 + b, x + a, y + b
            extend((CUBIC, a, b, x1, y1, x2, y2, x, y, 0.0, 0.0, 0.0, 0.0))
            a, b = x, y
        self.x, self.y, self.cx, self.cy = a, b, x2, y2
        self.count += len(v) // 6

    def _smooth(self, v: list[float], relative: bool) -> None:
        self._begin()
        for x2, y2, x, y in _groups(v, 4):
            x1, y1 = self._mirrored("CS")
            if relative:
                x2, y2, x, y = x2 + self.x, y2 + self.y, x + self.x, y + self.y
            self._curve(x1, y1, x2, y2, x, y)
            self.cx, self.cy, self.last = x2, y2, "S"

    def _quadratics(self, v: list[float], relative: bool) -> None:
        self._begin()
        for x1, y1, x, y in _groups(v, 4):
            if relative:
                x1, y1, x, y = x1 + self.x, y1 + self.y, x + self.x, y + self.y
            self._raised(x1, y1, x, y)

    def _smooth_quadratics(self, v: list[float], relative: bool) -> None:
        self._begin()
        for x, y in _groups(v, 2):
            x1, y1 = self._mirrored("QT")
            if relative:
                x, y = x + self.x, y + self.y
            self._raised(x1, y1, x, y)
            self.last = "T"

    def _mirrored(self, after: str) -> tuple[float, float]:
        if self.last and self.last in after:
            return 2 * self.x - self.cx, 2 * self.y - self.cy
        return self.x, self.y

    def _raised(self, qx: float, qy: float, x: float, y: float) -> None:
        """Draw a quadratic as the cubic that it is."""
        self.cx, self.cy = qx, qy
        a, b = (self.x + 2 * qx) / 3, (self.y + 2 * qy) / 3
        self._curve(a, b, (x + 2 * qx) / 3, (y + 2 * qy) / 3, x, y)

    def _arcs(self, v: list[float], relative: bool) -> None:
        for rx, ry, turn, large, sweep, x, y in _groups(v, 7):
            if relative:
                x, y = x + self.x, y + self.y
            if x == self.x and y == self.y:
                continue
            self._begin()
            arc = _centre_form((self.x, self.y), (rx, ry, turn, large, sweep), (x, y))
            if arc is None:
                self._straight(x, y)
                continue
            ux, uy, vx, vy, cx, cy, angle, size = arc
            self.data.extend((ARC, self.x, self.y, ux, uy, vx, vy, x, y, cx, cy, angle, size))
            self.count += 1
            self.x, self.y = x, y


def _groups(numbers: list[float], n: int) -> Iterator[tuple[float, ...]]:
    """Numbers, n at a time."""
    one = iter(numbers)
    return zip(*[one] * n, strict=True)


def _numbers(text: str, *, trusted: bool) -> tuple[list[float], bool]:
    """Numbers of one command and whether the whole text was read."""
    if trusted:
        return [*map(float, _NUMBERS.findall(text))], True
    match = _ARGUMENTS.match(text)
    end = match.end() if match else 0
    return [float(n) for n in _NUMBERS.findall(text[:end])], end == len(text)


def _arc_numbers(text: str) -> tuple[list[float], bool]:
    """As `_numbers`, for arcs, whose flags are single digits without separators."""
    numbers: list[float] = []
    at = len(text) - len(text.lstrip())
    end = len(text.rstrip())
    while at < end:
        match = _ARC.match(text, at)
        if not match:
            return numbers, False
        numbers.extend(map(float, match.groups()))
        step = _NEXT.match(text, match.end())
        at = step.end() if step else match.end()
    return numbers, not text.rstrip().endswith(",")


def _centre_form(
    start: tuple[float, float], v: tuple[float, ...], end: tuple[float, float]
) -> tuple[float, ...] | None:
    """Axes, centre, start angle and sweep of an arc; None where it is a straight line.

    SVG 2 appendix B.2.4, worked in the frame where the ellipse is the unit circle, so that
    half circles do not lose half their digits.
    """
    rx, ry, turn = abs(v[0]), abs(v[1]), math.radians(v[2] % 360)
    cos, sin = math.cos(turn), math.sin(turn)
    hx, hy = (start[0] - end[0]) / 2, (start[1] - end[1]) / 2
    if rx == 0 or ry == 0:
        return None
    px, py = (cos * hx + sin * hy) / rx, (cos * hy - sin * hx) / ry
    square = px * px + py * py
    if not 0 < square < math.inf:
        return None
    grow, off = (math.sqrt(square), 0.0) if square >= 1 else (1.0, math.sqrt(1 / square - 1))
    off = -off if v[3] == v[4] else off
    ux, uy, vx, vy = rx * grow * cos, rx * grow * sin, -ry * grow * sin, ry * grow * cos
    qx, qy = off * py, -off * px
    cx = (start[0] + end[0]) / 2 + (rx * qx * cos - ry * qy * sin)
    cy = (start[1] + end[1]) / 2 + (rx * qx * sin + ry * qy * cos)
    angle = math.atan2(py - qy, px - qx)
    sweep = (math.atan2(-py - qy, -px - qx) - angle) % math.tau
    row = (ux, uy, vx, vy, cx, cy, angle, sweep if v[4] else sweep - math.tau)
    return row if all(map(math.isfinite, row)) else None
