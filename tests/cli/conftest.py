"""Drawings and a runner for the command's tests."""

import subprocess
import sys

import pytest

from outline2path.cli.main import main

PLATE = """<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="50mm" viewBox="0 0 60 50">
<path d="M10 10h40v30h-40zM20 20v8h8v-8z"/></svg>"""


@pytest.fixture
def plate(tmp_path):
    """A plate 40 x 30 mm with a hole of 8 x 8, on a page of 60 x 50."""
    path = tmp_path / "plate.svg"
    path.write_text(PLATE)
    return str(path)


@pytest.fixture
def run(capsys):
    """Run the command in this process: exit code, standard output, standard error."""

    def call(*args):
        code = main([str(a) for a in args])
        out, err = capsys.readouterr()
        return code, out, err

    return call


@pytest.fixture
def process(tmp_path):
    """Run the command as a process of its own in a folder of its own."""

    def call(*args, **options):
        return subprocess.run(
            [sys.executable, "-m", "outline2path", *map(str, args)],
            capture_output=True,
            cwd=tmp_path,
            timeout=60,
            check=False,
            **options,
        )

    return call
