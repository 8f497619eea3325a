"""The corpora bench: thousands of open drawings, each read, checked, cut and proven.

    python -m tests.bench corpora [--fixed | --sample N] [--cases N] [--cache FOLDER] [--rows FILE]

Drawings come from npm by package name and are kept in the cache folder only (option, or the
environment variable O2P_CORPORA). `--fixed` takes the 300 of fixed_300.txt: sixty names of each
set, chosen by their hashes. Exit code 1 where anything crashed, hung, was cut into, was left above
the tolerance, was refused by its proof with nothing told before, or differs from the renderer
without a finding; what known.txt lists as not mended yet does not count.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
from collections import Counter
from contextlib import ExitStack
from pathlib import Path

from tests.bench.fetching import Drawing, fetched, listed, sample
from tests.bench.one import Outcome, tried
from tests.bench.pool import Done, each

HOME = Path(tempfile.gettempdir()) / "outline2path-corpora"
FIXED = Path(__file__).with_name("fixed_300.txt")
KNOWN = Path(__file__).with_name("known.txt")
SHOWN = 12


def main(arguments: list[str]) -> int:
    """Run the bench; return 1 where something is wrong."""
    options = _options(arguments)
    if shutil.which("npm") is None and not options.cache.is_dir():
        print("skipped: npm is not installed, so no drawings can be fetched")
        return 0
    try:
        drawings = fetched(options.cache)
    except subprocess.SubprocessError as fault:
        print(f"skipped: npm could not fetch the drawings: {fault}")
        return 0
    if options.only:
        drawings = [d for d in drawings if options.only in f"{d.set_name}/{d.name}"]
    if options.fixed:
        drawings = listed(drawings, FIXED)
    if options.sample:
        drawings = sample(drawings, options.sample)
    outcomes, peak = _run(drawings, options)
    return report(outcomes, drawings=len(drawings), peak_mb=peak)


def _options(arguments: list[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.bench corpora")
    parser.add_argument("--fixed", action="store_true", help=f"the drawings of {FIXED.name}")
    parser.add_argument("--sample", type=int, help="so many drawings, always the same")
    parser.add_argument("--cases", type=int, default=1, help="sizes and cutters for each (1)")
    parser.add_argument("--only", help="drawings whose set or name holds this")
    parser.add_argument("--seconds", type=float, default=60, help="time limit for each (60)")
    parser.add_argument("--memory", type=int, default=2048, help="MB for each process (2048)")
    parser.add_argument("--workers", type=int, default=os.cpu_count())
    parser.add_argument("--rows", type=Path, help="one line of JSON for each outcome, as it ends")
    cache = Path(os.environ.get("O2P_CORPORA", HOME))
    parser.add_argument("--cache", type=Path, default=cache, help="where drawings are kept")
    return parser.parse_args(arguments)


def _run(drawings: list[Drawing], options: argparse.Namespace) -> tuple[list[Outcome], float]:
    pieces = [(d.set_name, str(d.path), turn) for turn in range(options.cases) for d in drawings]
    outcomes, peak = [], 0.0
    limits = {"seconds": options.seconds, "memory_mb": options.memory}
    with ExitStack() as stack:
        rows = stack.enter_context(options.rows.open("w")) if options.rows else None
        for count, done in enumerate(each(tried, pieces, workers=options.workers, **limits), 1):
            outcomes.append(_outcome(done))
            peak = max(peak, done.peak_mb)
            if rows:
                print(json.dumps(vars(outcomes[-1])), file=rows, flush=True)
            if sys.stderr.isatty() or count % 500 == 0:
                print(f"\r{count} of {len(pieces)}", end="", file=sys.stderr, flush=True)
    outcomes.sort(key=lambda o: (o.set_name, o.name, o.case))
    return outcomes, peak


def _outcome(done: Done) -> Outcome:
    if done.ended is None:
        return Outcome(**done.value)
    set_name, path, turn = done.arguments
    return Outcome(set_name, Path(path).stem, f"case {turn}", crash=done.ended)


def report(outcomes: list[Outcome], *, drawings: int, peak_mb: float) -> int:
    """Print the figures; return 1 where something is wrong."""
    cut = [o for o in outcomes if o.gouge_mm is not None]
    times = sorted(o.total_s for o in cut) or [0.0]
    print(f"drawings: {drawings}; runs: {len(outcomes)}; cut and proven: {len(cut)}")
    for name, held in Counter(o.set_name for o in outcomes).items():
        print(f"  {name}: {held}")
    _tell("refused", Counter(o.refused for o in outcomes if o.refused))
    _tell("programs not sound", Counter(e for o in cut for e in o.errors))
    compared = [o for o in outcomes if o.wrong_px is not None]
    differing = [o for o in compared if o.differs]
    print(f"compared with the renderer: {len(compared)}; differing: {len(differing)}")
    print(
        f"seconds for each: median {statistics.median(times):.3f}, "
        f"p99 {times[int(0.99 * (len(times) - 1))]:.2f}, most {times[-1]:.2f}; "
        f"peak memory {peak_mb:.0f} MB"
    )
    wrong = {
        "crashes and hangs": [o for o in outcomes if o.crash],
        "gouges above 1 micrometre": [o for o in cut if o.gouges],
        "left-overs above T": [o for o in cut if o.leaves],
        "other failed proofs": [o for o in cut if o.fails_otherwise],
        "differing without a finding": [o for o in differing if not o.explained],
    }
    known = _known()
    for name, held in wrong.items():
        print(f"{name}: {len(held)}")
        for outcome in held[:SHOWN]:
            print(f"  {_line(outcome)}")
    titles = {_title(o) for held in wrong.values() for o in held}
    print(f"not among the known ones: {len(titles - known.keys())}")
    for title in sorted(known.keys() & {_title(o) for o in outcomes} - titles):
        print(f"mended, so take it off {KNOWN.name}: {title}")
    return int(bool(titles - known.keys()))


def _known() -> dict[str, str]:
    """Runs known to go wrong, with what is known of each: none counts as new."""
    lines = KNOWN.read_text(encoding="utf-8").splitlines()
    return dict(line.split(": ", 1) for line in lines if line and not line.startswith("#"))


def _title(o: Outcome) -> str:
    return f"{o.set_name}/{o.name} ({o.case})"


def _tell(what: str, counts: Counter[str]) -> None:
    print(f"{what}: {sum(counts.values())}")
    for reason, count in counts.most_common(SHOWN):
        print(f"  {count} x {reason}")


def _line(o: Outcome) -> str:
    figures = [o.crash or ""]
    if o.gouge_mm is not None and o.leftover_mm is not None:
        figures.append(f"gouge {o.gouge_mm * 1000:.2f} um, left {o.leftover_mm:.4f} mm")
    if o.differs:
        figures.append(f"{o.wrong_px} pixels differ")
    figures += o.errors
    return f"{_title(o)}: " + "; ".join(f for f in figures if f)
