"""Running: the code blocks of a page, run in the order they stand.

In: a page of Markdown. Out: for each fenced block what it shows. `python` blocks share one
namespace and show their last value as a notebook does; `console` blocks are commands of
`outline2path` behind a `$`, run in this process; a block with `file=NAME` is written to that file.
Every other block is only words. The folder the code runs in holds a copy of the demo drawings.
"""

from __future__ import annotations

import ast
import contextlib
import io
import os
import re
import shlex
import shutil
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from pprint import pformat
from typing import Any

__all__ = ["Block", "Run", "Shown", "blocks_of", "in_workshop", "run_page"]

ROOT = Path(__file__).parents[2]
_FENCE = re.compile(r"^```(\w+)([^\n]*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
_LINE = 96


@dataclass(frozen=True)
class Block:
    """A fenced block: language, options, text, and where it begins and ends in the page."""

    language: str
    options: dict[str, str]
    text: str
    place: tuple[int, int]


@dataclass(frozen=True)
class Shown:
    """Something to show under a block: plain text, HTML, or a PNG and its width on the page."""

    kind: str
    data: Any
    wide: int = 0


@dataclass
class Run:
    """A page that was run: what each block showed, and the namespace of its Python."""

    shown: list[tuple[Block, list[Shown]]] = field(default_factory=list)
    namespace: dict[str, Any] = field(default_factory=lambda: {"__name__": "__main__"})


def blocks_of(page: str) -> list[Block]:
    """Return the fenced blocks of a page in their order."""
    return [
        Block(
            language=found[1],
            options=dict(w.split("=", 1) for w in found[2].split() if "=" in w),
            text=found[3],
            place=found.span(),
        )
        for found in _FENCE.finditer(page)
    ]


@contextlib.contextmanager
def in_workshop(folder: Path) -> Iterator[None]:
    """Work in a folder that holds the demo drawings, and come back afterwards."""
    if not (folder / "demo_art").exists():
        shutil.copytree(ROOT / "demo_art", folder / "demo_art")
    before = Path.cwd()
    os.chdir(folder)
    try:
        yield
    finally:
        os.chdir(before)


def run_page(page: str, folder: Path, *, looking: bool = True) -> Run:
    """Run every block of a page in a folder; what fails raises, with the block's text.

    Without `looking` no picture is drawn: values show themselves in a line of text.
    """
    run = Run()
    with in_workshop(folder):
        for block in blocks_of(page):
            try:
                run.shown.append((block, _ran(block, run.namespace, looking)))
            except Exception as fault:
                fault.add_note(f"in the block\n{block.text}")
                raise
    return run


def _ran(block: Block, namespace: dict[str, Any], looking: bool) -> list[Shown]:
    if "file" in block.options:
        Path(block.options["file"]).write_text(block.text, encoding="utf-8")
    if block.language == "python":
        return _python(block.text, namespace, looking)
    if block.language == "console":
        return _console(block.text, int(block.options.get("exit", "0")))
    return []


def _python(text: str, namespace: dict[str, Any], looking: bool) -> list[Shown]:
    """Run statements; show what was printed, the last value, and figures left open."""
    tree = ast.parse(text)
    last = tree.body.pop() if tree.body and isinstance(tree.body[-1], ast.Expr) else None
    value = None
    with contextlib.redirect_stdout(io.StringIO()) as said:
        exec(compile(tree, "<page>", "exec"), namespace)  # noqa: S102
        if last is not None:
            code = compile(ast.Expression(last.value), "<page>", "eval")
            value = eval(code, namespace)  # noqa: S307
    shown = [Shown("text", said.getvalue())] if said.getvalue() else []
    if value is not None and not text.rstrip().endswith(";"):
        shown += show(value) if looking else [Shown("text", repr(value))]
    return shown + _figures()


def show(value: Any) -> list[Shown]:
    """Return a value as a notebook would show it: HTML, else a picture, else text."""
    if html := getattr(value, "_repr_html_", lambda: None)():
        return [Shown("html", html)]
    if png := getattr(value, "_repr_png_", lambda: None)():
        return [Shown("png", png[0], png[1]["width"])]
    plain = repr(value) if isinstance(value, str) else pformat(value, width=_LINE)
    return [Shown("text", plain + "\n")]


def _figures() -> list[Shown]:
    """Return figures opened by hand, and close them."""
    plot = sys.modules.get("matplotlib.pyplot")
    shown = []
    for number in plot.get_fignums() if plot else ():
        figure, stream = plot.figure(number), io.BytesIO()
        figure.savefig(stream, format="png", dpi=200)
        shown.append(Shown("png", stream.getvalue(), round(figure.get_size_inches()[0] * 100)))
        plot.close(figure)
    return shown


def _console(text: str, code: int) -> list[Shown]:
    """Run each line behind a `$`; refuse another exit code than the one named."""
    from outline2path.cli.main import main

    said = ""
    for line in text.splitlines():
        if not line.startswith("$ "):
            raise ValueError(f"{line!r} is no command: begin it with a $")
        name, *words = shlex.split(line[2:])
        if name != "outline2path":
            raise ValueError(f"{line!r} is no command of outline2path")
        out, err = io.StringIO(), io.StringIO()
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            left = main(words)
        if left != code:
            raise ValueError(f"{line!r} left {left}, not {code}: {out.getvalue()}{err.getvalue()}")
        said += out.getvalue() + err.getvalue()
    return [Shown("text", said)] if said else []
