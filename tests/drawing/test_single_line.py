"""The stroke alphabet: whole, upright, inside its own box, and refused where it has no letter."""

import string
from unicodedata import normalize

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from outline2path.drawing.accents import pieces
from outline2path.drawing.alphabet import LETTERS
from outline2path.drawing.lines import polylines
from outline2path.drawing.single_line import single_line
from outline2path.errors import OutlinePathError

FINE = 0.002  # what an outline's own flattening may add to a length or a bound


def strokes(outline):
    """All that a cutter follows."""
    return shapely.union_all([outline.lines, outline.region.boundary])


@pytest.mark.parametrize(
    "kind", [string.ascii_uppercase, string.ascii_lowercase, string.digits, ".,:;!?'-+=/()"]
)
def test_every_letter_digit_and_common_sign_is_there(kind):
    assert set(kind) <= set(LETTERS)


@pytest.mark.parametrize("sign", sorted(LETTERS))
def test_no_stroke_of_a_letter_is_lost_or_doubled(sign):
    outline = single_line(sign, height=6)
    drawn = [line for p in polylines(outline.figures, outline.matrix, FINE) for line, _ in p]
    total = sum(shapely.LineString(line).length for line in drawn)
    assert strokes(outline).length == pytest.approx(total, rel=1e-3)  # chords of two flattenings


@pytest.mark.parametrize("sign", sorted(LETTERS))
def test_every_letter_stays_in_its_own_width_and_height(sign):
    x0, y0, x1, y1 = single_line(sign, height=6).bounds_mm
    assert -FINE <= x0 <= x1 <= LETTERS[sign][0] + FINE
    assert -2 - FINE <= y0 <= y1 <= 6.6 + FINE


@pytest.mark.parametrize("sign", string.ascii_uppercase + string.digits)
def test_capitals_and_digits_are_as_high_as_asked(sign):
    _, y0, _, y1 = single_line(sign, height="12 mm").bounds_mm
    assert (y0, y1) == pytest.approx((0, 12), abs=0.01)  # arcs given to three digits


@given(text=st.text("ABCxyz019 -", min_size=1, max_size=12).filter(str.strip))
def test_letters_stand_apart_and_in_order(text):
    text = text.strip()
    before = sum(2.2 if sign == " " else LETTERS[sign][0] + 1.3 for sign in text[:-1])
    last = single_line(text[-1], height=6).bounds_mm[2]
    right = single_line(text, height=6).bounds_mm[2]
    assert right == pytest.approx(before + last, abs=FINE)


@pytest.mark.parametrize(
    ("text", "options"),
    [
        ("", {}),
        ("   ", {}),
        ("two\nlines", {}),
        ("\u65e5", {}),
        ("A" * 300, {}),
        ("A", {"height": 0}),
        ("A", {"height": "3 kg"}),
        ("A", {"spacing": 0}),
    ],
)
def test_what_cannot_be_set_is_refused_in_one_sentence(text, options):
    with pytest.raises(OutlinePathError) as caught:
        single_line(text, **{"height": 6, **options})
    assert 10 < len(str(caught.value)) < 250


def test_missing_letters_are_named():
    with pytest.raises(OutlinePathError, match="no \\['\u20ac', '\u2192'\\]"):
        single_line("5 \u20ac \u2192 f\u00f6r", height=6)


MARKED = "ÀÉÎÕÜÅČŐÇàéîïõüåčőçąșłŁßæÆøØþÞıœūğż"


@pytest.mark.parametrize("sign", MARKED)
def test_a_letter_with_a_mark_is_set_within_its_width_and_no_stroke_is_doubled(sign):
    wide, _ = pieces(sign)
    outline = single_line(sign, height=6)
    x0, y0, x1, y1 = outline.bounds_mm
    assert -FINE <= x0 <= x1 <= wide + FINE
    assert -2 - FINE <= y0 <= y1 <= 8 + FINE
    drawn = [line for p in polylines(outline.figures, outline.matrix, FINE) for line, _ in p]
    total = sum(shapely.LineString(line).length for line in drawn)
    assert strokes(outline).length == pytest.approx(total, rel=1e-3)


@pytest.mark.parametrize(("sign", "base"), [("\u00fc", "u"), ("\u00c9", "E"), ("\u00e7", "c")])
def test_a_marked_letter_holds_the_plain_one_and_the_mark_stands_clear_of_it(sign, base):
    whole, plain = strokes(single_line(sign, height=6)), strokes(single_line(base, height=6))
    mark = whole.difference(plain.buffer(FINE))
    assert whole.buffer(FINE).covers(plain)
    assert mark.distance(plain) > 0.4


def test_a_dot_gives_way_to_the_mark_that_stands_in_its_place():
    x0, _, x1, y1 = single_line("\u00ee", height=6).bounds_mm
    assert (x1 - x0, y1) == pytest.approx((1.6, 5.7), abs=FINE)
    assert len(single_line("\u00ee", height=6).lines.geoms) == 2


@given(st.text(MARKED + "Aeg", min_size=1, max_size=8))
def test_a_name_is_set_alike_composed_or_decomposed(text):
    """Canonical equivalence, Unicode Standard Annex 15."""
    composed, split = (normalize(form, text) for form in ("NFC", "NFD"))
    one, other = (strokes(single_line(form, height=9)) for form in (composed, split))
    assert one.equals(other)
