"""Chords: motions become straight pieces.

In: rows of the table of motions, all with known positions, mm. Out: pieces of at most one motion
each, with z at both ends and the row they came from; arcs are replaced by chords within a given
sagitta (s = R (1 - cos(a / 2)), elementary geometry).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from outline2path.proof.tracks import Floats, Pieces
from outline2path.rs274.motion import ARC, PLANE_AXES, arc_radii, arc_sweeps

__all__ = ["chords"]

_MOST_CHORDS = 20_000


def chords(table: NDArray[np.void], *, sagitta_mm: float) -> Pieces:
    r"""Turn motions into straight pieces, arcs into chords at most `sagitta_mm` off.

    Parameters
    ----------
    table : ndarray of MOTION
        Rows with known positions.
    sagitta_mm : float
        Greatest distance of an arc from its chord, mm.

    Examples
    --------
    >>> from outline2path.rs274.reader import read_program
    >>> motions = read_program("G0 X1 Y0 Z0\nG3 X1 I-1 F9\nM2", start_mm=(0, 0, 0))
    >>> len(chords(motions.table, sagitta_mm=0.01))
    24
    """
    rows = np.arange(len(table))
    arcs = np.flatnonzero(table["kind"] == ARC)
    count = np.ones(len(table), dtype=np.int64)
    if len(arcs):
        first, last = arc_radii(table[arcs])
        sweep = arc_sweeps(table[arcs])
        radius = np.maximum(first, last)
        half = np.arccos(np.clip(1 - sagitta_mm / radius, -1, 1))
        needed = np.ceil(sweep / (2 * np.maximum(half, np.pi / _MOST_CHORDS)))
        count[arcs] = np.maximum(needed, 1).astype(np.int64)
    row = np.repeat(rows, count)
    step = np.arange(len(row)) - np.repeat(np.cumsum(count) - count, count)
    start, end = table["start"][row].copy(), table["end"][row].copy()
    if len(arcs):
        _put_on_arcs(table, arcs, count, (row, step, start, end))
    return Pieces(start, end, row)


def _put_on_arcs(
    table: NDArray[np.void],
    arcs: NDArray[np.int64],
    count: NDArray[np.int64],
    out: tuple[NDArray[np.int64], NDArray[np.int64], Floats, Floats],
) -> None:
    """Move the ends of arc pieces onto their arcs; the radius runs evenly from first to last."""
    row, step, start, end = out
    place = np.full(len(table), -1)
    place[arcs] = np.arange(len(arcs))
    on = np.flatnonzero(place[row] >= 0)
    which = place[row[on]]
    rows = table[arcs]
    axes = np.array([PLANE_AXES[int(p)] for p in rows["plane"]])
    each = np.arange(len(rows))
    a, b, c = axes.T
    u = rows["start"][each, a] - rows["centre"][each, a]
    v = rows["start"][each, b] - rows["centre"][each, b]
    angle, sweep = np.arctan2(v, u), arc_sweeps(rows) * np.where(rows["turn"] < 0, -1.0, 1.0)
    first, last = arc_radii(rows)
    for target, ahead in ((start, 0), (end, 1)):
        share = (step[on] + ahead) / count[arcs][which]
        radius = first[which] + share * (last - first)[which]
        turned = angle[which] + share * sweep[which]
        inner = (share > 0) & (share < 1)
        target[on, a[which]] = np.where(
            inner,
            rows["centre"][each, a][which] + radius * np.cos(turned),
            np.where(share == 0, rows["start"][each, a][which], rows["end"][each, a][which]),
        )
        target[on, b[which]] = np.where(
            inner,
            rows["centre"][each, b][which] + radius * np.sin(turned),
            np.where(share == 0, rows["start"][each, b][which], rows["end"][each, b][which]),
        )
        low, high = rows["start"][each, c][which], rows["end"][each, c][which]
        target[on, c[which]] = low + share * (high - low)
