"""`check` over many drawings: one line each, in order, whatever breaks."""

import pytest

SVG = '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="50mm" viewBox="0 0 60 50">'


@pytest.fixture
def drawings(tmp_path):
    """Five drawings, the third of them broken."""
    paths = [tmp_path / f"{name}.svg" for name in "edcba"]
    for width, path in enumerate(paths, start=1):
        path.write_text(SVG + f"<path d='M5 5h{30 + width}v30h-20z'/></svg>")
    paths[2].write_text("broken")
    return [str(p) for p in paths]


def lines_of(run, *args):
    code, out, err = run("check", *args, "--cutter", "3")
    assert err == ""
    return code, out.splitlines()


@pytest.mark.parametrize("jobs", [1, 2])
def test_each_drawing_gets_a_line_in_the_order_given(run, drawings, jobs):
    code, lines = lines_of(run, *drawings, "--jobs", jobs)
    assert [line.split(":")[0] for line in lines[:-1]] == drawings
    assert (code, lines[-1]) == (2, "4 checked, 0 out of reach, 1 unreadable")


def test_the_number_of_processes_changes_nothing(run, drawings):
    assert lines_of(run, *drawings, "--jobs", 1) == lines_of(run, *drawings, "--jobs", 3)


def test_sound_drawings_leave_with_zero(run, drawings):
    assert lines_of(run, drawings[0], drawings[1])[0] == 0


@pytest.mark.parametrize("options", [("--jobs", "0"), ("--report", "r.json"), ("--jobs", "1000")])
def test_what_makes_no_sense_for_many_is_refused(run, drawings, options):
    code, out, err = run("check", *drawings, "--cutter", "3", *options)
    assert (code, out) == (2, "")
    assert len(err.splitlines()) == 1
