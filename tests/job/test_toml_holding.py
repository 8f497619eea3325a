"""Clamps in a job's file: read as boxes, refused by line, and kept out of by every program."""

import pytest

from outline2path.errors import OutlinePathError
from outline2path.job.starting import new_job_text
from outline2path.job.toml import read_job

HELD = """[holding]
way = "clamps"

[[holding.clamps]]
at = ["140 mm", 0]
size = [20, "20 mm"]
height = "1 in"

[cutters.small]"""


def written(tmp_path, held=HELD):
    path = tmp_path / "job.toml"
    path.write_text(new_job_text().replace("[cutters.small]", held))
    return path


def test_clamps_are_read_as_boxes(tmp_path):
    holding = read_job(written(tmp_path)).bench.holding
    assert holding.way == "clamps"
    assert holding.clamps[0].box_mm == (140, 0, 160, 20)
    assert holding.highest_mm == 25.4


def test_a_job_that_keeps_out_of_its_clamps_passes(tmp_path):
    assert read_job(written(tmp_path)).plan().prove().verdict == "pass"


def test_a_clamp_in_the_way_fails_the_proof(tmp_path):
    """The first rapid starts above work zero, 14 mm over the bed; the clamp is 25.4 mm high."""
    path = written(tmp_path, HELD.replace('"140 mm", 0', "0, 0"))
    failed = {check.name for check in read_job(path).plan().prove().failed}
    assert failed == {"clamps"}


@pytest.mark.parametrize(
    ("good", "bad", "told"),
    [
        ("height", "hight", "unknown key 'hight'; did you mean \"height\""),
        ('way = "clamps"', 'way = "hope"', 'way = "hope" will not do'),
        ('"1 in"', '"1 ell"', "height: '1 ell' is no length"),
        ('size = [20, "20 mm"]', "size = [20, 0]", "is no box"),
    ],
)
def test_what_a_clamp_cannot_be_is_refused_by_line(tmp_path, good, bad, told):
    path = written(tmp_path, HELD.replace(good, bad))
    with pytest.raises(OutlinePathError) as refused:
        read_job(path)
    assert told in str(refused.value)
    line = int(str(refused.value).split("line ")[1].partition(":")[0])
    first = path.read_text().splitlines().index("[holding]") + 1
    assert first < line <= first + len(HELD.splitlines())
