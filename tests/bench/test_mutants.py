"""The mutation bench makes every kind of fault once, and tells what the tests see of them."""

import ast

import pytest

from tests.bench import mutants

SOURCE = '''"""Words 1."""
from math import pi
__all__ = ["f"]
def f(x: int = 3, *, flag: bool = True) -> "int":
    """Say 1 + 1."""
    if flag and x < 7:
        return -x * 2
    raise ValueError(f"{x + 1} will not do")
'''


def test_every_operator_number_and_truth_is_changed_once_and_no_words():
    found = [(m.line, m.before, m.after) for m in mutants.mutants_of(SOURCE)]
    assert sorted(found) == sorted(
        [
            (4, "3", "4"),
            (4, "True", "False"),
            (6, "flag and x < 7", "flag or x < 7"),
            (6, "x < 7", "x <= 7"),
            (6, "7", "8"),
            (7, "-x * 2", "-x / 2"),
            (7, "-x", "x"),
            (7, "2", "3"),
        ]
    )


def test_each_mutant_is_a_whole_module_with_one_change():
    texts = {ast.unparse(m.tree) for m in mutants.mutants_of(SOURCE)}
    assert len(texts) == 8
    assert ast.unparse(ast.parse(SOURCE)) not in texts
    for text in texts:
        compile(text, "mutant", "exec")


def test_a_choice_of_mutants_is_always_the_same():
    held = list(mutants.mutants_of(SOURCE))
    assert [str(m) for m in mutants.chosen(held, 3)] == [str(m) for m in mutants.chosen(held, 3)]
    assert len(mutants.chosen(held, 3)) == 3
    assert mutants.chosen(held, None) == held


@pytest.mark.parametrize(
    ("check", "killed"), [("pass_depths(top_mm=0, bottom_mm=-2) ", False), ("", True)]
)
def test_tests_that_look_at_nothing_kill_nothing(tmp_path, capsys, check, killed):
    test = tmp_path / "test_one.py"
    call = "pass_depths(top_mm=0.0, bottom_mm=-4.0, depth_per_pass_mm=1.5, through_mm=0.5)"
    body = f"{call}" if check else f"assert {call} == (-1.5, -3.0, -4.5)"
    test.write_text(
        f"from outline2path.operations.passes import pass_depths\n\n\ndef test_it():\n    {body}\n"
    )
    count, living = mutants.judged("operations/passes", [str(test)], 6)
    assert count == 6
    assert (len(living) < 4) == killed
    assert ("line" in capsys.readouterr().out) == bool(living)
