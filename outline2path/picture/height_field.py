"""Height field: what programs leave of a blank, as one height a cell.

In: programs as text with their cutters, in the order they are run on one blank, and the blank's
box, mm. Out: a `HeightField`. The text is read anew and replayed; nothing of the plan goes in.

What it states: each height is exact at the centre of its cell to `height_error_mm` (slopes are
cut in stairs of that height, curves in chords of half a cell's tenth), so walls stand within half
a cell's diagonal of their true place. Rapids cut too if they go below the top: it shows what the
machine would do. Cutters are bodies of revolution; round cutter tips are told by their
`depth_for_radius_mm`.

The cost is linear in the moves and the cells; see `outline2path.picture.swept`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.errors import SettingError
from outline2path.picture.replay import Pieces, level_pieces
from outline2path.picture.swept import Grid, covered_cells, paint
from outline2path.rs274.reader import read_program

if TYPE_CHECKING:
    from outline2path.rs274.motion import Motions
    from outline2path.shop.cutter import Cutter

__all__ = ["Cutting", "HeightField", "carve"]

Heights = NDArray[np.float32]
Box = tuple[float, float, float, float]
_CHORD_SHARE, _STEP_SHARE = 0.05, 0.1
_MOST_CELLS = 40_000_000
_PROFILE_STEPS = 256
_SAME = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


@dataclass(frozen=True, eq=False, kw_only=True)
class Cutting:
    """One program run on a blank.

    Attributes
    ----------
    text : str
        The program.
    cutter : Cutter
        What turns.
    cutters : mapping of int to Cutter, optional
        What turns after each M6, by its number, where the program changes cutters.
    matrix : tuple of 6 floats
        From its work coordinates to those of the picture: x' = a x + c y + e,
        y' = b x + d y + f; a mirror where the blank lay the other side up.
    raised_mm : float
        Added to its heights, where its work zero lies elsewhere in z.
    from_below : bool
        Whether it was cut while the blank lay the other side up. Its heights then count from
        the blank's top as it lay, and reach into the blank from its underside.
    """

    text: str
    cutter: Cutter
    matrix: tuple[float, float, float, float, float, float] = _SAME
    raised_mm: float = 0.0
    from_below: bool = False
    cutters: Mapping[int, Cutter] | None = None

    def turns(self, motions: Motions) -> Iterator[tuple[Cutter, Motions]]:
        """Part the program's motions by what turns."""
        tool = motions.table["tool"]
        begins = [0, *(np.flatnonzero(np.diff(tool)) + 1).tolist(), len(tool)]
        for begin, end in pairwise(begins if self.cutters else (0, len(tool))):
            cutter = self.cutter
            if self.cutters and end > begin:
                cutter = self.cutters.get(int(tool[begin]), cutter)
            yield cutter, replace(motions, table=motions.table[begin:end])


@dataclass(frozen=True, eq=False, kw_only=True)
class HeightField:
    """Heights of a blank after cutting.

    Attributes
    ----------
    grid : Grid
        Where the cells lie, mm. Turned by `turn_deg` against the work coordinates.
    z : ndarray of float32, shape (high, wide)
        Height of the upper surface at each cell's centre, work coordinates, mm; not below
        `bottom_mm`.
    under : ndarray of float32, shape (high, wide)
        Height of the lower surface.
    on_stock : ndarray of bool, shape (high, wide)
        Cells whose centre lies within the blank's box.
    marks_mm : ndarray of float32, shape (high, wide)
        Place of a flat cutter's last sweep, mm along its way; NaN where none went last. Equal
        values lie on one arc of the cutter's leading edge.
    top_mm, bottom_mm : float
        Heights of the uncut blank.
    turn_deg : float
        How far the plan was turned counter-clockwise into the grid.
    height_error_mm : float
        Most a height is off at its cell's centre.
    """

    grid: Grid
    z: Heights
    under: Heights
    on_stock: NDArray[np.bool_]
    marks_mm: Heights
    top_mm: float
    bottom_mm: float
    turn_deg: float
    height_error_mm: float

    @property
    def solid(self) -> NDArray[np.bool_]:
        """Cells where material is left."""
        return self.on_stock & (self.z > self.under)

    @property
    def removed_mm3(self) -> float:
        """Volume cut away."""
        left = np.where(self.solid, self.z - self.under, 0.0)[self.on_stock]
        full = self.top_mm - self.bottom_mm
        return float((full - left).sum(dtype=np.float64) * self.grid.cell_mm**2)

    @property
    def through_mm2(self) -> float:
        """Area of the blank that is cut right through."""
        gone = self.on_stock & ~self.solid
        return float(gone.sum() * self.grid.cell_mm**2)

    def __repr__(self) -> str:
        size = f"{self.grid.wide} x {self.grid.high}"
        return f"HeightField({size} cells of {self.grid.cell_mm:g} mm)"


def carve(
    cuttings: Sequence[Cutting],
    *,
    stock_box_mm: Box,
    top_mm: float,
    bottom_mm: float,
    cell_mm: float = 0.2,
    turn_deg: float = 0.0,
    margin_mm: Box = (0.0, 0.0, 0.0, 0.0),
) -> HeightField:
    """Run programs on a blank and return what is left.

    Parameters
    ----------
    cuttings : sequence of Cutting
        In the order they are run.
    stock_box_mm : tuple of float
        x0, y0, x1, y1 of the blank in work coordinates, mm.
    top_mm, bottom_mm : float
        Heights of its top and underside.
    cell_mm : float
        Size of a cell.
    turn_deg : float
        Turns the plan counter-clockwise about the box's lower left corner, for a view from
        another side.
    margin_mm : tuple of 4 floats
        Empty cells left of the turned blank, before, right of and behind it.

    Raises
    ------
    SettingError
        When the blank is empty or the cells would be more than 40 million.
    ProgramError
        When a text has no safe meaning.

    Examples
    --------
    >>> from outline2path.shop.cutter import Cutter
    >>> text = chr(10).join(["G21 G90 G17 G0 X5 Y5 Z5", "G1 Z-1 F300", "X15", "G0 Z5", "M30"])
    >>> slot = carve([Cutting(text=text, cutter=Cutter(2))], stock_box_mm=(0, 0, 20, 10),
    ...              top_mm=0.0, bottom_mm=-3.0, cell_mm=0.05)
    >>> abs(slot.removed_mm3 - (2 * 10 + math.pi)) < 0.05      # 2 r L + pi r2, 1 mm deep
    True
    """
    if not (top_mm > bottom_mm and cell_mm > 0):
        raise SettingError(
            f"a blank from z {bottom_mm:g} to {top_mm:g} mm in cells of {cell_mm:g} mm is empty",
            value=(bottom_mm, top_mm, cell_mm),
            remedy="the top lies above the bottom, and cells have a size",
        )
    grid, turn, on_stock = _grid(stock_box_mm, cell_mm, turn_deg, margin_mm)
    step = _STEP_SHARE * cell_mm
    z = np.full((grid.high, grid.wide), top_mm, dtype=np.float32)
    deep = np.zeros_like(z)
    marks = np.full_like(z, np.nan)
    for cutting in cuttings:
        motions = read_program(cutting.text, strict=False)
        roof = top_mm - cutting.raised_mm
        chord = _CHORD_SHARE * cell_mm
        for cutter, part in cutting.turns(motions):
            pieces = level_pieces(part, top_mm=roof, chord_mm=chord, step_mm=step)
            pieces = pieces.moved(cutting.matrix).moved(turn)
            if cutting.from_below:
                _cut(deep, None, pieces, cutter, (grid, -roof))
            else:
                _cut(z, marks, pieces, cutter, (grid, cutting.raised_mm))
    under = np.where(deep < 0, bottom_mm - deep, bottom_mm).astype(np.float32)
    return HeightField(
        grid=grid,
        z=np.maximum(z, np.float32(bottom_mm)),
        under=under,
        on_stock=on_stock,
        marks_mm=marks,
        top_mm=top_mm,
        bottom_mm=bottom_mm,
        turn_deg=turn_deg,
        height_error_mm=step,
    )


def _grid(
    box: Box, cell_mm: float, turn_deg: float, margin_mm: Box
) -> tuple[Grid, tuple[float, ...], NDArray[np.bool_]]:
    """Lay cells over a turned box; return them, the turn as a matrix, and which lie in it."""
    x0, y0, x1, y1 = box
    c, s = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    turn = (c, s, -s, c, 0.0, 0.0)
    corners = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]]) @ np.array([[c, s], [-s, c]])
    low, high = corners.min(axis=0) - margin_mm[:2], corners.max(axis=0) + margin_mm[2:]
    wide, tall = (max(math.ceil(side / cell_mm - _STEP_SHARE), 1) for side in high - low)
    if wide * tall > _MOST_CELLS:
        raise SettingError(
            f"{wide} x {tall} cells of {cell_mm:g} mm are too many",
            value=wide * tall,
            limit=_MOST_CELLS,
            remedy="use larger cells",
        )
    grid = Grid(
        x0=float(low[0]) + cell_mm / 2,
        y0=float(low[1]) + cell_mm / 2,
        cell_mm=cell_mm,
        wide=wide,
        high=tall,
    )
    u = (grid.x0 + cell_mm * np.arange(wide)).astype(np.float32)[None, :]
    v = (grid.y0 + cell_mm * np.arange(tall)).astype(np.float32)[:, None]
    x, y = u * np.float32(c) + v * np.float32(s), v * np.float32(c) - u * np.float32(s)
    return grid, turn, (x >= x0) & (x <= x1) & (y >= y0) & (y <= y1)


def _cut(
    z: Heights, marks: Heights | None, pieces: Pieces, cutter: Cutter, place: tuple[Grid, float]
) -> None:
    """Lower the heights to what the cutter leaves."""
    grid, raised = place
    if not len(pieces):
        return
    table = _tip(cutter)
    if table is None:
        _cut_flat(z, marks, pieces, cutter.radius_mm, place)
        return
    radii, heights = table
    room = float(z.max()) - raised - pieces.z
    reach = np.interp(room, heights, radii)
    before, flat = z.copy(), z.reshape(-1)
    for run, cell, distance in covered_cells(pieces.start, pieces.end, reach, grid=grid):
        left = pieces.z[run] + np.interp(distance, radii, heights) + raised
        np.minimum.at(flat, cell, left.astype(np.float32))
    if marks is not None:
        marks[z < before] = np.nan


def _cut_flat(
    z: Heights,
    marks: Heights | None,
    pieces: Pieces,
    radius: float,
    place: tuple[Grid, float],
) -> None:
    grid, raised = place
    order = np.argsort(-pieces.z, kind="stable")
    start, end = pieces.start[order], pieces.end[order]
    last = paint(start, end, np.full(len(order), radius), grid=grid)
    height = (pieces.z[order] + raised).astype(np.float32)
    floor = np.where(last >= 0, height[last], np.inf).astype(np.float32)
    if marks is not None:
        newer = np.flatnonzero(floor.reshape(-1) <= z.reshape(-1))
        run = last.reshape(-1)[newer]
        row, column = np.divmod(newer, grid.wide)
        ray = np.column_stack((grid.x0 + column * grid.cell_mm, grid.y0 + row * grid.cell_mm))
        ray -= start[run]
        along = end - start
        along /= np.maximum(np.hypot(*along.T), _STEP_SHARE * grid.cell_mm)[:, None]
        ahead = (ray * along[run]).sum(axis=1)
        aside = ray[:, 0] * along[run, 1] - ray[:, 1] * along[run, 0]
        edge = np.sqrt(np.maximum(radius**2 - aside**2, 0.0))
        marks.reshape(-1)[newer] = pieces.along_mm[order][run] + ahead - edge
    np.minimum(z, floor, out=z)


def _tip(cutter: Cutter) -> tuple[NDArray[np.float64], NDArray[np.float64]] | None:
    """Return radii (from 0, rising) and the tip's heights there, or None for a flat end."""
    at_tip = getattr(cutter, "radius_at_mm", lambda _: cutter.radius_mm)(0.0)
    if at_tip >= cutter.radius_mm:
        return None
    radii = np.linspace(at_tip, cutter.radius_mm, _PROFILE_STEPS)
    heights = np.array([cutter.depth_for_radius_mm(float(r)) for r in radii])
    if at_tip > 0:
        radii, heights = np.append(0.0, radii), np.append(0.0, heights)
    return radii, heights
