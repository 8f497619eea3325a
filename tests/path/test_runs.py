"""Steps that are alike are ordered as one; all others keep their place."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from outline2path.path.assemble import Run, assemble_runs
from outline2path.path.measure import positions_mm
from outline2path.path.toolpath import RAPID
from outline2path.tolerance import Budget
from tests.path.moves import line_contour

SPOTS = st.tuples(st.integers(0, 90), st.integers(0, 90))


def path(spots, *, like, after=frozenset()):
    """A short line at each spot, each a step of its own; their contours all have number 0."""
    runs = [
        Run(
            contours=(line_contour(0, (x, y), (x + 3, y), after=after),),
            feed=900,
            plunge=300,
            top_mm=0,
            like=like,
        )
        for x, y in spots
    ]
    return assemble_runs(runs, clearance_mm=5, budget=Budget(0.02))


def rapid_mm(toolpath):
    way = np.linalg.norm(np.diff(positions_mm(toolpath)[:, :2], axis=0), axis=1)
    return way[toolpath.moves["kind"] == RAPID].sum()


@given(st.lists(SPOTS, min_size=1, max_size=8, unique=True))
def test_steps_that_are_alike_are_linked_by_shorter_rapids_and_none_is_lost(spots):
    alike, apart = path(spots, like=("profile",)), path(spots, like=None)
    assert sorted(s.step for s in alike.sections) == list(range(len(spots)))
    assert [s.step for s in apart.sections] == list(range(len(spots)))
    assert rapid_mm(alike) <= rapid_mm(apart) + 1e-9
    cut = [t.moves["kind"] != RAPID for t in (alike, apart)]
    assert cut[0].sum() == cut[1].sum()


def test_a_row_there_and_back_is_cut_going_and_coming():
    """There and back over 83 mm is the shortest there is; as asked it is 163 mm longer."""
    spots = [(80, 0), (0, 0), (60, 0), (20, 0), (40, 0)]
    cut_mm = 3 * len(spots)
    assert rapid_mm(path(spots, like=("drill",))) + cut_mm == pytest.approx(2 * 83)
    assert rapid_mm(path(spots, like=None)) + cut_mm > 300


@pytest.mark.parametrize("other", [{"number": 2}, {"rpm": 9000.0}, {"like": ("engrave",)}])
def test_another_cutter_speed_or_kind_is_not_mixed_in(other):
    near, far = ((0, 0), (3, 0)), ((80, 0), (83, 0))
    runs = [
        Run(contours=(line_contour(0, *ends),), feed=900, plunge=300, top_mm=0, **options)
        for ends, options in (
            (far, {"like": ("a",)}),
            (near, {"like": ("a",), **other}),
            (far, {"like": ("a",)}),
        )
    ]
    sections = assemble_runs(runs, clearance_mm=5, budget=Budget(0.02)).sections
    assert [section.step for section in sections] == [0, 1, 2]


def test_what_waits_within_its_step_still_waits_when_steps_are_mixed():
    inner, outer = (
        line_contour(n, (x, 0), (x + 3, 0), after=after)
        for n, x, after in ((0, 50, {1}), (1, 90, set()))
    )
    run = {"feed": 900, "plunge": 300, "top_mm": 0, "like": ("profile",)}
    runs = [Run(contours=(inner, outer), **run), Run(contours=(inner, outer), **run)]
    found = assemble_runs(runs, clearance_mm=5, budget=Budget(0.02)).sections
    for step in (0, 1):
        mine = [section.contour for section in found if section.step == step]
        assert mine == [1, 0]


def test_each_step_keeps_its_own_feed_and_surface():
    runs = [
        Run(
            contours=(line_contour(0, (x, 0), (x + 3, 0)),),
            feed=feed,
            plunge=200,
            top_mm=top,
            like=("engrave",),
        )
        for x, feed, top in ((80, 700, 0.0), (10, 500, -0.5))
    ]
    toolpath = assemble_runs(runs, clearance_mm=5, budget=Budget(0.02))
    feeds = {
        section.step: toolpath.moves["feed"][toolpath.moves["section"] == k].max()
        for k, section in enumerate(toolpath.sections)
    }
    assert feeds == {0: 700, 1: 500}
    assert {s.step: s.top_mm for s in toolpath.sections} == {0: 0.0, 1: -0.5}
