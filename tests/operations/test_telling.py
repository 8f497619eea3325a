"""Long lists of findings are cut short without losing their count or their gravity."""

import pytest

from outline2path.findings import Finding, worst
from outline2path.operations.telling import at_most


def spots(count, code="thin", severity="warning"):
    return [
        Finding(code=code, severity=severity, message=f"{code} {n}", at_mm=(n, 0))
        for n in range(count)
    ]


@pytest.mark.parametrize(
    ("count", "told"), [(0, 0), (1, 1), (20, 20), (21, 21), (22, 21), (900, 21)]
)
def test_few_are_told_one_by_one_and_many_are_counted(count, told):
    found = at_most(spots(count))
    assert len(found) == told
    assert found[:20] == spots(count)[:20]


def test_the_last_one_says_how_many_are_left_out_and_names_one():
    last = at_most(spots(50))[-1]
    assert last.message == "30 more places like these: thin 49, for one"
    assert last.at_mm == (49, 0)


def test_each_code_has_its_own_count_and_none_is_lost():
    found = at_most([*spots(30), *spots(3, "wide"), *spots(40, "lost", "error")])
    assert {f.code for f in found} == {"thin", "wide", "lost"}
    assert len(found) == 21 + 3 + 21
    assert worst(tuple(found)) == "error"
