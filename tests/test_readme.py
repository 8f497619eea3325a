"""The README and the developers' page say what the code does."""

import re
import runpy
import shutil
from pathlib import Path

import pytest

from outline2path.cli.options import build_parser
from outline2path.errors import OutlinePathError, RefusedError
from outline2path.tolerance import ROUNDING_MM, Budget

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
COMMANDS = re.findall(r"^```sh\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)
PARSED = build_parser().parse_args(
    ["cut", "a.svg", "-o", "a.nc", "--cutter", "3", "--thickness=6"]
)


def options(command):
    """Long options of a subcommand, read from its own help."""
    subcommands = next(a for a in build_parser()._actions if a.dest == "command")
    actions = subcommands.choices[command]._actions
    return {o for a in actions for o in a.option_strings if o.startswith("--")} - {"--help"}


def test_two_commands_stand_each_on_one_line():
    assert [command.count("\n") for command in COMMANDS] == [1, 1]


@pytest.mark.parametrize("command", COMMANDS, ids=["cut", "test"])
def test_a_command_makes_its_own_environment(command):
    assert command.startswith("python3 -m venv .venv && .venv/bin/python -m pip install ")


def test_the_first_command_is_one_the_parser_takes():
    _, _, words = COMMANDS[0].partition(".venv/bin/outline2path ")
    args = build_parser().parse_args(words.split())
    assert (args.command, args.drawing, args.output) == (
        "cut",
        "demo_art/heron.svg",
        "out/heron.nc",
    )
    assert (ROOT / args.drawing).is_file()


@pytest.mark.parametrize("command", ["cut", "check"])
def test_every_option_is_in_the_readme(command):
    output = {"--output"}  # written as -o
    assert {o for o in options(command) - output if f"`{o}" not in README} == set()


@pytest.mark.parametrize(
    ("option", "default"),
    [
        ("tolerance", "0.02mm"),
        ("allowance", "0mm"),
        ("depth_per_pass", "1.5mm"),
        ("through", "0.3mm"),
        ("finish_allowance", "0mm"),
        ("clearance", "5mm"),
    ],
)
def test_a_default_in_the_table_is_the_parsers_own(option, default):
    [stated] = re.findall(rf"^\| `--{option.replace('_', '-')} [A-Z]` \| (\S+) \|", README, re.M)
    assert stated == default
    assert getattr(PARSED, option) == float(default.removesuffix("mm"))


@pytest.mark.parametrize(("error", "code"), [(RefusedError, 1), (OutlinePathError, 2)])
def test_an_exit_code_in_the_table_is_the_errors_own(error, code):
    assert error.exit_code == code
    assert re.search(rf"^\| {code} \|", README, re.MULTILINE)


@pytest.mark.parametrize("share", ["flatten", "simplify", "chords", "arcs", "margin"])
def test_the_budgets_table_is_the_budgets_own(share):
    [stated] = re.findall(rf"^\| {share}:.*\| ([\d.]+) mm \|$", DEVELOPERS, re.MULTILINE)
    assert float(stated) == pytest.approx(
        getattr(Budget(0.02), f"{share}_mm"), abs=5e-6
    )  # printed


def test_the_budgets_rounding_is_the_one_stated():
    assert f"| {ROUNDING_MM:.5f} mm |" in DEVELOPERS


def test_the_python_of_the_readme_runs_and_proves(tmp_path, monkeypatch):
    art = ROOT / "demo_art"
    (tmp_path / "demo_art").mkdir()
    shutil.copy(art / "heron.svg", tmp_path / "demo_art")
    shutil.copy(art / "heron_on_base" / "base.svg", tmp_path)
    monkeypatch.chdir(tmp_path)
    blocks = re.findall(r"^```python\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)
    (tmp_path / "readme.py").write_text("\n".join(blocks))
    plan = runpy.run_path(str(tmp_path / "readme.py"))["plan"]
    assert plan.prove().verdict == "pass"
    assert (tmp_path / "base" / "set-up-sheet.html").is_file()
