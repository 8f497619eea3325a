"""Whole jobs and the demo in an unkind world: what `cut` stands, many files at once must stand."""

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.world.conftest import PLATE, STOPPED, ended, one_paragraph, start
from tests.world.test_signals import KILLS
from tests.world.test_streams import comma_locale, compiled_locale, shell

JOB = """[stock]
size = "80 x 70 x 6 mm"
[cutters.small]
diameter = "3 mm"
[drawings.plate]
file = "plate.svg"
[[set_up]]
[[set_up.step]]
do = "profile"
drawing = "plate"
cutter = "small"
tabs = 3
"""
MADE = ["1-1-profile.nc", "1-1-profile.png", "report.json", "set-up-sheet.html"]


@pytest.fixture
def job(plate):
    path = plate.with_name("job.toml")
    path.write_text(JOB)
    return path


@pytest.fixture(scope="module")
def whole(tmp_path_factory):
    """What the job makes, by file name, and how many seconds it takes."""
    folder = tmp_path_factory.mktemp("whole")
    (folder / "plate.svg").write_text(PLATE)
    (folder / "job.toml").write_text(JOB)
    begin = time.monotonic()
    code, _, err = ended(start("job", folder / "job.toml", "-o", folder / "out"), timeout=300)
    assert (code, err) == (0, "")
    return held(folder / "out"), time.monotonic() - begin


def held(folder: Path) -> dict[str, bytes]:
    return {p.name: p.read_bytes() for p in folder.iterdir() if not p.name.startswith(".")}


def test_a_job_makes_its_four_files(whole):
    assert sorted(whole[0]) == MADE


def test_a_disk_that_fills_up_leaves_the_old_folder_whole(job, small_disk):
    out = small_disk / "out"
    out.mkdir()
    for name in MADE[:2]:
        (out / name).write_bytes(b"old")
    code, _, err = ended(start("job", job, "-o", out))
    assert (code, one_paragraph(err)) == (2, True), err
    assert "No space left" in err
    assert held(out) == dict.fromkeys(MADE[:2], b"old")
    assert len(list(out.iterdir())) == 2


@pytest.mark.parametrize("command", ["job", "demo"])
def test_a_disk_that_fills_up_keeps_no_new_folder(job, small_disk, command):
    into = ("job", job, "-o", small_disk / "a" / "b") if command == "job" else None
    code, _, err = ended(start(*(into or ("demo", small_disk / "a"))), timeout=300)
    assert (code, one_paragraph(err)) == (2, True), err
    assert list(small_disk.iterdir()) == []


@pytest.mark.parametrize("command", ["job", "new", "demo"])
def test_a_read_only_disk_is_told_in_one_paragraph(job, read_only_disk, command):
    args = {
        "job": ("job", job, "-o", read_only_disk / "out"),
        "new": ("job", read_only_disk / "new.toml", "--new"),
        "demo": ("demo", read_only_disk / "out"),
    }[command]
    code, _, err = ended(start(*args))
    assert (code, one_paragraph(err)) == (2, True), err
    assert [p.name for p in read_only_disk.iterdir()] == ["p.nc"]


def file_in_the_way(folder: Path) -> Path:
    (folder / "out").write_text("old")
    return folder / "out"


def folder_in_the_way(folder: Path) -> Path:
    (folder / "out" / MADE[0]).mkdir(parents=True)
    return folder / "out"


def link_in_the_way(folder: Path) -> Path:
    (folder / "out").mkdir()
    (folder / "out" / MADE[0]).symlink_to("/etc/hostname")
    return folder / "out"


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (file_in_the_way, "cannot make the folder"),
        (lambda folder: folder / "plate.svg" / "out", "cannot make the folder"),
        (lambda folder: folder / ("n" * 300), "name too long"),
        (lambda _: Path("/proc/nothing"), "cannot make the folder"),
        (lambda _: Path(os.devnull), "cannot make the folder"),
        (folder_in_the_way, "is a folder"),
        (link_in_the_way, "is a link"),
    ],
)
def test_a_name_that_is_no_place_for_a_job_is_refused(job, tmp_path, make, words):
    target = make(tmp_path)
    before = sorted(tmp_path.rglob("*"))
    code, _, err = ended(start("job", job, "-o", target))
    assert (code, one_paragraph(err)) == (2, True), err
    assert words.lower() in err.lower()
    assert sorted(tmp_path.rglob("*")) == before


def test_killed_at_any_moment_each_file_of_a_job_is_old_or_new(job, tmp_path, whole):
    """Names change one after another in well under a millisecond, so the kinds hardly mix."""
    new, seconds = whole
    out, dice, mixed = tmp_path / "out", random.Random(80), 0  # noqa: S311
    out.mkdir()
    for _ in range(int(os.environ.get("O2P_KILLS", KILLS))):
        for name in MADE:
            (out / name).write_bytes(b"old")
        process = start("job", job, "-o", out)
        time.sleep(dice.uniform(0.3, 1.1) * seconds)
        process.kill()
        process.communicate()
        found = held(out)
        assert sorted(found) == MADE
        assert all(found[name] in (b"old", new[name]) for name in MADE)
        mixed += 0 < sum(found[name] == b"old" for name in MADE) < len(MADE)
    assert mixed <= 1


SLOW_WRITE = """
import os, sys
sync, count = os.fsync, [0]
def slowly(handle):
    count[0] += 1
    if count[0] == 3:
        print("writing", file=sys.stderr, flush=True)
        sys.stdin.read()
    sync(handle)
os.fsync = slowly
from outline2path.cli.main import main
raise SystemExit(main(sys.argv[1:]))
"""


@pytest.mark.parametrize("sign", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP], ids=str)
def test_stopped_at_its_third_file_a_job_leaves_nothing(job, tmp_path, sign):
    process = subprocess.Popen(
        [sys.executable, "-c", SLOW_WRITE, "job", str(job), "-o", str(tmp_path / "a" / "out")],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert process.stderr.readline() == b"writing\n"
    process.send_signal(sign)
    code, _, err = ended(process)
    assert (code, err) == (128 + sign, "outline2path: stopped; nothing was written\n")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["job.toml", "plate.svg"]


def test_ctrl_c_in_the_demo_prints_one_line_and_leaves_nothing(tmp_path):
    process = start("demo", tmp_path / "demo")
    until = time.monotonic() + 60
    while not (tmp_path / "demo").exists() and time.monotonic() < until:
        time.sleep(0.02)
    process.send_signal(signal.SIGINT)
    code, _, err = ended(process)
    assert code in STOPPED
    assert err == "outline2path: stopped; nothing was written\n"
    assert list(tmp_path.iterdir()) == []


def test_two_jobs_into_one_folder_leave_whole_files_of_one_or_the_other(job, tmp_path, whole):
    other = tmp_path / "other.toml"
    other.write_text(JOB.replace("tabs = 3", "tabs = 4"))
    assert ended(start("job", other, "-o", tmp_path / "two"))[0] == 0
    runs = [start("job", j, "-o", tmp_path / "out") for j in (job, other, job)]
    assert [ended(r)[0] for r in runs] == [0, 0, 0]
    found, second = held(tmp_path / "out"), held(tmp_path / "two")
    assert sorted(found) == MADE
    assert all(found[name] in (whole[0][name], second[name]) for name in MADE)
    assert not [p for p in (tmp_path / "out").iterdir() if p.name.startswith(".")]


NAMES = [
    b"caf\xe9",
    b"\xff\xfe",
    b"new\nline",
    b"C:\\jobs\\tag",
    "tag \N{BIRD}".encode(),
    b"(M30)",
]


@pytest.mark.parametrize("name", NAMES, ids=repr)
def test_a_job_and_its_folder_may_have_any_name(job, name):
    folder = Path(os.fsdecode(os.fsencode(job.parent) + b"/" + name))
    folder.mkdir()
    named = folder / os.fsdecode(name + b".toml")
    job.rename(named)
    (job.parent / "plate.svg").rename(folder / "plate.svg")
    code, _, err = ended(start("job", named, "-o", folder / "out"))
    assert (code, err) == (0, "")
    assert sorted(held(folder / "out")) == MADE
    program = (folder / "out" / MADE[0]).read_bytes()
    assert program.isascii()
    assert program.count(b"\nM30") == 1


@pytest.mark.parametrize(
    ("line", "code", "words"),
    [
        ("outline2path job {job} -o {out} > /dev/full", 2, "No space left"),
        ("outline2path job {job} -o {out} | true", 0, ""),
        ("outline2path job {job} -o {out} >&-", 0, ""),
        ("outline2path job - -o {out} < {job}", 2, "cannot read -"),
        ("outline2path job {job} --new", 2, "exists already"),
        ("outline2path job /dev/zero -o {out}", 2, "no plain file"),
    ],
)
def test_streams_of_a_job_are_told_or_let_be(job, line, code, words):
    done = shell("set -o pipefail; " + line.format(job=job, out=job.parent / "out"))
    err = done.stderr.decode()
    assert done.returncode == code, err
    assert one_paragraph(err) if words else err == ""
    assert words in err


SPEAKING = """
import locale, sys
locale.setlocale(locale.LC_ALL, "")
from outline2path.cli.main import main
sys.exit(main(sys.argv[1:]))
"""


def test_a_job_is_the_same_in_every_language_zone_and_hash_seed(job, tmp_path, whole):
    try:
        name, where = comma_locale(), {}
        if name is None:
            name, where = compiled_locale(tmp_path), {"LOCPATH": str(tmp_path)}
    except FileNotFoundError:
        name = None
    settings = [{"TZ": "Pacific/Kiritimati", "PYTHONHASHSEED": "1"}]
    if name is not None:
        settings.append({"LC_ALL": name, "TZ": "Nowhere/Nothing", "PYTHONHASHSEED": "2", **where})
    for k, env in enumerate(settings):
        out = tmp_path / f"out{k}"
        subprocess.run(
            [sys.executable, "-c", SPEAKING, "job", str(job), "-o", str(out)],
            env={**os.environ, **env},
            check=True,
            capture_output=True,
        )
        assert held(out) == whole[0]


@pytest.mark.parametrize("home", [{}, {"HOME": "/dev/null/nowhere"}], ids=["unset", "closed"])
def test_a_job_needs_no_home_folder(job, tmp_path, whole, home):
    kept = {k: v for k, v in os.environ.items() if k not in ("HOME", "XDG_CACHE_HOME")}
    code, _, err = ended(start("job", job, "-o", tmp_path / "out", env=kept | home), timeout=120)
    assert (code, err) == (0, "")
    assert held(tmp_path / "out") == whole[0]
