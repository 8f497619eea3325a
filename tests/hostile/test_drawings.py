"""Hostile drawings: refused in one paragraph within 5 s of work and 512 MB, or read soberly."""

import gzip

import pytest

from tests.hostile import bombs
from tests.hostile.bombs import FAR, PAGE, SQUARE, page
from tests.hostile.bounded import command

CUT = ("--cutter", "3", "--thickness", "6")

# Made when asked for: together they are hundreds of megabytes.
REFUSED = {
    "nested entities": bombs.nested_entities,
    "one long entity": bombs.long_entity,
    "10^6 letters in an attribute": lambda: bombs.nested_entities(5),
    "copies of copies": bombs.use_tree,
    "10^5 copies": lambda: bombs.use_tree(5),
    "groups 500 deep": lambda: bombs.deep(500),
    "groups 1000 deep": lambda: bombs.deep(1_000),
    "groups 100000 deep": bombs.deep,
    "arcs of 8 MB": lambda: bombs.path_data(8, step="a5 5 0 0 1 1 1"),
    "arcs of 30 MB, packed close": lambda: bombs.path_data(30, step="a1 1 0 011 1"),
    "cubics of 30 MB": lambda: bombs.path_data(30, step="c1 1 2 2 3 0"),
    "points of 30 MB": lambda: page(f'<polygon points="{"1 2 " * 7_500_000}"/>'),
    "200000 squares": lambda: bombs.squares(200_000),
    "3000 attributes": bombs.attributes,
    "packed blanks": bombs.gzip_bomb,
    "packed twice": lambda: gzip.compress(bombs.gzip_bomb(1)),
    "packed and cut short": lambda: bombs.gzip_bomb(1)[:-100],
    "path data of 50 MB": lambda: bombs.path_data(50),
    "path data of 30 MB": lambda: bombs.path_data(30),
    "moves alone, 30 MB": lambda: bombs.path_data(30, step="m1 1"),
    "a comment of 100 MB": lambda: page(f"<!--{' ' * 100_000_000}-->{SQUARE}"),
    "a number of 200000 digits": lambda: page(f'<path d="M{"1" * 200_000} 0h9v9z"/>'),
    "coordinates beyond all": lambda: page('<path d="M1e999 0H9V9z"/>'),
    "coordinates at 1e300": lambda: page('<path d="M1e300 1e300h1e300v1e300z"/>'),
    "a page of 2e15 mm": lambda: f'{PAGE} width="2e15mm" height="2e15mm">{SQUARE}</svg>'.encode(),
    "a use of itself": lambda: page('<g id="a"><use href="#a"/></g>'),
    "two uses of each other": lambda: page(
        '<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>'
    ),
    "a drawing inside an entity": lambda: page(
        "&d;", head="<!DOCTYPE svg [<!ENTITY d \"<path d='M0 0h9v9z'/>\">]>"
    ),
    "nothing but NUL": lambda: b"\0" * 1000,
    "nothing at all": lambda: b"",
    "words": lambda: b"hello",
    "cut short": lambda: page(SQUARE)[:-9],
    "an unknown entity": lambda: page(f"<title>&nbsp;</title>{SQUARE}"),
    "a page of html": lambda: b"<html><body/></html>",
    "a bare shape": lambda: b'<rect width="9" height="9"/>',
    "any bytes": lambda: bytes(range(256)) * 40,
    "a part that is far away": lambda: page(f'<use href="{FAR}#a"/><image href="{FAR}"/>'),
}


@pytest.mark.parametrize("name", REFUSED)
def test_a_hostile_drawing_is_refused_soon_and_in_one_paragraph(tmp_path, name):
    (tmp_path / "d.svg").write_bytes(REFUSED[name]())
    (tmp_path / "p.nc").write_text("old")
    ended = command("cut", "d.svg", "-o", "p.nc", *CUT, folder=tmp_path)
    assert ended.code == 2, (ended.out, ended.err[-2000:])
    assert ended.is_one_paragraph, ended.err[-2000:]
    assert ended.is_bounded, ended
    assert sorted(p.name for p in tmp_path.iterdir()) == ["d.svg", "p.nc"]
    assert (tmp_path / "p.nc").read_text() == "old"


READ = {
    "a use of its own root": lambda: page(f'<g id="r">{SQUARE}<use href="#r"/></g>'),
    "10^4 copies": lambda: bombs.use_tree(4),
    "groups 200 deep": lambda: bombs.deep(200),
    "a comment of 16 MB": lambda: page(f"<!--{' ' * 16_000_000}-->{SQUARE}"),
    "240000 arcs": lambda: page(
        f'<path d="M9 9{"a5 5 0 0 1 .1 0" * 120_000}{"a5 5 0 0 1 -.1 0" * 120_000}z"/>'
    ),
    "letters of latin-1": lambda: page(f"<title>\xe9</title>{SQUARE}").decode().encode("latin-1"),
    "a blank line first": lambda: b'\n<?xml version="1.0"?>' + page(SQUARE),
    "prefixes never declared": lambda: page(f'<a:b c:d="1"/>{SQUARE}'),
    "variables that double": lambda: page(
        "<style>:root{"
        + "".join(f"--v{k}:var(--v{k + 1})var(--v{k + 1});" for k in range(500))
        + f"}}</style><g fill='var(--v0)'>{SQUARE}</g>"
    ),
    "brackets in a sum": lambda: page(f'<rect width="calc({"(" * 100_000}" height="9"/>{SQUARE}'),
    "a parent copied inside": lambda: page(f'<g id="a"><g><use href="#a"/></g>{SQUARE}</g>'),
    "clip paths in a ring": lambda: page(
        '<clipPath id="a" clip-path="url(#b)"><rect width="9" height="9"/></clipPath>'
        '<clipPath id="b" clip-path="url(#a)"><rect width="9" height="9"/></clipPath>'
        f'<g clip-path="url(#a)">{SQUARE}</g>'
    ),
    "letters in a style": lambda: page(f"<style>{'a' * 60_000}</style>{SQUARE}"),
    "braces in a style": lambda: page(f"<style>{'{' * 60_000}</style>{SQUARE}"),
    "a long selector": lambda: page(f"<style>{'g ' * 20_000}{{fill:none}}</style>{SQUARE}"),
    "many rules": lambda: page(f"<style>{'.a g>h{fill:red}' * 20_000}</style>{SQUARE * 200}"),
    "an open transform": lambda: page(f'<g transform="{"translate(" * 20_000}"/>{SQUARE}'),
    "brackets in a colour": lambda: page(
        f'<path fill="{"rgb(" * 20_000}" d="M0 0h9v9z"/>{SQUARE}'
    ),
    "2 GB in a viewBox": lambda: (
        f'{PAGE}viewBox="0 0 2e9 2e9" width="50mm"><rect width="2e9" height="1e9"/></svg>'.encode()
    ),
    "clip paths 2000 deep": bombs.deep_clips,
    "dashes without end": bombs.dashes,
    "crossings without number": bombs.crossings,
    "90000 squares": lambda: bombs.squares(90_000),
    "a script": lambda: page(f'<script>throw 1</script><g onload="alert(1)">{SQUARE}</g>'),
}


@pytest.mark.parametrize("name", READ)
def test_an_odd_drawing_is_read_or_refused_within_bounds(tmp_path, name):
    (tmp_path / "d.svg").write_bytes(READ[name]())
    ended = command("read", "d.svg", folder=tmp_path)
    assert ended.is_bounded, ended
    assert ended.code == 0 or (ended.code == 2 and ended.is_one_paragraph), ended


@pytest.mark.parametrize("make", [bombs.foreign_entity, bombs.foreign_definitions])
def test_the_text_of_another_file_never_comes_in(tmp_path, make):
    (tmp_path / "secret.txt").write_text("<!ENTITY s 'sesame'>sesame")
    (tmp_path / "d.svg").write_bytes(make((tmp_path / "secret.txt").as_uri()))
    ended = command("read", "d.svg", "--svg", "o.svg", folder=tmp_path)
    written = (tmp_path / "o.svg").read_text() if ended.code == 0 else ""
    assert ended.is_bounded
    assert "sesame" not in ended.out + ended.err + written


def test_a_stream_that_never_ends_is_not_read_for_ever(tmp_path):
    """Reading stops one byte above the limit: /dev/zero stands for a stream without end."""
    ended = command("read", "/dev/zero", folder=tmp_path)
    assert (ended.code, ended.is_bounded) == (2, True), ended
    assert ended.is_one_paragraph, ended.err


def test_the_bounds_are_measured(tmp_path):
    """A check that cannot fail proves nothing: work and memory of a process are seen."""
    hungry = "x = bytearray(600 << 20); x[::4096] = b'1' * len(x[::4096])"
    idle = command(folder=tmp_path, code="pass")
    assert idle.is_bounded
    assert command(folder=tmp_path, code=hungry).megabytes > 600
