"""Shading: a height field as a lit solid, seen from above at a slant.

In: a `HeightField`, its look, which cells to dim. Out: dots, red green blue alpha. The view is
parallel: up on the picture is away from the viewer and up from the table, by sine and cosine of
the tilt. In each column of cells the first one (counted from the viewer) that reaches a dot is
seen there: its upper face, or the wall under it. Dots are twice as fine as the picture and
averaged by four. Where nothing stands there is only the shadow on the table.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.picture.grain import Look, colour_at
from outline2path.picture.light import LAMP, blurred, lamp_seen, sky_seen, slopes
from outline2path.picture.noise import noise
from outline2path.tolerance import LENGTH_EPSILON_MM

if TYPE_CHECKING:
    from outline2path.picture.height_field import HeightField

__all__ = ["shaded"]

Floats = NDArray[np.float32]
_SKY_SHARE, _LAMP_SHARE = 0.46, 0.78
_WALL_SKY = 0.80
_WALL_CELLS = 4.0
"""A rise of so many cells from one row to the next is a wall."""
_TABLE_SHADE, _FADE_MM = 0.62, 6.0
_MARK_MM, _MARK_DEPTH = 1.7, 0.045
_ROUGH, _ROUGH_STEPS_A_MM = (0.93, 0.05), 0.9
_DIM_ALPHA, _DIM_GREY = 0.38, 0.45
_FOOT_CELLS, _WALL_BLUR = 3, 3
_CROP = 24
_FAINT = 6
_GAMMA = np.float32(1 / 2.2)


@dataclass(frozen=True, eq=False)
class _Seen:
    """What is seen at each dot: the cell, flat; the height there; whether it is a wall."""

    dot: NDArray[np.int64]
    cell: NDArray[np.int64]
    z: Floats
    wall: NDArray[np.bool_]
    shape: tuple[int, int]


def shaded(
    field: HeightField,
    *,
    look: Look,
    kept: NDArray[np.bool_] | None = None,
    remove: bool = False,
    tilt_deg: float = 52.0,
) -> NDArray[np.uint8]:
    """Return the picture, shape (high, wide, 4), top row first.

    Parameters
    ----------
    field : HeightField
        Its rows lead away from the viewer.
    look : Look
        What it is made of.
    kept : ndarray of bool, optional
        Cells of the part; all others are waste. Everything is shown alike if left out.
    remove : bool
        Leave the waste out instead of dimming it.
    tilt_deg : float
        How far above the table's level the viewer looks from: 90 is straight down.
    """
    solid = field.solid if kept is None or not remove else field.solid & kept
    z = np.where(solid, field.z, np.float32(field.bottom_mm))
    seen = _first_seen(z, field, math.radians(tilt_deg))
    bright = _brightness(z, field.grid.cell_mm)
    lamp, sky = bright[0]
    dots = np.zeros((seen.shape[0] * seen.shape[1], 4), dtype=np.float32)
    on = solid.reshape(-1)[seen.cell]
    table = _part_of(seen, ~on)
    dark = 1 - (0.45 + 0.55 * lamp[table.cell]) * sky[table.cell]
    dots[table.dot, 3] = _TABLE_SHADE * np.clip(dark * 1.15, 0, 1) * _faded(table, field)
    stock = _part_of(seen, on)
    colours = _lit(stock, z, field, look, bright)
    alpha = np.ones(len(stock.dot), dtype=np.float32)
    if kept is not None and not remove:
        waste = ~kept.reshape(-1)[stock.cell]
        grey = colours[waste].mean(axis=1, keepdims=True)
        colours[waste] += (grey * 1.05 - colours[waste]) * _DIM_GREY
        alpha[waste] = _DIM_ALPHA
    dots[stock.dot, :3] = colours * alpha[:, None]
    dots[stock.dot, 3] = alpha
    return _finished(dots.reshape(*seen.shape, 4))


def _faded(seen: _Seen, field: HeightField) -> Floats:
    """Return how much of a shadow is shown: all of it, but for a strip along the grid's edge."""
    grid = field.grid
    row, column = np.divmod(seen.cell, grid.wide)
    inside = np.minimum(
        np.minimum(row, grid.high - 1 - row), np.minimum(column, grid.wide - 1 - column)
    )
    share: Floats = np.clip(inside * np.float32(grid.cell_mm / _FADE_MM), 0, 1)
    return share


def _part_of(seen: _Seen, chosen: NDArray[np.bool_]) -> _Seen:
    return _Seen(
        seen.dot[chosen], seen.cell[chosen], seen.z[chosen], seen.wall[chosen], seen.shape
    )


def _first_seen(z: Floats, field: HeightField, tilt: float) -> _Seen:
    """Find the first cell that reaches each dot of its column."""
    cell, (tall, wide) = field.grid.cell_mm, z.shape
    sine, cosine = math.sin(tilt), math.cos(tilt)
    away = (np.arange(tall, dtype=np.float32) * np.float32(cell * sine))[:, None]
    up = (z - np.float32(field.bottom_mm)) * np.float32(cosine)
    reach = np.floor((away + up) / np.float32(cell)).astype(np.int32)
    np.maximum.accumulate(reach, axis=0, out=reach)
    before = np.empty_like(reach)
    before[0], before[1:] = -1, reach[:-1]
    new = np.flatnonzero(reach > before)
    row = (new // wide).astype(np.int32)
    high = int(reach[-1].max()) + 1
    first = np.zeros((high, wide), dtype=np.int32)
    first.reshape(-1)[(before.reshape(-1)[new] + 1 - row) * wide + new] = row
    np.maximum.accumulate(first, axis=0, out=first)
    dots = np.flatnonzero(np.arange(high)[:, None] <= reach[-1][None, :])
    row = first.reshape(-1)[dots]
    line = dots // wide
    at = dots + (row - line) * wide
    height = (line * cell - row * (cell * sine)) / cosine + field.bottom_mm
    flat = z.reshape(-1)
    in_front = np.where(row > 0, flat[np.maximum(at - wide, 0)], field.bottom_mm)
    wall = (flat[at] - in_front > _WALL_CELLS * cell) & (height < flat[at] - cell)
    seen_z = np.where(wall, height, flat[at]).astype(np.float32)
    return _Seen(dots + (high - 1 - 2 * line) * wide, at, seen_z, wall, (high, wide))


def _brightness(z: Floats, cell_mm: float) -> tuple[tuple[Floats, Floats], ...]:
    """Return lamp and sky by cell, flat, and both smoothed for walls.

    Both are worked out on every other cell.
    """
    coarse = np.ascontiguousarray(z[::2, ::2])
    lamp, sky = lamp_seen(coarse, 2 * cell_mm), sky_seen(coarse, 2 * cell_mm)
    whole = (slice(0, z.shape[0]), slice(0, z.shape[1]))

    def fine(share: Floats) -> Floats:
        return np.repeat(np.repeat(share, 2, axis=0), 2, axis=1)[whole].reshape(-1)

    smooth = blurred(lamp, _WALL_BLUR), blurred(sky, _WALL_BLUR)
    return (fine(lamp), fine(sky)), (fine(smooth[0]), fine(smooth[1]))


def _lit(
    seen: _Seen,
    z: Floats,
    field: HeightField,
    look: Look,
    bright: tuple[tuple[Floats, Floats], ...],
) -> Floats:
    """Return the colours of dots on the stock, in linear light."""
    wall, light = seen.wall, np.empty(len(seen.cell), dtype=np.float32)
    facing = np.clip(_facing(seen, z, field), 0.0, 1.0)
    lamp, sky = bright[0]
    level = seen.cell[~wall]
    light[~wall] = _LAMP_SHARE * lamp[level] * facing[~wall] + _SKY_SHARE * sky[level]
    lamp, sky = bright[1]
    foot = np.maximum(seen.cell[wall] - _FOOT_CELLS * z.shape[1], 0)
    share = (seen.z[wall] - z.reshape(-1)[foot]) / np.float32(field.top_mm - field.bottom_mm)
    open_sky = sky[foot] + (1 - sky[foot]) * np.clip(share, 0, 1)
    light[wall] = _LAMP_SHARE * lamp[foot] * facing[wall] + _SKY_SHARE * _WALL_SKY * open_sky
    light *= _worked(seen, field, wall)
    points = _places(seen, field)
    colours: Floats = colour_at(*points, look=look) * light[:, None]
    return colours


def _facing(seen: _Seen, z: Floats, field: HeightField) -> Floats:
    """Return the cosine between the surface and the lamp."""
    cell = field.grid.cell_mm
    east, north = (s.reshape(-1)[seen.cell] for s in slopes(z, cell))
    size = np.sqrt(1 + east**2 + north**2)
    flat = (-east * LAMP[0] - north * LAMP[1] + LAMP[2]) / size
    soft = blurred(np.ascontiguousarray(z[::2, ::2]), _WALL_BLUR)
    row, column = np.divmod(seen.cell[seen.wall], z.shape[1])
    down_north, down_east = (
        -np.gradient(soft, axis=axis)[row // 2, column // 2] for axis in (0, 1)
    )
    size = np.maximum(np.hypot(down_east, down_north), np.float32(LENGTH_EPSILON_MM))
    flat[seen.wall] = (down_east * LAMP[0] + down_north * LAMP[1]) / size
    facing: Floats = flat
    return facing


def _worked(seen: _Seen, field: HeightField, wall: NDArray[np.bool_]) -> Floats:
    """Return how the cutter's marks and the raw, uncut top change the light."""
    marks = field.marks_mm.reshape(-1)[seen.cell]
    pitch = max(_MARK_MM, 5 * field.grid.cell_mm)
    light = np.ones(len(marks), dtype=np.float32)
    worked = ~wall & ~np.isnan(marks)
    light[worked] += _MARK_DEPTH * np.sin(marks[worked] * np.float32(2 * np.pi / pitch))
    raw = ~wall & (seen.z >= np.float32(field.top_mm - LENGTH_EPSILON_MM))
    row, column = np.divmod(seen.cell[raw], field.grid.wide)
    scale = np.float32(field.grid.cell_mm * _ROUGH_STEPS_A_MM)
    light[raw] = _ROUGH[0] + _ROUGH[1] * (noise(column * scale, row * scale) - 0.5)
    return light


def _places(seen: _Seen, field: HeightField) -> tuple[Floats, Floats, Floats]:
    """Return the dots' places in the blank's own coordinates, from its lower left underside."""
    grid, turn = field.grid, math.radians(field.turn_deg)
    row, column = np.divmod(seen.cell, grid.wide)
    u = (grid.x0 + grid.cell_mm * column).astype(np.float32)
    v = (grid.y0 + grid.cell_mm * row).astype(np.float32)
    c, s = np.float32(math.cos(turn)), np.float32(math.sin(turn))
    return u * c + v * s, v * c - u * s, seen.z - np.float32(field.bottom_mm)


def _finished(dots: Floats) -> NDArray[np.uint8]:
    """Average four dots to one, and turn light into the numbers of a picture."""
    tall, wide = dots.shape[0] // 2 * 2, dots.shape[1] // 2 * 2
    four = dots[:tall, :wide].reshape(tall // 2, 2, wide // 2, 2, 4)
    mean = four.mean(axis=(1, 3))
    alpha = mean[..., 3:]
    colour = mean[..., :3] / np.maximum(alpha, np.float32(LENGTH_EPSILON_MM))
    plain = np.concatenate((np.clip(colour, 0, 1) ** _GAMMA, alpha), axis=2)
    return _cropped(np.round(plain * 255).astype(np.uint8))


def _cropped(dots: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Leave a narrow border round what stands, the faintest shadow apart."""
    there = dots[..., 3] > _FAINT
    rows, columns = np.flatnonzero(there.any(axis=1)), np.flatnonzero(there.any(axis=0))
    if not len(rows):
        return dots
    low = np.maximum([rows[0] - _CROP, columns[0] - _CROP], 0)
    return dots[low[0] : rows[-1] + _CROP, low[1] : columns[-1] + _CROP]
