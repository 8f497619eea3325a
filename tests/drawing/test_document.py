"""Documents: what the tree keeps of a file, beside the standard library's own tree."""

import gzip
import xml.etree.ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from outline2path.drawing.document import SVG, parse_document, unpack
from outline2path.drawing.limits import Limits
from outline2path.errors import DrawingError

names = st.sampled_from(["g", "rect", "path", "defs", "a"])
texts = st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs")), max_size=12)


@st.composite
def trees(draw: st.DrawFn, depth: int = 3) -> ET.Element:
    """A small tree of SVG elements with any attributes."""
    keys = draw(st.lists(st.sampled_from(["id", "class", "d", "fill", "x"]), unique=True))
    element = ET.Element(f"{{{SVG}}}{draw(names)}", {key: draw(texts) for key in keys})
    if depth:
        element.extend(draw(st.lists(trees(depth - 1), max_size=3)))
    return element


def flat(element) -> list[tuple[str, dict]]:
    """Names and attributes in order."""
    tag = element.tag.rpartition("}")[2]
    return [(tag, dict(element.attrib)), *(row for child in element for row in flat(child))]


@given(st.lists(trees(), max_size=3))
def test_any_tree_is_read_as_the_standard_library_reads_it(children):
    root = ET.Element(f"{{{SVG}}}svg")
    root.extend(children)
    data = ET.tostring(root, encoding="utf-8")
    wanted = flat(ET.fromstring(data))  # noqa: S314
    assert flat(parse_document(data).root) == wanted


@pytest.mark.parametrize(
    "spelling",
    [
        f'<svg xmlns="{SVG}"><rect/></svg>',
        f'<s:svg xmlns:s="{SVG}"><s:rect/></s:svg>',
        "<svg><rect/></svg>",
        '<svg:svg><svg:rect/></svg:svg>',
        f'<?xml version="1.0"?>\n<!-- c -->\n<!DOCTYPE svg>\n<svg xmlns="{SVG}"><rect/></svg>',
        f'<!DOCTYPE svg [<!ENTITY ns "{SVG}">]><svg xmlns="&ns;"><rect/></svg>',
    ],
)  # fmt: skip
def test_svg_elements_are_known_however_their_namespace_is_written(spelling):
    root = parse_document(spelling.encode()).root
    assert [root.name, *(c.name for c in root)] == ["svg", "rect"]


def test_elements_of_other_namespaces_have_no_name():
    body = f'<svg xmlns="{SVG}" xmlns:b="urn:b"><b:rect/><rect xmlns="urn:c"/><rect/></svg>'
    assert [c.name for c in parse_document(body.encode()).root] == ["", "", "rect"]


def test_attributes_of_drawing_programs_keep_their_local_name():
    body = (
        '<svg xmlns:p="urn:program" xmlns:xlink="http://www.w3.org/1999/xlink">'
        '<g p:label="Cut" xlink:href="#a" xml:space="default" data-name="n" label="plain"/></svg>'
    )
    g = parse_document(body.encode()).root[0]
    assert g.attrib == {
        "*:label": "Cut",
        "xlink:href": "#a",
        "xml:space": "default",
        "data-name": "n",
        "label": "plain",
    }


def test_every_element_knows_its_line_and_its_parent():
    root = parse_document(b"<svg>\n<g>\n\n<rect/></g>\n</svg>").root
    rect = root[0][0]
    assert (root.line, root[0].line, rect.line) == (1, 2, 4)
    assert rect.parent is root[0]
    assert str(rect) == "<rect> (line 4)"


def test_the_first_of_equal_ids_counts():
    document = parse_document(b'<svg><g id="a"/><rect id="a"/></svg>')
    assert document.by_id["a"].name == "g"


def test_style_sheets_are_gathered_in_order_with_their_text():
    body = "<svg><style>a{}</style><g><style><![CDATA[b{]]>}</style></g><style/></svg>"
    sheets = parse_document(body.encode()).style_sheets
    assert [text for _, text in sheets] == ["a{}", "b{}"]


LETTERS = "<svg><title>{}</title><g id='{}'/></svg>"


@pytest.mark.parametrize(
    ("encoding", "word"),
    [("utf-8", "Ã©✂"), ("utf-16", "é✂"), ("iso-8859-1", "é"), ("windows-1252", "é€"),
     ("koi8-r", "ж"), ("shift_jis", "ア"), ("us-ascii", "e")],
)  # fmt: skip
def test_a_declared_encoding_is_read(encoding, word):
    text = f'<?xml version="1.0" encoding="{encoding}"?>{LETTERS.format(word, word)}'
    assert word in parse_document(text.encode(encoding)).by_id


@pytest.mark.parametrize("before", [b"\xef\xbb\xbf", b"\n", b" \r\n\t", b"\xef\xbb\xbf\n"])
def test_what_stands_before_the_declaration_is_passed_over(before):
    data = before + b'<?xml version="1.0"?><svg id="a"/>'
    assert "a" in parse_document(data).by_id


def test_letters_that_are_not_what_the_file_says_are_told():
    document = parse_document(LETTERS.format("é", "é").encode("latin-1"))
    assert "é" in document.by_id
    assert "latin-1" in document.notes[0]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"<svg><g></svg>", "line 1, column 10"),
        (b"<svg>\n<g a=1/></svg>", "line 2, column 5"),
        (b"<svg>", "complete"),
        (b"", "empty"),
        (b"<svg a='1' a='2'/>", "duplicate"),
        (b"<svg>&a;</svg>", "undefined entity"),
        (b"<svg/><svg/>", "junk after"),
        (b'<?xml version="1.0" encoding="utf-77"?><svg/>', "utf-77"),
        (b'<?xml version="1.0" encoding="shift_jis"?><svg a="\x80"/>', "shift_jis"),
        (b"{}", "begins with"),
        (b"<SVG/>", "<SVG>"),
        (b"<a:svg xmlns:a='urn:b'/>", "<svg>"),
    ],
)
def test_what_is_no_svg_is_refused_with_its_place(data, words):
    with pytest.raises(DrawingError) as refusal:
        parse_document(data)
    assert words in str(refusal.value)


def test_packed_files_are_unpacked_up_to_the_limit():
    packed = gzip.compress(b"<svg/>" + b" " * 100)
    assert unpack(packed) == b"<svg/>" + b" " * 100
    with pytest.raises(DrawingError, match="larger than 50 bytes"):
        unpack(packed, limits=Limits(file_bytes=50))


ENTITY = "<!DOCTYPE svg [{}]><svg><title>{}</title></svg>"


@pytest.mark.parametrize(
    ("entities", "text"),
    [
        ('<!ENTITY a "&#38;b;">', ""),
        ('<!ENTITY a "<g/>">', "&a;"),
        (f'<!ENTITY a "{"x" * 300}">', "&a;"),
        ("".join(f'<!ENTITY a{k} "x">' for k in range(65)), ""),
    ],
)
def test_entities_that_could_grow_are_refused(entities, text):
    with pytest.raises(DrawingError, match="entit"):
        parse_document(ENTITY.format(entities, text).encode())
