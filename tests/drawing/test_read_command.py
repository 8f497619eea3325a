"""`outline2path read` as a person uses it: every way in, every choice, every way out."""

import gzip
import io
import math
import sys

import pytest
import shapely

from outline2path.cli.main import main
from outline2path.drawing.reader import read_outline

SPACE = 'xmlns="http://www.w3.org/2000/svg"'
SHEET = f"""<svg {SPACE} xmlns:d="urn:d" width="100mm" height="50mm" viewBox="0 0 100 50">
<g id="L1" d:groupmode="layer" d:label="Cut">
<rect id="plate" class="part" x="5" y="5" width="40" height="30" fill="#ff0000"/>
<circle id="hole" cx="20" cy="20" r="5" fill="white"/></g>
<path id="line" d="M60 10H90V40" fill="none" stroke="#0000ff" stroke-width="2"/>
<text x="5" y="45">A</text></svg>"""


@pytest.fixture
def run(capsys):
    """Run the command: exit code, standard output, standard error."""

    def call(*args):
        code = main(["read", *map(str, args)])
        return (code, *capsys.readouterr())

    return call


@pytest.fixture
def sheet(tmp_path):
    path = tmp_path / "sheet.svg"
    path.write_text(SHEET)
    return path


def area_of(path):
    return shapely.from_wkt(path.read_text()).area


DISC = math.pi * 25  # mm2, from chords within 2 micrometres
CHOICES = [
    ((), 1200),
    (("--select", "plate"), 1200),
    (("--select", ".part"), 1200),
    (("--select", "layer=Cut, element=circle"), DISC),
    (("--select", "fill=#f00"), 1200),
    (("--paint", "visible"), 1200 - DISC),
    (("--paint", "visible", "--select", "layer=Cut"), 1200 - DISC),
    (("--strokes", "outline"), 1200 + 60 + 60),
    (("--strokes", "outline", "--select", "stroke=blue"), 120),
    (("--strokes", "ignore", "--width", "150 mm"), 1200 * 3.75**2),
    (("--scale", "2"), 4800),
    (("--rotate", "90", "--mirror"), 1200),
]


@pytest.mark.parametrize(("options", "area"), CHOICES)
def test_choices_strokes_paint_and_size_give_the_area_on_paper(
    run, sheet, tmp_path, options, area
):
    """By hand: a plate of 40 x 30 with a disc of radius 5, a line 60 long and 2 wide."""
    code, _, _ = run(sheet, *options, "--wkt", tmp_path / "o.wkt")
    assert code == 0
    assert area_of(tmp_path / "o.wkt") == pytest.approx(
        area, abs=32 * 0.002
    )  # edge times tolerance


@pytest.mark.parametrize("options", [(), ("--select", "plate"), ("--strokes", "outline")])
def test_the_clean_drawing_written_reads_back_as_what_was_told(run, sheet, tmp_path, options):
    _, out, _ = run(sheet, *options, "--svg", tmp_path / "o.svg", "--wkt", tmp_path / "o.wkt")
    _, again, _ = run(tmp_path / "o.svg", "--wkt", tmp_path / "p.wkt")
    assert again.split(";")[0] == out.split(";")[0]
    one, two = (shapely.from_wkt((tmp_path / f"{k}.wkt").read_text()) for k in "op")
    assert one.symmetric_difference(two).area < 1e-6


def test_what_there_is_is_listed_with_sizes_places_layers_and_paint(run, sheet):
    _, out, err = run(sheet)
    assert '<rect> "plate" (line 3) in Cut: area, 40.00 x 30.00 mm at x 5.00, y 15.00' in out
    assert '<path> "line" (line 5): line, 30.00 x 30.00 mm' in out
    assert "text is not read" in out + err


def test_of_a_choice_only_what_concerns_it_is_told(run, sheet):
    _, out, err = run(sheet, "--select", "plate")
    assert '"hole"' not in out + err
    assert "strokes" not in out + err


BARE = f'<svg {SPACE} width="72" height="90"><rect id="é" width="36" height="45"/></svg>'
DECLARED = '<?xml version="1.0" encoding="{}"?>\n' + BARE
FORMS = {
    "plain": BARE.encode(),
    "byte order mark": BARE.encode("utf-8-sig"),
    "UTF-16": DECLARED.format("UTF-16").encode("utf-16"),
    "UTF-16 big end first": DECLARED.format("UTF-16").encode("utf-16-be"),
    "declared latin": DECLARED.format("ISO-8859-1").encode("latin-1"),
    "blank line first": b"\n\n" + DECLARED.format("UTF-8").encode(),
    "gzip": gzip.compress(BARE.encode()),
}


@pytest.mark.parametrize("data", FORMS.values(), ids=FORMS)
@pytest.mark.parametrize("stdin", [False, True], ids=["file", "stdin"])
def test_every_way_to_write_a_file_reads_the_same(run, tmp_path, monkeypatch, data, stdin):
    name = tmp_path / "d.svgz"
    name.write_bytes(data)
    if stdin:
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(data)))
    code, out, _ = run("-" if stdin else name)
    assert code == 0
    assert out.startswith("9.53 x 11.91 mm, 1 region, 0 holes")  # 36 x 45 px of 25.4 / 96 mm
    assert '"é"' in out


@pytest.mark.parametrize(
    ("ppi", "size"), [(72, "12.70 x 15.87"), (90, "10.16 x 12.70"), (96, "9.53 x 11.91")]
)
def test_pixels_to_the_inch_are_a_setting(run, tmp_path, ppi, size):
    """36 x 45 px: inches times 25.4, by hand; halves are rounded to even."""
    (tmp_path / "d.svg").write_bytes(FORMS["plain"])
    _, out, _ = run(tmp_path / "d.svg", "--ppi", ppi)
    assert out.startswith(f"{size} mm")


LINES = f"""<svg {SPACE} width="40mm" height="40mm" viewBox="0 0 40 40" fill="none" stroke="black">
<path d="M5 5H35V35"/><path d="M35.03 35H5V5.02"/><path d="M10 10h5v5h-5z"/>
<path d="M15 10v5h-5v-5z"/>{{}}</svg>"""


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ("", "1 region, 1 hole;"),
        ('<path d="M37 2V30"/>', "1 region, 1 hole, 1 line to engrave"),
        ('<path d="M20 20h9v9"/><path d="M20.6 20v9h9"/>', "2 lines to engrave"),
    ],
)
def test_lines_are_joined_nested_and_engraved(run, tmp_path, more, words):
    """Gaps of .03 and .02 mm close one square; the square drawn twice in it is one hole."""
    (tmp_path / "d.svg").write_text(LINES.format(more))
    _, out, err = run(tmp_path / "d.svg")
    assert words in out
    assert (out + err).count("mm apart and were joined") == 2
    assert ("left open" in out + err) == ("20.6" in more)


SPIKED = f"""<svg {SPACE} width="40mm" height="40mm" viewBox="0 0 40 40">
<path d="M5 5H35V20H39H35V35H5Z"/>{{}}</svg>"""


@pytest.mark.parametrize("rule", ["nonzero", "evenodd"])
def test_spikes_go_and_rings_drawn_twice_are_told(run, tmp_path, rule):
    more = f'<path id="twice" fill-rule="{rule}" d="M10 10h5v5h-5zM10 10h5v5h-5z"/>'
    (tmp_path / "d.svg").write_text(SPIKED.format(more))
    _, out, err = run(tmp_path / "d.svg")
    assert out.startswith("30.00 x 30.00 mm, 1 region, 0 holes")
    assert 'twice" (line 2): rings are drawn twice (1 too many)' in out + err


def test_a_bad_element_costs_itself_alone_and_is_told_with_what_was_kept(run, tmp_path):
    body = '<path id="p" d="M0 0H10V10H0Z M20 20 L30 20 L30 30 q 5"/><path/>'
    body += '<rect id="r" width="5" height="5" y="30" transform="rotate(a)"/>'
    (tmp_path / "d.svg").write_text(SPIKED.format(body))
    _, out, err = run(tmp_path / "d.svg")
    assert "path data breaks at 'q5'; pieces kept before it: 6" in out + err
    assert "the transform 'rotate(a)' is not understood" in out + err
    assert out.startswith("35.00 x 35.00 mm")


REFUSED = {
    "only text": f"<svg {SPACE}><text>Hi</text><image width='5' height='5'/></svg>",
    "nothing": f"<svg {SPACE}/>",
    "empty": "",
    "no drawing": "hello",
}


@pytest.mark.parametrize("text", REFUSED.values(), ids=REFUSED)
def test_nothing_left_to_cut_is_one_plain_paragraph(run, tmp_path, text):
    (tmp_path / "d.svg").write_text(text)
    code, out, err = run(tmp_path / "d.svg")
    assert code != 0
    assert out == ""
    assert len(err.strip().splitlines()) == 1
    if "<text>" in text:
        assert "text is not read" in err
        assert "a picture is not read" in err


def test_true_size_is_right_to_a_nanometre_of_a_metre_for_every_unit():
    """CSS absolute lengths: 1in = 25.4mm = 2.54cm = 72pt = 6pc = 96px = 101.6Q."""
    for length in ("25.4mm", "2.54cm", "1in", "72pt", "6pc", "96px", "101.6Q", "96"):
        body = f'<svg {SPACE} width="{length}" height="{length}" viewBox="0 0 7 7">'
        outline = read_outline(f'{body}<rect width="7" height="7"/></svg>'.encode())
        assert outline.size_mm == pytest.approx((25.4, 25.4), abs=1e-9)
