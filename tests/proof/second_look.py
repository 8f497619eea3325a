"""A second look: whether a changed program makes another part, told by shapely's buffers alone.

At the floor of every feature, half way up and just below its surface, the ground that the changed
program takes is held against what the sound one takes. It does harm where it newly takes more
than 0.01 mm of what must stand, or leaves more than 0.06 mm of what has to go. Flat cutters only.
"""

from __future__ import annotations

import numpy as np
import shapely

from outline2path.proof.expected_program import ExpectedProgram
from outline2path.proof.feature import Feature
from tests.proof.spelled import ground

NEAR_MM = 1.0
TAKEN_MM, LEFT_MM = 0.005, 0.03
"""Half the width of a strip that counts."""
EVERYTHING = shapely.box(-500, -500, 900, 900)


def makes_another(
    before: tuple[str, ...], after: tuple[str, ...], expected: ExpectedProgram
) -> bool:
    """Whether a change harms the part."""
    radius = expected.radius_mm
    for z in heights(expected):
        old, new = (ground(lines, radius, z) for lines in (before, after))
        if old.equals(new):
            continue
        gained, lost = new - old, old - new
        stands = EVERYTHING - shapely.union_all([allowed(f, z) for f in expected.features])
        goes = shapely.union_all([demanded(f, z) for f in expected.features])
        if not (gained & stands).buffer(-TAKEN_MM).is_empty:
            return True
        if not (lost & goes).buffer(-LEFT_MM).is_empty:
            return True
    return False


def heights(expected: ExpectedProgram) -> list[float]:
    every = [
        z
        for f in expected.features
        for z in (f.bottom_mm, (f.bottom_mm + f.top_mm) / 2, f.top_mm - 0.02)
    ]
    return np.unique(np.round(every, 4)).tolist()


def allowed(feature: Feature, z: float):
    """Ground that may be taken for a feature at a height."""
    if feature.kind == "profile" and feature.side == "outside":
        return EVERYTHING - feature.geometry
    if z < feature.bottom_mm:
        return shapely.Polygon()
    return EVERYTHING if feature.kind == "face" else feature.geometry


def demanded(feature: Feature, z: float):
    """Ground that has to go, as far as the sound program takes it."""
    if not feature.bottom_mm <= z <= feature.top_mm:
        return shapely.Polygon()
    if feature.kind == "profile" and feature.side == "outside":
        return feature.geometry.buffer(NEAR_MM) - feature.geometry
    return feature.geometry
