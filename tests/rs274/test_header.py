"""The opening comments: facts and cautions."""

import pytest

from outline2path.rs274.header import CAUTIONS, Header


def text(units="mm", **facts):
    header = Header(**{"title": "key rack", **facts})
    return "\n".join(
        header.lines(cutter="3.175 mm, 1 flute", bounds_mm=(0, 1, -6, 140, 90, 5), units=units)
    )


@pytest.mark.parametrize(
    "line",
    [
        "(key rack)",
        "(work zero: x and y lower left corner, z top of the stock)",
        "(cutter: 3.175 mm, 1 flute)",
        "(cutter centre, x: 0.00 mm to 140.00 mm)",
        "(cutter centre, z: -6.00 mm to 5.00 mm)",
        "(proof: none yet)",
    ],
)
def test_the_header_states_what_the_machine_must_be_set_to(line):
    assert line in text()


@pytest.mark.parametrize("word", ["manual", "supervision", "Eye", "dust", "ear", "Never leave"])
def test_the_usual_cautions_are_there(word):
    assert word in text()
    assert all(f"({line})" in text() for line in CAUTIONS)


def test_lengths_are_shown_in_the_programs_units():
    assert "(finished size: 120.00 mm x 45.00 mm)" in text(size_mm=(120, 45))
    assert "(finished size: 5.000 in x 1.500 in)" in text("in", size_mm=(127, 38.1))


def test_stock_and_notes_are_left_out_or_stated():
    assert "stock" not in text().replace("of the stock", "")
    assert "(stock: birch, 6 mm)" in text(stock="birch, 6 mm")
    assert "(climb cut)" in text(notes=("climb cut",))


def test_a_title_of_nothing_is_said_so():
    assert text(title="").startswith("(untitled)")
