"""Worker processes with bounded memory and a time limit for each piece of work.

A worker that takes too long or dies is ended and replaced, and its piece told as such: a hang or
a crash of the interpreter costs one drawing and not the run.
"""

from __future__ import annotations

import multiprocessing
import resource
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from multiprocessing.connection import Connection, wait
from typing import Any

TIRED_AFTER = 150
"""Pieces after which a worker is replaced, so that nothing grows unseen."""


@dataclass
class Done:
    """One piece of work: its arguments, what came of it, the peak memory."""

    arguments: tuple[Any, ...]
    value: Any
    ended: str | None
    peak_mb: float


class _Worker:
    def __init__(self, work: Callable[..., Any], memory_mb: int) -> None:
        context = multiprocessing.get_context("spawn")
        self.ours, theirs = context.Pipe()
        self.process = context.Process(target=_serve, args=(theirs, work, memory_mb), daemon=True)
        self.process.start()
        theirs.close()
        self.arguments: tuple[Any, ...] | None = None
        self.begun, self.count = 0.0, 0

    def give(self, arguments: tuple[Any, ...]) -> None:
        self.arguments, self.begun = arguments, time.monotonic()
        self.count += 1
        self.ours.send(arguments)

    def end(self) -> None:
        self.process.kill()
        self.process.join()
        self.ours.close()


def _serve(pipe: Connection, work: Callable[..., Any], memory_mb: int) -> None:
    resource.setrlimit(resource.RLIMIT_AS, (memory_mb << 20, memory_mb << 20))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    while True:
        try:
            arguments = pipe.recv()
        except EOFError:
            return
        value = work(*arguments)
        pipe.send((value, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024))


def each(
    work: Callable[..., Any],
    pieces: Iterable[tuple[Any, ...]],
    *,
    workers: int,
    seconds: float,
    memory_mb: int,
) -> Iterator[Done]:
    """Do every piece; yield each as it ends, in the order of ending."""
    waiting = iter(pieces)
    busy: list[_Worker] = []
    idle = [_Worker(work, memory_mb) for _ in range(workers)]
    try:
        while True:
            while idle and (piece := next(waiting, None)) is not None:
                worker = idle.pop()
                if worker.count >= TIRED_AFTER:
                    worker.end()
                    worker = _Worker(work, memory_mb)
                worker.give(piece)
                busy.append(worker)
            if not busy:
                return
            wait([w.ours for w in busy], timeout=0.5)
            for worker in list(busy):
                done = _ended(worker, seconds)
                if done is None:
                    continue
                busy.remove(worker)
                if done.ended:
                    worker.end()
                    worker = _Worker(work, memory_mb)
                idle.append(worker)
                yield done
    finally:
        for worker in busy + idle:
            worker.end()


def _ended(worker: _Worker, seconds: float) -> Done | None:
    """What became of a worker's piece, or None while it is at it."""
    if worker.ours.poll():
        try:
            value, peak = worker.ours.recv()
        except (EOFError, ConnectionResetError):
            worker.process.join()
            return Done(worker.arguments, None, f"died, exit {worker.process.exitcode}", 0.0)
        return Done(worker.arguments, value, None, peak)
    if time.monotonic() - worker.begun > seconds:
        return Done(worker.arguments, None, f"no end in {seconds:g} s", 0.0)
    return None
