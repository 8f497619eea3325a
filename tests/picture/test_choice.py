"""The chart orders cutters by diameter and marks the widest that passes."""

from __future__ import annotations

import pytest
import shapely

from outline2path.errors import SettingError
from outline2path.picture.choice import draw_choice
from tests.picture.stand_ins import StandInReach, outline

PLATE = outline(shapely.box(0, 0, 30, 20))


def reaches(*pairs, largest=2.0):
    """Reaches of cutter diameter and lost area."""
    return [
        StandInReach(outline=PLATE, cutter_mm=d, unreached_area_mm2=a, largest_cutter_mm=largest)
        for d, a in pairs
    ]


def test_points_run_from_thin_to_wide():
    (line,) = draw_choice(reaches((6, 40), (1, 2), (3, 9))).artists["lost"]
    assert line.get_xydata().tolist() == [[1, 2], [3, 9], [6, 40]]


@pytest.mark.parametrize(("largest", "count"), [(2.0, 2), (None, 0), (50.0, 0)])
def test_the_widest_cutter_is_marked_where_it_lies_on_the_chart(largest, count):
    drawn = draw_choice(reaches((1, 2), (3, 9), largest=largest))
    assert len(drawn.artists["limit"]) == count


def test_times_stand_at_their_points():
    drawn = draw_choice(reaches((1, 2), (3, 9)), times_s={3: 90})
    assert [t.get_text() for t in drawn.artists["time"]] == ["1 min 30 s"]


def test_inches_change_ticks_and_areas():
    drawn = draw_choice(reaches((3.175, 645.16)), units="in")
    assert drawn.ax.get_xticklabels()[0].get_text() == "0.125"
    # 645.16 mm2 is one square inch exactly
    assert drawn.artists["lost"][0].get_ydata()[0] == pytest.approx(1.0)


def test_no_cutter_is_refused():
    with pytest.raises(SettingError, match="no cutter"):
        draw_choice([])
