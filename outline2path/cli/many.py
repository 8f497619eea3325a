"""Many drawings, one cutter: checked over processes, told in the order given.

A broken drawing gives its line and never stops the rest. The table at the end counts the answers.
"""

from __future__ import annotations

import argparse
import signal
import sys
from collections import Counter
from collections.abc import Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from copy import copy

from outline2path.errors import OutlinePathError, SettingError
from outline2path.progress import bar

__all__ = ["check_many"]

_MOST_JOBS = 64
_BUG = 3
_ANSWERS = {0: "checked", 1: "out of reach", 2: "unreadable", _BUG: "stopped by a bug"}


def check_many(args: argparse.Namespace) -> int:
    """Check every drawing; return the gravest exit code: 3 a bug, 2 unreadable, 1, 0.

    Raises
    ------
    SettingError
        When one report or picture is asked for several drawings, or the jobs are impossible.
    """
    if args.report or args.picture:
        raise SettingError(
            f"one report or picture cannot hold {len(args.drawing)} drawings",
            value=len(args.drawing),
            limit=1,
            remedy="check them one by one for that",
        )
    if not 1 <= args.jobs <= _MOST_JOBS:
        raise SettingError(
            f"{args.jobs} jobs are outside 1 to {_MOST_JOBS}", value=args.jobs, limit=_MOST_JOBS
        )
    tasks = [_one(args, name) for name in args.drawing]
    answers, worst = Counter[str](), 0
    for done, (code, line) in enumerate(_results(tasks, args.jobs), start=1):
        _progress(done, len(tasks))
        print(line, flush=True)
        answers[_ANSWERS[code]] += 1
        worst = max(worst, code)
    _progress(0, len(tasks))
    told = [f"{answers[name]} {name}" for k, name in _ANSWERS.items() if k < _BUG or answers[name]]
    print(", ".join(told))
    return worst


def _one(args: argparse.Namespace, name: str) -> argparse.Namespace:
    single = copy(args)
    single.drawing = name
    return single


def _results(tasks: list[argparse.Namespace], jobs: int) -> Iterator[tuple[int, str]]:
    """Answer the tasks in their order, over processes where more than one is asked for."""
    if jobs == 1:
        yield from map(_answer, tasks)
        return
    with ProcessPoolExecutor(max_workers=jobs, initializer=_leave_keyboard) as pool:
        yield from pool.map(_answer, tasks, chunksize=4)


def _answer(args: argparse.Namespace) -> tuple[int, str]:
    """Check one drawing and put the answer in a line."""
    from outline2path.cli.check import checked
    from outline2path.findings import worst
    from outline2path.job.words import size_words

    try:
        check = checked(args)
    except OutlinePathError as error:
        return error.exit_code, f"{args.drawing}: {error}"
    except Exception as bug:  # one drawing must not stop the rest
        told = f"a bug in outline2path, sorry: {type(bug).__name__}: {bug}"
        return _BUG, f"{args.drawing}: {told}"
    largest = check.reach.largest_cutter_mm
    widest = "any cutter passes" if largest is None else f"widest that passes {largest:.2f} mm"
    line = f"{args.drawing}: {size_words(check.outline)}, {_spots(check.reach.spots)}, {widest}"
    return (1 if worst(check.findings) == "error" else 0), line


def _leave_keyboard() -> None:
    """Let the parent alone answer Ctrl-C."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _spots(spots: Iterable[object]) -> str:
    from outline2path.job.words import count

    kinds = Counter(getattr(spot, "kind", "") for spot in spots)
    told = [count(kinds[kind], kind) for kind in ("gap", "hole", "corner") if kinds[kind]]
    return " ".join(told) or "reaches everywhere"


def _progress(done: int, total: int) -> None:
    """Show a bar on a terminal, and nothing where the output is piped; 0 done clears it."""
    if not sys.stderr.isatty():
        return
    told = f"{bar(done / total)} {done} of {total}" if done else ""
    sys.stderr.write(f"\r\x1b[2K{told}")
    sys.stderr.flush()
