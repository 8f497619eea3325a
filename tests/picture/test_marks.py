"""Marks come gravest first, once each, and say what and how much."""

from __future__ import annotations

import pytest
import shapely

from outline2path.findings import Finding
from outline2path.picture.marks import make_marks, marks_block
from tests.picture.stand_ins import StandInReach, StandInSpot, StandInWall, outline

PLATE = outline(shapely.box(0, 0, 30, 20))


def finding(severity: str, at=None) -> Finding:
    """A finding of that severity."""
    return Finding(code="x", severity=severity, message=severity, at_mm=at, remedy="do this")


def spot(kind: str, at=(1.0, 1.0), area: float = 1.0) -> StandInSpot:
    """A spot of that kind."""
    return StandInSpot(
        kind=kind,
        at_mm=at,
        gap_mm=None if kind == "corner" else 2.104,
        lost_area_mm2=area,
        lost_depth_mm=1.25,
        lost=shapely.Point(at).buffer(1),
    )


def reach(*spots, findings=()) -> StandInReach:
    """A reach of these spots."""
    return StandInReach(outline=PLATE, cutter_mm=3.0, spots=spots, findings=findings)


def test_errors_come_before_spots_before_walls_before_warnings_before_the_rest():
    marks = make_marks(
        reach=reach(spot("gap")),
        walls=(StandInWall(at_mm=(5.0, 5.0), thickness_mm=0.4),),
        findings=[finding(s, (9.0, k)) for k, s in enumerate(("info", "warning", "error"))],
    )
    assert [m.words.split()[0] for m in marks] == ["error;", "gap", "wall", "warning;", "info;"]


def test_greater_losses_come_first():
    marks = make_marks(reach=reach(spot("gap", (1, 1), 2.0), spot("hole", (5, 5), 9.0)))
    assert [m.at_mm for m in marks] == [(5, 5), (1, 1)]


@pytest.mark.parametrize(
    ("kind", "units", "words"),
    [
        ("gap", "mm", "gap 2.10 mm wide"),
        ("hole", "mm", "hole 2.10 mm wide"),
        ("corner", "mm", "1.25 mm deep"),
        ("gap", "in", "gap 0.083 in wide"),
    ],
)
def test_a_spot_says_its_kind_and_size(kind, units, words):
    (mark,) = make_marks(reach=reach(spot(kind)), units=units)
    assert words in mark.words


def test_a_finding_about_a_marked_spot_is_not_said_twice():
    note = finding("warning", (1.0, 1.0))
    assert len(make_marks(reach=reach(spot("gap"), findings=(note,)), findings=(note,))) == 1


def test_a_finding_of_the_reach_that_marks_no_spot_is_kept():
    note = finding("warning")
    assert len(make_marks(reach=reach(spot("gap")), findings=(note,))) == 2


def test_a_finding_without_a_place_still_has_its_row():
    (block,) = marks_block(make_marks(findings=(finding("error"),)))
    assert block.rows[0].badge.dark
    assert block.rows[0].words == "error; do this"


@pytest.mark.parametrize(("count", "rows"), [(1, 1), (12, 12), (13, 13), (60, 13)])
def test_a_table_lists_a_dozen_and_counts_the_rest(count, rows):
    marks = make_marks(findings=[finding("info", (float(k), 0.0)) for k in range(count)])
    (block,) = marks_block(marks)
    assert len(block.rows) == rows
    assert (f"and {count - 12} more" in block.rows[-1].words) == (count > 12)


def test_nothing_to_mark_makes_no_block():
    assert marks_block(make_marks()) == ()
