"""Files that appear whole or not at all.

Output is written to a temporary file in the same folder, flushed to the disk and renamed over
the name asked for. A failed or killed run leaves an existing file as it was. Several outputs of
one run are written first and renamed together at the end, so that a full disk leaves no half set.

Refused: names in missing or closed folders, names of folders, devices and pipes, and links: who
writes through a link may not know what is overwritten.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from outline2path.errors import OutputError

__all__ = ["check_writable", "together", "write_whole"]

_KEPT_NAME = 40
"""Letters of a file's name that its temporary file shows."""
_SHOWN = 200
"""Letters of a name that a message shows."""


def write_whole(path: str | os.PathLike[str], data: bytes | str) -> Path:
    """Write `data` (text as UTF-8) to `path`, whole or not at all.

    Raises
    ------
    OutputError
        When the folder is missing or the file cannot be written; an old file stays.

    Examples
    --------
    >>> import tempfile
    >>> folder = tempfile.mkdtemp()
    >>> write_whole(f"{folder}/note.txt", "hello").read_text()
    'hello'
    """
    target = Path(path)
    check_writable(target)
    content = data.encode("utf-8") if isinstance(data, str) else data
    with _told(target), _temporary(target) as (handle, temporary):
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        temporary.chmod(_mode_for(target))
        temporary.replace(target)
    return target


@contextmanager
def together() -> Iterator[Callable[[str | os.PathLike[str]], Path]]:
    """Let several files appear together at the end, or none of them.

    Gives a function that returns, for each name asked for, a name in the same folder to write
    to. When the block ends well, all are renamed; when it ends with an error, all are removed.

    Raises
    ------
    OutputError
        When a name cannot be written; old files stay.

    Examples
    --------
    >>> import tempfile
    >>> folder = tempfile.mkdtemp()
    >>> with together() as beside:
    ...     _ = write_whole(beside(f"{folder}/a.txt"), "one")
    ...     seen = Path(f"{folder}/a.txt").exists()
    >>> seen, Path(f"{folder}/a.txt").read_text()
    (False, 'one')
    """
    waiting: list[tuple[Path, Path]] = []

    def beside(path: str | os.PathLike[str]) -> Path:
        target = Path(path)
        check_writable(target)
        with _told(target):
            handle, name = tempfile.mkstemp(
                dir=target.parent, prefix=_prefix(target), suffix=target.suffix
            )
            os.close(handle)
            waiting.append((Path(name), target))
            Path(name).chmod(_mode_for(target))
        return Path(name)

    try:
        yield beside
        for temporary, target in waiting:
            with _told(target):
                temporary.replace(target)
    except OutputError as fault:
        for temporary, target in waiting:
            fault.message = fault.message.replace(str(temporary), str(target))
        raise
    finally:
        for temporary, _ in waiting:
            temporary.unlink(missing_ok=True)


def check_writable(path: str | os.PathLike[str]) -> None:
    """Refuse at once a name that could not be written at the end of a long run.

    Raises
    ------
    OutputError
        When the name is that of a folder, a device or a link, or its folder does not exist or
        is closed to us.

    Examples
    --------
    >>> check_writable("no/such/folder/part.nc")
    Traceback (most recent call last):
    ...
    outline2path.errors.OutputError: the folder no/such/folder does not exist; make it first
    """
    target = Path(path)
    with _told(target):
        fault = _fault_of(target)
    if fault is not None:
        what, remedy = fault
        raise OutputError(what, value=str(target), remedy=remedy)


def _fault_of(target: Path) -> tuple[str, str] | None:
    """Say what keeps a name from being written, and what to do about it."""
    folder = target.parent
    if not folder.is_dir():
        return f"the folder {folder} does not exist", "make it first"
    if target.is_symlink():
        return f"{target} is a link", f"give the name that it stands for, {target.readlink()}"
    if target.is_dir():
        return f"{target} is a folder", "give the name of a file"
    if target.exists() and not target.is_file():
        return f"{target} is no plain file", "give the name of a file"
    if not os.access(folder, os.W_OK | os.X_OK):
        return f"the folder {folder} is closed to writing", "choose another, or open it"
    return None


@contextmanager
def _told(target: Path) -> Iterator[None]:
    """Tell of what the system refuses in our own words."""
    try:
        yield
    except OutputError:
        raise
    except (OSError, ValueError) as fault:
        why = getattr(fault, "strerror", None) or fault
        shown = str(target)[:_SHOWN]
        raise OutputError(
            f"cannot write {shown}: {why}",
            value=str(target),
            remedy="check the name, the folder, its permissions and the room on the disk",
        ) from fault


@contextmanager
def _temporary(target: Path) -> Iterator[tuple[int, Path]]:
    """Open a file beside the target, and take it away again unless it was renamed."""
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=_prefix(target))
    try:
        yield handle, Path(name)
    finally:
        Path(name).unlink(missing_ok=True)


def _prefix(target: Path) -> str:
    return f".{target.name[:_KEPT_NAME]}."


def _mode_for(target: Path) -> int:
    """Keep an old file's permissions; give a new one what the process's mask allows."""
    if target.exists():
        return target.stat().st_mode & 0o7777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
