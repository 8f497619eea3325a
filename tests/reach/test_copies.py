"""Copies looked at once say what each would say alone, and what all would say together."""

import numpy as np
import pytest
import shapely
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from outline2path.drawing.outline import Outline
from outline2path.reach import copies
from outline2path.reach.copies import Pattern, gap_between_mm, once_each, patterns
from outline2path.reach.spots import forget_looks, narrow_spots
from outline2path.reach.walls import thin_walls

CUTTER = 3.0
NOISE = 2e-6  # mm; the searches start from points shifted by the last digits of float64
SHALLOW = 0.002  # mm; how deep a corner is, where chords of turns begin at other places


def _part(seed: int) -> shapely.Polygon:
    """A plate with notches, a slot too narrow and a thin wall, all at random."""
    random = np.random.default_rng(seed)
    plate = shapely.box(0, 0, 40, 30)
    wide = random.uniform(1, 6, 4)
    cuts = [
        shapely.box(4, 20, 4 + wide[0], 31),
        shapely.box(12, -1, 12 + wide[1], random.uniform(3, 12)),
        shapely.Point(30, 12).buffer(wide[2], quad_segs=40),
        shapely.Polygon([(41, 20), (41, 20 + wide[3]), (random.uniform(28, 38), 21)]),
    ]
    return plate - shapely.union_all(cuts) - shapely.box(39.2 - wide[0] / 4, 2, 39.4, 6)


def _sheet(part, places):
    moved = [shapely.transform(part, lambda points, at=at: points + at) for at in places]
    return Outline.from_shapely(shapely.union_all(moved))


def _told(spots, shift=(0.0, 0.0)):
    """Kind, middle of what is lost, width and area; between level walls any place is narrowest."""
    kinds = [spot.kind for spot in spots]
    lost = shapely.get_coordinates(shapely.centroid([spot.lost for spot in spots])) + shift
    sizes = [(spot.gap_mm or 0.0, spot.lost_area_mm2) for spot in spots]
    order = np.lexsort((*np.round(lost.T, 2), kinds))
    rows = np.column_stack([lost, np.array(sizes).reshape(-1, 2)])[order]
    return [kinds[k] for k in order], rows


def _agree(found, wanted):
    assert found[0] == wanted[0]
    away = np.abs(found[1][:, None] - wanted[1][None]).max(axis=2)
    match = away.argmin(axis=1)
    assert sorted(match.tolist()) == list(range(len(match)))
    assert away.min(axis=1) == pytest.approx(0, abs=SHALLOW)


def _moved(spots, shifts):
    """The spots of one part, once for each place."""
    return [spot.moved(*shift) for shift in shifts for spot in spots]


PLACES = st.lists(
    st.tuples(st.integers(0, 3), st.integers(0, 3)), min_size=2, max_size=5, unique=True
)


@pytest.fixture(autouse=True)
def _worth_it_always(monkeypatch):
    monkeypatch.setattr(copies, "WORTH", 1)
    forget_looks()


@settings(max_examples=8, deadline=None, phases=[Phase.explicit, Phase.reuse, Phase.generate])
@given(seed=st.integers(0, 500), places=PLACES, step=st.floats(46.0, 63.7))
def test_copies_say_what_each_says_alone(seed, places, step):
    part, shifts = _part(seed), [(step * x, step * y) for x, y in places]
    forget_looks()
    alone = narrow_spots(Outline.from_shapely(part), CUTTER)
    forget_looks()
    found = narrow_spots(_sheet(part, shifts), CUTTER)
    _agree(_told(found.spots), _told(_moved(alone.spots, shifts)))
    assert found.unreached_area_mm2 == pytest.approx(
        len(shifts) * alone.unreached_area_mm2, abs=SHALLOW
    )


@settings(max_examples=8, deadline=None, phases=[Phase.explicit, Phase.reuse, Phase.generate])
@given(seed=st.integers(0, 500), places=PLACES)
def test_copies_say_what_all_say_looked_at_together(seed, places):
    """A single pattern as wide as the sheet is the look at everything that was made before."""
    sheet = _sheet(_part(seed), [(48.0 * x, 38.0 * y) for x, y in places])
    forget_looks()
    found = narrow_spots(sheet, CUTTER)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(copies, "WORTH", 10**9)
        forget_looks()
        together = narrow_spots(sheet, CUTTER)
    forget_looks()
    _agree(_told(found.spots), _told(together.spots))
    assert found.largest_cutter_mm == pytest.approx(together.largest_cutter_mm, abs=NOISE)


@pytest.mark.parametrize("side", ["outside", "inside"])
def test_each_copy_has_its_own_lost_area(side):
    sheet = _sheet(_part(3), [(0, 0), (50, 0), (0, 40)])
    for spot in narrow_spots(sheet, CUTTER, side=side).spots:
        assert shapely.distance(shapely.Point(spot.at_mm), spot.lost) < CUTTER
        assert spot.lost.area == pytest.approx(spot.lost_area_mm2, abs=NOISE)


def test_thin_walls_of_copies_are_told_at_each_place():
    part, shifts = _part(3), [(0, 0), (50, 0), (0, 40)]
    (one, *rest) = thin_walls(Outline.from_shapely(part))
    found = thin_walls(_sheet(part, shifts))
    assert len(found) == 3 * (1 + len(rest))
    at = {tuple(np.round(wall.at_mm, 3)) for wall in found}
    expected = {tuple(np.round(np.add(one.at_mm, shift), 3)) for shift in shifts}
    assert expected <= at


@pytest.mark.parametrize(("gap", "together"), [(2.9, 1), (3.05, 1), (3.2, 2), (8.0, 2)])
def test_parts_as_near_as_the_cutter_is_wide_are_looked_at_together(gap, together):
    two = shapely.MultiPolygon([shapely.box(0, 0, 9, 9), shapely.box(9 + gap, 0, 18 + gap, 9)])
    assert len(patterns(two, apart_mm=CUTTER + 0.08)) == together
    reach = narrow_spots(Outline.from_shapely(two), CUTTER)
    assert [spot.kind for spot in reach.spots] == (["gap"] if gap < CUTTER else [])
    assert reach.largest_cutter_mm == pytest.approx(gap, abs=NOISE)


@pytest.mark.parametrize("gap", [3.5, 7.0, 40.0])
def test_the_widest_cutter_is_that_of_the_nearest_two_parts(gap):
    """Discs on one line: gaps in closed form, the narrowest between the last two."""
    centres = [0.0, 20 + 2 * gap, 40 + 5 * gap, 60 + 6 * gap]
    discs = shapely.MultiPolygon([shapely.Point(x, 0).buffer(10, quad_segs=200) for x in centres])
    assert gap_between_mm(patterns(discs, apart_mm=3.1), None) == pytest.approx(gap, abs=NOISE)
    assert gap_between_mm(patterns(discs, apart_mm=3.1), 1.0) == 1.0
    reach = narrow_spots(Outline.from_shapely(discs), CUTTER)
    assert reach.largest_cutter_mm == pytest.approx(gap, abs=NOISE)


@pytest.mark.parametrize(
    "other",
    [
        shapely.box(0, 0, 9, 9.00001),
        shapely.box(0, 0, 9, 9) - shapely.box(3, 3, 4, 4),
        shapely.Polygon([(0, 0), (9, 0), (9, 9)]),
    ],
)
def test_parts_that_differ_are_no_copies(other):
    one = Pattern.of(shapely.MultiPolygon([shapely.box(50, 3, 59, 12)]))
    assert one != Pattern.of(shapely.MultiPolygon([other]))
    assert one == Pattern.of(shapely.MultiPolygon([shapely.box(0.1, 0.2, 9.1, 9.2)]))


def test_few_plain_parts_are_looked_at_together(monkeypatch):
    monkeypatch.setattr(copies, "WORTH", 1000)
    tags = shapely.MultiPolygon([shapely.box(9 * k, 0, 9 * k + 4, 4) for k in range(100)])
    assert [len(places) for places in once_each(patterns(tags, apart_mm=1))] == [1]
    more = shapely.MultiPolygon([shapely.box(9 * k, 0, 9 * k + 4, 4) for k in range(300)])
    assert [len(places) for places in once_each(patterns(more, apart_mm=1))] == [300]


def test_a_part_asked_about_again_elsewhere_is_told_there():
    part = _part(8)
    here = narrow_spots(Outline.from_shapely(part), CUTTER)
    there = narrow_spots(_sheet(part, [(7.3, -2.1)]), CUTTER)
    _agree(_told(there.spots), _told(here.spots, (7.3, -2.1)))
