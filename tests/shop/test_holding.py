"""Ways of holding the work: boxes to keep out of, and the cautions that go with each."""

import pytest

from outline2path.errors import OutlinePathError
from outline2path.shop.holding import Clamp, Holding

CLAMP = Clamp(at=("-10 mm", 0), size=("1 in", 20), height="25 mm", name="left clamp")
TALL = Clamp(at=(80, 0), size=(20, 20), height=32)


def test_a_clamp_is_a_box_in_millimetres():
    assert CLAMP.box_mm == pytest.approx((-10, 0, 15.4, 20))
    assert CLAMP.height_mm == 25


def test_the_highest_clamp_counts():
    assert Holding("clamps", clamps=[CLAMP, TALL]).highest_mm == 32
    assert Holding("tape and glue").highest_mm == 0


@pytest.mark.parametrize(
    ("way", "word"),
    [
        ("tabs", "tabs"),
        ("tape and glue", "cyanoacrylate"),
        ("clamps", "rapid"),
        ("screws", "screws"),
        ("vice", "vice"),
    ],
)
def test_each_way_has_its_own_cautions(way, word):
    held = Holding(way, clamps=[CLAMP])
    assert word in " ".join(held.cautions).lower()
    assert all(caution.endswith(".") for caution in held.cautions)


@pytest.mark.parametrize(
    "make",
    [
        lambda: Holding("magnets"),
        lambda: Holding("clamps"),
        lambda: Holding("screws"),
        lambda: Holding("vice"),
        lambda: Clamp(at=(0, 0), size=(0, 20), height=25),
        lambda: Clamp(at=(0, 0), size=(20, 20), height=-1),
        lambda: Clamp(at=("3 kg", 0), size=(20, 20), height=25),
    ],
)
def test_impossible_holdings_are_refused_in_one_sentence(make):
    with pytest.raises(OutlinePathError) as caught:
        make()
    assert 10 < len(str(caught.value)) < 200
