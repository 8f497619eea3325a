"""Drilling cycles G81, G82 and G83 spelled out as moves (NISTIR 6556, 3.5.16 and 3.5.20).

In: where the tool is and what the cycle tells, all in mm and in the order (first axis, second
axis, normal) of the plane in force. Out: the moves, each a rapid or a feed to a point, and the
dwells. First up to R if the tool is below it; then rapid over the hole, rapid to R, feed to the
bottom, rapid out to the clear height: the old height under G98 where that is above R, else R.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

__all__ = ["CYCLES", "Hole", "drill"]

CYCLES = frozenset({810, 820, 830})
"""Cycles that are followed, G81 to G83, as ten times the G value."""

_BACK_OFF_MM = 0.254
"""How far above the last bottom a peck comes back by rapid: 0.010 in (from memory)."""
_MOST_MOVES = 100_000

Point = tuple[float, float, float]
Move = tuple[bool, Point]


@dataclass(frozen=True, kw_only=True)
class Hole:
    """One cycle line.

    Attributes
    ----------
    step : tuple of float
        From one hole to the next, mm: the increments under G91, zero under G90.
    first : tuple of float
        The first hole, mm.
    bottom, retract : float
        Depth and the R height, mm along the normal.
    repeats : int
        L.
    peck : float or None
        Q of G83, mm.
    to_old_height : bool
        G98 in force.
    """

    first: tuple[float, float]
    step: tuple[float, float]
    bottom: float
    retract: float
    repeats: int = 1
    peck: float | None = None
    to_old_height: bool = True

    @property
    def fault(self) -> str | None:
        """What makes the cycle impossible, or None."""
        if self.retract < self.bottom:
            return f"R {self.retract:g} mm is below the bottom {self.bottom:g} mm"
        if self.peck is not None and self.peck <= 0:
            return f"Q {self.peck:g} is not positive"
        pecks = 1 if self.peck is None else (self.retract - self.bottom) / self.peck
        if self.repeats * (pecks + 1) > _MOST_MOVES:
            return f"{self.repeats * pecks:.0f} pecks in one line are beyond any use"
        return None


def drill(at: Point, hole: Hole) -> Iterator[Move]:
    """Give the moves of a sound cycle from `at`, as (is a rapid, point) pairs.

    Examples
    --------
    >>> case = Hole(first=(4, 5), step=(0, 0), bottom=1.5, retract=2.8)
    >>> list(drill((1, 2, 3), case))
    [(True, (4, 5, 3)), (True, (4, 5, 2.8)), (False, (4, 5, 1.5)), (True, (4, 5, 3))]
    """
    old = at[2]
    clear = max(old, hole.retract) if hole.to_old_height else hole.retract
    height = old
    if height < hole.retract:
        height = hole.retract
        yield True, (at[0], at[1], height)
    for n in range(hole.repeats):
        x = hole.first[0] + n * hole.step[0]
        y = hole.first[1] + n * hole.step[1]
        yield True, (x, y, height)
        if height != hole.retract:
            yield True, (x, y, hole.retract)
        for is_rapid, z in _down(hole, clear):
            yield is_rapid, (x, y, z)
        yield True, (x, y, clear)
        height = clear


def _down(hole: Hole, clear: float) -> Iterator[tuple[bool, float]]:
    """Depths on the way down: at once, or peck by peck with a way out between."""
    if hole.peck is None:
        yield False, hole.bottom
        return
    depth = hole.retract
    while (depth := depth - hole.peck) > hole.bottom:
        yield False, depth
        yield True, clear
        yield True, depth + _BACK_OFF_MM
    yield False, hole.bottom
