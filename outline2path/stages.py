"""Stages: what is being worked on, how much of it, and how long it took, for who asks.

Nothing is said unless the logger "outline2path" is listened to at level INFO, as --verbose does.
Who watches is told how many stages are done and how many to expect.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from time import perf_counter

__all__ = ["LOGGER", "Progress", "expect", "stage", "watched"]

LOGGER = logging.getLogger("outline2path")
"""The package's one logger."""


@dataclass(eq=False)
class Progress:
    """How far the work is: what is worked on now, stages done, and stages expected so far."""

    what: str = ""
    done: int = 0
    expected: int = 0

    @property
    def share(self) -> float:
        """From 0 to 1; a stage more than expected changes nothing."""
        return min(self.done / self.expected, 1.0) if self.expected else 0.0


_WATCHED: list[Progress] = []


@contextmanager
def watched() -> Iterator[Progress]:
    """Count the stages of the work that is done within.

    Examples
    --------
    >>> with watched() as progress:
    ...     expect(4)
    ...     with stage("counting"):
    ...         pass
    >>> progress
    Progress(what='counting', done=1, expected=4)
    """
    progress = Progress()
    _WATCHED.append(progress)
    try:
        yield progress
    finally:
        _WATCHED.remove(progress)


def expect(stages: int) -> None:
    """Tell who watches that so many stages more are to come."""
    for progress in _WATCHED:
        progress.expected += stages


@contextmanager
def stage(what: str) -> Iterator[dict[str, int]]:
    """Time a stage of the work; what it counts is put into the mapping it gives.

    Examples
    --------
    >>> with stage("counting") as counts:
    ...     counts["sheep"] = 3
    """
    counts: dict[str, int] = {}
    start = perf_counter()
    for progress in _WATCHED:
        progress.what = what
    yield counts
    for progress in _WATCHED:
        progress.done += 1
    told = ", ".join(f"{number} {noun}" for noun, number in counts.items())
    LOGGER.info("%-30s %8.3f s  %s", what, perf_counter() - start, told)
