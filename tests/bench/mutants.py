"""The mutation bench: small faults put into a module one at a time, which its tests must see.

    python -m tests.bench mutants reach/spots [rs274/writer ...] [--most N] [--tests PATH ...]

Each mutant changes one operator, comparison, number or truth value of a module, by its syntax
tree, in a process of its own; nothing is written to any file. The tests are those of the module
(`tests/ROOM/test_MODULE.py`) unless others are named. Survivors are printed by line: each is a
test that is missing, or a change that changes nothing. Exit code 1 where fewer than LEAST_KILLED
died.
"""

from __future__ import annotations

import argparse
import ast
import copy
import hashlib
import importlib.abc
import importlib.util
import os
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).parents[2]
LEAST_KILLED = 0.85
SHOWN = 40

SWAPS: dict[type, type] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
    ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
    ast.And: ast.Or,
    ast.Or: ast.And,
}


class Mutant(NamedTuple):
    """One changed module: where, from what, to what."""

    line: int
    before: str
    after: str
    tree: ast.Module

    def __str__(self) -> str:
        return f"line {self.line}: {self.before}  ->  {self.after}"


def mutants_of(source: str) -> Iterator[Mutant]:
    """Every mutant of a module, in the order of its lines."""
    tree = ast.parse(source)
    skipped = set(_words(tree))
    spots = [n for n in ast.walk(tree) if id(n) not in skipped and _changed(n) is not None]
    for spot in sorted(spots, key=lambda n: (n.lineno, n.col_offset)):
        memo = {}
        other = copy.deepcopy(tree, memo)
        twin = memo[id(spot)]
        before = ast.unparse(spot)
        _become(twin, _changed(twin))
        yield Mutant(spot.lineno, before, ast.unparse(twin), ast.fix_missing_locations(other))


def _words(tree: ast.Module) -> Iterator[int]:
    """What is read by people and type checkers alone: annotations, imports, messages."""
    for node in ast.walk(tree):
        parts: list[ast.AST | None] = []
        if isinstance(node, ast.FunctionDef):
            parts = [node.returns, *(a.annotation for a in ast.walk(node.args) if _is_arg(a))]
        elif isinstance(node, ast.AnnAssign):
            parts = [node.annotation]
        elif isinstance(node, ast.JoinedStr | ast.Import | ast.ImportFrom) or _is_aside(node):
            parts = [node]
        for part in parts:
            if part is not None:
                yield from (id(inner) for inner in ast.walk(part))


def _is_aside(node: ast.AST) -> bool:
    """Whether a statement only lists names, or is for the type checker."""
    if isinstance(node, ast.Assign):
        return ast.unparse(node.targets[0]) == "__all__"
    return isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"


def _is_arg(node: ast.AST) -> bool:
    return isinstance(node, ast.arg)


def _changed(node: ast.AST) -> ast.AST | None:
    """A node as a mutant has it, None where there is nothing to change."""
    other = copy.copy(node)
    if isinstance(node, ast.Compare):
        other.ops = [SWAPS[type(node.ops[0])](), *node.ops[1:]]
    elif isinstance(node, ast.BinOp | ast.BoolOp | ast.AugAssign):
        if type(node.op) not in SWAPS:
            return None
        other.op = SWAPS[type(node.op)]()
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
        return node.operand
    elif isinstance(node, ast.Constant) and isinstance(node.value, bool):
        other.value = not node.value
    elif isinstance(node, ast.Constant) and isinstance(node.value, int):
        other.value = node.value + 1
    elif isinstance(node, ast.Constant) and isinstance(node.value, float):
        other.value = node.value * 2 + (node.value == 0)
    elif isinstance(node, ast.If | ast.IfExp) and isinstance(node.test, ast.Name | ast.Call):
        other.test = ast.UnaryOp(ast.Not(), node.test)
    else:
        return None
    return other


def _become(node: ast.AST, other: ast.AST) -> None:
    """Turn a node of a tree into another, in its place."""
    place = {name: getattr(node, name) for name in ("lineno", "col_offset")}
    node.__class__ = other.__class__
    node.__dict__ = {**other.__dict__, **place}


class _Loader(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Gives a module its mutated tree when it is first imported."""

    def __init__(self, name: str, path: Path, tree: ast.Module) -> None:
        self.name, self.path, self.tree = name, path, tree

    def find_spec(self, name, _path, _target=None):
        if name != self.name:
            return None
        return importlib.util.spec_from_file_location(name, self.path, loader=self)

    def create_module(self, _spec):
        return None

    def exec_module(self, module) -> None:
        exec(compile(self.tree, str(self.path), "exec"), module.__dict__)  # noqa: S102


def _run(module: str, path: Path, tree: ast.Module, tests: list[str], limit: float) -> str:
    """Run tests on a mutated module in a fork; say "passed", "failed" or "no end"."""
    child = os.fork()
    if child == 0:
        silent = os.open(os.devnull, os.O_WRONLY)
        os.dup2(silent, 1)
        os.dup2(silent, 2)
        os.setsid()
        for name in [n for n in sys.modules if n.split(".")[0] in ("outline2path", "tests")]:
            if name != __name__:
                del sys.modules[name]
        sys.meta_path.insert(0, _Loader(module, path, tree))
        import pytest

        os._exit(int(pytest.main(["-x", "-q", "-p", "no:cacheprovider", *tests])))
    until = time.monotonic() + limit
    while time.monotonic() < until:
        pid, status = os.waitpid(child, os.WNOHANG)
        if pid:
            return "passed" if status == 0 else "failed"
        time.sleep(0.05)
    os.killpg(child, 9)
    os.waitpid(child, 0)
    return "no end"


def chosen(mutants: list[Mutant], most: int | None) -> list[Mutant]:
    """So many of them, always the same, in the order of their lines."""
    if most is None or len(mutants) <= most:
        return mutants
    lots = sorted(mutants, key=lambda m: hashlib.sha256(str(m).encode()).digest())[:most]
    return sorted(lots, key=lambda m: m.line)


def judged(name: str, tests: list[str], most: int | None) -> tuple[int, list[Mutant]]:
    """How many mutants of a module there were, and which of them lived.

    Raises
    ------
    ValueError
        Where the tests fail on the module as it is.
    """
    path = ROOT / "outline2path" / f"{name}.py"
    module = f"outline2path.{name.replace('/', '.')}"
    source = path.read_text(encoding="utf-8")
    begun = time.monotonic()
    if _run(module, path, ast.parse(source), tests, 600) != "passed":
        raise ValueError(f"the tests {tests} fail on {name} as it is")
    limit = 10 + 5 * (time.monotonic() - begun)
    held = chosen(list(mutants_of(source)), most)
    living = []
    for mutant in held:
        if _run(module, path, mutant.tree, tests, limit) == "passed":
            living.append(mutant)
            print(f"{name}, {mutant}", flush=True)
    return len(held), living


def main(arguments: list[str]) -> int:
    """Judge the tests of some modules; return 1 where too many mutants lived."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench mutants")
    parser.add_argument("modules", nargs="+", help="such as reach/spots")
    parser.add_argument("--most", type=int, help="so many mutants of each, always the same")
    parser.add_argument("--tests", nargs="+", help="tests to run in place of the module's own")
    options = parser.parse_args(arguments)
    import numpy as np  # noqa: F401  loaded once for all forks
    import shapely  # noqa: F401

    total, lived = 0, 0
    for name in options.modules:
        room, _, stem = name.rpartition("/")
        tests = options.tests or [str(ROOT / "tests" / room / f"test_{stem}.py")]
        count, living = judged(name, tests, options.most)
        total, lived = total + count, lived + len(living)
        print(f"{name}: {count - len(living)} of {count} mutants killed", flush=True)
    share = 1 - lived / max(total, 1)
    print(f"killed: {share:.1%} of {total}")
    return int(share < LEAST_KILLED)
