"""Every check of the judge says what would happen at the machine and what to change."""

import pytest

from outline2path.proof.advice import ADVICE, advice
from outline2path.proof.judge import judge
from outline2path.proof.verdict import Check
from tests.proof import works


def test_every_check_of_a_sound_program_has_advice_in_two_sentences():
    work = works.base()
    for check in judge(work.text, work.expected).checks:
        assert advice(check.name).count(". ") >= 1, check.name


@pytest.mark.parametrize("name", ADVICE)
def test_advice_is_short_and_whole(name):
    assert 40 < len(ADVICE[name]) < 130
    assert ADVICE[name].endswith(".")


def test_a_failed_check_carries_it_and_one_that_holds_does_not():
    bad = Check(name="rapids", ok=False, detail="a rapid dives")
    assert bad.remedy == ADVICE["rapids"]
    assert Check(name="rapids", ok=True, detail="fine").remedy == ""


def test_the_check_of_one_program_of_a_job_has_the_same_advice():
    assert advice("1-2 pocket: gouge") == ADVICE["gouge"]
    assert advice("weather") == ""


def test_the_printed_proof_tells_it_below_the_check():
    work = works.base()
    lines = str(judge(work.text.replace("M3 S9000", "S9000"), work.expected)).splitlines()
    at = next(n for n, line in enumerate(lines) if line.startswith("no  spindle"))
    assert lines[at + 1].strip() == ADVICE["spindle"]
