"""The order of the work, and which steps share a program. Common practice, no source."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from outline2path.job.sequence import grouped
from outline2path.job.step import Step
from outline2path.operations.profile_settings import ProfileSettings
from outline2path.shop.cutter import Cutter

WIDE, THIN = Cutter(6), Cutter(2)
RANK = {"face": 0, "pocket": 1, "drill": 1, "engrave": 2, "chamfer": 3, "profile": 4}


def step(operation, cutter=THIN, rpm=None, side="outside"):
    how = ProfileSettings(side=side)
    return Step(operation=operation, outline=None, cutter=cutter, settings=how, rpm=rpm)


STEPS = st.lists(st.builds(step, st.sampled_from(sorted(RANK)), st.sampled_from([WIDE, THIN])))


@pytest.mark.parametrize(
    ("asked", "done"),
    [
        ("profile chamfer engrave pocket face", "face pocket engrave chamfer profile"),
        ("profile drill pocket", "drill pocket profile"),
        ("chamfer drill", "drill chamfer"),
    ],
)
def test_the_part_is_freed_last(asked, done):
    groups = grouped([step(name) for name in asked.split()])
    assert " ".join(one.operation for group in groups for one in group) == done


@pytest.mark.parametrize("side", ["inside", "on"])
def test_openings_are_cut_before_the_edges_that_free_the_part(side):
    asked = [step("profile"), step("profile", side=side), step("pocket")]
    done = [one for group in grouped(asked) for one in group]
    assert [one.operation for one in done] == ["pocket", "profile", "profile"]
    assert [one.settings.side for one in done[1:]] == [side, "outside"]


def test_steps_of_one_cutter_are_brought_together_within_a_rank():
    asked = [step("pocket", WIDE), step("drill", THIN), step("pocket", WIDE)]
    assert [[one.cutter for one in group] for group in grouped(asked)] == [[WIDE, WIDE], [THIN]]


def test_a_cutter_needed_next_is_mounted_last():
    asked = [step("pocket", THIN), step("drill", WIDE), step("profile", THIN)]
    names = [[one.operation for one in group] for group in grouped(asked)]
    assert names == [["drill"], ["pocket", "profile"]]


def test_another_spindle_speed_is_another_program():
    assert len(grouped([step("pocket", rpm=9000), step("pocket", rpm=12000)])) == 2


@given(STEPS)
def test_no_step_is_lost_and_each_program_has_one_cutter(asked):
    groups = grouped(asked)
    assert sorted(map(id, asked)) == sorted(id(one) for group in groups for one in group)
    assert all(len({one.cutter for one in group}) == 1 for group in groups)


@given(STEPS)
def test_ranks_never_go_back(asked):
    ranks = [RANK[one.operation] for group in grouped(asked) for one in group]
    assert ranks == sorted(ranks)


@given(STEPS)
def test_as_given_nothing_changes_place(asked):
    assert [one for group in grouped(asked, order="as-given") for one in group] == asked
