"""The tampering suite: every change to every job, and the share that the judge finds.

`python -m tests.bench tamper` prints it.
"""

from __future__ import annotations

import inspect
import random
from collections.abc import Iterator, Sequence

import shapely

from outline2path.proof.judge import judge
from tests.proof import demo_tampering, programs
from tests.proof.harm import HARMFUL
from tests.proof.no_harm import HARMLESS
from tests.proof.programs import Job
from tests.proof.work_harm import HARMS


def jobs() -> dict[str, Job]:
    """Sound programs of several kinds."""
    ell = shapely.Polygon([(0, 0), (40, 0), (40, 12), (15, 12), (15, 30), (0, 30)])
    holed = (
        shapely.box(0, 0, 44, 32)
        - shapely.Point(13, 16).buffer(6, quad_segs=48)
        - shapely.box(26, 8, 36, 24)
    )
    pair = shapely.MultiPolygon([shapely.box(0, 0, 20, 14), shapely.box(28, 2, 44, 20)])
    return {
        "plate with tabs": programs.job(shapely.box(0, 0, 40, 30), tabs=3),
        "plate with holes": programs.job(holed),
        "angle": programs.job(ell, tabs=2, depth_per_pass=1.5),
        "opening": programs.job(ell, side="inside"),
        "on the line": programs.job(ell, side="on"),
        "pair": programs.job(pair, tabs=2),
        "round corners": programs.plate_with_arcs(),
    }


def changed_by(change, job: Job, seed: str) -> Job | None:
    """Make a change, with chance where it asks for it."""
    wants = len(inspect.signature(change).parameters)
    return change(job, random.Random(seed)) if wants > 1 else change(job)  # noqa: S311


def tries(seed: int = 1) -> Iterator[tuple[bool, str, str, Job]]:
    """Give every change to every job: harmful or not, its name, the job's name, the result."""
    for name, job in jobs().items():
        for bad, table in ((True, HARMFUL), (False, HARMLESS)):
            for kind, change in table.items():
                changed = changed_by(change, job, f"{seed} {name} {kind}")
                if changed is not None:
                    yield bad, kind, name, changed


def shares(seed: int = 1) -> tuple[list[str], list[str], int, int]:
    """Try them all: what was missed, what was called harmful wrongly, and how many of each."""
    missed, alarms, count = [], [], [0, 0]
    for bad, kind, name, changed in tries(seed):
        count[0 if bad else 1] += 1
        passed = judge(changed.text, changed.expected).verdict == "pass"
        if bad and passed:
            missed.append(f"{kind} ({name})")
        if not bad and not passed:
            alarms.append(f"{kind} ({name})")
    return missed, alarms, count[0], count[1]


def named() -> str:
    """Try all harm to works; a harm counts where the very check that should tell of it does."""
    told = [check in work().edited(change).failed() for work, change, check in HARMS.values()]
    return f"{sum(told)} of {len(told)}"


def report(options: Sequence[str] = (), *, seeds: int = 3) -> None:
    """Print the shares, and every miss and false alarm by name: demo programs, then plain ones.

    `--all` tries every kind on every demo program, not on some in turn.
    """
    demo_tampering.report(every="--all" in options)
    missed, alarms, bad, good = [], [], 0, 0
    for seed in range(seeds):
        more = shares(seed)
        missed, alarms = missed + more[0], alarms + more[1]
        bad, good = bad + more[2], good + more[3]
    print(f"harmful changes found: {bad - len(missed)} of {bad} ({1 - len(missed) / bad:.1%})")
    print(f"harmless changes with a false alarm: {len(alarms)} of {good}")
    print(f"kinds: {len(HARMFUL)} harmful, {len(HARMLESS)} harmless, on {len(jobs())} programs")
    print(f"harm to programs of several kinds of work, named by its check: {named()}")
    for name in missed:
        print(f"  missed: {name}")
    for name in alarms:
        print(f"  false alarm: {name}")
