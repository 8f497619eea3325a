"""Full and closed disks: one paragraph, no half file, the old one untouched."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.world.conftest import CUT, ended, one_paragraph, start


def test_a_full_disk_leaves_the_old_program_whole(plate, small_disk):
    (small_disk / "p.nc").write_text("old")
    (small_disk / "filler").write_bytes(b"\0" * 8192)
    code, _, err = ended(start("cut", plate, "-o", small_disk / "p.nc", *CUT))
    assert code == 2
    assert one_paragraph(err), err
    assert f"cannot write {small_disk}/p.nc: No space left" in err
    assert (small_disk / "p.nc").read_text() == "old"
    assert sorted(p.name for p in small_disk.iterdir()) == ["filler", "p.nc"]


def test_a_disk_that_fills_up_with_the_picture_leaves_no_program_either(plate, small_disk):
    names = [small_disk / n for n in ("p.nc", "p.png", "p.json")]
    outputs = ("-o", names[0], "--picture", names[1], "--report", names[2])
    code, _, err = ended(start("cut", plate, *outputs, *CUT))
    assert (code, one_paragraph(err)) == (2, True), err
    assert list(small_disk.iterdir()) == []


def test_a_limit_on_file_size_is_told_like_a_full_disk(plate, tmp_path):
    limited = (
        "import resource, signal, runpy; signal.signal(signal.SIGXFSZ, signal.SIG_IGN);"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (500, 500));"
        "runpy.run_module('outline2path', run_name='__main__', alter_sys=True)"
    )
    done = subprocess.run(
        [sys.executable, "-B", "-c", limited, "cut", plate, "-o", tmp_path / "p.nc", *CUT],
        capture_output=True,
        check=False,
    )
    assert (done.returncode, one_paragraph(done.stderr.decode())) == (2, True), done.stderr
    assert [p.name for p in tmp_path.iterdir()] == ["plate.svg"]


def test_a_read_only_folder_is_told_before_any_work(plate, read_only_disk):
    code, out, err = ended(start("cut", plate, "-o", read_only_disk / "p.nc", *CUT))
    assert (code, out) == (2, "")
    assert "closed to writing" in err
    assert (read_only_disk / "p.nc").read_text() == "old"


def test_a_drawing_is_read_from_a_read_only_disk(plate, read_only_disk, tmp_path):
    subprocess.run(["mount", "-o", "remount,rw", read_only_disk], check=True)  # noqa: S607
    (read_only_disk / "d.svg").write_bytes(plate.read_bytes())
    subprocess.run(["mount", "-o", "remount,ro", read_only_disk], check=True)  # noqa: S607
    code, _, err = ended(start("cut", read_only_disk / "d.svg", "-o", tmp_path / "p.nc", *CUT))
    assert (code, err) == (0, "")


@pytest.mark.parametrize("home", [{}, {"HOME": "/dev/null/nowhere"}], ids=["unset", "closed"])
def test_without_a_home_folder_everything_is_written(plate, tmp_path, home):
    env = {k: v for k, v in os.environ.items() if k not in ("HOME", "XDG_CACHE_HOME")} | home
    outputs = ("-o", tmp_path / "p.nc", "--picture", tmp_path / "p.png")
    code, _, err = ended(start("cut", plate, *outputs, *CUT, env=env), timeout=120)
    assert (code, err) == (0, "")
    assert (tmp_path / "p.png").read_bytes().startswith(b"\x89PNG")


def link(folder: Path) -> Path:
    (folder / "real.nc").write_text("old")
    (folder / "p.nc").symlink_to("real.nc")
    return folder / "p.nc"


def loose_link(folder: Path) -> Path:
    (folder / "p.nc").symlink_to("/nowhere/at/all.nc")
    return folder / "p.nc"


def pipe(folder: Path) -> Path:
    os.mkfifo(folder / "p.nc")
    return folder / "p.nc"


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (link, "is a link"),
        (loose_link, "is a link"),
        (pipe, "no plain file"),
        (lambda _: Path(os.devnull), "no plain file"),
        (lambda _: Path("/proc/nothing.nc"), "cannot write|closed|refused"),
        (lambda folder: folder, "is a folder"),
        (lambda folder: folder / "gone" / "p.nc", "does not exist"),
        (lambda folder: folder / "plate.svg" / "p.nc", "does not exist"),
        (lambda folder: folder / ("n" * 300 + ".nc"), "name too long"),
        (lambda folder: folder / "plate.svg", "take the place of the input"),
        (lambda folder: folder / ".." / folder.name / "plate.svg", "take the place of the input"),
        (lambda _: Path("-"), "names no file"),
    ],
)
def test_a_name_that_is_no_place_for_a_program_is_refused(plate, tmp_path, make, words):
    before = Path(os.devnull).stat().st_mode
    code, out, err = ended(start("cut", plate, "-o", make(tmp_path), *CUT, cwd=tmp_path))
    assert (code, out, one_paragraph(err)) == (2, "", True), err
    assert any(w.lower() in err.lower() for w in words.split("|")), err
    assert Path(os.devnull).stat().st_mode == before
    assert plate.read_text().startswith("<svg")
