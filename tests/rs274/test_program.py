"""Program text and its figures."""

import hashlib

import pytest

from outline2path.errors import OutputError
from outline2path.rs274.program import Program

TEXT = "(rack)\n(proof: none yet)\nG21\nM30\n"


def test_lines_size_and_hash_are_those_of_the_bytes():
    program = Program(TEXT)
    assert program.lines == ("(rack)", "(proof: none yet)", "G21", "M30")
    assert program.size == len(TEXT)
    assert program.sha256 == hashlib.sha256(TEXT.encode()).hexdigest()


def test_a_verdict_takes_the_place_of_the_proof_line_and_nothing_else():
    judged = Program(TEXT).with_verdict("pass")
    assert judged.text == TEXT.replace("none yet", "pass")


def test_a_verdict_can_be_replaced_by_another_and_wraps_when_long():
    reasons = "FAIL, written because it was asked for: " + "gouge of 0.12 mm " * 8
    lines = Program(TEXT).with_verdict("pass").with_verdict(reasons).lines
    assert lines[1].startswith("(proof: FAIL, written because")
    assert max(map(len, lines)) <= 80
    assert lines[-2:] == ("G21", "M30")


def test_text_without_a_proof_line_gets_one_at_the_top():
    assert Program("M30\n").with_verdict("pass").text == "(proof: pass)\nM30\n"


def test_a_program_is_written_as_it_stands(tmp_path):
    path = Program(TEXT).write(tmp_path / "rack.nc")
    assert path.read_bytes() == TEXT.encode()


def test_a_missing_folder_is_named(tmp_path):
    with pytest.raises(OutputError, match="does not exist"):
        Program(TEXT).write(tmp_path / "no" / "rack.nc")


def test_a_program_shows_itself_in_one_short_line():
    shown = repr(Program(TEXT * 10_000))
    assert shown.startswith(f"Program(40000 lines, {10_000 * len(TEXT)} bytes, sha256 ")
    assert len(shown) <= 80
