"""Selectors against an independent matcher of whole selectors, and their bounded cost."""

import time

import pytest
from cssselect2 import ElementWrapper, SelectorError, compile_selector_list
from hypothesis import given
from hypothesis import strategies as st

from outline2path.drawing.document import parse_document
from outline2path.drawing.selectors import Matcher
from outline2path.errors import DrawingError
from tests.drawing.samples import page

TREE = parse_document(
    page(
        '<g id="a" class="x"><rect id="b" class="x y"/><circle class="y"/><g><rect id="c"/>'
        '<path class="z"/></g></g><rect id="d" data-k="two words"/><g class="x"><rect/></g>'
    ).encode()
).root
ELEMENTS = list(ElementWrapper.from_xml_root(TREE).iter_subtree())


def ours(selector: str) -> list[bool]:
    matcher = Matcher()
    matcher.add(selector, "hit")
    return [bool(matcher.match(element)) for element in ELEMENTS]


def theirs(selector: str) -> list[bool]:
    compiled = compile_selector_list(selector)
    return [any(c.test(e) for c in compiled if c.pseudo_element is None) for e in ELEMENTS]


SELECTORS = [
    "rect",
    "*",
    "#b",
    ".x",
    ".x.y",
    "rect.x",
    "g rect",
    "g > rect",
    "g g rect",
    "g > g > rect",
    "rect + circle",
    "rect ~ g",
    "rect ~ g rect",
    "g:first-child rect",
    "g > :first-child",
    ":nth-child(2)",
    ":not(.x)",
    "rect:not(.x):not(#d)",
    ":is(rect, circle)",
    ":root",
    ":root > g",
    "[data-k]",
    "[data-k~=two]",
    "[data-k^=two]",
    "[class=x]",
    ":empty",
    ":last-child",
    ":only-child",
    "svg g rect",
    "nothing rect",
    "rect::before",
]


@pytest.mark.parametrize("selector", SELECTORS)
def test_a_selector_matches_what_the_whole_matcher_matches(selector):
    assert ours(selector) == theirs(selector)


compounds = st.sampled_from(["rect", "g", "*", ".x", ".y", "#a", ":first-child", "circle", "svg"])
chains = st.lists(st.tuples(compounds, st.sampled_from([" ", " > ", " + ", " ~ "])), max_size=4)


@given(chains, compounds)
def test_any_chain_of_combinators_matches_what_the_whole_matcher_matches(chain, last):
    selector = "".join(a + b for a, b in chain) + last
    assert ours(selector) == theirs(selector)


def test_payloads_come_from_weakest_to_strongest():
    matcher = Matcher()
    for selector in ("#b", "rect.x", "rect", "g rect", "*", "rect"):
        matcher.add(selector, selector)
    b = next(e for e in ELEMENTS if e.id == "b")
    assert matcher.match(b) == ["*", "rect", "rect", "g rect", "rect.x", "#b"]


@pytest.mark.parametrize(
    "selector",
    [
        "rect:has(g)",
        "rect:not(g rect)",
        "rect:is(g > rect)",
        "a:where(b c)",
        " ".join(["g"] * 60),
        " ".join(["g"] * 5000),
        "rect[",
        "..x",
        ">",
        "",
        ":nonsense",
        "rect:nth-child(x)",
    ],
)
def test_selectors_of_unbounded_cost_or_none_at_all_are_refused(selector):
    with pytest.raises(SelectorError):
        Matcher().add(selector, "hit")


def test_the_cost_of_combinators_does_not_explode():
    """Matched naively, each further descendant multiplies the work by the depth."""
    deep = parse_document(page("<g>" * 200 + "<rect/>" + "</g>" * 200).encode()).root
    elements = list(ElementWrapper.from_xml_root(deep).iter_subtree())
    matcher = Matcher()
    matcher.add(" ".join(["g"] * 49) + " circle, " + "g " * 40 + "rect.none", "hit")
    start = time.process_time()
    assert not any(matcher.match(e) for e in elements)
    assert time.process_time() - start < 2


def test_too_many_selectors_for_too_many_elements_are_refused():
    matcher = Matcher()
    for _ in range(1000):
        matcher.add("*", "hit")
    for _ in range(500):
        matcher.match(ELEMENTS[0])
    with pytest.raises(DrawingError, match="too many"):
        matcher.match(ELEMENTS[0])
