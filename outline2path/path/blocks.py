"""Blocks: one span's polyline as moves.

In: points (n, 3) in mm. Out: rows of the MOVE table (kind, end point, centre offset), feeds and
roles still open. Lines and arcs are fitted in x and y; where z changes, a fit covers only a
stretch on which z is linear along the path, so that an arc becomes a true helix. Vertical steps
stay lines. Moves of no length are dropped. The same x and y at another depth is fitted once.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from outline2path.path.arcs import fit_arcs, fit_lines
from outline2path.path.toolpath import ARC_CCW, ARC_CW, LINE, MOVE
from outline2path.tolerance import GRID_MM, LENGTH_EPSILON_MM

__all__ = ["Fitter"]

Floats = NDArray[np.float64]


class Fitter:
    """Turns spans into moves and remembers every ring it has fitted.

    Parameters
    ----------
    tolerance_mm : float
        Greatest distance between a span and its moves, mm.

    Examples
    --------
    >>> import numpy as np
    >>> level = np.array([[0, 0, -1], [5, 0, -1], [9, 0, -1], [9, 4, -1]], float)
    >>> Fitter(0.005).moves(level)[["kind", "x", "y", "z"]].tolist()
    [(1, 9.0, 0.0, -1.0), (1, 9.0, 4.0, -1.0)]
    """

    def __init__(self, tolerance_mm: float) -> None:
        self._tolerance_mm = tolerance_mm
        self._known: dict[bytes, NDArray[np.void]] = {}

    def moves(self, points: Floats) -> NDArray[np.void]:
        """Return the MOVE rows that follow `points`, shape (n, 3), from the second point on."""
        parts = [self._stretch(points[a : b + 1]) for a, b in _even_slopes(points)]
        return np.concatenate(parts) if parts else np.zeros(0, MOVE)

    def _stretch(self, points: Floats) -> NDArray[np.void]:
        pieces = self._fit(np.ascontiguousarray(points[:, :2]))
        begin, end = points[pieces["first"]], points[pieces["last"]]
        moved = np.abs(end - begin).max(axis=1) > LENGTH_EPSILON_MM
        arc = pieces["turn"] != 0
        moves = np.zeros(len(pieces), MOVE)
        moves["kind"] = np.where(arc, np.where(pieces["turn"] > 0, ARC_CCW, ARC_CW), LINE)
        moves["x"], moves["y"], moves["z"] = end.T
        moves["i"] = np.where(arc, pieces["cx"] - begin[:, 0], 0.0)
        moves["j"] = np.where(arc, pieces["cy"] - begin[:, 1], 0.0)
        kept: NDArray[np.void] = moves[moved]
        return kept

    def _fit(self, flat: Floats) -> NDArray[np.void]:
        key = flat.tobytes()
        if key not in self._known:
            self._known[key] = fit_arcs(flat, tolerance_mm=self._tolerance_mm)
        return self._known[key]


def _even_slopes(points: Floats) -> list[tuple[int, int]]:
    """Split into stretches, first and last vertex, on which z is linear along the path."""
    if len(points) < 2:
        return []
    height = points[:, 2]
    if np.ptp(height) <= LENGTH_EPSILON_MM:
        return [(0, len(points) - 1)]
    step = np.diff(points[:, :2], axis=0)
    run = np.concatenate([[0.0], np.cumsum(np.hypot(step[:, 0], step[:, 1]))])
    pieces = fit_lines(np.column_stack([run, height]), tolerance_mm=GRID_MM)
    return list(zip(pieces["first"].tolist(), pieces["last"].tolist(), strict=True))
