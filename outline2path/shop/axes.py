"""Axes: a figure that holds along every move, or one for each axis of the machine.

In: one figure, or three for x, y and z, in any unit (mm/min, mm/s2). Out: the most that a move of
a given direction may have, in the same unit.

One figure holds along the move whatever its direction. Three figures hold for the axes: a move
whose direction has the shares (dx, dy, dz) of its length asks each axis for that share of its own
speed, so it may have at most the least of figure / share (projection on the axes; elementary
geometry). Level along x that is x's own figure; at 45 degrees between two equal axes it is
sqrt(2) times theirs.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outline2path.errors import SettingError
from outline2path.tolerance import TINY

__all__ = ["AXES", "PerAxis"]

AXES = ("x", "y", "z")
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class PerAxis:
    """The most along a move, or the most of each axis.

    Attributes
    ----------
    figures : tuple of float
        One, or three for x, y and z.

    Raises
    ------
    SettingError
        When there are neither one nor three figures, or one is not positive.

    Examples
    --------
    >>> PerAxis((3000, 2000, 600)).level, PerAxis((3000, 2000, 600)).down
    (2000.0, 600.0)
    """

    figures: tuple[float, ...]

    def __post_init__(self) -> None:
        if len(self.figures) not in (1, len(AXES)):
            raise SettingError(
                f"{len(self.figures)} figures are neither one nor three",
                value=self.figures,
                remedy="give one for all moves, or three for x, y and z",
            )
        for figure in self.figures:
            if not 0 < figure < math.inf:
                raise SettingError(f"a figure of {figure:g} is not positive", value=figure)
        object.__setattr__(self, "figures", tuple(map(float, self.figures)))

    @classmethod
    def of(cls, value: object, *, label: str, parse: Callable[[str | float], float]) -> PerAxis:
        """Read what a person wrote: one figure, or a tuple of three.

        Parameters
        ----------
        value : str, float, or tuple of them
            With or without a unit.
        label : str
            What it is, for errors.
        parse : callable
            Reads one figure.

        Raises
        ------
        SettingError
            When there are neither one nor three figures, or one is not positive.
        UnitError
            When a figure cannot be read.

        Examples
        --------
        >>> from outline2path.units import parse_feed
        >>> PerAxis.of(("3 m/min", "3 m/min", 600), label="greatest feed", parse=parse_feed)
        PerAxis(figures=(3000.0, 3000.0, 600.0))
        """
        several = value if isinstance(value, tuple | list) else (value,)
        figures = tuple(parse(one) for one in several)
        try:
            return cls(figures)
        except SettingError as fault:
            fault.message = fault.message.replace("a figure", f"a {label}")
            raise

    @property
    def level(self) -> float:
        """What every level move may have, whatever its direction."""
        return min(self.figures[:2])

    @property
    def down(self) -> float:
        """What a move straight up or down may have."""
        return self.figures[-1]

    def along(self, shares: Floats) -> Floats:
        """Return the most each of several moves may have.

        Parameters
        ----------
        shares : ndarray, shape (n, 3)
            Of each move, how much of its length each axis has to go: a unit vector for a line;
            for an arc the greatest share each axis has anywhere on it. The sign is ignored.

        Examples
        --------
        >>> mill = PerAxis((3000, 2000, 600))
        >>> mill.along(np.array([[1, 0, 0], [0.6, 0.8, 0], [0, 0, -1.0]])).tolist()
        [3000.0, 2500.0, 600.0]
        >>> PerAxis((3000,)).along(np.array([[0.6, 0.8, 0]])).tolist()
        [3000.0]
        """
        if len(self.figures) == 1:
            return np.full(len(shares), self.figures[0])
        most: Floats = (np.array(self.figures) / np.maximum(np.abs(shares), TINY)).min(axis=1)
        return most

    def __str__(self) -> str:
        if len(self.figures) == 1:
            return f"{self.figures[0]:g}"
        return ", ".join(f"{a} {f:g}" for a, f in zip(AXES, self.figures, strict=True))
