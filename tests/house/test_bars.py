"""The shape of the code, held to bars: each is a choice, written down in DEVELOPERS.md."""

import ast
import io
import re
import statistics
import tokenize
from pathlib import Path

import pytest

import outline2path

PACKAGE = Path(outline2path.__file__).parent
TREES = {
    p.relative_to(PACKAGE).as_posix(): ast.parse(p.read_text(encoding="utf-8"))
    for p in sorted(PACKAGE.rglob("*.py"))
}
FUNCTION = (ast.FunctionDef, ast.AsyncFunctionDef)
BRANCH = (ast.If, ast.For, ast.While, ast.ExceptHandler, ast.IfExp, ast.match_case)


def functions():
    return [
        (f"{n}:{f.name}", f)
        for n, t in TREES.items()
        for f in ast.walk(t)
        if isinstance(f, FUNCTION)
    ]


def public():
    """Functions at module level or directly in a public class, without a leading underscore."""
    for name, tree in TREES.items():
        classes = [c for c in tree.body if isinstance(c, ast.ClassDef) and c.name[0] != "_"]
        for owner in [tree, *classes]:
            for node in owner.body:
                if isinstance(node, FUNCTION) and node.name[0] != "_":
                    yield f"{name}:{node.name}", node


def lines_of_code(name: str) -> set[int]:
    text = (PACKAGE / name).read_text(encoding="utf-8")
    quiet = {tokenize.COMMENT, tokenize.NL, tokenize.NEWLINE, tokenize.INDENT, tokenize.DEDENT}
    lines = {
        n
        for t in tokenize.generate_tokens(io.StringIO(text).readline)
        if t.type not in quiet
        for n in range(t.start[0], t.end[0] + 1)
    }
    for node in ast.walk(TREES[name]):
        body = getattr(node, "body", None)
        if isinstance(body, list) and body and isinstance(body[0], ast.Expr):
            value = body[0].value
            if isinstance(value, ast.Constant) and isinstance(value.value, str):
                lines -= set(range(body[0].lineno, body[0].end_lineno + 1))
    return lines


def complexity(node) -> int:
    inner = ast.walk(node)
    return 1 + sum(
        isinstance(n, BRANCH)
        + (len(n.values) - 1 if isinstance(n, ast.BoolOp) else 0)
        + (len(n.ifs) if isinstance(n, ast.comprehension) else 0)
        for n in inner
    )


def body_lengths() -> list[int]:
    code = {name: lines_of_code(name) for name in TREES}
    return sorted(
        sum(n in code[where.split(":")[0]] for n in range(f.lineno, f.end_lineno + 1))
        for where, f in functions()
    )


def nine_tenths(values: list[int]) -> int:
    return sorted(values)[int(0.9 * (len(values) - 1))]


def test_modules_are_short():
    lengths = [len((PACKAGE / n).read_text(encoding="utf-8").splitlines()) for n in TREES]
    assert max(lengths) <= 450
    assert nine_tenths(lengths) <= 350
    assert statistics.median(lengths) <= 200


def test_functions_are_short():
    lengths = body_lengths()
    assert nine_tenths(lengths) <= 25
    assert statistics.median(lengths) <= 8


FUNCTIONS = [pytest.param(f, id=where) for where, f in functions()]
PUBLIC = [pytest.param(f, id=where) for where, f in public()]


@pytest.mark.parametrize("node", FUNCTIONS)
def test_no_function_is_long_or_tangled(node):
    assert node.end_lineno - node.lineno + 1 <= 90
    assert complexity(node) <= 12


@pytest.mark.parametrize("node", PUBLIC)
def test_public_functions_are_documented_hinted_and_take_few_by_position(node):
    args = [a for a in node.args.posonlyargs + node.args.args if a.arg not in {"self", "cls"}]
    every = args + node.args.kwonlyargs
    assert ast.get_docstring(node)
    assert node.returns is not None
    assert all(a.annotation for a in every)
    assert len(args) <= 4


@pytest.mark.parametrize("name", TREES)
def test_modules_and_public_classes_are_documented(name):
    tree = TREES[name]
    classes = [n for n in tree.body if isinstance(n, ast.ClassDef) and n.name[0] != "_"]
    assert ast.get_docstring(tree)
    assert all(ast.get_docstring(c) for c in classes)


@pytest.mark.parametrize("name", TREES)
def test_no_assert_stands_in_the_package(name):
    assert [n.lineno for n in ast.walk(TREES[name]) if isinstance(n, ast.Assert)] == []


@pytest.mark.parametrize("name", [n for n in TREES if n != "tolerance.py"])
def test_small_tolerances_live_in_one_module(name):
    text = (PACKAGE / name).read_text(encoding="utf-8")
    tokens = tokenize.generate_tokens(io.StringIO(text).readline)
    loose = [
        t.string for t in tokens if t.type == tokenize.NUMBER and re.search(r"\de-\d", t.string)
    ]
    assert loose == []


def test_the_error_tree_is_small():
    tree = TREES["errors.py"]
    assert 6 <= sum(isinstance(n, ast.ClassDef) for n in tree.body) <= 10


def test_suppressions_are_rare():
    texts = [(PACKAGE / n).read_text(encoding="utf-8") for n in TREES]
    assert sum(len(re.findall(r"# (?:noqa|type: ignore)", t)) for t in texts) <= 5


def raises_without_a_value() -> list[str]:
    bare = []
    for name, tree in TREES.items():
        for node in ast.walk(tree):
            call = node.exc if isinstance(node, ast.Raise) else None
            if isinstance(call, ast.Call) and call.args:
                first = call.args[0]
                named = (
                    isinstance(first, ast.JoinedStr | ast.Name | ast.Call) or len(call.args) > 1
                )
                bare += [] if named else [f"{name}:{node.lineno}"]
    return bare


def test_nearly_every_error_names_its_value():
    total = sum(
        isinstance(n, ast.Raise) and n.exc is not None for t in TREES.values() for n in ast.walk(t)
    )
    assert len(raises_without_a_value()) <= 0.1 * total


def import_edges() -> dict[str, set[str]]:
    """Imports inside the package that run when a module is loaded; type-only ones left out."""
    names = {n.removesuffix(".py").removesuffix("/__init__").replace("/", ".") for n in TREES}
    edges = {}
    for name, tree in TREES.items():
        own = name.removesuffix(".py").removesuffix("/__init__").replace("/", ".")
        found = {n.module for n in tree.body if isinstance(n, ast.ImportFrom) and n.module}
        inside = {m.removeprefix("outline2path.") for m in found if m.startswith("outline2path.")}
        edges[own] = inside & names
    return edges


def depth(name: str, edges: dict[str, set[str]], above: tuple[str, ...] = ()) -> int:
    if name in above:
        raise AssertionError(f"import ring: {' -> '.join((*above, name))}")
    return 1 + max((depth(n, edges, (*above, name)) for n in edges[name]), default=0)


def test_imports_have_no_ring_and_stay_shallow():
    edges = import_edges()
    depths = {name: depth(name, edges) for name in edges}
    assert max(depths.values()) <= 6, sorted(depths.items(), key=lambda i: -i[1])[:8]


def test_the_front_is_small():
    assert len(outline2path.__all__) <= 40
