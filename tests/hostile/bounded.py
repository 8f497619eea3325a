"""The command in a process of its own, with what it used: seconds of work and peak memory."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

SECONDS = 5.0
"""Of processor time, so that a busy machine does not count."""
MEGABYTES = 512

# Limits are set, and use is read, by the process itself: what a parent holds does not count.
_BEGIN = """
import resource, runpy, sys
resource.setrlimit(resource.RLIMIT_AS, (4 << 30, 4 << 30))
resource.setrlimit(resource.RLIMIT_CPU, (20, 20))
resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
used, code = sys.argv.pop(1), sys.argv.pop(1)
try:
    if code:
        exec(code)
    else:
        runpy.run_module("outline2path", run_name="__main__", alter_sys=True)
finally:
    lines = open("/proc/self/status").read().split("VmHWM:")
    work = resource.getrusage(resource.RUSAGE_SELF)
    open(used, "w").write(f"{lines[1].split()[0]} {work.ru_utime + work.ru_stime}")
"""


class Ended(NamedTuple):
    """How a process ended and what it took."""

    code: int
    out: str
    err: str
    seconds: float
    megabytes: float

    @property
    def is_bounded(self) -> bool:
        return self.seconds <= SECONDS and self.megabytes <= MEGABYTES

    @property
    def is_one_paragraph(self) -> bool:
        lines = self.err.strip().splitlines()
        return (
            len(lines) == 1
            and lines[0].startswith("outline2path")
            and 30 < len(lines[0]) < 900
            and "Traceback" not in self.err
            and "bug in" not in self.err
        )


def command(*args: object, folder: Path, code: str = "") -> Ended:
    """Run the command with ARGS (or a piece of code instead) in a folder."""
    used = folder.parent / f"{folder.name}.used"
    done = subprocess.run(
        [sys.executable, "-c", _BEGIN, str(used), code, *map(str, args)],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        cwd=folder,
        env={**os.environ, "OPENBLAS_NUM_THREADS": "1"},
        check=False,
    )
    kilobytes, seconds = map(float, used.read_text().split()) if used.exists() else (1e9, 1e9)
    used.unlink(missing_ok=True)
    out, err = (t.decode("utf-8", "replace") for t in (done.stdout, done.stderr))
    return Ended(done.returncode, out, err, seconds, kilobytes / 1024)
