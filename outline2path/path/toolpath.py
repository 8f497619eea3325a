"""Toolpath: every move of one program as a NumPy table.

Out of `path.assemble`, into `rs274.writer` and pictures. Lengths in mm, feeds in mm/min, work
coordinates, y up, z up. A row is one move; its start is the end of the row before, the first
row's is `start`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from outline2path.shop.cutter import Cutter

__all__ = ["ARC_CCW", "ARC_CW", "LINE", "MOVE", "RAPID", "ROLES", "Section", "Toolpath"]

RAPID, LINE, ARC_CW, ARC_CCW = 0, 1, 2, 3
"""Kinds of move, numbered as G0 G1 G2 G3."""

ROLES = (
    "rapid",
    "plunge",
    "ramp",
    "lead-in",
    "cut",
    "tab",
    "lead-out",
    "approach",
    "retract",
    "link",
    "lift",
)
"""Names of the numbers in the `role` column."""

MOVE = np.dtype(
    [
        ("kind", np.uint8),
        ("role", np.uint8),
        ("section", np.int32),
        ("x", np.float64),
        ("y", np.float64),
        ("z", np.float64),
        ("i", np.float64),  # centre of an arc less its start point, 0 elsewhere
        ("j", np.float64),
        ("feed", np.float64),  # mm/min; 0 on rapids
    ]
)
"""One row: kind, role, section, end point, centre offset, feed."""


@dataclass(frozen=True, kw_only=True)
class Section:
    """One pass: operation, contour, cutter, depth, number of its step, and its surface; mm.

    `number` is the cutter's place on the machine, where the program changes cutters, and `rpm`
    the spindle speed, where it is the pass's own; None leaves both as they are.
    """

    operation: str
    contour: int
    cutter: Cutter
    z_mm: float
    step: int = 0
    top_mm: float = 0.0
    number: int | None = None
    rpm: float | None = None

    @property
    def wide_mm(self) -> float:
        """Width of the cut where it meets the surface it starts from, mm."""
        return 2 * self.cutter.radius_at_mm(max(self.top_mm - self.z_mm, 0.0))


@dataclass(frozen=True, eq=False, kw_only=True)
class Toolpath:
    """All moves of one program.

    Attributes
    ----------
    moves : ndarray of MOVE
        One row a move.
    sections : tuple of Section
        The passes, indexed by the `section` column.
    start : tuple of float
        x, y, z in mm before the first move: above work zero at clearance height.
    clearance_mm : float
        z of the clearance height in work coordinates.
    """

    moves: NDArray[np.void]
    sections: tuple[Section, ...]
    start: tuple[float, float, float]
    clearance_mm: float
