"""`cut`: files, exit codes, and every option doing what it says (judged from the written text)."""

import json

import numpy as np
import pytest

from outline2path.rs274.reader import read_program

CUT = ("--cutter", "3.175mm", "--thickness", "6mm")


def table_of(path):
    return read_program(path.read_text()).table


def test_a_drawing_becomes_program_report_and_picture(run, plate, tmp_path):
    nc, js, png = tmp_path / "p.nc", tmp_path / "p.json", tmp_path / "p.png"
    code, out, err = run("cut", plate, "-o", nc, "--report", js, "--picture", png, *CUT)
    assert (code, err) == (0, "")
    assert nc.read_text().isascii()
    assert json.loads(js.read_text())["proof"]["verdict"] == "pass"
    assert png.read_bytes().startswith(b"\x89PNG")
    assert "proof: pass" in out


def test_the_same_input_gives_the_same_bytes(run, plate, tmp_path):
    texts = []
    for name in ("a.nc", "b.nc"):
        run("cut", plate, "-o", tmp_path / name, "--tabs", 3, *CUT)
        texts.append((tmp_path / name).read_bytes())
    assert texts[0] == texts[1]


@pytest.mark.parametrize(
    ("options", "size"),
    [
        ((), (40, 30)),
        (("--width", "80mm"), (80, 60)),
        (("--height", "1in"), (25.4 * 4 / 3, 25.4)),
        (("--scale", "0.5"), (20, 15)),
        (("--rotate", "90"), (30, 40)),
        (("--rotate", "90", "--width", "60mm"), (60, 80)),
        (("--mirror",), (40, 30)),
    ],
)
def test_the_part_gets_the_size_asked_for(run, plate, tmp_path, options, size):
    js = tmp_path / "r.json"
    run("cut", plate, "-o", tmp_path / "p.nc", "--report", js, *CUT, *options)
    assert json.loads(js.read_text())["drawing"]["size_mm"] == pytest.approx(size, abs=1e-6)


# The corner of the plate at 10, 10 px-mm from the page's top left lands where the zero says.
@pytest.mark.parametrize(
    ("zero", "corner"),
    [("lower-left", (0, 30)), ("centre", (-20, 15)), ("stock-corner", (11.35, 41.35))],
)
def test_the_placement_matrix_maps_pixels_to_work_coordinates(run, plate, tmp_path, zero, corner):
    js = tmp_path / "r.json"
    run("cut", plate, "-o", tmp_path / "p.nc", "--report", js, "--zero", zero, *CUT)
    a, b, c, d, e, f = json.loads(js.read_text())["placement"]["matrix"]
    px = 10 * 96 / 25.4
    assert (a * px + c * px + e, b * px + d * px + f) == pytest.approx(corner, abs=1e-9)


@pytest.mark.parametrize(("zero_z", "deepest"), [("top", -6.3), ("bottom", -0.3)])
def test_the_last_pass_goes_through_below_the_stock(run, plate, tmp_path, zero_z, deepest):
    run("cut", plate, "-o", tmp_path / "p.nc", "--zero-z", zero_z, *CUT)
    assert table_of(tmp_path / "p.nc")["end"][:, 2].min() == pytest.approx(deepest, abs=5e-5)


def test_depths_are_equal_and_not_above_the_one_asked_for(run, plate, tmp_path):
    js = tmp_path / "r.json"
    run("cut", plate, "-o", tmp_path / "p.nc", "--report", js, "--depth-per-pass", "2mm", *CUT)
    depths = sorted({p["z_mm"] for p in json.loads(js.read_text())["passes"]}, reverse=True)
    assert depths == pytest.approx([-1.575, -3.15, -4.725, -6.3], abs=1e-6)


def test_inch_programs_are_the_same_motions(run, plate, tmp_path):
    run("cut", plate, "-o", tmp_path / "mm.nc", *CUT)
    run("cut", plate, "-o", tmp_path / "in.nc", "--units", "in", *CUT)
    mm, inch = table_of(tmp_path / "mm.nc"), table_of(tmp_path / "in.nc")
    # rounding of either: half a unit of the last decimal, 4 in mm, 5 in inches
    assert np.nanmax(mm["end"], axis=0) == pytest.approx(np.nanmax(inch["end"], axis=0), abs=2e-4)
    assert "G20" in (tmp_path / "in.nc").read_text()


@pytest.mark.parametrize("option", [("--feed", "777"), ("--speed", "8123rpm")])
def test_feeds_and_speed_are_commanded_as_asked(run, plate, tmp_path, option):
    run("cut", plate, "-o", tmp_path / "p.nc", *option, *CUT)
    table = table_of(tmp_path / "p.nc")
    column = {"--feed": "feed", "--speed": "rpm"}[option[0]]
    assert table[column].max() == float(option[1].removesuffix("rpm"))


@pytest.mark.parametrize(
    "options",
    [
        ("--side", "inside"),
        ("--side", "on"),
        ("--direction", "conventional"),
        ("--lead", "line"),
        ("--lead", "none"),
        ("--entry", "ramp"),
        ("--entry", "helix"),
        ("--finish-allowance", "0.2mm"),
        ("--allowance", "0.1mm"),
        ("--tabs", "4", "--tab-length", "4mm", "--tab-height", "1mm"),
        ("--tolerance", "0.05mm"),
        ("--clearance", "12mm"),
        ("--flutes", "1", "--material", "oak"),
    ],
    ids=" ".join,
)
def test_every_way_of_cutting_passes_its_proof(run, plate, tmp_path, options):
    code, out, err = run("cut", plate, "-o", tmp_path / "p.nc", *CUT, *options)
    assert (code, err) == (0, ""), out


def test_tabs_are_reported_with_place_length_and_height(run, plate, tmp_path):
    js = tmp_path / "r.json"
    run("cut", plate, "-o", tmp_path / "p.nc", "--report", js, "--tabs", 4, *CUT)
    tabs = json.loads(js.read_text())["tabs"]
    assert len(tabs) >= 4
    assert {(t["length_mm"], t["height_mm"]) for t in tabs} == {(6.0, 1.5)}


def test_a_cutter_too_wide_for_the_hole_is_told_with_the_largest_that_fits(run, plate, tmp_path):
    js = tmp_path / "r.json"
    code, out, _ = run(
        "cut", plate, "-o", tmp_path / "p.nc", "--report", js, "--cutter", "9", "--thickness", 6
    )
    reach = json.loads(js.read_text())["reach"]
    assert code in (0, 1)
    assert [s["kind"] for s in reach["spots"]] == ["hole"]
    assert reach["largest_cutter_mm"] == pytest.approx(8, abs=0.01)
    assert "8.0" in out


def test_the_report_may_be_printed(run, plate, tmp_path):
    code, out, _ = run("cut", plate, "-o", tmp_path / "p.nc", "--report", "-", *CUT)
    assert code == 0
    assert json.loads(out)["schema"] == "outline2path.report/1"


def test_the_header_states_size_zero_cutter_stock_bounds_and_cautions(run, plate, tmp_path):
    run("cut", plate, "-o", tmp_path / "p.nc", *CUT)
    head = (tmp_path / "p.nc").read_text().split("G17")[0].lower()
    for words in (
        "40.00 mm x 30.00 mm",
        "work zero",
        "3.175 mm",
        "plywood",
        "eye",
        "dust",
        "manual",
    ):
        assert words in head
