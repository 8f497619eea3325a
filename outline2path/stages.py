"""Stages: what is being worked on, how much of it, and how long it took, for who asks.

Nothing is said unless the logger "outline2path" is listened to at level INFO, as --verbose does.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from time import perf_counter

__all__ = ["LOGGER", "stage"]

LOGGER = logging.getLogger("outline2path")
"""The package's one logger."""


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
    yield counts
    told = ", ".join(f"{number} {noun}" for noun, number in counts.items())
    LOGGER.info("%-30s %8.3f s  %s", what, perf_counter() - start, told)
