"""Shapes whose fewest pieces brute force can find: short ones of all kinds, long smooth ones."""

from __future__ import annotations

import numpy as np

from tests.path import curves

SHAPES = {
    "ellipse": np.array([30, 20]) * curves.arc(1, 0, 360, 60),
    "ellipse, narrow": np.array([30, 6]) * curves.arc(1, 0, 360, 70),
    "sine": np.column_stack([np.linspace(0, 60, 70), 5 * np.sin(np.linspace(0, 12, 70))]),
    "parabola": np.column_stack([np.linspace(-9, 9, 50), np.linspace(-9, 9, 50) ** 2 / 9]),
    "cubic": np.column_stack([np.linspace(-3, 3, 50), np.linspace(-3, 3, 50) ** 3 / 3]),
    "spiral": np.linspace(2, 12, 70)[:, None] * curves.arc(1, 0, 900, 70),
    "slot": curves.rounded_slot()[::2],
    "square": np.array([[0, 0], [5, 0], [9, 0], [9, 4], [9, 9], [3, 9], [0, 9], [0, 0.0]]),
    "star": np.tile([10, 4], 6)[:, None] * curves.arc(1, 0, 330, 12),
    "s of two arcs": np.vstack(
        [curves.arc(6, 180, 0, 30), curves.arc(6, 180, 360, 30, centre=(12, 0))[1:]]
    ),
    **{
        f"{lobes} waves {depth} deep": curves.waves(60, lobes=lobes, depth=depth)
        for lobes, depth in [(3, 0.1), (5, 0.05), (5, 0.2), (8, 0.02)]
    },
    **{f"coast {s}": curves.rough(60, seed=s, step=0.05) for s in range(3)},
    **{f"soft coast {s}": curves.rough(60, seed=s, step=0.01) for s in range(3)},
}

LONG_SHAPES = {
    "ellipse": np.array([30, 20]) * curves.arc(1, 0, 360, 301),
    "sine": np.column_stack([np.linspace(0, 60, 240), 5 * np.sin(np.linspace(0, 12, 240))]),
    "three waves": curves.waves(250, radius=12, lobes=3, depth=0.05),
    "five small waves": curves.waves(250, radius=10, lobes=4, depth=0.03),
    "slot": curves.rounded_slot(),
    "growing wave": np.column_stack(
        [
            np.linspace(0, 40, 240),
            np.linspace(0, 40, 240) ** 2 / 400 * np.sin(np.linspace(0, 9, 240)),
        ]
    ),
}
