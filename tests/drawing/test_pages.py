"""Pages: what lies outside, and what happens to it."""

import pytest
from hypothesis import given, settings

from outline2path.drawing.reader import read_outline
from tests.drawing.samples import page, read
from tests.strategies import numbers

PX = 25.4 / 96


def told(body: str, how: str) -> list[str]:
    outline = read(f'{body}<rect id="good" x="40" y="40" width="9" height="9"/>', outside_page=how)
    return [f.message for f in outline.findings if f.code == "outside-page"]


def kept(body: str, how: str) -> list[str]:
    outline = read(f'{body}<rect id="good" x="40" y="40" width="9" height="9"/>', outside_page=how)
    return [f.element.id for f in outline.figures]


WHERE = [
    ('<rect id="a" x="10" y="10" width="20" height="20"/>', "inside"),
    ('<rect id="a" width="100" height="100"/>', "inside"),
    ('<circle id="a" cx="50" cy="50" r="50"/>', "inside"),
    ('<path id="a" d="M0 20C-9 30 9 30 20 20Z"/>', "over"),
    ('<path id="a" d="M20 10C20 -3 30 -3 30 10Z"/>', "inside"),
    ('<rect id="a" x="-10" y="10" width="20" height="20"/>', "over"),
    ('<rect id="a" x="90" y="10" width="20" height="20"/>', "over"),
    ('<rect id="a" x="10" y="95" width="20" height="20"/>', "over"),
    ('<rect id="a" x="-30" y="-30" width="300" height="300"/>', "over"),
    ('<rect id="a" x="-30" y="10" width="20" height="20"/>', "off"),
    ('<rect id="a" x="10" y="-20" width="20" height="20"/>', "off"),
    ('<rect id="a" x="100" y="10" width="20" height="20"/>', "off"),
    ('<rect id="a" x="10" y="140" width="20" height="20"/>', "off"),
    ('<circle id="a" cx="-10" cy="-10" r="9"/>', "off"),
    ('<g transform="translate(200 0)"><rect id="a" width="9" height="9"/></g>', "off"),
]


@pytest.mark.parametrize(("body", "where"), WHERE)
@pytest.mark.parametrize("how", ["drop", "keep", "clip"])
def test_shapes_are_kept_by_where_they_lie_and_what_is_asked(body, where, how):
    gone = where == "off" and how != "keep"
    assert kept(body, how) == (["good"] if gone else ["a", "good"])
    messages = told(body, how)
    assert len(messages) == (0 if where == "inside" else 1)
    if messages:
        words = {"off": "lies outside the page", "over": "reaches over the edge"}[where]
        assert words in messages[0]
        assert '"a" (line 1)' in messages[0]


@pytest.mark.parametrize(
    ("how", "done"), [("drop", "kept whole"), ("keep", "kept"), ("clip", "cut off there")]
)
def test_a_shape_over_the_edge_is_told_with_what_was_done(how, done):
    assert told('<rect x="-10" width="20" height="20"/>', how)[0].endswith(f"it was {done}")


@settings(max_examples=40)
@given(numbers(-60, 120), numbers(-60, 120), numbers(1, 80), numbers(1, 80))
def test_clipping_leaves_what_lies_on_the_page(x, y, w, h):
    wide = max(min(x + w, 100) - max(x, 0), 0)
    high = max(min(y + h, 100) - max(y, 0), 0)
    both = f'<rect x="{x}" y="{y}" width="{w}" height="{h}"/><rect width="1e-3" height="1e-3"/>'
    area = read(both, outside_page="clip").region.area / PX**2
    assert area == pytest.approx(wide * high, abs=1e-5)  # the speck is a millionth


@pytest.mark.parametrize(
    ("size", "px"),
    [
        ("", (49, 49)),
        ('width="60"', (60, 49)),
        ('height="60"', (49, 60)),
        ('width="60" height="70"', (60, 70)),
    ],
)
def test_a_side_the_file_leaves_out_reaches_as_far_as_the_drawing(size, px):
    body = page('<rect x="40" y="40" width="9" height="9"/>', size)
    assert read_outline(body.encode()).source.page_px == pytest.approx(px)
