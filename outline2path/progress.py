"""Progress: a bar for work that takes longer than a second, where somebody is looking.

In: the stages of the work, as they come. Out: a line that is drawn over itself on a terminal, or a
bar in the cell of a notebook; both are taken away when the work is done. Where the errors of a
command are piped nothing is written, and a library's caller outside a notebook sees nothing.

A thread of its own draws, so that one long stage does not look like a standstill.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from html import escape
from threading import Event, Thread
from time import monotonic
from typing import Any

from outline2path.stages import Progress, watched

__all__ = ["bar", "in_notebook", "on_terminal"]

_AFTER_S, _EVERY_S = 1.0, 0.2
_WIDE = 24
_MOST_WORDS = 40
_SHOWING: list[bool] = []

Draw = Callable[[Progress | None, float], None]
"""Draws how far the work is after so many seconds; None takes the bar away."""


def bar(share: float, *, wide: int = _WIDE) -> str:
    """Return a bar of signs every terminal has.

    Examples
    --------
    >>> bar(0.5, wide=8)
    '[####....]'
    """
    filled = min(max(round(wide * share), 0), wide)
    return f"[{'#' * filled}{'.' * (wide - filled)}]"


@contextmanager
def on_terminal(*, quiet: bool = False) -> Iterator[None]:
    """Show on standard error how far the work within is, if that is a terminal.

    Parameters
    ----------
    quiet : bool
        Show nothing all the same, as where the answer itself is printed meanwhile.

    Examples
    --------
    >>> with on_terminal(quiet=True):
    ...     pass
    """
    looking = not quiet and sys.stderr is not None and sys.stderr.isatty()
    with _shown(_draw_line if looking else None):
        yield


@contextmanager
def in_notebook() -> Iterator[None]:
    """Show in the cell of a notebook how far the work within is; elsewhere do nothing.

    Examples
    --------
    >>> with in_notebook():
    ...     pass
    """
    with _shown(_cell()):
        yield


@contextmanager
def _shown(draw: Draw | None) -> Iterator[None]:
    """Draw now and then from a thread; bars within bars are left to the outer one."""
    if draw is None or _SHOWING:
        yield
        return
    done = Event()
    _SHOWING.append(True)
    with watched() as progress:
        thread = Thread(target=_keep_drawing, args=(draw, progress, done), daemon=True)
        thread.start()
        try:
            yield
        finally:
            done.set()
            thread.join()
            _SHOWING.clear()


def _keep_drawing(draw: Draw, progress: Progress, done: Event) -> None:
    start = monotonic()
    if done.wait(_AFTER_S):
        return
    while True:
        draw(progress, monotonic() - start)
        if done.wait(_EVERY_S):
            break
    draw(None, 0.0)


def _draw_line(progress: Progress | None, seconds: float) -> None:
    """Write one line over the last."""
    words = ""
    if progress is not None:
        words = f"{bar(progress.share)} {progress.what[:_MOST_WORDS]}, {seconds:.0f} s"
    sys.stderr.write(f"\r\x1b[2K{words}")
    sys.stderr.flush()


def _cell() -> Draw | None:
    """Return what draws into a notebook's cell; None where no notebook's kernel runs us."""
    shell = getattr(sys.modules.get("IPython"), "get_ipython", lambda: None)()
    if getattr(shell, "kernel", None) is None:
        return None
    from IPython import display as shows

    display: Any = shows.display
    handles: list[Any] = []

    def draw(progress: Progress | None, seconds: float) -> None:
        told = {"text/plain": "", "text/html": ""}
        if progress is not None:
            words = f"{progress.what}, {seconds:.0f} s"
            told = {
                "text/plain": f"{bar(progress.share)} {words}",
                "text/html": f'<progress max="1" value="{progress.share:.3f}"></progress> '
                f"{escape(words)}",
            }
        if handles:
            handles[0].update(told, raw=True)
        else:
            handles.append(display(told, raw=True, display_id=True))

    return draw
