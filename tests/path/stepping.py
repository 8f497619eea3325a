"""Brute force for time: a machine of three axes driven in small steps of time.

Independent of the package: no trapezoids, no closed forms. The path is a chain of straight
blocks. Each step adds to every axis at most its acceleration times the step; a first drive goes
backwards from rest at the end, so that the drive forwards knows at each place how fast it may be
and still brake.
"""

from __future__ import annotations

import itertools
import math

import numpy as np

STEP_S = 2e-5


def chain(points):
    """Lengths and unit vectors of the blocks through points, shape (n, 3)."""
    step = np.diff(np.asarray(points, float), axis=0)
    length = np.sqrt((step**2).sum(axis=1))
    return length, step / length[:, None]


def corner_limits(ways, accelerations, deviation):
    """Speed at which a circle leaving the corner by `deviation` needs what the axes can give.

    The circle's pull at its middle points along the change of direction; source: note by S. K.
    Jeon (2011, from memory), R = deviation s / (1 - s), s = sin(theta / 2).
    """
    limits = []
    for before, after in itertools.pairwise(ways):
        between = math.acos(max(-1.0, min(1.0, -float(before @ after))))
        s = math.sin(between / 2)
        change = after - before
        if 1 - s < 1e-12:
            limits.append(math.inf)
            continue
        pull = change / np.linalg.norm(change)
        most = min(a / abs(p) for a, p in zip(accelerations, pull, strict=True) if p)
        limits.append(math.sqrt(most * deviation * s / (1 - s)))
    return np.array(limits)


def seconds(lengths, ways, *, tops, corners, accelerations):
    """Time from rest to rest."""
    turned = np.append(corners[:-1][::-1], 0.0)
    back_at, back_speed = _drive(lengths[::-1], ways[::-1], tops[::-1], turned, accelerations)
    total = lengths.sum()
    at, speed = (total - back_at)[::-1], back_speed[::-1]
    places, _ = _drive(
        lengths, ways, tops, corners, accelerations, most=lambda s: np.interp(s, at, speed)
    )
    return len(places) * STEP_S


def _drive(lengths, ways, tops, corners, accelerations, *, most=None):
    """Places and speeds of every step of a drive that speeds up as hard as its axes can."""
    ends, block, at, speed = np.cumsum(lengths), 0, 0.0, 0.0
    gain = [
        min(a * STEP_S / abs(w) for a, w in zip(accelerations, way, strict=True) if w)
        for way in ways
    ]
    places, speeds = [], []
    while at < ends[-1] - 1e-6:
        speed = min(speed + gain[block], tops[block])
        if most is not None:
            speed = max(min(speed, float(most(at))), gain[block])
        at += speed * STEP_S
        while block < len(ends) - 1 and at >= ends[block]:
            speed = min(speed, corners[block], tops[block + 1])
            block += 1
        places.append(at)
        speeds.append(speed)
    return np.array(places), np.array(speeds)
