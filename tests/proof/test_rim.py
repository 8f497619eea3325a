"""The cutter's round in the stock: closed forms, and a naive raster beside random programs."""

from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.proof.body import Body
from outline2path.proof.rim import FINEST_MM, rim_along
from outline2path.proof.sweep import sweep_at
from outline2path.proof.tracks import Pieces
from outline2path.shop.cutter import Cutter
from tests.strategies import numbers

R = 2.0
FLAT = Body(Cutter(2 * R))
CLOSE = {"abs": 0.02}
"""mm: strips below a hundredth count as nothing, on either side; an eighth of a degree of R."""


def chain(*points, z=-1.0, first=0) -> Pieces:
    xyz = np.column_stack([np.array(points, dtype=float), np.full(len(points), z)])
    return Pieces(xyz[:-1], xyz[1:], first + np.arange(len(xyz) - 1))


def joined(*parts: Pieces) -> Pieces:
    return Pieces(
        *(np.concatenate([getattr(p, name) for p in parts]) for name in ("start", "end", "row"))
    )


def measured(*parts: Pieces, body=FLAT, **more):
    return rim_along(joined(*parts), body, top_mm=0.0, **more)


def ring(radius: float, turn=1, first=0) -> Pieces:
    angle = turn * np.linspace(0, 2 * np.pi, 721)
    points = np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])
    return chain(*points, first=first)


def middle(rim, row: int) -> slice:
    """Places of a motion, those left out that see its beginning."""
    places = np.flatnonzero(rim.row >= row)
    return slice(places[0] + 5, places[-1] - 5)


@pytest.mark.parametrize(
    ("share", "degrees"),
    [(0.05, 25.841933), (0.10, 36.869898), (0.25, 60.0), (0.50, 90.0), (0.75, 120.0)],
)
def test_beside_a_straight_cut_the_angle_is_the_handbooks(share, degrees):
    """phi = acos(1 - 2 ae / D), geometry; the values are worked by hand."""
    step = share * 2 * R
    rim = measured(chain((0, 0), (40, 0)), chain((0, step), (40, step), first=1))
    at = middle(rim, 1)
    assert rim.width_mm[at] == pytest.approx(step, **CLOSE)
    off = CLOSE["abs"] / (R * np.sin(np.radians(degrees)))
    assert rim.angle[at] == pytest.approx(np.radians(degrees), abs=off)


def test_a_first_cut_is_a_full_slot():
    rim = measured(chain((0, 0), (40, 0)))
    assert rim.width_mm == pytest.approx(2 * R)
    assert rim.angle == pytest.approx(np.pi)
    assert (rim.most_mm == 2 * R).all()


@pytest.mark.parametrize("again", [(0, 40), (40, 0)])
def test_a_cut_over_the_same_ground_again_takes_nothing(again):
    a, b = again
    rim = measured(chain((0, 0), (40, 0)), chain((a, 0), (b, 0), first=1))
    assert rim.width_mm[rim.row == 1] == pytest.approx(0.0)


@pytest.mark.parametrize("step", [0.4, 1.0, 1.6, 3.0])
@pytest.mark.parametrize("path", [6.0, 12.0])
def test_along_an_inside_bend_more_of_the_round_is_in_the_stock(path, step):
    """Law of cosines: the round meets the wall left before where it is R0 from the centre."""
    wall = path - step + R
    rim = measured(ring(path - step), ring(path, first=1000))
    cosine = (wall**2 - path**2 - R**2) / (2 * path * R)
    angle = np.arccos(cosine)
    at = middle(rim, 1000)
    width = R * (1 - np.cos(angle)) if angle < np.pi / 2 else R * (1 + np.sin(angle - np.pi / 2))
    assert rim.angle[at] == pytest.approx(angle, abs=2 * CLOSE["abs"] / (R * np.sin(angle)))
    assert rim.width_mm[at] == pytest.approx(width, abs=2 * CLOSE["abs"])
    assert angle > np.arccos(1 - step / R), "more than beside a straight cut"


@pytest.mark.parametrize("step", [0.4, 1.0, 1.6, 3.0])
@pytest.mark.parametrize("path", [6.0, 12.0])
def test_along_an_outside_bend_less_of_the_round_is_in_the_stock(path, step):
    wall = path + step - R
    rim = measured(ring(path + step), ring(path, first=1000))
    cosine = (path**2 + R**2 - wall**2) / (2 * path * R)
    angle = np.arccos(cosine)
    at = middle(rim, 1000)
    assert rim.angle[at] == pytest.approx(angle, abs=2 * CLOSE["abs"] / (R * np.sin(angle)))
    assert angle < np.arccos(1 - step / R), "less than beside a straight cut"


def test_into_a_corner_the_cutter_meets_more_than_along_the_wall():
    """A second ring, a quarter wide: at its inner corners all from its side to ahead is stock."""
    inner, outer = (
        chain((-s, -s), (s, -s), (s, s), (-s, s), (-s, -s), first=n)
        for n, s in ((0, 10.0), (10, 11.0))
    )
    rim = measured(inner, outer)
    second = rim.row >= 10
    assert rim.width_mm[second].max() > 2.5
    assert np.median(rim.width_mm[second]) == pytest.approx(1.0, **CLOSE)


def test_off_the_stock_nothing_is_cut():
    box = (-50.0, 0.5, 50.0, 50.0)
    rim = measured(chain((0, 0), (40, 0)), stock_mm=box)
    assert rim.width_mm == pytest.approx(R - 0.5, **CLOSE)
    assert measured(chain((0, -3), (40, -3)), stock_mm=box).width_mm == pytest.approx(0.0)


def test_what_a_program_before_took_is_gone():
    before = [(chain((0, 0), (40, 0)), Body(Cutter(6.0)))]
    rim = measured(chain((5, 2), (35, 2)), before=before)
    assert rim.width_mm == pytest.approx(1.0, **CLOSE)


def test_a_pass_below_another_is_a_full_slot_again():
    rim = measured(chain((0, 0), (40, 0)), chain((0, 0), (40, 0), z=-2.0, first=1))
    assert rim.width_mm == pytest.approx(2 * R)


def test_a_ramp_has_no_width_of_its_own():
    slope = Pieces(np.array([[0.0, 0, 0]]), np.array([[40.0, 0, -1]]), np.array([0]))
    assert len(measured(slope)) == 0


@pytest.mark.parametrize(("z", "width"), [(-1.0, 2.0), (-2.0, 4.0), (-4.0, 6.0)])
def test_a_cone_counts_as_wide_as_it_is_at_the_top(z, width):
    """A right angle: as wide to each side as it is deep, at most its diameter."""
    cone = Body(Cutter(6.0, shape="v", angle=90))
    assert measured(chain((0, 0), (40, 0), z=z), body=cone).width_mm == pytest.approx(width)


def test_many_levels_are_measured_like_few():
    levels = [
        p
        for n in range(60)
        for p in (
            chain((0, 0), (9, 0), z=-0.1 * n - 0.1, first=2 * n),
            chain((0, 1), (9, 1), z=-0.1 * n - 0.1, first=2 * n + 1),
        )
    ]
    rim = measured(*levels)
    odd = rim.row % 2 == 1
    assert rim.width_mm[~odd] == pytest.approx(2 * R)
    assert rim.width_mm[odd][3::9] == pytest.approx(1.0, **CLOSE)


# A naive raster: cells of stock, taken one motion after another.

CELL = 0.05


def raster_widths(pieces: Pieces, asked: np.ndarray) -> np.ndarray:
    """Count cells just ahead of the round that no motion before had taken, by their side."""
    found = []
    for n in range(len(pieces)):
        line = shapely.LineString([pieces.start[n, :2], pieces.end[n, :2]])
        if not asked[n] or line.length == 0:
            found.append(np.nan)
            continue
        u = (pieces.end[n] - pieces.start[n])[:2] / line.length
        side = np.arange(-R + CELL / 2, R, CELL)
        ahead = np.sqrt(R**2 - side**2)
        spots = pieces.end[n, :2] + ahead[:, None] * u + side[:, None] * np.array([-u[1], u[0]])
        before = [
            shapely.LineString([a[:2], b[:2]])
            for a, b in zip(pieces.start[:n], pieces.end[:n], strict=True)
        ]
        away = (
            shapely.distance(shapely.MultiLineString(before), shapely.points(spots))
            if before
            else np.full(len(spots), np.inf)
        )
        found.append(CELL * (away > R).sum())
    return np.array(found)


def points_new(pieces: Pieces, n: int) -> bool:
    """Whether a motion ends where none was: at an old place the round touches what is gone."""
    old = shapely.MultiPoint(np.vstack([pieces.start[: n + 1, :2], pieces.end[:n, :2]]))
    return shapely.distance(old, shapely.Point(pieces.end[n, :2])) > 0.1


POINT = st.tuples(st.integers(-12, 12), st.integers(-12, 12))


@given(st.lists(POINT, min_size=3, max_size=12))
@settings(max_examples=80, deadline=None)
def test_at_the_ends_of_random_moves_a_naive_raster_agrees(points):
    moved = [points[0], *(b for a, b in pairwise(points) if a != b)]
    if len(moved) < 2:
        return
    pieces = chain(*moved)
    rim = measured(pieces)
    ends = [np.flatnonzero(rim.row == n)[-1:] for n in range(len(pieces))]
    asked = np.array([len(at) > 0 for at in ends])
    naive = raster_widths(pieces, asked)
    for n, at in enumerate(ends):
        there = len(at) and np.allclose(rim.at[at[0], :2], pieces.end[n, :2])
        if there and points_new(pieces, n):
            # strips of 15 degrees may hide between two rays; cells at both ends of each stretch
            assert rim.width_mm[at[0]] == pytest.approx(naive[n], abs=R * 0.262 + 4 * CELL)


@given(numbers(0.1, 3.9), numbers(0, 6.28))
@settings(max_examples=40, deadline=None)
def test_turned_any_way_a_strip_is_as_wide_as_it_is(step, turn):
    u = np.array([np.cos(turn), np.sin(turn)])
    v = np.array([-u[1], u[0]]) * step
    rim = measured(chain(0 * u, 30 * u), chain(v, 30 * u + v, first=1))
    assert rim.width_mm[middle(rim, 1)] == pytest.approx(step, **CLOSE)


def test_the_swept_ground_of_all_places_is_the_ground_that_was_measured():
    """What is a full slot adds as much ground as it is long: 2 r L (a disc's sweep)."""
    path = chain((0, 0), (30, 0), (30, 30))
    rim = measured(path)
    swept = sweep_at(-1.0, [(path, FLAT)]).ground().area
    assert rim.width_mm.sum() + np.pi * R**2 == pytest.approx(swept, rel=0.03)
    assert CLOSE["abs"] > FINEST_MM
