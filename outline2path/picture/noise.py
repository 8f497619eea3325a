"""Noise: smooth random values for the look of materials, the same every time.

In: coordinates in lattice steps. Out: values 0 to 1. Value noise: random numbers on a square
lattice that repeats every 256 steps, blended by a cubic between (Perlin 1985 for the idea of
lattice noise, from memory). Nothing here enters a figure that is reported.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["noise", "speckle"]

Floats = NDArray[np.float32]
_SIDE = 256
_SEED = 20_011
_TABLE = np.random.default_rng(_SEED).random((_SIDE + 1) * (_SIDE + 1), dtype=np.float32)
_TABLE = _TABLE.reshape(_SIDE + 1, _SIDE + 1)
_TABLE[-1], _TABLE[:, -1] = _TABLE[0], _TABLE[:, 0]
_FLAT = _TABLE.reshape(-1)


def noise(x: Floats, y: Floats) -> Floats:
    """Return smooth noise at points given in lattice steps.

    Examples
    --------
    >>> at = np.array([0.0, 256.0], dtype=np.float32)
    >>> a, b = noise(at, at)
    >>> bool(a == b), bool(0 <= a <= 1)
    (True, True)
    """
    column, row = np.floor(x), np.floor(y)
    u, v = x - column, y - row
    u *= u * (3 - 2 * u)
    v *= v * (3 - 2 * v)
    at = (row.astype(np.int32) & (_SIDE - 1)) * (_SIDE + 1)
    at += column.astype(np.int32) & (_SIDE - 1)
    low, high = _FLAT[at], _FLAT[at + _SIDE + 1]
    low += (_FLAT[at + 1] - low) * u
    high += (_FLAT[at + _SIDE + 2] - high) * u
    blended: Floats = low + (high - low) * v
    return blended


def speckle(x: Floats, y: Floats) -> Floats:
    """Return noise without smoothing: one value a lattice square."""
    at = (np.floor(y).astype(np.int32) & (_SIDE - 1)) * (_SIDE + 1)
    at += np.floor(x).astype(np.int32) & (_SIDE - 1)
    values: Floats = _FLAT[at]
    return values
