"""Programs run before, read once; pieces that come free, told with the line where they do."""

import pytest
import shapely

from outline2path.proof import replay
from outline2path.proof.expected_program import Earlier
from outline2path.proof.judge import judge
from outline2path.proof.replay import ran_before
from tests.proof import programs, works


def loose(job):
    proof = judge(job.text, job.expected)
    return next(c for c in proof.checks if c.name == "loose pieces")


def test_a_program_run_before_is_read_once_however_often_it_is_asked_for(monkeypatch):
    read = []
    known = replay.read_program
    monkeypatch.setattr(
        replay, "read_program", lambda *a, **more: (read.append(a), known(*a, **more))[1]
    )
    earlier = tuple(Earlier(text=works.faced().text, cutter=works.FLAT) for _ in range(3))
    first = [ran_before(earlier[:n], top_mm=0.0) for n in (1, 2, 3)][-1]
    again = ran_before(earlier, top_mm=0.0)
    assert len(read) == 3
    assert [one[0][0] for one in first] == [one[0][0] for one in again]


def test_below_another_top_less_of_it_is_taken():
    earlier = (Earlier(text=works.faced().text, cutter=works.FLAT),)
    assert len(ran_before(earlier, top_mm=0.0)[0][0][0]) > 0
    assert len(ran_before(earlier, top_mm=-1.0)[0][0][0]) == 0


@pytest.mark.parametrize("count", [1, 2])
def test_what_comes_free_is_told_with_the_line_that_frees_it(count):
    """The line is the last cut of the last pass around each piece: then the ring is closed."""
    parts = [shapely.box(30 * n, 0, 30 * n + 15, 14) for n in range(count)]
    job = programs.job(shapely.MultiPolygon(parts))
    found = loose(job)
    lines = job.text.splitlines()
    closing = [n for n, s in enumerate(lines) if s == "G0 Z5"][1:]
    assert found.ok
    assert f"come free: {count}" in found.detail
    assert found.detail.count("at line") == count
    assert found.line in closing  # the line before a lift, counted from 1
    assert found.at_mm is not None


def test_with_tabs_nothing_comes_free():
    assert loose(programs.job(shapely.box(0, 0, 40, 30), tabs=3)).detail == "come free: 0"
