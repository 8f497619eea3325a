"""A toolpath with several cutters goes up to clearance height before each of them."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.path.measure import positions_mm
from tests.rs274.test_change import path_of


@settings(max_examples=40, deadline=None)
@given(st.lists(st.sampled_from([1, 2, 3]), min_size=1, max_size=5))
def test_the_cutter_is_at_clearance_height_where_another_one_is_wanted(order):
    path = path_of(order, depths=(-1.0, -2.0))
    at, section = positions_mm(path), path.moves["section"]
    numbers = [path.sections[n].number for n in section.tolist()]
    changes = [n for n in range(1, len(numbers)) if numbers[n] != numbers[n - 1]]
    assert len(changes) == sum(a != b for a, b in pairwise(order))
    assert all(at[n, 2] == path.clearance_mm for n in changes)


def test_passes_know_their_number_and_speed():
    sections = path_of([2, 1], rpm=(900, 800, 0)).sections
    assert [(one.number, one.rpm) for one in sections] == [(2, 800), (1, 900)]


@pytest.mark.parametrize("order", [[1, 1], [2, 2, 2]])
def test_nothing_lifts_for_a_cutter_that_stays(order):
    """The same moves as without numbers: one retract for each way across."""
    numbered = path_of(order)
    plain = path_of(order, rpm=(None, None, None))
    assert numbered.moves.tolist() == plain.moves.tolist()
