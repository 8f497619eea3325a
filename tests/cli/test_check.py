"""`check` and `read`: answers before wood is bought."""

import json

import pytest
import shapely

SVG = '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="50mm" viewBox="0 0 60 50">'


def test_check_tells_spots_walls_and_the_largest_cutter(run, tmp_path):
    path, js, png = tmp_path / "d.svg", tmp_path / "r.json", tmp_path / "p.png"
    # a slot 2 mm wide, open to the right, and a wall of 0.6 mm left of a hole
    path.write_text(SVG + "<path d='M5 5h50v18h-30v2h30v20h-50zM5.6 30v8h6v-8z'/></svg>")
    code, out, _ = run("check", path, "--cutter", "3", "--report", js, "--picture", png)
    report = json.loads(js.read_text())
    gaps = [s for s in report["reach"]["spots"] if s["kind"] == "gap"]
    assert code == 0
    assert [g["gap_mm"] for g in gaps] == pytest.approx([2.0], abs=0.005)
    assert report["reach"]["largest_cutter_mm"] == pytest.approx(2.0, abs=0.005)
    assert [w["thickness_mm"] for w in report["walls"]] == pytest.approx([0.6], abs=0.005)
    assert png.read_bytes().startswith(b"\x89PNG")
    assert "2.00 mm" in out


def test_check_in_inches_and_millimetres_agree(run, plate, tmp_path):
    reports = []
    for cutter in ("1/8in", "3.175mm"):
        run("check", plate, "--cutter", cutter, "--report", tmp_path / "r.json")
        reports.append((tmp_path / "r.json").read_text())
    assert reports[0] == reports[1]


def test_read_says_size_regions_and_holes(run, plate):
    code, out, _ = run("read", plate)
    assert code == 0
    assert "40.00 x 30.00 mm, 1 region, 1 hole" in out


def test_read_writes_the_outline_as_wkt_from_the_pages_lower_left(run, plate, tmp_path):
    run("read", plate, "--wkt", tmp_path / "o.wkt")
    shape = shapely.from_wkt((tmp_path / "o.wkt").read_text())
    assert shape.geom_type == "MultiPolygon"
    assert shape.bounds == pytest.approx((10, 10, 50, 40), abs=1e-9)
    assert shape.area == pytest.approx(40 * 30 - 64, abs=1e-6)


def test_read_writes_a_clean_drawing_that_reads_back_the_same(run, plate, tmp_path):
    run("read", plate, "--svg", tmp_path / "o.svg")
    run("read", tmp_path / "o.svg", "--wkt", tmp_path / "o.wkt")
    shape = shapely.from_wkt((tmp_path / "o.wkt").read_text())
    assert shape.area == pytest.approx(40 * 30 - 64, abs=1e-6)
