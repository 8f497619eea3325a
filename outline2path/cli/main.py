"""The command `outline2path`: find the subcommand, call it, turn errors into one paragraph.

Nothing heavier than argparse is loaded before a subcommand runs, so help is instant.
Exit codes: 0 done, 1 refused because of an error finding, 2 unusable input or arguments,
3 a bug in outline2path, 130 stopped from the keyboard, 143 told to end.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from importlib import import_module
from io import TextIOWrapper

from outline2path.cli.options import build_parser
from outline2path.errors import OutlinePathError

__all__ = ["main"]

_SIGNALLED = 128
"""Exit codes above this name the signal that ended the run, as shells have it."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command and return its exit code.

    Parameters
    ----------
    argv : sequence of str, optional
        Arguments after the command's name; those of the process by default.

    Examples
    --------
    >>> main(["read"])
    2
    """
    _open_outputs()
    _end_in_order()
    try:
        args = build_parser().parse_args(argv)
        _load_whole()
        with _told_stages(args.verbose):
            code: int = import_module(f"outline2path.cli.{args.command}").run(args)
        sys.stdout.flush()
        return code
    except SystemExit as stop:  # argparse has had its say
        return stop.code if isinstance(stop.code, int) else 2
    except (OutlinePathError, KeyboardInterrupt, MemoryError, OSError) as known:
        return _told(known)
    except Exception as bug:
        if os.environ.get("OUTLINE2PATH_TRACEBACK"):
            raise
        _say(
            f"outline2path: a bug in outline2path, sorry: {type(bug).__name__}: {bug}. "
            "Set OUTLINE2PATH_TRACEBACK=1 to see where, and please report it."
        )
        return 3


@contextmanager
def _told_stages(asked: bool) -> Iterator[None]:
    """Print each stage of the work on standard error as it ends, where asked to."""
    if not asked:
        yield
        return
    import logging

    from outline2path.stages import LOGGER

    handler = logging.StreamHandler()
    LOGGER.addHandler(handler)
    LOGGER.setLevel(logging.INFO)
    try:
        yield
    finally:
        LOGGER.removeHandler(handler)
        LOGGER.setLevel(logging.NOTSET)


def _told(fault: BaseException) -> int:
    """Say in a line what kept the run from ending well, and return its exit code."""
    if isinstance(fault, OutlinePathError):
        _say(f"outline2path: {fault}")
        return fault.exit_code
    if isinstance(fault, KeyboardInterrupt):
        _say("outline2path: stopped; nothing was written")
        return _SIGNALLED + (fault.args[0] if fault.args else signal.SIGINT)
    if isinstance(fault, MemoryError):
        _say("outline2path: there is not enough memory for this; simplify the drawing")
        return 2
    _drop_output()
    if isinstance(fault, BrokenPipeError):  # whoever read our output has had enough
        return 0
    name = getattr(fault, "filename", None)  # a full disk behind standard output, say
    reason = getattr(fault, "strerror", None) or fault
    _say(f"outline2path: the system refused{f' {name}' if name else ''}: {reason}")
    return 2


def _end_in_order() -> None:
    """When asked to end, as when a window closes or a machine stops, tidy up as for Ctrl-C."""

    def stop(number: int, _frame: object) -> None:
        raise KeyboardInterrupt(number)

    with suppress(ValueError):  # another thread than the main one has no say in this
        for name in ("SIGTERM", "SIGHUP"):
            if hasattr(signal, name):
                signal.signal(getattr(signal, name), stop)


def _load_whole() -> None:
    """Load the libraries that take a stop half way for a fault; it waits until they are there."""
    hold = getattr(signal, "pthread_sigmask", None)
    if hold is None:
        return
    before = hold(signal.SIG_BLOCK, {signal.SIGINT, signal.SIGTERM, signal.SIGHUP})
    try:
        import_module("shapely")  # and NumPy with it
    finally:
        hold(signal.SIG_SETMASK, before)


def _open_outputs() -> None:
    """See that there is an output, and that no letter can break it."""
    if sys.stdout is None:
        sys.stdout = os.fdopen(os.open(os.devnull, os.O_WRONLY), "w")
    if sys.stderr is None:
        sys.stderr = os.fdopen(os.open(os.devnull, os.O_WRONLY), "w")
    if isinstance(sys.stdout, TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")


def _drop_output() -> None:
    """Send what is still to be printed nowhere, so that leaving cannot fail over it."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _say(text: str) -> None:
    """Print one paragraph on standard error, whatever characters it holds."""
    paragraph = " ".join(text.split())
    encoding = sys.stderr.encoding or "utf-8"
    print(paragraph.encode(encoding, "backslashreplace").decode(encoding), file=sys.stderr)
