"""What goes with a report of a fault: versions and counts, and nothing of the drawing itself."""

import re

import pytest

from outline2path.cli.main import main

PRIVATE = "pebblewort"


@pytest.fixture
def private(tmp_path):
    """A drawing whose names, text and places nobody is to see."""
    path = tmp_path / f"{PRIVATE}.svg"
    path.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="30mm" '
        f'viewBox="700 -10 400 300">'
        f'<g id="{PRIVATE}"><path d="M731 0h9v9z"/><text>{PRIVATE}</text></g></svg>'
    )
    return path


def test_versions_of_everything_are_printed(capsys):
    assert main(["about"]) == 0
    shown = capsys.readouterr().out
    for name in ("Python", "outline2path", "numpy", "shapely", "pyclipper"):
        assert re.search(rf"^{name} +\d", shown, re.MULTILINE)


def test_a_drawing_is_told_by_its_counts(private, capsys):
    assert main(["about", str(private)]) == 0
    shown = capsys.readouterr().out
    assert re.search(r"^elements +4, 3 deep$", shown, re.MULTILINE)
    assert "1 path" in shown


def test_nothing_of_the_drawing_is_given_away(private, capsys):
    main(["about", str(private)])
    shown = capsys.readouterr().out
    assert PRIVATE not in shown
    assert "731" not in shown


@pytest.mark.parametrize("content", [None, b"not a drawing", b""])
def test_what_cannot_be_read_is_an_error_in_words(tmp_path, capsys, content):
    path = tmp_path / "odd.svg"
    if content is not None:
        path.write_bytes(content)
    assert main(["about", str(path)]) == 2
    assert capsys.readouterr().err.startswith("outline2path: ")


def test_verbose_tells_each_stage_with_its_counts_and_time(private, tmp_path, capsys):
    size = ["--cutter", "1mm", "--thickness", "3mm"]
    done = main(["cut", str(private), "-o", str(tmp_path / "p.nc"), *size, "--verbose"])
    told = capsys.readouterr().err
    assert done == 0
    for stage in ("read the drawing", "profile", "arcs and order", "judge the text"):
        assert re.search(rf"^{stage} +\d+\.\d{{3}} s  \d+ \w+", told, re.MULTILINE)
