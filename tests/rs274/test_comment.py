"""Comments any controller takes, whatever the text (NISTIR 6556 section 3.3.4)."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from outline2path.rs274.comment import comment_lines

PLAIN = re.compile(r"\([\x20-\x7e]*\)")


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("heron", "(heron)"),
        ("heron (left wing)", "(heron [left wing])"),
        ("Käthes Schlüsselbrett", "(Kathes Schlusselbrett)"),
        ("Straße 5 \N{MULTIPLICATION SIGN} 3 µm", "(Strasse 5 x 3 um)"),
        ("two\nlines\tand a tab", "(two lines and a tab)"),
        ("stop! now? 50% ~ 5; ok", "(stop. now. 50 percent - 5, ok)"),
        ("鷺", "(_)"),
        ("", "()"),
        ("MSG, mind your hands", "(MSG - mind your hands)"),
        ("oak, beech", "(oak, beech)"),
    ],
)
def test_text_becomes_a_plain_comment(text, line):
    assert comment_lines(text) == (line,)


@given(st.text(max_size=300))
def test_any_text_becomes_printable_ascii_of_at_most_80_characters_a_line(text):
    for line in comment_lines(text):
        assert len(line) <= 80
        assert PLAIN.fullmatch(line)
        assert not set("()!?~%;") & set(line[1:-1])


@given(st.text(alphabet="MSGDEBUGPRINT, ab", max_size=200))
def test_no_line_begins_like_a_message_to_the_operator(text):
    for line in comment_lines(text):
        assert not re.match(r"\(\s*[A-Z]+\s*,", line)


def test_long_text_is_wrapped_between_words_and_nothing_is_lost():
    text = "sand both faces first " * 12
    lines = comment_lines(text)
    assert len(lines) > 3
    assert " ".join(line[1:-1].strip() for line in lines) == text.strip()
