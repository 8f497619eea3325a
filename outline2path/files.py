"""Files that appear whole or not at all.

Output is written to a temporary file in the same folder, flushed to the disk and renamed over
the name asked for. A failed or killed run leaves an existing file as it was.
"""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from outline2path.errors import OutputError

__all__ = ["check_writable", "write_whole"]


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
    temporary = None
    try:
        handle, temporary = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name[:40]}.")
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        Path(temporary).chmod(_mode_for(target))
        Path(temporary).replace(target)
    except OSError as fault:
        raise OutputError(
            f"cannot write {target}: {fault.strerror or fault}",
            value=str(target),
            remedy="check the folder, its permissions and the room on the disk",
        ) from fault
    finally:
        if temporary is not None:
            Path(temporary).unlink(missing_ok=True)
    return target


def check_writable(path: str | os.PathLike[str]) -> None:
    """Refuse at once a name that could not be written at the end of a long run.

    Raises
    ------
    OutputError
        When the name is a folder, or its folder does not exist.

    Examples
    --------
    >>> check_writable("no/such/folder/part.nc")
    Traceback (most recent call last):
    ...
    outline2path.errors.OutputError: the folder no/such/folder does not exist; make it first
    """
    target = Path(path)
    if target.is_dir():
        raise OutputError(
            f"{target} is a folder", value=str(target), remedy="give the name of a file"
        )
    if not target.parent.is_dir():
        raise OutputError(
            f"the folder {target.parent} does not exist",
            value=str(target.parent),
            remedy="make it first",
        )


def _mode_for(target: Path) -> int:
    """Keep an old file's permissions; give a new one what the process's mask allows."""
    if target.exists():
        return target.stat().st_mode & 0o7777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
