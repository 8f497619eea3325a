"""The house keeps its shape: imports run one way, the judge stands alone, nothing heavy early."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import outline2path

PACKAGE = Path(outline2path.__file__).parent
ROOMS = (
    "drawing",
    "shop",
    "reach",
    "operations",
    "path",
    "rs274",
    "proof",
    "picture",
    "job",
    "cli",
)
MODULES = sorted(PACKAGE.rglob("*.py"))


def room(name: str) -> int:
    """Place of a dotted module name in the order of the work; the ground floor is -1."""
    parts = ["", "cli"] if name == "outline2path.__main__" else name.split(".")
    return ROOMS.index(parts[1]) if len(parts) > 1 and parts[1] in ROOMS else -1


def dotted(path: Path) -> str:
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imports(path: Path) -> list[str]:
    """Every module of ours that a file names in an import, wherever the import stands."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module:
            found.append(node.module)
        elif isinstance(node, ast.Import):
            found += [alias.name for alias in node.names]
    return [name for name in found if name.startswith("outline2path")]


def guarded(path: Path) -> set[str]:
    """Modules imported for type checking only."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    blocks = [
        n for n in ast.walk(tree) if isinstance(n, ast.If) and "TYPE_CHECKING" in ast.dump(n.test)
    ]
    return {n.module or "" for b in blocks for n in ast.walk(b) if isinstance(n, ast.ImportFrom)}


@pytest.mark.parametrize("path", MODULES, ids=dotted)
def test_imports_run_one_way_down_the_house(path):
    if dotted(path) == "outline2path":
        pytest.skip("the front names every room, lazily")
    upward = [n for n in imports(path) if room(n) > room(dotted(path)) and n not in guarded(path)]
    assert upward == []


@pytest.mark.parametrize("path", MODULES, ids=dotted)
def test_no_module_takes_a_private_name_from_another(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    taken = [
        alias.name
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("outline2path")
        for alias in node.names
        if alias.name.startswith("_")
    ]
    assert taken == []


WRITERS = {"writer", "program", "header", "comment", "grid", "change"}
JUDGES = sorted(PACKAGE.glob("proof/*.py")) + [
    p for p in sorted(PACKAGE.glob("rs274/*.py")) if p.stem not in WRITERS
]
WORLD_OF_THE_JUDGE = ("drawing", "shop", "rs274", "proof")


def judged(name: str) -> bool:
    """Whether a module belongs to what the judge must not share code with."""
    parts = name.split(".")
    if len(parts) > 2 and parts[1] == "rs274" and parts[2] in WRITERS:
        return True
    return len(parts) > 1 and parts[1] in ROOMS and parts[1] not in WORLD_OF_THE_JUDGE


@pytest.mark.parametrize("path", JUDGES, ids=dotted)
def test_the_judge_shares_no_code_with_the_judged(path):
    assert [n for n in imports(path) if judged(n) and n not in guarded(path)] == []


@pytest.mark.parametrize(
    "line", ["import outline2path", "from outline2path.cli.main import main; main(['--help'])"]
)
def test_nothing_heavy_is_loaded_before_it_is_needed(line):
    heavy = "numpy shapely matplotlib svgelements pyclipper"
    code = f"{line}\nimport sys\nprint('LOADED', [m for m in {heavy.split()} if m in sys.modules])"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.splitlines()[-1] == "LOADED []"


def test_planning_and_proving_never_load_a_plotting_library():
    code = (
        "import outline2path as o2p, shapely, sys\n"
        "job = o2p.Job(stock=o2p.Stock(thickness=4))\n"
        "job.profile(o2p.Outline.from_shapely(shapely.box(0, 0, 30, 20)), o2p.Cutter(3))\n"
        "print(job.plan().prove().verdict, 'matplotlib' in sys.modules)"
    )
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.split() == ["pass", "False"]
