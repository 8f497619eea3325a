"""A plain second opinion on programs: words read by a pattern, stock as a grid of heights.

Nothing of the package is used. Slow and coarse on purpose: each move is cut into short steps and
at each step the cutter's outline is pressed into the grid.
"""

import math
import re

import numpy as np

_WORD = re.compile(r"([A-Z])\s*([-+]?\d*\.?\d+)")
_STEP_MM = 0.2


def points(text):
    """Every place the tip comes to at cutting feed, shape (n, 3), mm, absolute mode, xy plane."""
    at, mode, unit, found = np.zeros(3), 0, 1.0, []
    for line in text.splitlines():
        words = _WORD.findall(re.sub(r"\(.*?\)|;.*", "", line))
        codes = {float(number) for letter, number in words if letter == "G"}
        unit = 25.4 if 20 in codes else 1.0 if 21 in codes else unit
        mode = next((int(code) for code in codes if code in (0, 1, 2, 3)), mode)
        value = {letter: float(number) * unit for letter, number in words}
        if codes & {4, 53} or not value.keys() & set("XYZ"):
            continue
        to = np.array([value.get(letter, at[k]) for k, letter in enumerate("XYZ")])
        if mode:
            found.append(_between(at, to, mode, value.get("I", 0.0), value.get("J", 0.0)))
        at = to
    return np.vstack(found)


def _between(at, to, mode, i, j):
    """Short steps along a line, or along an arc about at + (i, j)."""
    if mode == 1:
        return np.linspace(at, to, 2 + int(np.linalg.norm(to - at) / _STEP_MM))
    centre, radius = np.add(at[:2], (i, j)), math.hypot(i, j)
    first, last = (math.atan2(*(p[:2] - centre)[::-1]) for p in (at, to))
    turn = (last - first) % math.tau if mode == 3 else -((first - last) % math.tau)
    turn = turn if abs(turn) > 1e-9 else math.copysign(math.tau, 1 if mode == 3 else -1)
    share = np.linspace(0, 1, 2 + int(abs(turn) * radius / _STEP_MM))
    angle = first + turn * share
    return np.column_stack(
        (
            centre[0] + radius * np.cos(angle),
            centre[1] + radius * np.sin(angle),
            at[2] + (to[2] - at[2]) * share,
        )
    )


class Stock:
    """Heights over a grid of square cells, told at their middles."""

    def __init__(self, box, *, top, cell=0.4):
        x0, y0, x1, y1 = box
        self.x, self.y = np.arange(x0, x1, cell) + cell / 2, np.arange(y0, y1, cell) + cell / 2
        self.z = np.full((len(self.y), len(self.x)), float(top))

    def cut(self, text, shape):
        """Press a cutter along a program; `shape` tells its height at a distance off its axis."""
        cutter, radius = shape
        for x, y, z in np.unique(points(text).round(6), axis=0):
            a, b = np.searchsorted(self.x, (x - radius, x + radius))
            c, d = np.searchsorted(self.y, (y - radius, y + radius))
            off = np.hypot(*np.meshgrid(self.x[a:b] - x, self.y[c:d] - y))
            under = np.where(off <= radius, z + cutter(off), np.inf)
            self.z[c:d, a:b] = np.minimum(self.z[c:d, a:b], under)


def flat(diameter):
    """A flat cutter."""
    return np.zeros_like, diameter / 2


def cone(diameter, angle):
    """A sharp cone of an included angle in degrees, also a drill's point."""
    return lambda off: off / math.tan(math.radians(angle) / 2), diameter / 2
