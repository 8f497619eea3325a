"""Lengths, feeds, speeds and angles as people write them."""

import pytest
from hypothesis import given

from outline2path.errors import UnitError
from outline2path.units import (
    format_length,
    parse_angle,
    parse_feed,
    parse_length,
    parse_size,
    parse_speed,
)
from tests.strategies import numbers

# The inch is 25.4 mm exactly (international agreement of 1959, from memory).
LENGTHS = [
    ("1/8 in", 3.175),
    ("1/8in", 3.175),
    ("0.125 in", 3.175),
    ('1/4"', 6.35),
    ("1 1/2 in", 38.1),
    ("3.175mm", 3.175),
    (" 6 ", 6.0),
    ("2 cm", 20.0),
    ("-0.1mm", -0.1),
    (".5mm", 0.5),
    ("1e1 mm", 10.0),
    (7, 7.0),
]


@pytest.mark.parametrize(("text", "mm"), LENGTHS)
def test_a_length_reads_in_millimetres(text, mm):
    assert parse_length(text) == pytest.approx(mm, rel=1e-15)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "mm",
        "3 furlongs",
        "1/0 in",
        "nan",
        "inf",
        "1e999",
        "3,5mm",
        "1 2 mm",
        "1/2/3",
        "0x10",
        "9" * 99,
        None,
        True,
        [3],
    ],
)
def test_what_is_no_length_is_refused_with_the_forms_that_would_do(text):
    with pytest.raises(UnitError, match=r"write 3\.175mm or 1/8in"):
        parse_length(text)


@pytest.mark.parametrize(
    ("text", "mm_min"),
    [("72 in/min", 1828.8), ("1800mm/min", 1800), ("20 mm/s", 1200), ("900", 900), (900, 900)],
)
def test_a_feed_reads_in_millimetres_a_minute(text, mm_min):
    # 72 in/min = 1828.8 mm/min: sources.md W1
    assert parse_feed(text) == pytest.approx(mm_min, rel=1e-15)


@pytest.mark.parametrize("text", ["fast", "3 mm", "3 /min", "3 mm/h", "nan mm/min"])
def test_what_is_no_feed_is_refused(text):
    with pytest.raises(UnitError, match=r"1800mm/min or 72in/min"):
        parse_feed(text)


@pytest.mark.parametrize(
    ("text", "rpm"), [("9000", 9000), ("9000rpm", 9000), ("12000 RPM", 12000)]
)
def test_a_speed_reads_in_revolutions_a_minute(text, rpm):
    assert parse_speed(text) == rpm


@pytest.mark.parametrize(("text", "degrees"), [("30", 30), ("-15deg", -15), ("45°", 45)])
def test_an_angle_reads_in_degrees(text, degrees):
    assert parse_angle(text) == degrees


def test_an_angle_may_be_given_in_radians():
    assert parse_angle("3.141592653589793 rad") == pytest.approx(180, rel=1e-15)


@pytest.mark.parametrize("text", ["30 grad", "steep"])
def test_what_is_no_angle_is_refused(text):
    with pytest.raises(UnitError):
        parse_angle(text)


@pytest.mark.parametrize("text", ["9 hz", "quick"])
def test_what_is_no_speed_is_refused(text):
    with pytest.raises(UnitError):
        parse_speed(text)


@pytest.mark.parametrize("text", ["200 x 150", "a x b x c", "1 x 2 x 3 x 4 mm", "x x mm"])
def test_what_is_no_size_is_refused(text):
    with pytest.raises(UnitError):
        parse_size(text)


@given(numbers(-1e4, 1e4))
def test_a_written_length_reads_back_to_the_written_decimals(mm):
    # written with 4 decimals: half a unit of the last place
    assert parse_length(format_length(mm, decimals=4)) == pytest.approx(mm, abs=0.5001e-4)


@given(numbers(0.001, 1e4))
def test_inches_and_millimetres_agree(inches):
    assert parse_length(f"{inches!r} in") == pytest.approx(inches * 25.4, rel=1e-12)
