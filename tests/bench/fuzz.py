"""The fuzzing bench: mutated drawings, programs and jobs, guided by what branches they reach.

    python -m tests.bench fuzz drawing|program|job [--seconds N] [--found FOLDER] [--corpus FOLDER]

A general coverage-guided fuzzer (atheris, installed by hand where it has a build) changes sound
inputs, and each reader must give a value or an error of the package's own, with no warning, in
less than SLOW_S. What does otherwise is kept in the folder of findings, one file for each place in
the code, and its shape belongs into `tests/hostile` once it is mended. Exit code 1 where anything
was found.
"""

from __future__ import annotations

import argparse
import importlib
import os
import pkgutil
import subprocess
import sys
import tempfile
import time
import traceback
import warnings
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).parents[2]
SLOW_S = 5.0
LONGEST_INPUT = 6000
SHORT_PROGRAM = 1500

WORDS = Path(__file__).with_name("fuzz_words.txt")
"""Words of each language for the fuzzer to put in: the target and a word on each line."""


def drawing(data: bytes) -> None:
    """Read a drawing and all that is told of it, and write it again."""
    import shapely

    import outline2path as o2p

    outline = o2p.read_outline(data, limits=_tight())
    region = outline.region
    if not (shapely.is_valid(region) and all(map(_is_finite, region.bounds))):
        raise ValueError(f"a region that is unsound: {shapely.is_valid_reason(region)}")
    _ = outline.findings, outline.lines, outline.size_mm
    if not region.is_empty:
        o2p.read_outline(outline.to_svg().encode())


def program(data: bytes) -> None:
    """Read a program both ways, and judge it beside a drawing."""
    from outline2path.errors import ProgramError
    from outline2path.proof.judge import judge
    from outline2path.rs274.reader import read_program

    for strict in (True, False):
        try:
            motions = read_program(data, strict=strict)
        except ProgramError:
            continue
        if not strict and len(motions.table) < SHORT_PROGRAM:
            judge(data, _expected())


def job(data: bytes) -> None:
    """Read a job's file, and plan it where it reads."""
    from outline2path.job.toml import read_job

    path = Path(tempfile.gettempdir()) / f"outline2path-fuzz-{os.getpid()}.toml"
    path.write_bytes(data)
    read_job(path).plan()


TARGETS: dict[str, Callable[[bytes], None]] = {"drawing": drawing, "program": program, "job": job}


def _is_finite(figure: float) -> bool:
    return abs(figure) < 1e300 or figure != figure  # bounds of nothing are NaN


def _tight() -> object:
    """Limits that keep each try short; the limits themselves are tested with the bombs."""
    from outline2path.drawing.limits import Limits

    return Limits(segments=3000, elements=300, drawn=300)


def _expected() -> object:
    import shapely

    from outline2path.proof.expected import Expected

    return Expected(
        region_fine=shapely.box(0, 0, 9, 9),
        side="outside",
        cutter_mm=2.0,
        top_mm=0.0,
        bottom_mm=-2.0,
        clearance_mm=5.0,
    )


def tried(target: Callable[[bytes], None], data: bytes) -> str | None:
    """Try one input; return what is wrong with what came of it, None where nothing is."""
    from outline2path.errors import OutlinePathError

    begun = time.process_time()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            target(data)
    except OutlinePathError as refusal:
        if not 10 < len(str(refusal)) < 1500:
            return f"a message of {len(str(refusal))} letters: {str(refusal)[:60]!r}"
    except Exception as bug:  # the bench exists to find these
        frames = traceback.extract_tb(bug.__traceback__)
        ours = [f for f in frames if "outline2path/" in f.filename] or frames
        place = f"{Path(ours[-1].filename).name}:{ours[-1].lineno}"
        return f"{type(bug).__name__} at {place}: {str(bug)[:80]}"
    seconds = time.process_time() - begun
    return f"slow: {int(seconds)} s" if seconds > SLOW_S else None


def seeds(name: str) -> list[bytes]:
    """Sound inputs to begin from: the demo art, what is made of it, and a starting job."""
    from outline2path.job.starting import new_job_text

    if name == "job":
        start = new_job_text().split("\n# What each table may say")[0]
        parts = start.split("[[set_up.step]]")
        return [start.encode(), *(f"{parts[0]}[[set_up.step]]{p}".encode() for p in parts[1:])]
    art = sorted((ROOT / "demo_art").glob("*.svg"))
    if name == "drawing":
        from tests.hostile.test_drawings import READ

        odd = [READ[k]() for k in ("clip paths in a ring", "a use of its own root", "a script")]
        return odd + [p.read_bytes() for p in art if p.stat().st_size < LONGEST_INPUT]
    import outline2path as o2p

    outline = o2p.Outline.from_path("M0 0H9V9H0Z")
    plan = o2p.Job(stock=o2p.Stock(thickness=2)).profile(outline, o2p.Cutter(2), tabs=2).plan()
    drilled = "G21 G17 G90\nM6 T1\nM3 S9000\nG0 Z5\nG83 X1 Y2 Z-3 R1 Q1 F90\nX4\nG80\nM30\n"
    turned = "G20 G18 G91 G93\nM3 S9 F9\nG2 X1 Z1 R2\nG3 I1 K0\nG4 P1\nG53 G0 Z0\nM2\n"
    return [plan.program.text.encode(), drilled.encode(), turned.encode()]


def main(arguments: list[str]) -> int:
    """Fuzz one reader in a process of its own; return 1 where anything was found."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench fuzz")
    parser.add_argument("target", choices=TARGETS)
    parser.add_argument("--seconds", type=int, default=1800, help="how long (1800)")
    parser.add_argument("--corpus", type=Path, help="inputs that reached new branches, kept")
    parser.add_argument("--found", type=Path, help="where findings are kept")
    options = parser.parse_args(arguments)
    try:
        import atheris  # noqa: F401
    except ImportError:
        print("skipped: the fuzzer atheris is not installed")
        return 0
    kept = options.found or Path(tempfile.mkdtemp(prefix="outline2path-found-"))
    corpus = options.corpus or Path(tempfile.mkdtemp(prefix="outline2path-corpus-"))
    for folder in (kept, corpus):
        folder.mkdir(parents=True, exist_ok=True)
    for k, seed in enumerate(seeds(options.target)):
        (corpus / f"seed-{k}").write_bytes(seed)
    words = kept / "words.txt"
    lines = [line.split(" ", 1) for line in WORDS.read_text().splitlines()]
    quoted = [
        w.replace("\\", r"\x5c").replace('"', r"\x22") for t, w in lines if t == options.target
    ]
    words.write_text("".join(f'"{word}"\n' for word in quoted))
    limits = [f"-max_total_time={options.seconds}", f"-max_len={LONGEST_INPUT}", "-timeout=60"]
    limits += ["-rss_limit_mb=2048", f"-dict={words}", "-print_final_stats=1"]
    limits += ["-report_slow_units=120"]  # of wall time: slow work is found by processor time
    code = "from tests.bench.fuzz import fuzz; fuzz()"
    subprocess.run(
        [sys.executable, "-c", code, options.target, str(kept), *limits, str(corpus)],
        cwd=kept,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        check=False,
    )
    words.unlink()
    found = sorted(p.name for p in kept.iterdir() if p.suffix != ".txt")
    for note in sorted(kept.glob("*.txt")):
        print(note.read_text().strip())
    print(f"{options.target}: {len(found)} findings, kept in {kept}")
    return int(bool(found))


def fuzz() -> None:
    """Run the fuzzer in this process, by the arguments `main` gives; does not return."""
    import atheris

    name, kept = sys.argv[1], Path(sys.argv[2])
    with atheris.instrument_imports(include=["outline2path"]):
        _preload()
    target, seen = TARGETS[name], set[str]()

    def one(data: bytes) -> None:
        wrong = tried(target, data)
        key = wrong.split(":", 2)[0] + wrong.partition(":")[2][:6] if wrong else None
        if key is not None and key not in seen:
            seen.add(key)
            (kept / f"found-{len(seen)}").write_bytes(data)
            (kept / f"found-{len(seen)}.txt").write_text(f"found-{len(seen)}: {wrong}\n")

    atheris.Setup([sys.argv[0], *sys.argv[3:]], one)
    atheris.Fuzz()


def _preload() -> None:
    """Load what the targets use, so that the fuzzer sees its branches."""
    import outline2path

    for found in pkgutil.walk_packages(outline2path.__path__, "outline2path."):
        if not any(part in found.name for part in ("picture", "cli", "__main__", "demo_art")):
            importlib.import_module(found.name)
