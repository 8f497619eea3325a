"""Several outlines in one: nothing moves, curves stay curves, ids stay ids."""

import numpy as np
import pytest
import shapely

from outline2path.drawing.combining import combined
from outline2path.drawing.outline import Outline
from outline2path.drawing.reader import read_outline
from outline2path.drawing.reshaping import reshaped
from outline2path.errors import DrawingError

FLOAT_MM = 1e-9  # what one matrix applied after another leaves at workshop sizes
TAG = b"""<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="20mm" viewBox="0 0 40 20">
<clipPath id="c"><rect width="18" height="20"/></clipPath>
<g clip-path="url(#c)"><circle id="a" cx="10" cy="10" r="9"/></g>
<rect id="b" x="25" y="5" width="10" height="8"/></svg>"""


def spread(outline, count=3):
    return [outline.rotate(20 * k).move(60 * k, 5 * k) for k in range(count)]


def test_nothing_moves():
    parts = spread(read_outline(TAG))
    apart = shapely.union_all([part.region for part in parts])
    assert combined(parts).region.symmetric_difference(apart).area == pytest.approx(0, abs=1e-6)


def test_parts_can_still_be_chosen_by_id():
    whole = combined(spread(read_outline(TAG)))
    assert len(whole.select("id=b").region.geoms) == 3
    assert whole.select("id=a").region.area == pytest.approx(
        3 * read_outline(TAG).select("id=a").region.area
    )


def test_curves_stay_curves():
    whole = combined(spread(read_outline(TAG)))
    coarse, fine = whole.region_within(0.5), whole.region_within(0.001)
    assert shapely.get_num_coordinates(fine) > 4 * shapely.get_num_coordinates(coarse)


def test_regions_without_curves_are_taken_as_they_are():
    box = Outline.from_shapely(shapely.box(0, 0, 4, 2))
    whole = combined([box, read_outline(TAG).move(10)])
    assert whole.region.area == pytest.approx(8 + read_outline(TAG).region.area)


def test_nothing_is_no_outline():
    with pytest.raises(DrawingError, match="0 outlines"):
        combined([])


def test_a_reshaped_outline_keeps_its_place_in_the_drawing():
    tag = read_outline(TAG).scale(1.5).rotate(30).move(7, -3)
    made = reshaped(tag, tag.region.buffer(1))
    assert made.matrix == tag.matrix
    assert np.subtract(made.size_mm, tag.size_mm) == pytest.approx((2, 2), abs=0.01)  # chords
    assert made.move(5).bounds_mm[0] == pytest.approx(made.bounds_mm[0] + 5, abs=FLOAT_MM)
