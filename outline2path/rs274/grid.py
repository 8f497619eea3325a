"""Grid: moves rounded to the decimals that are written, before they are written.

In: a `Toolpath` in mm. Out: a table of whole numbers of steps, 0.0001 mm or 0.00001 in, so that
text, bounds and checks all speak of the same numbers. A point moves by at most half a step in x,
y and z. An arc keeps its centre in space: the offset is taken anew from the rounded start, and
the two radii then agree within 2 sqrt(2) steps, far inside the 20 steps the standard allows
(NISTIR 6556 section 3.5.3.2: 0.002 mm, 0.0002 in).

What rounding would spoil is mended: an arc no higher than half a step over its chord, or whose
radius is 2 steps or less, becomes a line; an arc that rounding could close to a full circle, or
open to none, is cut in two; a move of no length goes.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from outline2path.errors import ProgramError, SettingError
from outline2path.path.measure import positions_mm, sweeps_rad
from outline2path.path.toolpath import ARC_CCW, ARC_CW, LINE, RAPID, Toolpath
from outline2path.units import MM_PER_INCH

__all__ = ["BLOCK", "DECIMALS", "on_grid", "step_mm"]

DECIMALS = {"mm": 4, "in": 5}
"""Decimals of a length: the fewest that keep arcs inside the standard's limit."""
RADII_LIMIT_STEPS = 20
"""0.002 mm at 4 decimals, 0.0002 in at 5 decimals."""
SMALL_RADIUS_STEPS = 2
"""Arcs no larger than this are less than their own rounding."""
CLOSE_ENDS_STEPS = 4
"""Ends this near can be rounded onto or past one another: half a diagonal step each."""
FARTHEST_MM = 10_000.0
"""Coordinates beyond this are refused: five arc words of them still fit 80 characters."""

BLOCK = np.dtype(
    [
        ("kind", np.uint8),
        ("section", np.int32),
        ("x", np.int64),
        ("y", np.int64),
        ("z", np.int64),
        ("i", np.int64),
        ("j", np.int64),
        ("feed", np.float64),  # in the program's units a minute, 0 on rapids
    ]
)
"""One motion block, lengths in steps."""

Integers = NDArray[np.int64]


def step_mm(units: str) -> float:
    """Return the length of one step, mm.

    Raises
    ------
    SettingError
        When the units are neither "mm" nor "in".

    Examples
    --------
    >>> step_mm("mm")
    0.0001
    """
    if units not in DECIMALS:
        raise SettingError(f"units {units!r} are neither mm nor in", value=units)
    unit = MM_PER_INCH if units == "in" else 1.0
    return unit * float(10.0 ** -DECIMALS[units])


def on_grid(toolpath: Toolpath, *, units: str = "mm") -> tuple[Integers, NDArray[np.void]]:
    """Round a toolpath to the grid.

    Returns
    -------
    tuple
        The start, shape (3,), and the BLOCK rows, lengths in steps.

    Raises
    ------
    SettingError
        When a coordinate is not finite or beyond 10 m.
    ProgramError
        When an arc's start and end do not lie on one circle.

    Examples
    --------
    >>> import numpy as np
    >>> from outline2path.path.toolpath import MOVE
    >>> arc = np.array([(2, 4, 0, 10.00004, 16, 0, 3, 4, 600)], MOVE)
    >>> path = Toolpath(moves=arc, sections=(), start=(7, 7, 0), clearance_mm=5)
    >>> on_grid(path)[1][["x", "y", "i", "j"]].tolist()
    [(100000, 160000, 30000, 40000)]
    """
    step = step_mm(units)
    _check_reach(toolpath)
    close = _nearly_full(toolpath, step)
    if close.any():
        toolpath = _halved(toolpath, close)
    at = np.rint(positions_mm(toolpath) / step).astype(np.int64)
    blocks = np.zeros(len(toolpath.moves), BLOCK)
    blocks["kind"], blocks["section"] = toolpath.moves["kind"], toolpath.moves["section"]
    blocks["x"], blocks["y"], blocks["z"] = at[1:].T
    blocks["feed"] = _feeds(toolpath, units)
    arcs = _is_arc(blocks["kind"])
    offset = _offsets(toolpath, at, step)
    flat = arcs & _flat(toolpath, offset, step)
    blocks["kind"][flat] = LINE
    arcs &= ~flat
    blocks["i"], blocks["j"] = np.where(arcs[:, None], offset, 0).T
    _check_radii(at, offset, arcs)
    moved = (at[1:] != at[:-1]).any(axis=1) | arcs
    return at[0], blocks[moved]


def _offsets(toolpath: Toolpath, at: Integers, step: float) -> Integers:
    """Centre less rounded start, in steps: the centre itself stays where it was."""
    offset = np.column_stack([toolpath.moves["i"], toolpath.moves["j"]])
    centre = (positions_mm(toolpath)[:-1, :2] + offset) / step
    rounded: Integers = np.rint(centre - at[:-1, :2]).astype(np.int64)
    return rounded


def _flat(toolpath: Toolpath, offset: Integers, step: float) -> NDArray[np.bool_]:
    """Arcs too low over their chord, or too small, to be told from a line."""
    radius = np.hypot(toolpath.moves["i"], toolpath.moves["j"])
    rise = radius * (1 - np.cos(sweeps_rad(toolpath) / 2))
    small = np.hypot(offset[:, 0], offset[:, 1]) <= SMALL_RADIUS_STEPS
    flat: NDArray[np.bool_] = small | (rise <= step / 2)
    return flat


def _nearly_full(toolpath: Toolpath, step: float) -> NDArray[np.bool_]:
    """Arcs of more than half a turn whose ends rounding could make meet or pass one another."""
    sweep = np.abs(sweeps_rad(toolpath))
    chord = np.hypot(*np.diff(positions_mm(toolpath)[:, :2], axis=0).T)
    chosen: NDArray[np.bool_] = (sweep > np.pi) & (chord > 0) & (chord <= CLOSE_ENDS_STEPS * step)
    return chosen


def _halved(toolpath: Toolpath, chosen: NDArray[np.bool_]) -> Toolpath:
    """Cut the chosen arcs in two at the middle of their sweep."""
    moves, at = toolpath.moves, positions_mm(toolpath)
    offset = np.column_stack([moves["i"], moves["j"]])
    centre = at[:-1, :2] + offset
    half = sweeps_rad(toolpath) / 2
    cos, sin = np.cos(half), np.sin(half)
    x = centre[:, 0] - offset[:, 0] * cos + offset[:, 1] * sin
    y = centre[:, 1] - offset[:, 0] * sin - offset[:, 1] * cos
    first = moves.copy()
    first["x"], first["y"], first["z"] = x, y, (at[1:, 2] + at[:-1, 2]) / 2
    second = moves.copy()
    second["i"], second["j"] = centre[:, 0] - x, centre[:, 1] - y
    pairs = np.column_stack([np.where(chosen, first, moves), second]).ravel()
    keep = np.column_stack([np.ones(len(moves), bool), chosen]).ravel()
    return replace(toolpath, moves=pairs[keep])


def _feeds(toolpath: Toolpath, units: str) -> NDArray[np.float64]:
    """Round feeds to 0.1 mm/min or 0.01 in/min, in the program's units, never to nothing."""
    per_step = 0.1 * MM_PER_INCH / 10 if units == "in" else 0.1
    steps = np.maximum(np.rint(toolpath.moves["feed"] / per_step), 1.0)
    shown = steps / (100.0 if units == "in" else 10.0)
    return np.where(toolpath.moves["kind"] == RAPID, 0.0, shown)


def _is_arc(kind: NDArray[np.uint8]) -> NDArray[np.bool_]:
    arcs: NDArray[np.bool_] = (kind == ARC_CW) | (kind == ARC_CCW)
    return arcs


def _check_reach(toolpath: Toolpath) -> None:
    words = [positions_mm(toolpath).ravel(), toolpath.moves["i"], toolpath.moves["j"]]
    worst = np.abs(np.concatenate(words)).max()
    if not worst <= FARTHEST_MM:
        raise SettingError(
            f"the path goes {worst:g} mm away from work zero",
            value=float(worst),
            limit=FARTHEST_MM,
            remedy="bring the drawing and the work zero together",
        )


def _check_radii(at: Integers, offset: Integers, arcs: NDArray[np.bool_]) -> None:
    ends = at[1:, :2] - at[:-1, :2] - offset
    apart = np.abs(np.hypot(*offset.T) - np.hypot(*ends.T)) * arcs
    if len(apart) and apart.max() > RADII_LIMIT_STEPS:
        row = int(apart.argmax())
        raise ProgramError(
            f"the arc of move {row} starts and ends on circles {apart[row]:.0f} steps apart",
            value=float(apart[row]),
            limit=RADII_LIMIT_STEPS,
            remedy="give an arc whose ends lie on one circle",
        )
