"""One tree, each error with place, value, limit and remedy, each a built-in too."""

import pytest

from outline2path import errors
from outline2path.errors import OutlinePathError, RefusedError, SettingError
from outline2path.findings import Finding, worst

BASES = [
    ("UnitError", ValueError),
    ("DrawingError", ValueError),
    ("SettingError", ValueError),
    ("ProgramError", ValueError),
    ("RefusedError", RuntimeError),
    ("OutputError", OSError),
]


@pytest.mark.parametrize(("name", "base"), BASES)
def test_each_error_is_ours_and_a_built_in(name, base):
    assert issubclass(getattr(errors, name), base)
    assert issubclass(getattr(errors, name), OutlinePathError)


def test_an_error_says_where_what_and_what_to_do():
    error = SettingError(
        "too deep", at_mm=(1, 2), value=9, limit=6, remedy="use less", element="line 4"
    )
    assert str(error) == "line 4: too deep at x 1.000, y 2.000 mm; use less"
    assert (error.value, error.limit) == (9, 6)


def test_a_refusal_leaves_with_code_one_and_all_else_with_two():
    assert (RefusedError("no").exit_code, SettingError("no").exit_code) == (1, 2)


@pytest.mark.parametrize(
    ("severities", "expected"),
    [((), None), (("info",), "info"), (("info", "error", "warning"), "error")],
)
def test_the_worst_finding_decides(severities, expected):
    found = tuple(Finding(code="x", severity=s, message="m") for s in severities)
    assert worst(found) == expected


def test_a_moved_finding_keeps_everything_but_its_place():
    found = Finding(code="x", severity="info", message="m", at_mm=(1, 2), value=3)
    assert found.moved((4, 5)).as_dict() == {**found.as_dict(), "at_mm": (4, 5)}
