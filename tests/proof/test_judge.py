"""The judge's figures against closed forms and against shapely's own distances and buffers."""

import json
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from outline2path.drawing.outline import Outline
from outline2path.proof.expected import Expected
from outline2path.proof.judge import judge
from tests import specimens
from tests.proof import programs
from tests.proof.programs import Job
from tests.strategies import blobs, numbers, regions

SHAPES = {
    "hourglass": specimens.hourglass(),
    "two discs": specimens.two_discs(),
    "keyhole too narrow": specimens.keyhole(2.0),
    "keyhole wide enough": specimens.keyhole(4.0),
    "comb": specimens.comb(),
    "wedge": specimens.wedge_notch(30),
    "square": specimens.square(30),
}


def check(job: Job, name: str):
    return next(c for c in judge(job.text, job.expected).checks if c.name == name)


def with_margin(part, margin, side="outside", **options) -> Job:
    return programs.job(part, side=side, margin=margin, **options)


@pytest.mark.parametrize("side", ["outside", "inside", "on"])
@pytest.mark.parametrize("name", SHAPES)
def test_a_sound_program_passes_on_every_side_of_every_shape(name, side):
    job = programs.job(SHAPES[name], side=side)
    assert judge(job.text, job.expected).failed == ()


@pytest.mark.parametrize("cutter", [0.8, 1.5, 3.175, 6.0])
def test_a_sound_program_passes_with_every_cutter(cutter):
    job = programs.job(specimens.square(30), cutter=cutter, tabs=2, tab=(4.0, 1.0))
    assert judge(job.text, job.expected).failed == ()


# Gouge.


@pytest.mark.parametrize(
    ("margin", "gouge"),
    [(0.006, 0.0), (0.0005, 0.0), (-0.0005, 0.0005), (-0.002, 0.002), (-0.02, 0.02), (-0.5, 0.5)],
)
@pytest.mark.parametrize("side", ["outside", "inside"])
def test_a_gouge_is_the_margin_that_lacks(margin, gouge, side):
    """The ring's chords at corners lie 0.45 um within their arcs, and points are rounded."""
    proof = judge(*parts(with_margin(specimens.square(30), margin, side)))
    assert proof.gouge_mm == pytest.approx(gouge, abs=0.0006)
    assert (proof.verdict == "pass") == (gouge <= 0.001)


def parts(job: Job) -> tuple[str, Expected]:
    return job.text, job.expected


def test_a_cut_right_through_the_part_is_as_deep_as_its_middle_and_the_cutter():
    job = programs.job(specimens.square(30))
    lines = list(job.lines)
    lines.insert(lines.index("G0 Z5", 8), "G1 X15 Y15")
    gouge = check(replace(job, lines=tuple(lines)), "gouge")
    assert gouge.value == pytest.approx(15 + 1.5, abs=1e-9)
    assert gouge.at_mm == pytest.approx((15, 15), abs=1e-6)
    assert job.lines[gouge.line - 2].startswith("G1")


def test_a_gouge_names_its_line_and_place():
    job = programs.job(specimens.square(30))
    n = next(n for n, s in enumerate(job.lines) if s == "G1 X30.0000 Y-1.5060 F600")
    lines = (*job.lines[:n], "G1 X30 Y-1.4", *job.lines[n:])
    gouge = check(replace(job, lines=lines), "gouge")
    assert (gouge.ok, gouge.line) == (False, n + 1)
    assert gouge.value == pytest.approx(0.1, abs=0.001)
    assert gouge.at_mm == pytest.approx((30, 0), abs=1.0)


@pytest.mark.parametrize(("allowance", "margin"), [(0.3, 0.306), (-0.1, -0.094), (0.05, 0.056)])
@pytest.mark.parametrize("side", ["outside", "inside"])
def test_an_allowance_moves_both_limits(allowance, margin, side):
    job = with_margin(specimens.hourglass(), margin, side)
    expected = replace(job.expected, allowance_mm=allowance)
    proof = judge(job.text, expected)
    assert proof.failed == ()
    assert proof.leftover_mm == pytest.approx(0.006, abs=0.0015), "chords of the specimen's buffer"
    for off in (-0.03, 0.03):
        wrong = judge(job.text, replace(expected, allowance_mm=allowance + off))
        assert wrong.verdict == "fail"


@given(regions(), numbers(-0.4, 0.4), st.integers(0, 10**6))
@settings(max_examples=40, deadline=None)
def test_gouge_agrees_with_the_distance_shapely_finds(part, by, pick):
    """Independent: one distance between the whole path and the whole part."""
    job = programs.job(part)
    ends = [n for n, s in enumerate(job.lines) if s.startswith("G1 X")]
    n = ends[pick % len(ends)]
    x = float(job.lines[n].split()[1][1:])
    line = job.lines[n].replace(f"X{x:.4f}", f"X{x + by:.4f}")
    lines = (*job.lines[:n], line, *job.lines[n + 1 :])
    proof = judge("\n".join(lines), job.expected)
    paths = shapely.MultiLineString(cut_lines(lines))
    expected = max(0.0, 1.5 - shapely.distance(paths, part))
    assume(expected < 1.5)
    assert proof.gouge_mm == pytest.approx(expected, abs=0.0002), "chords within 0.05 um, noise"


def cut_lines(lines) -> list[list[tuple[float, float]]]:
    """The stretches that a program of straight cuts runs below the top, from above."""
    runs, run = [], []
    for line in lines:
        words = {w[0]: float(w[1:]) for w in line.split("(")[0].split() if w[0] in "XYZ"}
        if line.startswith("G0"):
            runs, run = ([*runs, run] if len(run) > 1 else runs), []
        if "X" in words:
            run.append((words["X"], words["Y"]))
    return runs


# Leftover.


@pytest.mark.parametrize("margin", [0.0, 0.003, 0.012, 0.019, 0.021, 0.05])
@pytest.mark.parametrize("side", ["outside", "inside"])
def test_leftover_is_the_margin_too_much(margin, side):
    proof = judge(*parts(with_margin(specimens.disc(0, 0, 12), margin, side)))
    assert proof.leftover_mm == pytest.approx(margin, abs=0.0003), "rounding, chords"
    assert (proof.verdict == "pass") == (margin < 0.02)


@pytest.mark.parametrize("angle", [36, 60, 90, 120])
def test_a_corner_the_cutter_cannot_enter_is_no_leftover(angle):
    job = programs.job(specimens.wedge_notch(angle), margin=0.004)
    assert judge(job.text, job.expected).leftover_mm < 0.02


@pytest.mark.parametrize("angle", [60, 90, 120])
def test_a_corner_cut_short_is_leftover(angle):
    """A cutter 1.5 stopped a stretch s before the notch's end leaves more than T (wedge, W6)."""
    part = specimens.wedge_notch(angle)
    job = programs.job(part)
    blunt = programs.job(part.buffer(2.2, quad_segs=64).buffer(-2.2, quad_segs=64))
    assert judge(job.text, job.expected).failed == ()
    shortfall = (2.2 - 1.5) * (1 / np.sin(np.radians(angle / 2)) - 1)
    left = judge(blunt.text, job.expected).leftover_mm
    assert left == pytest.approx(shortfall, rel=0.1), "measured along the bisector's neighbours"


@pytest.mark.parametrize("margin", [0.006, 0.015, 0.03, 0.1])
@pytest.mark.parametrize("angle", [60, 90, 120])
def test_leftover_in_a_corner_follows_the_bisector(angle, margin):
    """Closed form: T + (m - T)/sin(half) past the closing's arc, or m on the walls."""
    proof = judge(*parts(with_margin(specimens.wedge_notch(angle), margin)))
    corner = 0.02 + (margin - 0.02) / np.sin(np.radians(angle / 2))
    assert proof.leftover_mm == pytest.approx(max(margin, corner), rel=0.02, abs=0.0025), (
        "the bisector's ray is met within a step of 0.15 r, cusps within T/20"
    )


@pytest.mark.parametrize("gap", [0.05, 0.2, 0.5, 1.0, 2.0, 2.9])
def test_a_gap_in_the_path_leaves_a_cusp(gap):
    """Two round ends a gap apart leave r + m - sqrt(r^2 - gap^2/4) between them."""
    job = programs.job(specimens.square(30))
    n = next(n for n, s in enumerate(job.lines) if s.startswith("G1 X0.0000 Y-1.5060"))
    low = f"G1 Z{programs.levels()[-1]:.4f} F200"
    lift = [f"G1 X{15 + gap / 2:.4f} Y-1.506", "G0 Z5", f"G0 X{15 - gap / 2:.4f}"]
    last = len(job.lines) - 1 - job.lines[::-1].index(job.lines[n])
    lines = [*job.lines[:last], *lift, low, *job.lines[last:]]
    proof = judge("\n".join(lines), job.expected)
    cusp = 1.506 - np.sqrt(1.5**2 - gap**2 / 4)
    step = 0.15 * 1.5 / 2
    off = 1.506 - np.sqrt(1.5**2 - max(gap / 2 - step, 0) ** 2)
    assert off - 0.0003 <= proof.leftover_mm <= cusp + 0.0003
    assert proof.loose_pieces == 1


def test_a_wall_left_standing_holds_the_part():
    job = programs.job(specimens.square(30))
    n = next(n for n, s in enumerate(job.lines) if s.startswith("G1 X0.0000 Y-1.5060"))
    last = len(job.lines) - 1 - job.lines[::-1].index(job.lines[n])
    low = f"G1 Z{programs.levels()[-1]:.4f} F200"
    lift = ["G1 X18 Y-1.506", "G0 Z5", "G0 X12", low]
    proof = judge("\n".join([*job.lines[:last], *lift, *job.lines[last:]]), job.expected)
    left = next(c for c in proof.failed if c.name == "leftover")
    assert proof.loose_pieces == 0
    assert left.value >= 1.5
    assert left.at_mm == pytest.approx((15, 0), abs=1.6)
    assert left.line is not None


def tampered(part, margin, pick, by):
    """A program with one point moved, what the judge says is left, and what shapely leaves."""
    job = programs.job(part, margin=margin, depth_per_pass=5.0)
    ends = [n for n, s in enumerate(job.lines) if s.startswith("G1 X")]
    n = ends[pick % len(ends)]
    y = float(job.lines[n].split()[2][1:])
    line = job.lines[n].replace(f"Y{y:.4f}", f"Y{y + by:.4f}")
    lines = (*job.lines[:n], line, *job.lines[n + 1 :])
    found = judge("\n".join(lines), job.expected).leftover_mm
    steps = [pair for run in cut_lines(lines) for pair in pairwise(run)]
    swept = shapely.union_all(shapely.buffer(shapely.linestrings(steps), 1.5, quad_segs=64))
    rest = shapely.get_parts(shapely.difference(part.buffer(12), swept))
    return found, shapely.union_all([g for g in rest if g.intersection(part).area > 0.001])


@given(blobs(), numbers(0.0, 0.06), st.integers(0, 10**6), numbers(-0.5, 0.5))
@settings(max_examples=20, deadline=None)
def test_leftover_agrees_with_what_shapely_buffers_leave(part, margin, pick, by):
    """Independent: unite capsules one by one, take what holds the part, measure it."""
    found, held = tampered(part, margin, pick, by)
    closing = part.buffer(1.52, quad_segs=64).buffer(-1.52, quad_segs=64)
    out = shapely.segmentize(shapely.difference(held, closing), 0.02)
    spots = shapely.points(shapely.get_coordinates(out))
    left = float(shapely.distance(closing, spots).max(initial=0.0))
    if found < 0.02 and left < 0.02:
        assert found == pytest.approx(left, abs=0.002), "a twentieth of T, and buffers' chords"
    else:
        assert left > 0.019
        assert found > 0.019


@given(regions(), numbers(0.0, 0.06), st.integers(0, 10**6), numbers(-0.5, 0.5))
@settings(max_examples=20, deadline=None)
def test_the_verdict_on_leftover_is_what_shapely_buffers_say(part, margin, pick, by):
    """Where a cutter may stand r + T from the part, the ground under it must be gone."""
    found, held = tampered(part, margin, pick, by)
    may_stand = part.buffer(30).difference(part.buffer(1.52, quad_segs=64))
    must_go = may_stand.buffer(1.5, quad_segs=64)
    inner = [shapely.intersection(held, must_go.buffer(-off)).area > 0 for off in (0.002, -0.002)]
    assert inner[0] <= (found > 0.02) <= inner[1]


# Tabs, loose pieces, depth.


@pytest.mark.parametrize(("count", "loose"), [(0, 1), (1, 0), (4, 0)])
def test_loose_pieces_are_counted(count, loose):
    job = programs.job(specimens.square(40), tabs=count)
    assert judge(job.text, job.expected).loose_pieces == loose


def test_slugs_of_holes_are_loose_pieces_too():
    job = programs.job(shapely.box(0, 0, 40, 30) - shapely.box(10, 8, 28, 20))
    assert judge(job.text, job.expected).loose_pieces == 2


@pytest.mark.parametrize(
    ("more", "less", "ok"), [(0.0, 0.0, True), (0.2, 0.0, False), (0.0, 0.01, False)]
)
def test_tabs_must_have_their_size(more, less, ok):
    job = programs.job(specimens.square(40), tabs=3)
    tabs = [
        replace(t, length_mm=t.length_mm + more, height_mm=t.height_mm + less)
        for t in job.expected.tabs
    ]
    changed = replace(job, expected=replace(job.expected, tabs=tuple(tabs)))
    assert check(changed, "tabs").ok is ok


def test_a_tab_expected_where_none_is_fails():
    job = programs.job(specimens.square(40), tabs=3)
    tab = replace(job.expected.tabs[0], at_mm=(job.expected.tabs[0].at_mm[0] + 12, -1.5))
    changed = replace(job, expected=replace(job.expected, tabs=(tab,)))
    assert not check(changed, "tabs").ok


@pytest.mark.parametrize(
    ("off", "ok"), [(0.0, True), (0.001, True), (0.01, False), (-0.01, False)]
)
def test_the_deepest_cut_is_the_one_asked_for(off, ok):
    job = programs.job(specimens.square(20))
    through = job.expected.through_mm + off
    assert (
        check(replace(job, expected=replace(job.expected, through_mm=through)), "depth").ok is ok
    )


@pytest.mark.parametrize(("most", "ok"), [(2.15, True), (2.1, False), (4.3, True)])
def test_no_pass_goes_deeper_at_once_than_asked(most, ok):
    job = programs.job(specimens.square(20))
    expected = replace(job.expected, depth_per_pass_mm=most)
    assert check(replace(job, expected=expected), "depth per pass").ok is ok


@pytest.mark.parametrize(("flute", "ok"), [(4.3, True), (4.2, False), (None, True)])
def test_the_cutter_reaches_as_deep_as_it_cuts(flute, ok):
    job = programs.job(specimens.square(20))
    expected = replace(job.expected, flute_length_mm=flute)
    assert check(replace(job, expected=expected), "reach of the cutter").ok is ok


@pytest.mark.parametrize(
    ("field", "value", "name"),
    [
        ("travel_mm", (-1, -50, -10, 99, 99, 50), "travel"),
        ("travel_mm", (-50, -50, -10, 99, 99, 4), "travel"),
        ("stock_mm", (0, 0, 18, 20), "stock"),
        ("most_feed_mm_min", 500, "feed"),
        ("most_rpm", 8000, "spindle"),
        ("clearance_mm", 6.0, "rapids"),
    ],
)
def test_the_machine_and_the_stock_set_limits(field, value, name):
    job = programs.job(specimens.square(20))
    changed = replace(job, expected=replace(job.expected, **{field: value}))
    assert name in {c.name for c in judge(job.text, changed.expected).failed}


def test_a_program_in_the_wrong_units_is_told_so_in_words():
    job = programs.job(specimens.square(20))
    size = check(replace(job, lines=tuple(s.replace("G21", "G20") for s in job.lines)), "size")
    assert "inches and millimetres are mixed up" in size.detail


# The value.


def test_an_outline_may_stand_for_the_region_and_is_asked_for_it_finely():
    asked = []
    part = specimens.square(20)
    job = programs.job(part)

    def fine(tolerance):
        asked.append(tolerance)
        return shapely.MultiPolygon([part])

    for region in (fine, Outline.from_shapely(part), part):
        assert judge(job.text, replace(job.expected, region_fine=region)).verdict == "pass"
    assert set(asked) == {0.02 / 40}


def test_an_unreadable_program_fails_with_its_line_and_no_figures():
    proof = judge("G21\nG1 X[1]\nM30", programs.job(specimens.square(20)).expected)
    assert (proof.verdict, proof.gouge_mm, proof.bounds_mm) == ("fail", None, None)
    assert (proof.checks[0].name, proof.checks[0].line) == ("reads cleanly", 2)


def test_a_program_that_only_lenient_reading_takes_is_judged_and_fails():
    job = programs.job(specimens.square(20))
    proof = judge(job.text.replace("M30", ""), job.expected)
    assert {c.name for c in proof.failed} == {"reads cleanly", "end state"}
    assert proof.gouge_mm == 0.0


def test_the_proof_is_plain_json_and_shows_itself():
    proof = judge(*parts(programs.job(specimens.square(20))))
    told = json.loads(json.dumps(proof.as_dict()))
    assert told["verdict"] == "pass"
    assert len(told["bounds_mm"]) == 6
    assert len(told["program_sha256"]) == 64
    assert proof._repr_html_().count("<tr>") == 1 + len(proof.checks)
    assert all(c.name in str(proof) for c in proof.checks)
