"""Findings: gravest first, alike ones told once with their number, nothing lost."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from outline2path.findings import Finding, gathered, worst

PLACES = st.none() | st.tuples(st.integers(0, 9), st.integers(0, 9))
FINDINGS = st.lists(
    st.builds(
        Finding,
        code=st.sampled_from(["thin-wall", "narrow-gap"]),
        severity=st.sampled_from(["info", "warning", "error"]),
        message=st.sampled_from(["one thing", "another"]),
        at_mm=PLACES,
    )
)
SHALLOW = Finding(code="depth", severity="info", message="2 mm deep", at_mm=(1, 2), remedy="see")


@given(FINDINGS)
def test_gathering_loses_none_and_tells_none_twice(findings):
    told = gathered(findings)
    assert sum(count for _, count in told) == len(findings)
    assert len({finding.moved(None) for finding, _ in told}) == len(told)
    assert all(finding in findings for finding, _ in told)


@given(FINDINGS)
def test_the_gravest_come_first(findings):
    rank = {"error": 0, "warning": 1, "info": 2}
    told = [rank[finding.severity] for finding, _ in gathered(findings)]
    assert told == sorted(told)
    assert worst(tuple(findings)) == (gathered(findings)[0][0].severity if findings else None)


@pytest.mark.parametrize(
    ("places", "words"),
    [
        (1, "info: 2 mm deep at x 1.00, y 2.00; see"),
        (12, "info: 2 mm deep at x 1.00, y 2.00 and 11 more like it; see"),
    ],
)
def test_a_line_tells_the_first_place_and_how_many_are_like_it(places, words):
    assert SHALLOW.words(places=places) == words
