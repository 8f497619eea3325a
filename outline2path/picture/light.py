"""Light: how bright each cell of a height field is, from one lamp and the open sky.

In: heights on a grid whose rows lead away from the viewer, mm. Out: slopes, how much of the lamp
each cell sees and how much of the sky. The lamp stands to the upper left, as drawing practice has
it. Shadows are soft: a cell is dimmed by how high the ground towards the lamp rises over the
lamp's lower and upper edge. The sky a cell sees falls with the ground that stands above it within
a few distances (an estimate of ambient occlusion by blurred heights; our own choice of weights).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["LAMP", "blurred", "lamp_seen", "sky_seen", "slopes"]

Heights = NDArray[np.float32]
_LAMP = np.array([-0.56, 0.34, 0.76])
LAMP = _LAMP / np.linalg.norm(_LAMP)
"""Direction to the lamp: x to the right, y away from the viewer, z up; length 1."""
_SOFT = 0.16
"""Half the lamp's height, as a slope."""
_SKY = ((1.0, 0.30), (4.0, 0.40), (14.0, 0.30))
"""Distances looked at (mm) and their weights."""
_FIRST_STEPS, _GROWTH = 80, 1.03


def slopes(z: Heights, cell_mm: float) -> tuple[Heights, Heights]:
    """Return the slope in x and y, of the gentler side where the two sides of a cell differ.

    An edge between two levels so stays sharp: neither level takes on the step's slope.

    Examples
    --------
    >>> step = np.array([[0, 0, 0, 5, 5, 5]] * 2, dtype=np.float32)
    >>> [float(np.abs(s).max()) for s in slopes(step, 1.0)]
    [0.0, 0.0]
    """
    return _slope(z, cell_mm, 1), _slope(z, cell_mm, 0)


def _slope(z: Heights, cell_mm: float, axis: int) -> Heights:
    rise = np.diff(z, axis=axis)
    rise /= np.float32(cell_mm)
    first, last = (np.take(rise, [n], axis=axis) for n in (0, -1))
    before = np.concatenate((first, rise), axis=axis)
    after = np.concatenate((rise, last), axis=axis)
    gentler: Heights = np.where(np.abs(before) < np.abs(after), before, after)
    return gentler


def lamp_seen(z: Heights, cell_mm: float) -> Heights:
    """Return the share of the lamp each cell sees, 0 to 1.

    Examples
    --------
    >>> ground = np.zeros((9, 40), dtype=np.float32)
    >>> ground[:, :15] = 9                  # a block, with the lamp to its left
    >>> lamp_seen(ground, 1.0)[4, [2, 17, 35]].round(1).tolist()
    [1.0, 0.0, 1.0]
    """
    level = float(np.hypot(*LAMP[:2]))
    rise = float(LAMP[2]) / level
    reach = float(z.max() - z.min()) / max(rise - _SOFT, _SOFT) / cell_mm
    worst = np.full(z.shape, -np.inf, dtype=np.float32)
    step = 1.0
    while step <= reach + 1:
        across, away = (round(float(part) / level * step) for part in LAMP[:2])
        distance = float(np.hypot(across, away)) * cell_mm
        _raise(worst, z, (across, away), distance)
        step = step + 1 if step < _FIRST_STEPS else max(step + 1, step * _GROWTH)
    seen: Heights = np.clip(0.5 - (worst - rise) / (2 * _SOFT), 0.0, 1.0)
    return blurred(seen, 1)


def _raise(worst: Heights, z: Heights, shift: tuple[int, int], distance: float) -> None:
    """Note how steeply the ground `shift` cells towards the lamp rises."""
    across, away = shift
    tall, wide = z.shape
    if abs(across) >= wide or abs(away) >= tall or distance <= 0:
        return
    here = (
        slice(max(-away, 0), tall - max(away, 0)),
        slice(max(-across, 0), wide - max(across, 0)),
    )
    there = (
        slice(max(away, 0), tall - max(-away, 0)),
        slice(max(across, 0), wide - max(-across, 0)),
    )
    slope = (z[there] - z[here]) / np.float32(distance)
    np.maximum(worst[here], slope, out=worst[here])


def sky_seen(z: Heights, cell_mm: float) -> Heights:
    """Return the share of the sky each cell sees, 0 to 1.

    Examples
    --------
    >>> ground = np.zeros((60, 60), dtype=np.float32)
    >>> ground[:, :30] = 9
    >>> seen = sky_seen(ground, 0.5)
    >>> bool(seen[30, 31] < seen[30, 50] <= 1)
    True
    """
    hidden = np.zeros_like(z)
    for distance, weight in _SKY:
        over = blurred(z, max(round(distance / cell_mm), 1)) - z
        hidden += np.float32(weight) * np.clip(over / np.float32(distance), 0.0, 1.0)
    seen: Heights = 1 - hidden
    return seen


def blurred(z: Heights, radius: int) -> Heights:
    """Return the mean over squares of 2 radius + 1 cells, twice, edges carried on."""
    for _ in range(2):
        z = _run(_run(z, radius, 1), radius, 0)
    return z


def _run(z: Heights, radius: int, axis: int) -> Heights:
    """Return running means along an axis."""
    width = 2 * radius + 1
    ends = [(0, 0), (0, 0)]
    ends[axis] = (radius + 1, radius)
    total = np.cumsum(np.pad(z, ends, mode="edge"), axis=axis, dtype=np.float64)
    if axis:
        return ((total[:, width:] - total[:, :-width]) / width).astype(np.float32)
    return ((total[width:] - total[:-width]) / width).astype(np.float32)
