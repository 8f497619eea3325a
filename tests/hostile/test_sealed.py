"""No input is ever evaluated, and nothing is ever fetched."""

import ast
from pathlib import Path

import pytest

import outline2path
from tests.hostile import bombs
from tests.hostile.bombs import FAR, SQUARE, page
from tests.hostile.bounded import command

PACKAGE = Path(outline2path.__file__).parent
FORBIDDEN_CALLS = {"eval", "exec", "compile", "__import__", "system", "popen", "loads_pickle"}
FORBIDDEN_MODULES = {
    "asyncio",
    "code",
    "ctypes",
    "dill",
    "ftplib",
    "http",
    "joblib",
    "marshal",
    "pickle",
    "requests",
    "shelve",
    "smtplib",
    "socket",
    "socketserver",
    "ssl",
    "subprocess",
    "urllib",
    "webbrowser",
    "yaml",
}

# Ends the process at the first try to reach out or to start something.
SEALED = """
import sys
HELD = ("socket.", "urllib.", "http.", "ftplib.", "smtplib.", "subprocess.", "os.system",
        "os.exec", "os.posix_spawn", "os.fork", "webbrowser.", "pty.")
def seal(event, args):
    if event.startswith(HELD):
        raise SystemExit(f"reached out: {event} {args!r}")
import matplotlib.pyplot  # once loaded, a picture needs nothing from outside either
sys.addaudithook(seal)
from outline2path.cli.main import main
raise SystemExit(main(sys.argv[1:]))
"""

CALLING = {
    "an image": f'<image href="{FAR}" width="9" height="9"/>',
    "a part": f'<use href="{FAR}#a"/>',
    "a style sheet": f"<style>@import url({FAR}); .p{{fill:url({FAR}#p)}}</style>",
    "a paint": f'<path d="M0 0h3v3z" fill="url({FAR}#p)"/>',
    "a clip": f'<path d="M0 0h3v3z" clip-path="url({FAR}#p)"/>',
    "a font": f"<style>@font-face{{font-family:a;src:url({FAR})}}</style><text>a</text>",
    "a script": f'<script href="{FAR}"/>',
    "another page": f'<foreignObject><iframe src="{FAR}"/></foreignObject>',
}


def calls_and_imports():
    for path in sorted(PACKAGE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                name = getattr(node.func, "id", getattr(node.func, "attr", ""))
                yield f"{path.name}:{node.lineno}", name, isinstance(node.func, ast.Name)
            elif isinstance(node, ast.Import):
                yield from ((path.name, a.name.split(".")[0], None) for a in node.names)
            elif isinstance(node, ast.ImportFrom):
                yield path.name, (node.module or "").split(".")[0], None


def test_nothing_in_the_package_evaluates_or_reaches_out():
    """`re.compile` and the like are methods of modules; the bare names are what evaluates."""
    found = [
        (where, name)
        for where, name, bare in calls_and_imports()
        if (bare is None and name in FORBIDDEN_MODULES)
        or (bare and name in FORBIDDEN_CALLS)
        or (bare is False and name in FORBIDDEN_CALLS - {"compile"})
    ]
    assert found == []


@pytest.mark.parametrize("name", CALLING)
def test_no_drawing_makes_the_command_call_out(tmp_path, name):
    (tmp_path / "d.svg").write_bytes(page(CALLING[name] + SQUARE))
    ended = command("read", "d.svg", "--svg", "o.svg", folder=tmp_path, code=SEALED)
    assert (ended.code, "reached out" in ended.out + ended.err) == (0, False), ended
    assert FAR not in (tmp_path / "o.svg").read_text()


def test_a_whole_cut_with_report_and_picture_stays_at_home(tmp_path):
    (tmp_path / "d.svg").write_bytes(page("".join(CALLING.values()) + SQUARE))
    options = ("--cutter", "3", "--thickness", "6", "--picture", "p.png", "--report", "r.json")
    ended = command("cut", "d.svg", "-o", "p.nc", *options, folder=tmp_path, code=SEALED)
    assert ended.code == 0, ended
    assert {"p.nc", "p.png", "r.json"} <= {p.name for p in tmp_path.iterdir()}


def test_the_seal_holds(tmp_path):
    """A check that cannot fail proves nothing."""
    reaching = SEALED.replace(
        "from outline2path", "import socket; socket.socket()\nfrom outline2path"
    )
    ended = command("read", "d.svg", folder=tmp_path, code=reaching)
    assert "reached out: socket" in ended.err


def test_words_in_a_drawing_stay_words(tmp_path):
    trap = "__import__('pathlib').Path('trap').touch()"
    body = f'<g id="{trap}" class="{trap}"><title>{trap}</title>{SQUARE}</g><text>{trap}</text>'
    (tmp_path / "d.svg").write_bytes(page(body))
    (tmp_path / f"{trap.replace('/', '_')}.svg").write_bytes(bombs.page(SQUARE))
    ended = command("read", "d.svg", folder=tmp_path)
    assert ended.code == 0
    assert not (tmp_path / "trap").exists()
