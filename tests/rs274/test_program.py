"""Program text and its figures."""

import hashlib

import pytest

from outline2path.errors import OutputError
from outline2path.rs274.mark import body_mark, mark_of
from outline2path.rs274.program import Program

TEXT = "(rack)\n(proof: none yet)\nG21\nM30\n"


def test_lines_size_and_hash_are_those_of_the_bytes():
    program = Program(TEXT)
    assert program.lines == ("(rack)", "(proof: none yet)", "G21", "M30")
    assert program.size == len(TEXT)
    assert program.sha256 == hashlib.sha256(TEXT.encode()).hexdigest()


def test_a_verdict_takes_the_place_of_the_proof_line_and_nothing_else():
    judged = Program(TEXT).with_verdict("pass")
    assert judged.text == TEXT.replace("none yet", f"pass, text {body_mark(TEXT)}")


def test_a_verdict_can_be_replaced_by_another_and_wraps_when_long():
    reasons = "FAIL, written because it was asked for: " + "gouge of 0.12 mm " * 8
    lines = Program(TEXT).with_verdict("pass").with_verdict(reasons).lines
    assert lines[1].startswith("(proof: FAIL, written because")
    assert max(map(len, lines)) <= 80
    assert lines[-2:] == ("G21", "M30")


def test_text_without_a_proof_line_gets_one_at_the_top():
    mark = body_mark("M30")
    assert Program("M30\n").with_verdict("pass").text == f"(proof: pass, text {mark})\nM30\n"


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


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda text: text, "matches"),
        (lambda text: text.replace("\n", "\r\n"), "matches"),
        (lambda text: text.replace("(rack)", "(shelf)"), "matches"),
        (lambda text: text.replace("G21", "G20"), "changed"),
        (lambda text: text.replace("M30\n", "M5\nM30\n"), "changed"),
        (lambda text: text.replace("text ", " "), "none"),
    ],
)
@pytest.mark.parametrize("verdict", ["pass", "FAIL, written in spite of " + "many errors, " * 9])
def test_a_mark_ties_the_verdict_to_the_text_below_the_header(verdict, change, said):
    judged = Program(TEXT).with_verdict(verdict)
    assert mark_of(change(judged.text)) == said


def test_a_mark_is_the_hash_of_the_lines_after_the_opening_comments():
    """Independent: the same by hashlib over the two lines that are left."""
    assert body_mark(TEXT) == hashlib.sha256(b"G21\nM30\n").hexdigest()[:12]


def test_a_second_verdict_leaves_nothing_of_the_first():
    long = Program(TEXT).with_verdict("FAIL, " + "for many reasons " * 9)
    assert long.with_verdict("pass").text == Program(TEXT).with_verdict("pass").text
