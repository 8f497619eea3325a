"""Tampering with the programs of the demo: each kind of change once, on one program or another."""

import pytest

from outline2path.proof.judge import judge
from tests.proof.demo_harm import BY_PLACE, HARM
from tests.proof.demo_no_harm import NO_HARM
from tests.proof.demo_tampering import Shares, tries
from tests.proof.demos import DRAWINGS, demo_programs


@pytest.fixture(scope="module")
def changed():
    return {kind: (name, trial) for _, kind, name, trial in tries(turns=1, seed=3)}


def test_there_are_many_kinds_and_every_one_applies_somewhere(changed):
    assert len(HARM) >= 60
    assert len(BY_PLACE) >= 12
    assert len(NO_HARM) >= 30
    assert set(changed) == {*HARM, *NO_HARM}


def test_all_demo_drawings_and_all_kinds_of_step_are_there():
    programs = demo_programs()
    kinds = {f.kind for p in programs.values() for f in p.expected.features}
    assert kinds == {"face", "pocket", "hole", "chamfer", "line", "profile"}
    assert {name.split(":")[0] for name in programs} >= set(DRAWINGS)
    assert any(p.expected.before for p in programs.values())


@pytest.mark.parametrize("kind", HARM)
def test_harm_to_a_demo_program_is_found(changed, kind):
    name, trial = changed[kind]
    assert judge(trial.text, trial.expected).verdict == "fail", name


@pytest.mark.parametrize("kind", NO_HARM)
def test_a_harmless_change_to_a_demo_program_raises_no_alarm(changed, kind):
    name, trial = changed[kind]
    assert judge(trial.text, trial.expected).failed == (), name


def test_the_shares_tell_misses_and_alarms_by_name():
    told = Shares(harmful=2, missed=["a pass missing (heron)"], harmless=1, alarms=["x: tabs"])
    assert "1 of 2 (50.0%)" in told.told()
    assert "missed: a pass missing (heron)" in told.told()
    assert "false alarm: x: tabs" in told.told()
