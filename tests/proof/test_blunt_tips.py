"""Tips that end in an edge below a micrometre are judged as the round corners they become."""

import numpy as np
import pytest
import shapely

from outline2path.proof.edge import Edge
from outline2path.proof.leftover import leftover, reachable
from outline2path.proof.sweep import Sweep
from outline2path.proof.tracks import Nearest

R, T = 0.5, 0.02


def swept_along(points: np.ndarray) -> Sweep:
    return Sweep([(Nearest(points[:-1], points[1:]), R)])


def spear(blunt_mm: float) -> shapely.MultiPolygon:
    """A spear 20 mm long and 8 wide, whose tip is an edge `blunt_mm` long."""
    half = blunt_mm / 2
    tip = [(-half, 20), (-4, 0), (4, 0), (half, 20)]
    return shapely.orient_polygons(shapely.MultiPolygon([shapely.Polygon(tip)]))


@pytest.mark.parametrize("allowance_mm", [0.0, 0.1, 0.5])
@pytest.mark.parametrize("blunt_mm", [0.0, 1e-5, 0.0004, 0.01])
@pytest.mark.parametrize("left_mm", [0.009, 0.0195])
def test_a_round_corner_round_a_blunt_tip_leaves_what_it_is_wide(allowance_mm, blunt_mm, left_mm):
    """A parallel at r + allowance + left, by shapely's buffer, leaves `left_mm` everywhere."""
    part = spear(blunt_mm)
    ring = part.buffer(R + allowance_mm + left_mm, quad_segs=512).exterior
    points = shapely.get_coordinates(ring)
    edge = Edge(part, keeps_inside=True, allowance_mm=allowance_mm)
    found, _ = leftover(reachable(edge, R, T), swept_along(points), (R, T))
    # the judge's own resolution is a twentieth of T
    assert found == pytest.approx(left_mm, abs=T / 20)


@pytest.mark.parametrize("blunt_mm", [0.0, 0.0004])
def test_what_is_left_beyond_t_at_a_blunt_tip_is_found(blunt_mm):
    part = spear(blunt_mm)
    points = np.array(part.buffer(R + 0.03, quad_segs=512).exterior.coords)
    edge = Edge(part, keeps_inside=True, allowance_mm=0.0)
    found, _ = leftover(reachable(edge, R, T), swept_along(points), (R, T))
    assert found == pytest.approx(0.03, abs=T / 20)
