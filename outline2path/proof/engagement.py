"""Engagement: how wide the cutter cuts, and how thick a chip each tooth takes, at every move.

In: the cutter's round along the way (see `rim`), feeds and spindle speed of the motions, what was
asked. Out: two checks, each with its worst place, and the figures.

Chip load is fz = F / (n z) (Machinery's Handbook, speeds and feeds). The thickest chip is
fz sin(phi) where the angle phi of the round in the stock is below a right angle, else fz
(geometry; trade calculators agree). On a bend the teeth at the cutter's outer side move faster
than its centre by (rho + r) / rho, those at its inner side slower, for a path of radius rho.
A check fails only where the job states a limit; a material's usual range is a starting point
and is told beside the figure. Lengths in mm, feeds in mm/min.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.proof.rim import FINEST_MM, Rim
from outline2path.proof.tracks import EVEN_MM, Floats, Pieces
from outline2path.proof.verdict import Check
from outline2path.rs274.motion import ARC, arc_radii

if TYPE_CHECKING:
    from outline2path.proof.expected_program import ExpectedProgram

__all__ = ["chip_load", "chip_loads", "outer_feed_factors", "thickest_chips", "width_of_cut"]

_SLACK = 1.02
"""Feeds written with few digits, and an angle known to an eighth of a degree."""
_FULL = 0.995
"""Share of the cutter's width from which a cut is called a full slot."""


def width_of_cut(rim: Rim, lines: NDArray[np.int32], expected: ExpectedProgram) -> Check:
    """Check the width of the cut against the greatest that the job states.

    Parameters
    ----------
    rim : Rim
        The cutter's round along the way.
    lines : ndarray of int
        Line of the text by row of the table.
    expected : ExpectedProgram
        `widest_cut_mm`.

    Examples
    --------
    >>> import shapely
    >>> from outline2path.proof.expected_program import ExpectedProgram
    >>> from outline2path.proof.feature import Feature
    >>> from outline2path.shop.cutter import Cutter
    >>> slot = Feature(kind="pocket", region_fine=shapely.box(0, 0, 40, 6), bottom_mm=-3.0)
    >>> wanted = ExpectedProgram(features=(slot,), cutter=Cutter(3.0), top_mm=0.0, bottom_mm=-6.0,
    ...                          clearance_mm=5.0, widest_cut_mm=1.0)
    >>> rim = Rim(np.zeros((1, 3)), np.array([0]), np.array([3.0]), np.array([np.pi]),
    ...           np.array([3.0]))
    >>> print(width_of_cut(rim, np.array([7]), wanted))
    no  width of cut: cuts 3.000 mm wide at once, asked for 1 mm at most: ... (line 7)
    """
    name, limit = "width of cut", expected.widest_cut_mm
    if not len(rim):
        return Check(name=name, ok=True, detail="no level move cuts")
    n = int(rim.width_mm.argmax())
    value = float(rim.width_mm[n])
    ok = limit is None or value <= limit + 2 * FINEST_MM
    full = float((rim.width_mm >= _FULL * rim.most_mm).mean())
    detail = (
        f"at most {value:.3f} mm, {np.degrees(rim.angle[n]):.0f} degrees of the cutter's round; "
        f"a full slot on {full:.0%} of the level way"
    )
    if not ok:
        detail = (
            f"cuts {value:.3f} mm wide at once, asked for {limit:g} mm at most: the cutter bends, "
            f"and may break; cut narrower strips, or less deep ones"
        )
    x, y = rim.at[n, :2].tolist()
    return Check(
        name=name, ok=ok, detail=detail, at_mm=(x, y), line=int(lines[rim.row[n]]),
        value=value, limit=limit,
    )  # fmt: skip


def chip_load(
    table: NDArray[np.void], feeds: Pieces, rim: Rim, *, expected: ExpectedProgram
) -> Check:
    """Check the thickest chip of every move against the greatest that the job states.

    Parameters
    ----------
    table : ndarray of MOTION
        All motions.
    feeds : Pieces
        Feed moves below the stock's top.
    rim : Rim
        The cutter's round along the way.
    expected : ExpectedProgram
        The cutter, `most_chip_mm` and the material's usual range.
    """
    name, limit = "chip load", expected.most_chip_mm
    loads = chip_loads(table, flutes=expected.cutter.flutes)
    more, shares = _other_moves(feeds, rim)
    every = np.concatenate([thickest_chips(rim, loads), loads[more] * shares])
    where = np.concatenate([rim.row, more])
    if not len(every):
        return Check(name=name, ok=True, detail="nothing is cut on the way")
    n = int(every.argmax())
    value, row = float(every[n]), int(where[n])
    ok = limit is None or value <= limit * _SLACK
    detail = f"at most {value:.4f} mm a tooth" + _beside(value, expected)
    outer = float((loads * outer_feed_factors(table, expected.radius_mm))[feeds.row].max())
    if outer > value * _SLACK:
        detail += f"; {outer:.4f} at the cutter's outer side on the tightest bend"
    if not ok:
        detail = (
            f"a chip of {value:.4f} mm a tooth, asked for {limit:.4f} at most: the cutter is "
            f"pushed harder than planned and may break; lower F or raise S"
        )
    at = table["end"][row, :2] if n >= len(rim) else rim.at[n, :2]
    x, y = at.tolist()
    return Check(
        name=name, ok=ok, detail=detail, at_mm=(x, y), line=int(table["line"][row]),
        value=value, limit=limit,
    )  # fmt: skip


def chip_loads(table: NDArray[np.void], *, flutes: int) -> Floats:
    r"""Return the feed per tooth of each motion, mm; 0 where the spindle stands still (another
    check tells of that).

    Examples
    --------
    >>> from outline2path.rs274.reader import read_program
    >>> text = "G20 G17 G90 G94 M3 S9000\nG0 X0 Y0 Z1\nG1 X1 F72\nM30"  # 0.008 in a tooth
    >>> chip_loads(read_program(text).table, flutes=1)[1].round(6)
    np.float64(0.2032)
    """
    rpm = np.abs(table["rpm"])
    loads = np.zeros(len(table))
    np.divide(table["feed"], rpm * flutes, out=loads, where=rpm > 0)
    return loads


def thickest_chips(rim: Rim, loads: Floats) -> Floats:
    """Return the thickest chip at each place, mm: fz sin(phi), fz from a right angle on.

    Parameters
    ----------
    rim : Rim
        The cutter's round along the way.
    loads : ndarray
        Feed per tooth by row of the table, mm.

    Examples
    --------
    >>> place = np.zeros((2, 3))
    >>> rim = Rim(place, np.array([0, 0]), place[:, 0], np.radians([30, 180]), place[:, 0])
    >>> thickest_chips(rim, np.array([0.2])).round(3).tolist()
    [0.1, 0.2]
    """
    out: Floats = loads[rim.row] * np.sin(np.minimum(rim.angle, np.pi / 2))
    return out


def outer_feed_factors(table: NDArray[np.void], radius_mm: float) -> Floats:
    r"""Return how much faster than its centre the cutter's outer side moves, by motion.

    Examples
    --------
    >>> from outline2path.rs274.reader import read_program
    >>> text = "G21 G17 G90\nG0 X3.4125 Y0 Z0\nG3 X3.4125 Y0 I-3.4125 F900\nM30"
    >>> float(1 / outer_feed_factors(read_program(text).table, 1.5875)[1])  # a wall of radius 5
    0.6825
    """
    factors = np.ones(len(table))
    arcs = np.flatnonzero(table["kind"] == ARC)
    if len(arcs):
        first, last = arc_radii(table[arcs])
        rho = np.maximum(np.minimum(first, last), radius_mm)
        factors[arcs] = (rho + radius_mm) / rho
    return factors


def _other_moves(feeds: Pieces, rim: Rim) -> tuple[NDArray[np.int64], Floats]:
    """Rows without a place of their own, and the share of fz that is the thickest chip there.

    Short level moves are in the stock as the next place is; ramps cut all across their ground;
    what only goes up or down has no chip of this kind.
    """
    goes = feeds.end - feeds.start
    moves = (goes[:, :2] != 0).any(axis=1)
    level = feeds.row[moves & (np.abs(goes[:, 2]) <= EVEN_MM)]
    ramps = np.unique(feeds.row[moves & (goes[:, 2] < -EVEN_MM)])
    short = np.setdiff1d(level, rim.row)
    if not len(rim):
        return np.concatenate([short, ramps]), np.ones(len(short) + len(ramps))
    beside = np.minimum(np.searchsorted(rim.row, short), len(rim) - 1)
    shares = np.sin(np.minimum(rim.angle[beside], np.pi / 2))
    return np.concatenate([short, ramps]), np.concatenate([shares, np.ones(len(ramps))])


def _beside(value: float, expected: ExpectedProgram) -> str:
    """Tell a figure beside the material's usual range."""
    if expected.usual_chip_mm is None:
        return ""
    low, high = expected.usual_chip_mm
    place = "within" if low <= value <= high else "below" if value < low else "above"
    return f", {place} the usual {low:.3f} to {high:.3f} (a starting point, not a limit)"
