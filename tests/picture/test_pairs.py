"""Every pair of meanings is told apart by everyone, and so is every word on sheet and pages."""

from __future__ import annotations

import re
from itertools import combinations
from pathlib import Path

import pytest

import outline2path.picture
from outline2path.picture.style import MEANINGS, PAPER, depth_colours
from tests.picture.vision import MACHADO, contrast, difference

CLEAR, GREY_STEP = 15.0, 10.0
"""Seen at a glance, CIE 1976; for greys in L*."""
PAIRS = list(combinations(MEANINGS.values(), 2))
GROUNDS = {"paper": PAPER, **{name: MEANINGS[name].colour for name in ("waste", "part", "kerf")}}
"""What lines and points are drawn over."""
ROOM = Path(outline2path.picture.__file__).parent
SHEET = (ROOM / "sheet.css").read_text(encoding="utf-8")
PAGES = Path(__file__).parents[2] / "docs" / "theme" / "workshop" / "static" / "workshop.css"


def apart(one: str, other: str) -> bool:
    """Whether two colours stay apart in every vision and in grey."""
    return all(difference(one, other, v) >= (GREY_STEP if v == "grey" else CLEAR) for v in MACHADO)


def told_otherwise(one, other) -> bool:
    """Whether two meanings differ in something else than colour."""
    if one.kind != other.kind:
        return True
    return (one.pattern, one.dashes, one.marker) != (other.pattern, other.dashes, other.marker)


@pytest.mark.parametrize(("one", "other"), PAIRS, ids=lambda m: m.name)
def test_each_pair_of_meanings_is_told_apart(one, other):
    assert told_otherwise(one, other) or apart(one.colour, other.colour)


@pytest.mark.parametrize("vision", sorted(MACHADO))
@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("name", [m.name for m in MEANINGS.values() if m.kind != "fill"])
def test_each_line_and_point_shows_on_each_ground(name, ground, vision):
    need = GREY_STEP if vision == "grey" else CLEAR
    assert difference(MEANINGS[name].colour, GROUNDS[ground], vision) >= need


@pytest.mark.parametrize("vision", sorted(MACHADO))
@pytest.mark.parametrize("ground", ["kerf", "part", "waste"])
def test_each_depth_shows_on_what_it_is_cut_in(ground, vision):
    need = GREY_STEP if vision == "grey" else CLEAR
    assert min(difference(c, GROUNDS[ground], vision) for c in depth_colours(6)) >= need


@pytest.mark.parametrize("vision", sorted(MACHADO))
@pytest.mark.parametrize("name", ["tab", "lost", "thin"])
def test_what_to_look_at_shows_on_what_lies_round_it(name, vision):
    need = GREY_STEP if vision == "grey" else CLEAR
    for ground in ("part", "kerf", "waste"):
        assert difference(MEANINGS[name].colour, GROUNDS[ground], vision) >= need


@pytest.mark.parametrize("vision", sorted(MACHADO))
def test_crosses_show_on_what_is_lost(vision):
    need = GREY_STEP if vision == "grey" else CLEAR
    assert difference(MEANINGS["more"].colour, MEANINGS["lost"].colour, vision) >= need


def palettes(text: str) -> list[dict[str, str]]:
    """The palettes of a style sheet: light, and dark over it."""
    found = [
        dict(re.findall(r"--(\w+): (#[0-9a-f]{6})", block))
        for block in re.findall(r":root ?\{(.*?)\}", text, re.DOTALL)
    ]
    return [found[0], {**found[0], **found[1]}]


SHEETS = {
    f"{name}, {tone}": palette
    for name, text in (("sheet", SHEET), ("pages", PAGES.read_text(encoding="utf-8")))
    for tone, palette in zip(("light", "dark"), palettes(text), strict=True)
}


@pytest.mark.parametrize("name", SHEETS)
def test_words_on_a_page_stand_out_by_more_than_words_must(name):
    # WCAG 2.2, 1.4.3: text 4.5 to 1 (from memory)
    colours = SHEETS[name]
    for ink in ("ink", "quiet", "accent", "good", "bad"):
        for ground in ("paper", "card"):
            if ink in colours:
                assert contrast(colours[ink], colours[ground]) >= 4.5, (ink, ground)
