"""Every kind of tampering: the harmful found, the harmless let pass."""

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.proof.judge import judge
from tests.proof.harm import HARMFUL
from tests.proof.no_harm import HARMLESS
from tests.proof.tampering import changed_by, jobs

JOBS = jobs()


def verdicts(change, seed: str) -> dict[str, str]:
    changed = {name: changed_by(change, job, f"{seed} {name}") for name, job in JOBS.items()}
    return {n: judge(j.text, j.expected).verdict for n, j in changed.items() if j is not None}


def test_there_are_many_kinds():
    assert len(HARMFUL) >= 60
    assert len(HARMLESS) >= 25


@pytest.mark.parametrize("name", JOBS)
def test_the_untouched_programs_pass(name):
    assert judge(JOBS[name].text, JOBS[name].expected).failed == ()


@pytest.mark.parametrize("kind", HARMFUL)
def test_harmful_changes_are_found(kind):
    found = verdicts(HARMFUL[kind], kind)
    assert found
    assert set(found.values()) == {"fail"}, found


@pytest.mark.parametrize("kind", HARMLESS)
def test_harmless_changes_raise_no_alarm(kind):
    found = verdicts(HARMLESS[kind], kind)
    assert found
    assert set(found.values()) == {"pass"}, found


@given(st.sampled_from(sorted(JOBS)), st.sampled_from(sorted(HARMFUL)), st.integers())
@settings(max_examples=60, deadline=None)
def test_harmful_changes_are_found_wherever_chance_makes_them(name, kind, seed):
    changed = changed_by(HARMFUL[kind], JOBS[name], str(seed))
    if changed is not None:
        assert judge(changed.text, changed.expected).verdict == "fail"


@given(
    st.sampled_from(sorted(JOBS)),
    st.lists(st.sampled_from(sorted(HARMLESS)), min_size=2, max_size=4, unique=True),
    st.integers(),
)
@settings(max_examples=25, deadline=None)
def test_harmless_changes_add_up_to_no_harm(name, kinds, seed):
    """Spelling changes come last: the others look for the words as they were."""
    spelling = {"spread out", "squeezed", "tabbed", "numbered", "lower case", "windows ends"}
    job = JOBS[name]
    for kind in sorted(kinds, key=lambda k: k in spelling)[:3]:
        job = changed_by(HARMLESS[kind], job, str(seed)) or job
        if kind in spelling or kind in {"words turned round", "framed", "leading zeros"}:
            break
    assert judge(job.text, job.expected).failed == ()


@given(st.sampled_from(sorted(JOBS)), st.integers(0, 10**9))
@settings(max_examples=40, deadline=None)
def test_a_text_cut_off_anywhere_fails(name, where):
    text = JOBS[name].text.rstrip("\n")
    assert judge(text[: where % len(text)], JOBS[name].expected).verdict == "fail"


@given(st.sampled_from(sorted(JOBS)), st.randoms(use_true_random=False))
@settings(max_examples=40, deadline=None)
def test_lines_in_any_disorder_never_crash_the_judge(name, chance):
    lines = list(JOBS[name].lines)
    random.Random(chance.random()).shuffle(lines)  # noqa: S311
    proof = judge("\n".join(lines), JOBS[name].expected)
    assert proof.verdict == "fail"


@given(st.binary(max_size=300) | st.text(max_size=200))
@settings(max_examples=60, deadline=None)
def test_any_text_gets_a_verdict(text):
    proof = judge(text, JOBS["angle"].expected)
    assert proof.verdict == "fail"
    assert all(check.detail for check in proof.checks)
