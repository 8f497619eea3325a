"""Choosing, listing and naming: what a person is shown and may ask for."""

import re

import numpy as np
import pytest

from outline2path.drawing.choosing import Choice, choose, keys_of, parse_choice
from outline2path.drawing.notes import Notes
from outline2path.drawing.reader import read_outline
from outline2path.errors import DrawingError, SettingError
from tests.drawing.samples import page, read

BODY = (
    '<g xmlns:d="urn:d" id="top" d:groupmode="layer" d:label="Cut">'
    '<g d:groupmode="layer" d:label="Holes" class="h"><circle id="one" cx="20" cy="20" r="5"/>'
    '<circle id="two" class="big" cx="50" cy="20" r="9" fill="red"/></g>'
    '<rect id="plate" x="60" y="60" width="30" height="20" fill="#0f0" stroke="blue"/></g>'
    '<path data-name="Fold *" fill="none" stroke="#00F" d="M5 90H95"/>'
    '<defs><circle id="seed" r="4"/></defs><use id="copy" href="#seed" x="10" y="70"/>'
)
DRAWING = read(BODY)

CHOICES = [
    ("one", ["one"]),
    ("#two", ["two"]),
    (".big", ["two"]),
    (".h", ["one", "two"]),
    ("layer=Cut", ["one", "two", "plate"]),
    ("layer=Holes", ["one", "two"]),
    ("layer=Cut, fill=lime", ["plate"]),
    ("layer=*, element=circle, fill=black", ["one"]),
    ("id=t*", ["one", "two", "plate"]),
    ("id=???", ["one", "two", "plate"]),
    ("id=t?o", ["two"]),
    ("stroke=blue", ["plate", None]),
    ("stroke=*", ["plate", None]),
    ("stroke=none", ["one", "two", "seed"]),
    ("fill=none", [None]),
    ("fill=rgb(0, 255, 0)", ["plate"]),
    ("color=#F00", ["two"]),
    ("name=Fold [*]", [None]),
    ("element=use", ["seed"]),
    ("copy", ["seed"]),
    ("id = one ", ["one"]),
    ("CLASS=big", ["two"]),
]


@pytest.mark.parametrize(("text", "ids"), CHOICES)
def test_a_choice_takes_what_it_says(text, ids):
    chosen = choose(DRAWING.figures, parse_choice(text))
    assert [f.element.id for f in chosen] == ids


@pytest.mark.parametrize("text", ["ID=one", "id=ONE", "layer=cut", "id=o", "fill=blue", ".h1"])
def test_names_are_compared_letter_by_letter(text):
    if text == "ID=one":  # keys may be written in capitals, names may not be changed
        assert parse_choice(text) == Choice(id="one")
        return
    with pytest.raises(DrawingError, match="nothing in the drawing has"):
        choose(DRAWING.figures, parse_choice(text))


@pytest.mark.parametrize("text", ["", " ", ",", "=", "id=", "=one", "size=3", "#", "."])
def test_a_choice_of_nothing_is_refused_with_the_forms_there_are(text):
    with pytest.raises(SettingError) as refusal:
        parse_choice(text)
    assert "id=heron" in str(refusal.value)


@pytest.mark.parametrize(
    ("key", "names"),
    [
        ("id", ("top", "one", "two", "plate", "copy", "seed")),
        ("layer", ("Cut", "Holes")),
        ("label", ("Cut", "Holes", "Fold *")),
        ("class_name", ("h", "big")),
        ("fill", ("#000000", "#ff0000", "#00ff00", "none")),
        ("stroke", ("none", "#0000ff")),
    ],
)
def test_names_are_listed_in_the_order_of_the_drawing(key, names):
    assert keys_of(DRAWING.figures, key) == names


@pytest.mark.parametrize(
    ("by", "names"),
    [
        ("layer", ["Cut", "Holes"]),
        ("fill", ["#000000", "#ff0000", "#00ff00", "none"]),
        ("label", ["Cut", "Holes", "Fold *"]),
        ("element", ["svg", "g", "circle", "rect", "path", "use"]),
    ],
)
def test_a_drawing_splits_into_named_parts(by, names):
    assert list(DRAWING.split(by)) == names


@pytest.mark.parametrize(
    ("by", "name", "codes"),
    [
        ("layer", "Cut", ["no-physical-size", "strokes-ignored"]),
        ("layer", "Holes", ["no-physical-size"]),
        ("fill", "none", ["no-physical-size", "stroke-only"]),
        ("label", "Fold *", ["no-physical-size", "stroke-only"]),
        ("element", "use", ["no-physical-size"]),
    ],
)
def test_a_part_tells_of_the_file_and_of_its_own_shapes_only(by, name, codes):
    assert [finding.code for finding in DRAWING.split(by)[name].findings] == codes


def test_parts_by_colour_add_up_to_the_drawing():
    whole = sum(p.region.area for p in DRAWING.split("fill").values())
    assert whole == pytest.approx(DRAWING.region.area)


def test_the_listing_tells_kind_layers_size_place_and_paint():
    entries = {e.element.id: e for e in DRAWING.contents()}
    px = 25.4 / 96
    plate, two, line = entries["plate"], entries["two"], entries[None]
    assert (plate.kind, plate.layers, plate.fill, plate.stroke) == (
        "area", ("Cut",), "#00ff00", "#0000ff"
    )  # fmt: skip
    assert plate.size_mm == pytest.approx((30 * px, 20 * px))
    assert plate.at_mm == pytest.approx((60 * px, 20 * px))
    assert two.layers == ("Cut", "Holes")
    assert two.area_mm2 == pytest.approx(np.pi * (9 * px) ** 2, rel=1e-2)
    assert (line.kind, line.area_mm2, line.fill) == ("line", 0, None)
    assert str(two).startswith('<circle> "two" (line 1) in Cut / Holes: area, 4.76 x 4.76 mm at')
    assert "(stroke #0000ff)" in str(line)


def test_a_shape_that_its_clip_takes_away_is_listed_as_nothing():
    clip = '<clipPath id="c"><rect width="5" height="5"/></clipPath>'
    shape = '<rect id="a" clip-path="url(#c)" x="50" width="9" height="9"/>'
    entries = read(f'{clip}{shape}<rect width="9" height="9"/>').contents()
    assert [e.kind for e in entries] == ["nothing", "area"]


RINGS = [
    ('<rect id="a" width="9" height="9"/>', [(False, ("a",))]),
    ('<path id="a" fill-rule="evenodd" d="M0 0H9V9H0ZM3 3H6V6H3Z"/>',
     [(False, ("a",)), (True, ("a",))]),
    ('<rect id="a" width="9" height="9"/><rect id="b" x="5" width="9" height="5"/>',
     [(False, ("a", "b"))]),
    ('<rect id="a" width="9" height="9"/><rect id="b" x="50" width="9" height="5"/>',
     [(False, ("a",)), (False, ("b",))]),
    ('<g id="g"><circle id="a" cx="20" cy="20" r="9"/></g>', [(False, ("a",))]),
    ('<g fill="none" stroke="red"><rect id="a" width="9" height="9"/></g>', [(False, ())]),
]  # fmt: skip


@pytest.mark.parametrize(("body", "wanted"), RINGS)
def test_every_edge_knows_what_it_came_from(body, wanted):
    rings = read(body).rings
    assert sorted((r.is_hole, tuple(e.id for e in r.elements)) for r in rings) == wanted
    for ring in rings:
        assert ring.points[0].tolist() == ring.points[-1].tolist()
        x, y = ring.points.T
        signed = (x[:-1] * y[1:] - x[1:] * y[:-1]).sum()
        assert (signed < 0) == ring.is_hole


def test_notes_are_counted_kind_by_kind():
    notes = Notes()
    for k in range(8):
        notes.add("one", "warning", f"first {k}")
        notes.add(f"kind {k % 2}", "info", f"second {k}")
    messages = [f.message for f in notes.findings()]
    assert notes.count("one") == 8
    assert messages[:6] == [*(f"first {k}" for k in range(5)), "and 3 more like that (one)"]
    assert len(messages) == 6 + 4 + 4


def test_a_drawing_is_shown_in_one_short_line():
    outline = read_outline(
        page(BODY, 'width="100mm" height="100mm" viewBox="0 0 100 100"').encode()
    )
    assert re.fullmatch(r"Outline\(\d+\.\d\d x \d+\.\d\d mm, regions=4, holes=0\)", repr(outline))
