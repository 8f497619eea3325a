"""The cascade: which declaration wins, and what children inherit."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from outline2path.drawing.document import parse_document
from outline2path.drawing.styles import INHERITED, PROPERTIES, apply_styles, declarations, inherit
from tests.drawing.samples import page


def rules_of(body: str, name: str = "rect") -> dict[str, str]:
    """Rules of the first element of a name, once the styles are applied."""
    document = parse_document(page(body).encode())
    apply_styles(document)
    stack = [document.root]
    while stack:
        node = stack.pop()
        if node.name == name:
            return node.rules or {}
        stack.extend(reversed(node.children))
    raise LookupError(name)


# CSS Cascading 4 (from memory): important, then `style=`, then specificity, then order;
# presentation attributes come before all author rules (SVG 2 section 6.6).
WINNERS = [
    ('<rect fill="red"/>', "red"),
    ('<rect fill="red" style="fill:blue"/>', "blue"),
    ('<style>rect{fill:green}</style><rect fill="red"/>', "green"),
    ('<style>rect{fill:green}</style><rect style="fill:blue"/>', "blue"),
    ('<style>rect{fill:green !important}</style><rect style="fill:blue"/>', "green"),
    ('<style>rect{fill:green!important}</style><rect style="fill:blue !important"/>', "blue"),
    ('<style>rect{fill:green}rect{fill:teal}</style><rect/>', "teal"),
    ('<style>.a{fill:green}rect{fill:teal}</style><rect class="a"/>', "green"),
    ('<style>#b{fill:navy}.a{fill:green}</style><rect id="b" class="a"/>', "navy"),
    ('<style>.a.c{fill:navy}.a{fill:green}</style><rect class="a c"/>', "navy"),
    ('<style>g rect{fill:navy}rect{fill:green}</style><g><rect/></g>', "navy"),
    ('<style>*{fill:navy}</style><rect/>', "navy"),
    ('<style>rect,circle{fill:navy}</style><rect/>', "navy"),
    ('<style>rect{fill:green!important}#b{fill:navy}</style><rect id="b"/>', "green"),
    ('<rect/><style>rect{fill:navy}</style>', "navy"),
    ('<style><![CDATA[rect{fill:navy}]]></style><rect/>', "navy"),
    ('<style>/* rect{fill:red} */rect{fill:navy}</style><rect/>', "navy"),
    ('<style><!-- --></style><style>rect{fill:navy}</style><rect/>', "navy"),
    ('<style type="text/css">rect{fill:navy}</style><rect/>', "navy"),
    ('<style type="">rect{fill:navy}</style><rect/>', "navy"),
    ('<style>@media screen{rect{fill:navy}}</style><rect/>', "navy"),
    ('<style>@media all{@media screen{rect{fill:navy}}}</style><rect/>', "navy"),
    ('<style>rect{fill:navy;fill:}</style><rect/>', "navy"),
    ('<style>rect{fill:navy;;stroke}</style><rect/>', "navy"),
    ('<style>rect{nonsense{}}rect{fill:navy}</style><rect/>', "navy"),
    ('<style>rect{FILL:navy}</style><rect/>', "navy"),
    ('<style>rect{\\66ill:navy}</style><rect/>', "navy"),
    ('<rect style="fill:navy;"/>', "navy"),
    ('<rect style=" ; fill : navy ; "/>', "navy"),
    ('<rect style="/* c */fill:navy"/>', "navy"),
    ("<rect style=\"fill:url('#a;b') navy\"/>", "url(\"#a;b\") navy"),
]  # fmt: skip


@pytest.mark.parametrize(("body", "fill"), WINNERS)
def test_the_strongest_declaration_wins(body, fill):
    assert rules_of(body)["fill"] == fill


UNUSED = [
    '<style type="text/less">rect{fill:red}</style><rect/>',
    "<style>@media print{rect{fill:red}}</style><rect/>",
    "<style>@font-face{fill:red}</style><rect/>",
    "<style>rect::before{fill:red}</style><rect/>",
    "<style>circle{fill:red}</style><rect/>",
    '<rect style="fill"/>',
    '<rect style="fill:"/>',
    '<rect style="fill red"/>',
    '<rect style="-o-fill:red"/>',
    '<rect transform="fill"/>',
]


@pytest.mark.parametrize("body", UNUSED)
def test_what_does_not_apply_sets_no_fill(body):
    assert "fill" not in rules_of(body)


NOTED = [
    ('<style type="text/less">a{}</style>', "type"),
    ("<style>@import 'x.css';</style>", "@import"),
    ("<style>@media print{rect{fill:red}}</style>", "@media 'print'"),
    ("<style>rect:has(a){fill:red}</style>", "selector"),
    ("<style>rect:not(g a){fill:red}</style>", "selector"),
    ("<style>rect:nonsense(3){fill:red}</style>", "selector"),
    ("<style>rect{fill:red}}</style>", "not read"),
    ('<rect style="zoom:3"/>', "zoom"),
    ('<rect style="clip:rect(1px,2px,3px,4px)"/>', "clip"),
    ('<rect style="fill:var(--x)"/>', "no value"),
]


@pytest.mark.parametrize(("body", "words"), NOTED)
def test_what_is_not_read_is_noted_once_with_its_element(body, words):
    notes = apply_styles(parse_document(page(body).encode()))
    assert len(notes) == 1
    assert words in notes[0]
    assert notes[0].startswith("<")


@pytest.mark.parametrize("value", ["none", "auto", "1", "normal"])
def test_a_property_that_changes_nothing_is_not_worth_a_note(value):
    body = f'<rect style="clip:{value};zoom:{value};mask-image:{value}"/>'
    assert apply_styles(parse_document(page(body).encode())) == ()


def test_the_shorthand_marker_sets_all_three():
    rules = rules_of('<path style="marker:url(#m);marker-mid:none"/>', "path")
    ends = {k: v for k, v in rules.items() if k.startswith("marker-")}
    assert ends == {
        "marker-start": "url(#m)",
        "marker-mid": "none",
        "marker-end": "url(#m)",
    }


@pytest.mark.parametrize(
    ("font", "size"),
    [("12px serif", "12px"), ("bold 2em/1.5 a", "2em"), ("serif", None), ("italic 3mm a", "3mm")],
)
def test_the_shorthand_font_gives_its_size(font, size):
    assert rules_of(f'<g style="font:{font}"/>', "g").get("font-size") == size


def test_only_what_a_style_may_set_is_taken_from_attributes():
    rules = rules_of('<rect fill="red" transform="scale(2)" x="3" id="a" foo="b"/>')
    assert rules == {"fill": "red"}
    assert set(rules) <= PROPERTIES


@pytest.mark.parametrize("word", ["inherit", "unset", "revert", "INHERIT", " inherit "])
def test_a_child_may_ask_for_what_its_parent_has(word):
    assert inherit({"fill": "navy"}, {"fill": word}) == {"fill": "navy"}


@pytest.mark.parametrize(
    ("key", "value"), [("fill", "black"), ("stroke", "none"), ("clip-rule", "nonzero")]
)
def test_initial_brings_back_the_first_value(key, value):
    assert inherit({key: "navy"}, {key: "initial"}) == {key: value}


keys = st.sampled_from(sorted(PROPERTIES))
words = st.sampled_from(["none", "red", "3px", "inherit"])


@given(st.dictionaries(keys, words, max_size=6), st.dictionaries(keys, words, max_size=6))
def test_children_inherit_only_what_is_inherited_and_never_change_their_parents(parent, own):
    before = dict(parent)
    found = inherit(parent, own)
    assert parent == before
    for key in INHERITED:
        asked = own.get(key, "inherit")
        assert found.get(key) == (parent.get(key) if asked == "inherit" else asked)
    assert all(found[key] == parent[key] for key in found.keys() - INHERITED)


@given(st.dictionaries(keys, st.sampled_from(["none", "red", "3px"]), min_size=1))
def test_a_plain_style_reads_the_same_by_the_scanner_and_by_the_full_parser(style):
    text = ";".join(f"{k}:{v}" for k, v in style.items())
    hard = f"{text};-x-y:'quoted'"  # quotes send it to the full parser
    assert declarations(text) == declarations(hard)
    assert {k: v for k, v, _ in declarations(text)} == style
