"""Stopped at any moment: the old output stands whole or the new one does."""

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.world.conftest import CUT, STOPPED, ended, start

KILLS = 8
"""Random moments each test run; more with the environment variable O2P_KILLS."""


def visible(folder: Path) -> dict[str, bytes]:
    return {p.name: p.read_bytes() for p in folder.iterdir() if not p.name.startswith(".")}


@pytest.fixture
def whole(plate, tmp_path):
    """The program as it should be, and how long it takes, in seconds."""
    begin = time.monotonic()
    assert ended(start("cut", plate, "-o", tmp_path / "whole.nc", *CUT))[0] == 0
    return (tmp_path / "whole.nc").read_bytes(), time.monotonic() - begin


def test_killed_at_any_moment_a_program_is_old_or_new_and_never_half(plate, tmp_path, whole):
    new, seconds = whole
    dice, seen = random.Random(8), set()  # noqa: S311
    target = tmp_path / "p.nc"
    for _ in range(int(os.environ.get("O2P_KILLS", KILLS))):
        target.write_bytes(b"old")
        process = start("cut", plate, "-o", target, *CUT)
        time.sleep(dice.uniform(0.3, 1.1) * seconds)
        process.kill()
        process.communicate()
        seen.add(target.read_bytes())
    assert seen <= {b"old", new}
    assert set(visible(tmp_path)) == {"p.nc", "plate.svg", "whole.nc"}


SLOW_WRITE = """
import os, sys
from outline2path import files
sync = os.fsync
def slowly(handle):
    print("writing", flush=True)
    sys.stdin.read()
    sync(handle)
os.fsync = slowly
from outline2path.cli.main import main
raise SystemExit(main(sys.argv[1:]))
"""


def writing(*args):
    """The command, stopped in the middle of writing a file."""
    process = subprocess.Popen(
        [sys.executable, "-c", SLOW_WRITE, *map(os.fspath, args)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert process.stdout.readline() == b"writing\n"
    return process


def test_killed_while_writing_the_old_program_stands(plate, tmp_path):
    (tmp_path / "p.nc").write_text("old")
    process = writing("cut", plate, "-o", tmp_path / "p.nc", *CUT)
    process.kill()
    process.communicate()
    assert visible(tmp_path)["p.nc"] == b"old"


@pytest.mark.parametrize("sign", [signal.SIGINT, signal.SIGTERM], ids=["Ctrl-C", "terminate"])
def test_stopped_while_writing_nothing_is_left(plate, tmp_path, sign):
    process = writing("cut", plate, "-o", tmp_path / "p.nc", *CUT)
    process.send_signal(sign)
    _, _, err = ended(process)
    assert [p.name for p in tmp_path.iterdir()] == ["plate.svg"]
    assert err == "outline2path: stopped; nothing was written\n"
    assert process.returncode in (130, 143)


@pytest.mark.parametrize("share", [0.4, 0.6, 0.8])
def test_ctrl_c_prints_one_line_and_leaves_nothing(plate, tmp_path, whole, share):
    process = start(
        "cut", plate, "-o", tmp_path / "p.nc", *CUT, env={**os.environ, "PYTHONUNBUFFERED": "1"}
    )
    time.sleep(share * whole[1])
    process.send_signal(signal.SIGINT)
    code, _, err = ended(process)
    if code == 0:  # it was done already
        assert (tmp_path / "p.nc").read_bytes() == whole[0]
        return
    assert code in STOPPED, err
    assert len(err.splitlines()) == 1, err
    assert sorted(p.name for p in tmp_path.iterdir()) == ["plate.svg", "whole.nc"]


LOADING = """
import os, signal, sys
from outline2path.cli.main import main

class Stop:
    def find_spec(self, name, path=None, target=None):
        if name == "numpy._core.multiarray":
            os.kill(os.getpid(), signal.SIGINT)

sys.meta_path.insert(0, Stop())
sys.exit(main(sys.argv[1:]))
"""


def test_ctrl_c_while_a_library_is_loaded_is_no_bug(plate, tmp_path):
    command = [sys.executable, "-c", LOADING, "cut", plate, "-o", tmp_path / "p.nc", *CUT]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    code, _, err = ended(process)
    assert code in STOPPED
    assert err == "outline2path: stopped; nothing was written\n"


def test_two_runs_into_one_folder_do_not_mix(plate, tmp_path, whole):
    other = tmp_path / "other.svg"
    other.write_text(plate.read_text().replace("h40v30", "h44v34"))
    target = tmp_path / "p.nc"
    ended(start("cut", other, "-o", tmp_path / "o.nc", *CUT))
    for _ in range(2):
        runs = [start("cut", d, "-o", target, *CUT) for d in (plate, other, plate)]
        assert [ended(r)[0] for r in runs] == [0, 0, 0]
        assert target.read_bytes() in (whole[0], (tmp_path / "o.nc").read_bytes())
    assert not [p for p in tmp_path.iterdir() if p.name.startswith(".")]
