"""The one tolerance budget, and every small number with its reason.

Promise: with tolerance T the finished part is never cut into (resolution 1 micrometre), and
where the cutter can reach, nothing more than T is left on it.

How T is spent. Each stage between the drawn curve and the written word may be wrong by its own
share, to either side. The offset distance is made larger by the sum of the shares (`margin_mm`),
so that no sum of errors cuts into the part; the same sum again, on the other side, is the most
that is left. Hence 2 x margin <= T:

    T/2 = flatten + simplify + chords + arcs + rounding (+ a reserve of a twentieth)

All lengths in mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

__all__ = [
    "DEFAULT_TOLERANCE_MM",
    "GOUGE_LIMIT_MM",
    "GRID_MM",
    "LENGTH_EPSILON_MM",
    "PARAMETER_EPSILON",
    "ROUNDING_MM",
    "SAME_MM",
    "SUM_EPSILON",
    "TINY",
    "TOUCH_MM",
    "Budget",
]

DEFAULT_TOLERANCE_MM = 0.02
"""T unless the user asks otherwise."""
SMALLEST_TOLERANCE_MM = 0.002
"""Below this the written decimals themselves would eat the budget."""
LARGEST_TOLERANCE_MM = 1.0
"""Above this the word tolerance no longer fits flat work with small cutters."""
SAME_MM = 1e-6
"""Points nearer than this are one point: a thousandth of the finest promise."""
SUM_EPSILON = 1e-11
"""Of a coordinate, no unit: more than thousands of added steps lose in float64 (2**-53 each)."""
TINY = 1e-300
"""Keeps a division defined where a length is zero; no unit, far below any length."""
GRID_MM = 1e-5
"""Grid of the integer offsetting: 1/100 of the finest promise, and inside the fast integer
range of the clipper (2**30 steps) up to 10 m."""
ROUNDING_MM = 0.0004
"""Most a written point or arc moves by rounding: 5 decimals of an inch, end and centre."""
GOUGE_LIMIT_MM = 0.001
"""Resolution of "never cut into": one micrometre."""
LENGTH_EPSILON_MM = 1e-9
"""Lengths below this are equal: float noise at workshop sizes is about 1e-13 mm."""
PARAMETER_EPSILON = 1e-9
"""Of a curve's parameter (0 to 1, no unit): points nearer to its ends are its ends."""
TOUCH_MM = 1e-6
"""An edge that reaches no farther than this into a disc touches it: a thousandth of what "never
cut into" resolves, and far above what square roots of float noise leave."""


@dataclass(frozen=True)
class Budget:
    """How the tolerance T is shared among the stages.

    Parameters
    ----------
    tolerance_mm : float
        T, from 0.002 to 1 mm.

    Raises
    ------
    SettingError
        When T is outside that range.

    Examples
    --------
    >>> budget = Budget(0.02)
    >>> budget.flatten_mm < 0.002 and 2 * budget.margin_mm <= 0.02
    True
    """

    tolerance_mm: float = DEFAULT_TOLERANCE_MM

    def __post_init__(self) -> None:
        if not (
            math.isfinite(self.tolerance_mm)
            and SMALLEST_TOLERANCE_MM <= self.tolerance_mm <= LARGEST_TOLERANCE_MM
        ):
            from outline2path.errors import SettingError  # everything rests on this module

            raise SettingError(
                f"tolerance {self.tolerance_mm:g} mm is outside "
                f"{SMALLEST_TOLERANCE_MM:g} to {LARGEST_TOLERANCE_MM:g} mm",
                value=self.tolerance_mm,
                limit=(SMALLEST_TOLERANCE_MM, LARGEST_TOLERANCE_MM),
                remedy=f"leave it out for {DEFAULT_TOLERANCE_MM:g} mm",
            )

    @property
    def _shared_mm(self) -> float:
        return self.tolerance_mm / 2 - ROUNDING_MM

    @property
    def flatten_mm(self) -> float:
        """Greatest distance between a drawn curve and the chords that stand for it."""
        return 0.20 * self._shared_mm

    @property
    def simplify_mm(self) -> float:
        """Greatest distance a point may lie from the simplified outline that is offset."""
        return 0.20 * self._shared_mm

    @property
    def chords_mm(self) -> float:
        """Greatest sagitta of the chords in the round corners of an offset."""
        return 0.10 * self._shared_mm

    @property
    def arcs_mm(self) -> float:
        """Greatest distance between an offset and the lines and arcs written for it."""
        return 0.45 * self._shared_mm

    @property
    def margin_mm(self) -> float:
        """Sum of all shares: what the offset distance is enlarged by."""
        shares = self.flatten_mm + self.simplify_mm + self.chords_mm + self.arcs_mm
        return shares + ROUNDING_MM
