"""Blocks: spans' polylines as moves.

In: points (n, 3) in mm. Out: rows of the MOVE table (kind, end point, centre offset), feeds and
roles still open. Lines and arcs are fitted in x and y; where z changes, a fit covers only a
stretch on which z is linear along the path, so that an arc becomes a true helix. Vertical steps
stay lines. Moves of no length are dropped. The same x and y at another depth is fitted once.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from outline2path.path.arcs import fit_many
from outline2path.path.toolpath import ARC_CCW, ARC_CW, LINE, MOVE
from outline2path.tolerance import GRID_MM, LENGTH_EPSILON_MM

__all__ = ["Fitter"]

Floats = NDArray[np.float64]
Moves = NDArray[np.void]


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
        self._breaks: dict[bytes, list[tuple[int, int]]] = {}
        self._pieces: dict[bytes, NDArray[np.void]] = {}

    def learn(self, spans: Sequence[Floats]) -> None:
        """Fit many spans, each of shape (n, 3), in one go; `moves` then only looks them up."""
        spans = [points for points in spans if len(points) > 2]
        slopes = {points.tobytes(): points for points in spans if _climbs(points)}
        slopes = {key: points for key, points in slopes.items() if key not in self._breaks}
        tables = fit_many(
            [_profile(points) for points in slopes.values()], tolerance_mm=GRID_MM, arcs=False
        )
        for key, table in zip(slopes, tables, strict=True):
            pairs = zip(table["first"].tolist(), table["last"].tolist(), strict=True)
            self._breaks[key] = list(pairs)
        flats = {
            flat.tobytes(): flat
            for points in spans
            for flat in (_flat(part) for part in self._parts(points))
        }
        flats = {key: flat for key, flat in flats.items() if key not in self._pieces}
        tables = fit_many(list(flats.values()), tolerance_mm=self._tolerance_mm)
        self._pieces.update(zip(flats, tables, strict=True))

    def moves(self, points: Floats) -> Moves:
        """Return the MOVE rows that follow `points`, shape (n, 3), from the second point on."""
        if len(points) == 2:
            return _lines(points[:1], points[1:])
        self.learn([points])
        parts = [self._stretch(part) for part in self._parts(points)]
        return np.concatenate(parts) if parts else np.zeros(0, MOVE)

    def _parts(self, points: Floats) -> list[Floats]:
        """Split into stretches on which z is linear along the path."""
        if len(points) < 2:
            return []
        pairs = self._breaks.get(points.tobytes(), [(0, len(points) - 1)])
        return [points[first : last + 1] for first, last in pairs]

    def _stretch(self, points: Floats) -> Moves:
        pieces = self._pieces[_flat(points).tobytes()]
        begin, end = points[pieces["first"]], points[pieces["last"]]
        moves = _lines(begin, end, keep_all=True)
        arc = pieces["turn"] != 0
        moves["kind"][arc] = np.where(pieces["turn"] > 0, ARC_CCW, ARC_CW)[arc]
        moves["i"][arc] = (pieces["cx"] - begin[:, 0])[arc]
        moves["j"][arc] = (pieces["cy"] - begin[:, 1])[arc]
        kept: Moves = moves[_differ(begin, end)]
        return kept


def _lines(begin: Floats, end: Floats, *, keep_all: bool = False) -> Moves:
    moves = np.zeros(len(end), MOVE)
    moves["kind"] = LINE
    moves["x"], moves["y"], moves["z"] = end.T
    return moves if keep_all else moves[_differ(begin, end)]


def _differ(begin: Floats, end: Floats) -> NDArray[np.bool_]:
    apart: NDArray[np.bool_] = np.abs(end - begin).max(axis=1) > LENGTH_EPSILON_MM
    return apart


def _climbs(points: Floats) -> bool:
    return bool(np.ptp(points[:, 2]) > LENGTH_EPSILON_MM)


def _flat(points: Floats) -> Floats:
    return np.ascontiguousarray(points[:, :2])


def _profile(points: Floats) -> Floats:
    """Length along the path and height: where this is straight, an arc may be a helix."""
    step = np.diff(points[:, :2], axis=0)
    run = np.concatenate([[0.0], np.cumsum(np.hypot(step[:, 0], step[:, 1]))])
    return np.column_stack([run, points[:, 2]])
