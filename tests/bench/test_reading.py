"""The reading bench sees what differs, and asks a second judge about lines."""

from dataclasses import replace

import pytest

from tests.bench import reading
from tests.bench.reading import Read, as_swept, read
from tests.drawing.samples import page
from tests.drawing.samples import read as read_body

LINE = (
    '<path fill="none" stroke="red" stroke-width="8" {} d="M20 80C20 0 30 0 50 80S80 80 80 20"/>'
)
ROUND = 'stroke-linecap="round" stroke-linejoin="round"'


@pytest.mark.parametrize(
    ("body", "equal"),
    [
        ('<circle cx="50" cy="50" r="30"/>', True),
        (LINE.format(ROUND), True),
        ('<rect fill-opacity=".3" width="50" height="50"/>', False),
        ('<rect width="50" height="50"/><text x="60" y="60" font-size="40">W</text>', None),
    ],
)
def test_a_drawing_is_equal_or_told_why_not(tmp_path, body, equal):
    path = tmp_path / "d.svg"
    path.write_text(page(body))
    found = Read(**read("set", str(path)))
    assert found.crash is None
    if equal is None:  # whether text is painted depends on the renderer's fonts
        assert found.findings == ["text-skipped"]
        return
    assert found.equal is equal
    assert equal or found.findings == ["see-through"]


@pytest.mark.parametrize("how", [ROUND, f'{ROUND} transform="rotate(20 50 50) scale(.5)"'])
def test_the_second_judge_agrees_with_lines_that_a_disc_sweeps(how):
    assert as_swept(read_body(LINE.format(how), strokes="outline", outside_page="keep"))


def test_the_second_judge_disagrees_with_a_line_of_another_width():
    outline = read_body(LINE.format(ROUND), strokes="outline")
    wider = replace(outline.figures[0].stroke, width=8.1)
    other = replace(outline, figures=(replace(outline.figures[0], stroke=wider),))
    fine = reading.FINE * max(outline.source.page_mm)
    outline.drawn_within(fine)
    other._flat.update(outline._flat)  # areas of the old width, lines of the new one
    assert not as_swept(other)


@pytest.mark.parametrize(
    ("result", "code"),
    [
        ({}, 0),
        ({"wrong_px": 9, "swept": True}, 0),
        ({"wrong_px": 9}, 1),
        ({"astray_px": 1}, 1),
        ({"crash": "died"}, 1),
    ],
)
def test_the_exit_code_tells_what_is_not_equal(capsys, result, code):
    many = [Read("s", f"d{k}") for k in range(5)]
    assert reading.report([*many, Read("s", "odd", **result)]) == code
    assert "s: 6 drawings" in capsys.readouterr().out


def test_one_explained_difference_in_two_thousand_passes(capsys):
    many = [Read("s", f"d{k}") for k in range(2000)]
    odd = Read("s", "odd", wrong_px=9, findings=["see-through"])
    assert reading.report([*many, odd]) == 0
    assert "see-through" in capsys.readouterr().out
