"""A drawing, the command as a process, and a disk that is too small."""

import os
import signal
import subprocess
import sys

import pytest

PLATE = """<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="50mm" viewBox="0 0 60 50">
<path d="M10 10h40v30h-40zM20 20v8h8v-8z"/></svg>"""
STOPPED = (130, -signal.SIGINT)  # a shell tells either as 130
CUT = ("--cutter", "3", "--thickness", "6", "--tabs", "3")


@pytest.fixture
def plate(tmp_path):
    path = tmp_path / "plate.svg"
    path.write_text(PLATE)
    return path


def start(*args, **options):
    """The command as a process of its own, its output caught unless told otherwise."""
    options = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE} | options
    return subprocess.Popen(
        [sys.executable, "-m", "outline2path", *map(os.fspath, args)], **options
    )


def ended(process, timeout=60):
    """Exit code and both outputs as text, whatever bytes they hold."""
    out, err = process.communicate(timeout=timeout)
    return process.returncode, *(
        (t or b"").decode("utf-8", "backslashreplace") for t in (out, err)
    )


def one_paragraph(err):
    lines = err.strip().splitlines()
    return len(lines) == 1 and lines[0].startswith("outline2path") and "bug in" not in err


@pytest.fixture
def small_disk(tmp_path):
    """Mount a disk of 16 kB; skipped where mounting is not allowed."""
    folder = tmp_path / "small"
    folder.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=16k", "tmpfs", str(folder)]
    if subprocess.run(mount, capture_output=True, check=False).returncode:
        pytest.skip("a small disk cannot be mounted here")
    yield folder
    subprocess.run(["umount", str(folder)], check=True)  # noqa: S607


@pytest.fixture
def read_only_disk(tmp_path):
    """Mount a folder with an old program in it, read-only; skipped where that is not allowed."""
    folder = tmp_path / "closed"
    folder.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(folder)]
    if subprocess.run(mount, capture_output=True, check=False).returncode:
        pytest.skip("a disk cannot be mounted here")
    (folder / "p.nc").write_text("old")
    subprocess.run(["mount", "-o", "remount,ro", str(folder)], check=True)  # noqa: S607
    yield folder
    subprocess.run(["umount", str(folder)], check=True)  # noqa: S607
