"""How a Reach shows itself and goes into the report."""

import json
import re
from base64 import b64encode
from dataclasses import replace

import jsonschema
import pytest

from outline2path.drawing.outline import Outline
from outline2path.reach.spots import narrow_spots
from tests import specimens

REACH = narrow_spots(Outline.from_shapely(specimens.comb()), 3.175)
PAIR = {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2}
SPOT = {
    "type": "object",
    "additionalProperties": False,
    "required": ["kind", "at_mm", "gap_mm", "lost_area_mm2", "lost_depth_mm"],
    "properties": {
        "kind": {"enum": ["gap", "hole", "corner"]},
        "at_mm": PAIR,
        "gap_mm": {"type": ["number", "null"]},
        "lost_area_mm2": {"type": "number", "minimum": 0},
        "lost_depth_mm": {"type": "number", "minimum": 0},
    },
}


@pytest.mark.parametrize("name", specimens.ALL)
@pytest.mark.parametrize("side", ["outside", "inside", "on"])
def test_every_specimen_fits_the_report(name, side):
    reach = narrow_spots(Outline.from_shapely(specimens.ALL[name]), 3.175, side=side)
    part = json.loads(json.dumps(reach.as_dict(), allow_nan=False))
    assert set(part) == {"unreached_area_mm2", "largest_cutter_mm", "spots"}
    for spot in part["spots"]:
        jsonschema.validate(spot, SPOT)


def test_the_repr_is_one_short_line():
    assert repr(REACH) == "Reach(3.175 mm outside: 10 spots, largest 0.500 mm)"
    assert all(len(repr(spot)) < 80 for spot in REACH.spots)


def test_the_table_has_a_row_for_each_spot():
    table = REACH._repr_html_()
    assert table.count("<tr>") == 1 + len(REACH.spots)
    assert "0.500" in table


def test_a_notebook_shows_the_picture_beside_the_table():
    """A notebook that shows HTML leaves the PNG of the same value out."""
    png, size = REACH._repr_png_()
    assert b64encode(png).decode() in REACH._repr_html_()
    assert f'width="{size["width"]}"' in REACH._repr_html_()


def test_heads_of_figures_carry_their_units():
    heads = [head for _, head in re.findall("<th( [^>]*)?>(.*?)</th>", REACH._repr_html_())]
    figures = ["x mm", "y mm", "width mm", "lost depth mm", "lost mm\u00b2"]
    assert heads == ["", "kind", *figures, "remedy"]


def test_a_reach_without_spots_shows_no_empty_table():
    easy = narrow_spots(Outline.from_shapely(specimens.disc(0, 0, 9)), 3.0)
    assert "<table>" not in easy._repr_html_()
    assert "<img" in easy._repr_html_()


def test_the_table_escapes_what_it_shows():
    strange = replace(REACH, spots=(replace(REACH.spots[0], kind="<b>gap</b>"),))
    vars(strange)["_shown"] = (b"", {"width": 1, "height": 1})  # the picture knows three kinds
    assert "<b>" not in strange._repr_html_()


def test_a_long_table_is_cut_and_says_so():
    long = replace(REACH, spots=REACH.spots * 9)
    assert f"and {9 * len(REACH.spots) - 12} more" in long._repr_html_()


def test_spots_come_holes_first_then_gaps_by_width_then_corners_by_depth():
    kinds = [spot.kind for spot in REACH.spots]
    assert kinds == sorted(kinds, key=["hole", "gap", "corner"].index)
    gaps = [spot.gap_mm for spot in REACH.spots if spot.kind == "gap"]
    assert gaps == sorted(gaps)


def test_an_outline_answers_for_itself():
    outline = Outline.from_shapely(specimens.two_discs())
    assert outline.region_within(0.001).area > 0
    assert len(narrow_spots(outline, 3.5).spots) == 1
