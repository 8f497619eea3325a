"""Pipes, closed streams, odd names, languages and time zones."""

import json
import locale
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.world.conftest import CUT, ended, one_paragraph, start

WHOLE = ("check", "-", "--cutter", "3", "--report", "-")


def shell(line, **options):
    command = line.replace("outline2path", f"{sys.executable} -m outline2path")
    how = {"capture_output": True, "check": False} | options
    return subprocess.run(["/bin/bash", "-c", command], **how)


def test_a_drawing_comes_in_by_standard_input_and_a_report_goes_out_by_output(plate):
    with plate.open("rb") as stream:
        code, out, err = ended(start(*WHOLE, stdin=stream))
    report = json.loads(out)
    assert (code, err) == (0, "")
    assert report["drawing"]["size_mm"] == pytest.approx([40, 30], abs=1e-9)
    assert report["drawing"]["file"] in ("-", None)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("outline2path read - < /dev/null", "empty"),
        ("outline2path read - <&-", "closed"),
        ("outline2path cut {plate} -o - --cutter 3 --thickness 6", "names no file"),
        ("outline2path read {plate} --svg -", "names no file"),
        ("outline2path check {plate} --cutter 3 --report - > /dev/full", "No space left"),
        ("outline2path read {plate} > /dev/full", "No space left"),
        ("outline2path read {plate}.gone", "No such file"),
        ("outline2path read .", "folder"),
    ],
)
def test_a_stream_that_cannot_be_used_is_told_in_one_paragraph(plate, line, words):
    done = shell(line.format(plate=plate))
    err = done.stderr.decode()
    assert (done.returncode, one_paragraph(err)) == (2, True), err
    assert words in err


@pytest.mark.parametrize(
    "line",
    [
        "outline2path check {plate} --cutter 3 --report - | head -c 1",
        "outline2path read {plate} | true",
        "outline2path --help | head -n 1",
        "outline2path read {plate} >&-",
        "outline2path read {plate} 2>&-",
        "outline2path read {plate} <&- >&- 2>&-",
    ],
)
def test_a_reader_that_has_had_enough_is_no_fault(plate, line):
    done = shell(line.format(plate=plate))
    assert (done.returncode, done.stderr) == (0, b"")


NAMES = [
    b"caf\xe9.svg",
    b"a b'c\"d.svg",
    b"-cutter.svg",
    "heron \N{BIRD}.svg".encode(),
    b"\xff\xfe.svg",
    b"new\nline.svg",
    b"C:\\parts\\heron.svg",
    b"100%.svg",
    b"(M30).svg",
]


@pytest.mark.parametrize("name", NAMES, ids=repr)
def test_any_name_a_file_may_have_is_taken(plate, tmp_path, name):
    folder = os.fsencode(tmp_path)
    drawing, program = folder + b"/" + name, folder + b"/" + name.replace(b".svg", b".nc")
    Path(os.fsdecode(drawing)).write_bytes(plate.read_bytes())
    report = folder + b"/" + name + b".json"
    args = ("cut", drawing, "-o", program, "--report", report, *CUT)
    code, out, err = ended(start(*map(os.fsdecode, args)))
    text = Path(os.fsdecode(program)).read_bytes()
    assert (code, err) == (0, "")
    assert "wrote" in out
    assert text.isascii()
    assert text.rstrip().endswith(b"\nM30")
    assert text.count(b"\nM30") == 1
    assert json.loads(Path(os.fsdecode(report)).read_bytes())["proof"]["verdict"] == "pass"


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp1252", "utf-16"])
def test_any_encoding_of_the_screen_is_taken(plate, tmp_path, encoding):
    drawing = tmp_path / "heron \N{BIRD}.svg"
    drawing.write_bytes(plate.read_bytes())
    env = {**os.environ, "PYTHONIOENCODING": encoding}
    code, out, err = ended(start("read", drawing, env=env))
    assert code == 0, err
    assert ended(start("read", tmp_path / "gone \N{BIRD}", env=env))[0] == 2
    assert out


def comma_locale():
    """A locale whose decimals have a comma, or None where none is installed."""
    held = subprocess.run(["locale", "-a"], capture_output=True, check=False)  # noqa: S607
    for name in held.stdout.decode().split():
        try:
            locale.setlocale(locale.LC_NUMERIC, name)
            if locale.localeconv()["decimal_point"] == ",":
                return name
        except locale.Error:
            continue
        finally:
            locale.setlocale(locale.LC_NUMERIC, "C")
    return None


def compiled_locale(folder: Path):
    """As above, made here from the system's sources where it has them."""
    name = folder / "xx_XX.UTF-8"
    made = subprocess.run(
        ["localedef", "-i", "de_DE", "-f", "UTF-8", name],  # noqa: S607
        capture_output=True,
        check=False,
    )
    return name.name if made.returncode == 0 else None


SPEAKING = """
import locale, sys
locale.setlocale(locale.LC_ALL, "")
from outline2path.cli.main import main
sys.exit(main(sys.argv[1:]))
"""


def test_programs_reports_and_pictures_are_the_same_where_decimals_have_a_comma(plate, tmp_path):
    try:
        name, where = comma_locale(), {}
        if name is None:
            name, where = compiled_locale(tmp_path), {"LOCPATH": str(tmp_path)}
    except FileNotFoundError:
        name = None
    if name is None:
        pytest.skip("no locale with comma decimals is installed, and none can be made")
    made = []
    for env in ({"LC_ALL": "C.UTF-8"}, {"LC_ALL": name, **where}):
        args = ("cut", plate, "-o", "p.nc", "--report", "p.json", "--picture", "p.svg", *CUT)
        subprocess.run(
            [sys.executable, "-c", SPEAKING, *map(str, args)],
            env={**os.environ, **env},
            cwd=tmp_path,
            check=True,
            capture_output=True,
        )
        made.append([(tmp_path / f"p.{kind}").read_bytes() for kind in ("nc", "json", "svg")])
    assert made[0] == made[1]


def test_the_time_of_day_and_the_zone_change_nothing(plate, tmp_path):
    made = []
    for zone in ("UTC", "Pacific/Kiritimati", "Nowhere/Nothing"):
        args = ("cut", plate, "-o", tmp_path / "p.nc", "--picture", tmp_path / "p.png", *CUT)
        code, _, err = ended(start(*args, env={**os.environ, "TZ": zone}))
        assert (code, err) == (0, "")
        made.append([(tmp_path / f"p.{kind}").read_bytes() for kind in ("nc", "png")])
    assert made[0] == made[1] == made[2]


def test_hash_seeds_change_nothing(plate, tmp_path):
    made = []
    for seed in ("0", "1"):
        env = {**os.environ, "PYTHONHASHSEED": seed}
        assert ended(start("cut", plate, "-o", tmp_path / "p.nc", *CUT, env=env))[0] == 0
        made.append((tmp_path / "p.nc").read_bytes())
    assert made[0] == made[1]
