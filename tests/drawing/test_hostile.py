"""Hostile and broken files: one clear paragraph, or what can be kept, in bounded time."""

import gzip
import io
import subprocess
import sys
import time

import numpy as np
import pytest

from outline2path.drawing.limits import Limits
from outline2path.drawing.reader import read_outline
from outline2path.errors import DrawingError, SettingError
from tests.drawing.samples import page

GOOD = '<svg width="10" height="10"><title>é</title><rect width="5" height="5"/></svg>'
PLAIN = GOOD.replace("é", "e")
RECT = '<rect width="5" height="5"/>'


def uses(levels):
    """Ten copies of ten copies ..., 10 ** levels leaves."""
    ten = {k: f'<use href="#u{k - 1}"/>' * 10 for k in range(1, levels + 1)}
    copies = "".join(f'<g id="u{k}">{copied}</g>' for k, copied in ten.items())
    return page(f'<defs><g id="u0">{RECT}</g>{copies}</defs><use href="#u{levels}"/>')


def bomb(levels):
    ten = {k: f"&a{k - 1};" * 10 for k in range(1, levels)}
    entities = '<!ENTITY a0 "x">' + "".join(f'<!ENTITY a{k} "{v}">' for k, v in ten.items())
    return f"<!DOCTYPE svg [{entities}]><svg><title>&a{levels - 1};</title></svg>"


def scribble(n):
    points = " ".join(f"{x:.3f}" for x in np.random.default_rng(1).uniform(0, 99, 2 * n))
    return page(f'<path d="M0 0L{points}z"/>')


CLIPPED = '<rect clip-path="url(#c{})" width="9" height="9"/>'
FANS = "".join(f'<clipPath id="c{k}">{CLIPPED.format(k + 1) * 10}</clipPath>' for k in range(15))
ATTRIBUTES = " ".join(f'a{k}="1"' for k in range(3000))
ENTITY = '<!DOCTYPE svg [<!ENTITY a "{}">]><svg>{}</svg>'
STYLES = "<style>" + "g g g g g g g g rect{fill:red}" * 1000 + "</style>"

REFUSED = [
    ("nested entities", bomb(10), "entity"),
    ("a long entity", ENTITY.format("x" * 25000, "&a;"), "entity"),
    ("a short entity, often", ENTITY.format("x" * 250, "&a;" * 200000), "entity"),
    ("copies of copies 5", uses(5), "repeats itself"),
    ("copies of copies 9", uses(9), "repeats itself"),
    ("groups 500 deep", page("<g>" * 500 + RECT + "</g>" * 500), "nested more than 256"),
    ("groups 100000 deep", page("<g>" * 100000 + RECT + "</g>" * 100000), "nested more than 256"),
    ("a comment of 100 MB", page(f"<!--{'x' * 100_000_000}-->{RECT}"), "larger than"),
    ("3000 attributes", f"<svg {ATTRIBUTES}/>", "attributes"),
    ("200 000 shapes", page(RECT * 200_000), "more than 60000 elements"),
    ("groups 100000 deep", page("<g>" * 100_000 + RECT + "</g>" * 100_000), "more than 256"),
    ("a tangle", scribble(3000), "crosses itself about"),
    ("clips in clips", page(FANS + CLIPPED.format(0)), "repeats"),
    ("costly styles", page(STYLES + "<g>" * 200 + RECT * 2000 + "</g>" * 200), "style sheets"),
    ("a long style sheet", page(f"<style>{'.a{fill:red}' * 60000}</style>{RECT}"), "style sheets"),
    ("gzip of 300 MB", gzip.compress(b" " * 300_000_000), "larger than"),
    ("gzip cut short", gzip.compress(PLAIN.encode())[:-10], "ends too early"),
    ("gzip damaged", b"\x1f\x8b" + b"junk" * 9, "damaged"),
    ("empty", "", "empty"),
    ("blank", " \n ", "empty"),
    ("no XML", "hello", "begins with 'hello'"),
    ("a picture", b"\x89PNG\r\n\x1a\n" + bytes(999), "not SVG"),
    ("cut inside a tag", PLAIN[:50], "line 1, column"),
    ("cut between tags", PLAIN[:-6], "ends before its drawing is complete"),
    ("a NUL", PLAIN.replace("<rect", "\0<rect"), "line 1, column"),
    ("unknown entity", PLAIN.replace("<title>e", "<title>&nbsp;"), "undefined entity"),
    ("unknown encoding", f'<?xml version="1.0" encoding="foo"?>{PLAIN}', "'foo'"),
    ("another root", "<html><body/></html>", "<html>"),
    ("a bare shape", RECT, "<rect>"),
    ("copies itself", page('<use id="a" href="#a"/>'), "copies itself"),
    ("nothing finite", page('<rect width="nan" height="5"/>'), "no length"),
    ("far away", page('<rect transform="scale(1e300)" width="5" height="5"/>'), "px away"),
    ("only text", page("<text>heron</text>"), "text is not read"),
    ("only a picture", page("<image/>"), "picture"),
    ("no shapes", page(""), "no filled shapes"),
]  # fmt: skip


@pytest.mark.parametrize(("file", "words"), [r[1:] for r in REFUSED], ids=[r[0] for r in REFUSED])
def test_a_hostile_or_broken_file_is_refused_in_one_paragraph(file, words):
    start = time.process_time()
    with pytest.raises(DrawingError, match=words) as refusal:
        read_outline(file if isinstance(file, bytes) else file.encode())
    paragraph = str(refusal.value)
    assert "\n" not in paragraph
    assert len(paragraph) < 1200
    assert time.process_time() - start < 5


DECLARED = '<?xml version="1.0" encoding="{}"?>' + GOOD
READ = [
    ("a byte-order mark", b"\xef\xbb\xbf" + GOOD.encode()),
    ("UTF-16", DECLARED.format("UTF-16").encode("utf-16")),
    ("UTF-16 undeclared", GOOD.encode("utf-16")),
    ("latin-1", DECLARED.format("iso-8859-1").encode("latin-1")),
    ("windows-1252", DECLARED.format("windows-1252").encode("cp1252")),
    ("shift-jis", DECLARED.replace("é", "e").format("shift_jis").encode()),
    ("latin-1 undeclared", GOOD.encode("latin-1")),
    ("blank lines first", b"\n\n" + DECLARED.format("utf-8").encode()),
    ("gzip", gzip.compress(GOOD.encode())),
    ("undeclared prefix", PLAIN.replace("<rect", '<use xlink:href="#a"/><a:b/><rect id="a"')),
    ("external entity", f'<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/passwd">]>{PLAIN}'),
    ("external definition", f'<!DOCTYPE svg SYSTEM "http://127.0.0.1:1/x.dtd">{PLAIN}'),
    ("short entity", '<!DOCTYPE svg [<!ENTITY b "5">]>' + PLAIN.replace('"5"', '"&b;"')),
    ("a long comment", PLAIN.replace("<rect", f"<!--{'x' * 16_000_000}--><rect")),
    ("letters for a style", PLAIN.replace("<rect", f"<style>{'a' * 60000}</style><rect")),
    ("half transforms",
     PLAIN.replace("<rect", '<rect transform="' + "translate(" * 20000 + '"')),
    ("groups 200 deep", PLAIN.replace("<rect", "<g>" * 200 + "<rect").replace(
        "</svg>", "</g>" * 200 + "</svg>")),
    ("digits without end",
     PLAIN.replace("<rect", '<path d="M' + "1" * 200000 + ' 0L1 1"/><rect')),
    ("infinity in a path", PLAIN.replace("<rect", '<path d="M0 0L1e999 5L5 5z"/><rect')),
    ("a path without data", PLAIN.replace("<rect", "<path/><rect")),
    ("a bad transform", PLAIN.replace("<rect", '<rect transform="rotate(a)"')),
    ("siblings",
     PLAIN.replace("<rect", f"<style>circle~rect{{fill:red}}</style>{RECT * 3000}<rect")),
]  # fmt: skip


@pytest.mark.parametrize("file", [r[1] for r in READ], ids=[r[0] for r in READ])
def test_an_untidy_file_is_read(file):
    outline = read_outline(file if isinstance(file, bytes) else file.encode())
    assert outline.region.area == pytest.approx(25 * (25.4 / 96) ** 2)


def test_nothing_outside_the_file_is_ever_read(tmp_path):
    secret = tmp_path / "secret.txt"
    secret.write_text("heron")
    svg = (
        f'<!DOCTYPE svg [<!ENTITY a SYSTEM "{secret.as_uri()}">]>'
        f'<svg width="9" height="9"><g id="&a;">{RECT}</g></svg>'
    )
    with pytest.raises(DrawingError, match="line 1"):
        read_outline(svg.encode())


@pytest.mark.parametrize("limit", ["elements", "depth", "drawn", "segments", "attributes"])
def test_every_limit_can_be_lowered_and_is_named_in_the_refusal(limit):
    svg = page(f'<g><g>{RECT}<path d="M0 0L1 1L2 0Z"/></g></g>')
    with pytest.raises(DrawingError, match=f"raise the limit {limit}"):
        read_outline(svg.encode(), limits=Limits(**{limit: 1}))


@pytest.mark.parametrize("value", [0, -1, 1.5, True])
def test_a_limit_that_is_no_count_is_refused(value):
    with pytest.raises(SettingError, match="limit depth"):
        Limits(depth=value)


def test_the_worst_files_stay_within_512_mb(tmp_path):
    """In a process of its own, with its address space bounded: 512 MB over what imports take."""
    resource = pytest.importorskip("resource")
    assert resource.RLIMIT_AS is not None
    script = (
        "import resource, sys\n"
        "from outline2path.drawing import drawn, reader, scene, telling, selectors\n"
        "from outline2path.errors import DrawingError\n"
        "before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss\n"
        "for name in sys.argv[1:]:\n"
        "    try: reader.read_outline(name)\n"
        "    except DrawingError: pass\n"
        "print((resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024)\n"
    )
    names = []
    for k in (1, 3, 4, 9, 10, 13, 15):
        names.append(str(tmp_path / f"{k}.svg"))
        file = REFUSED[k][1]
        (tmp_path / f"{k}.svg").write_bytes(file if isinstance(file, bytes) else file.encode())
    done = subprocess.run(
        [sys.executable, "-c", script, *names], capture_output=True, text=True, check=True
    )
    assert float(done.stdout) < 512


@pytest.mark.parametrize(
    ("name", "words"), [("no-such-file.svg", "No such file"), (".", "is a folder"), ("\0", "null")]
)
def test_a_file_that_cannot_be_opened_is_one_paragraph(name, words):
    with pytest.raises(DrawingError, match=words):
        read_outline(name)


def test_a_drawing_may_come_from_an_open_file_or_standard_input(monkeypatch):
    assert read_outline(io.BytesIO(PLAIN.encode())).size_mm == read_outline(PLAIN.encode()).size_mm
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(PLAIN.encode())))
    assert read_outline("-").source.file == "-"
