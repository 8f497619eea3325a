"""A job's file makes the job that Python would have made, and says where its faults are."""

import hashlib
import inspect
import time

import pytest
import shapely

import outline2path as o2p
from outline2path.errors import DrawingError, OutlinePathError, SettingError, UnitError
from outline2path.job.job import Job
from outline2path.job.laying import lay_at
from outline2path.job.starting import new_job_text
from outline2path.job.tables import step_keys
from outline2path.job.toml import read_job
from outline2path.job.toml_file import MOST_BYTES
from outline2path.operations.fit import fit_slots, slot
from outline2path.operations.relief import relieve

FLOAT_MM = 1e-6  # reshaped outlines lie on a grid of this step
SVG = """<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="50mm" viewBox="0 0 80 50">
<path id="plate" d="M0 0H80V50H0Z M20 20V26H44V20Z" fill-rule="evenodd"/></svg>"""
HEAD = """[stock]
size = "200 x 120 x 6 mm"
[cutters.small]
diameter = "1/8 in"
[drawings.plate]
file = "art/plate.svg"
"""
STEP = """[[set_up]]
[[set_up.step]]
do = "profile"
drawing = "plate"
cutter = "small"
"""


@pytest.fixture
def written(tmp_path):
    """Write a job's file beside its drawing, and return its path."""
    (tmp_path / "art").mkdir()
    (tmp_path / "art" / "plate.svg").write_text(SVG)

    def write(text: str):
        path = tmp_path / "job.toml"
        path.write_text(text)
        return path

    return write


def same(one, other):
    """Whether two steps ask for the same; outlines are compared by their regions."""
    for name in ("operation", "cutter", "settings", "depth_mm", "feed", "plunge", "rpm"):
        assert getattr(one, name) == getattr(other, name)
    assert one.outline.region.symmetric_difference(other.outline.region).area < FLOAT_MM


def test_the_starting_file_is_a_job_that_passes(written):
    plan = read_job(written(new_job_text())).plan()
    assert plan.is_sound
    assert plan.findings == ()


def test_the_starting_file_lists_every_key_of_every_operation():
    lines = [line.strip("# ") for line in new_job_text().splitlines()]
    for name, keys in step_keys().items():
        listed = lines[lines.index(f'do = "{name}"', lines.index("[drawings.NAME]")) :]
        assert all(any(line.startswith(f"{key} = ") for line in listed) for key in keys)


def test_a_file_and_python_ask_for_the_same(written):
    text = HEAD + STEP + 'tabs = 3\ndepth_per_pass = "1 mm"\nfeed = "20 mm/s"\nlead = "line"\n'
    job = read_job(written('[job]\nname = "plate"\nclearance = "8 mm"\n' + text))
    plate = o2p.read_outline(SVG.encode())
    asked = Job(stock=o2p.Stock("200 x 120 x 6 mm"), name="plate", clearance=8)
    asked.profile(
        plate, o2p.Cutter("1/8 in"), tabs=3, depth_per_pass=1, feed="20 mm/s", lead="line"
    )
    assert (job.name, job.bench) == (asked.name, asked.bench)
    same(*job.steps, *asked.steps)


@pytest.mark.parametrize("do", sorted(step_keys()))
def test_every_operation_has_the_arguments_of_python(do):
    arguments = inspect.signature(getattr(Job, do)).parameters
    keys = step_keys()[do]
    assert {key.argument for key in keys.values()} == set(arguments) - {"self"}
    assert all(key.default == arguments[key.argument].default for key in keys.values())


@pytest.mark.parametrize(
    ("says", "made"),
    [
        ('width = "40 mm"', lambda plate: plate.fit(width=40)),
        ('rotate = "90 deg"\nscale = 2', lambda plate: plate.rotate(90).scale(2)),
        ('mirror = true\nat = ["1 in", 7]', lambda plate: lay_at(plate.mirror(), 25.4, 7)),
        (
            "fit = { drawn = 6, thickness = 5.7, clearance = 0.1 }",
            lambda plate: fit_slots(plate, drawn=6, thickness=5.7, clearance=0.1),
        ),
        (
            'relief = { cutter = "small", style = "t-bone" }',
            lambda plate: relieve(plate, o2p.Cutter("1/8 in"), style="t-bone"),
        ),
    ],
)
def test_a_drawing_is_changed_as_in_python(written, says, made):
    (step,) = read_job(written(HEAD + says + "\n" + STEP)).steps
    wanted = made(o2p.read_outline(SVG.encode())).region
    assert step.outline.region.symmetric_difference(wanted).area < FLOAT_MM


@pytest.mark.parametrize(
    ("says", "size"),
    [
        ('slot = { length = 24, thickness = 5.8, clearance = "0.1 mm" }', (24.1, 5.9)),
        ('text = { text = "H", height = "12 mm" }', (None, 12)),
        ('single_line = { text = "HI", height = "12 mm" }', (10.6, 12)),
        ('path = { d = "M0 0H8V5H0Z" }', (8, 5)),
        ("gauge = { thickness = 5.8, count = 3 }", (10 * 4 + 5.8 * 3 + 0.15, 29)),
    ],
)
def test_a_drawing_needs_no_file(written, says, size):
    text = HEAD.replace('file = "art/plate.svg"', says) + STEP
    (step,) = read_job(written(text)).steps
    found = zip(step.outline.size_mm, size, strict=True)
    assert all(b is None or a == pytest.approx(b, abs=FLOAT_MM) for a, b in found)


def test_a_part_of_a_drawing_stays_where_the_whole_was_laid(written):
    whole = HEAD + 'width = "40 mm"\nat = [20, 10]\n[drawings.part]\npart_of = "plate"\n'
    text = whole + 'select = "id=plate"\n' + STEP.replace('"plate"', '"part"')
    (step,) = read_job(written(text)).steps
    assert step.outline.bounds_mm == pytest.approx((20, 10, 60, 35))


def test_copies_lie_in_rows(written):
    text = HEAD + 'width = "30 mm"\ncopies = 10\nspacing = "5 mm"\n' + STEP
    (step,) = read_job(written('[job]\nplaced = "as-drawn"\n' + text)).steps
    parts = list(step.outline.region.geoms)
    apart = [a.distance(b) for k, a in enumerate(parts) for b in parts[:k]]
    assert len(parts) == 10
    assert min(apart) == pytest.approx(5)


def test_set_ups_follow_one_another(written):
    more = STEP.replace("[[set_up]]", '[[set_up]]\nturn_over = "x"\nname = "back"', 1)
    other = STEP.replace("[[set_up]]", '[[set_up]]\nnew_blank = { size = "90 x 60 x 3 mm" }', 1)
    first, back, blank = read_job(written(HEAD + STEP + more + other)).set_ups
    assert (first.about, back.about, back.name, blank.about) == (None, "x", "back", None)
    assert (back.blank, blank.blank, blank.bench.stock.thickness_mm) == (1, 2, 3)


def test_the_first_side_can_be_named_as_the_others_can(written):
    named = HEAD + STEP.replace("[[set_up]]", '[[set_up]]\nname = "rough side"', 1)
    assert read_job(written(named)).set_ups[0].name == "rough side"


def test_points_can_be_drilled(written):
    step = (
        '[[set_up]]\nstep = [{ do = "drill", cutter = "small", holes = [[10, 10], [30, 10]] }]\n'
    )
    (step,) = read_job(written(HEAD + step)).steps
    assert len(step.outline.region.geoms) == 2


def test_two_hundred_parts_are_read(written):
    text = HEAD.replace("200 x 120", "600 x 600") + 'width = "30 mm"\ncopies = 200\n' + STEP
    (step,) = read_job(written(text)).steps
    assert len(step.outline.region.geoms) == 200


FAULTS = [
    # what is changed in the file, the line of the fault, what the message says
    (("tabs = 3", "tab = 3"), 12, "unknown key 'tab'; did you mean \"tabs\"?"),
    (("tabs = 3", "tabs = 2.5"), 12, "tabs = 2.5 will not do; write a whole number"),
    (("tabs = 3", "tabs = true"), 12, "tabs = true will not do"),
    (("tabs = 3", "tabs = -1"), 12, "tabs -1 is outside 0 to 200"),
    (("tabs = 3", 'feed = "6 kg"'), 12, "'6 kg' is no feed; write 1800mm/min"),
    (("tabs = 3", 'through = "6 kg"'), 12, "'6 kg' is no length; write 3.175mm or 1/8in"),
    (("tabs = 3", "through = nan"), 12, "through = nan will not do"),
    (("tabs = 3", "through = 1e300"), 12, "will not do"),
    (("tabs = 3", "through = 25"), 12, "through 25 is outside 0 to 20"),
    (("tabs = 3", 'depth_per_pass = "0 mm"'), 12, "depth per pass 0 is outside"),
    (("tabs = 3", 'side = "outsid"'), 12, 'did you mean "outside"?'),
    (("tabs = 3", "side = 4"), 12, 'write one of "outside", "inside", "on"'),
    (("tabs = 3", "lead = 2024-01-01"), 12, "will not do"),
    (('do = "profile"', 'do = "profil"'), 9, 'did you mean "profile"?'),
    (('do = "profile"', "do = [1]"), 9, "is no operation"),
    (('do = "profile"\n', ""), 8, "does not say what to do"),
    (('drawing = "plate"\n', ""), 8, "lacks drawing; give drawing: the name of a drawing"),
    (('drawing = "plate"', 'drawing = "plat"'), 10, 'no [drawings.plat]; did you mean "plate"?'),
    (('cutter = "small"', 'cutter = "big"'), 11, "there is no [cutters.big]; use one of: small"),
    (('"1/8 in"', '"1/8 inn"'), 4, "no length"),
    (('"1/8 in"', '"200 mm"'), 4, "a cutter of 200 mm is outside"),
    (("diameter", "diametre"), 4, 'did you mean "diameter"?'),
    (('diameter = "1/8 in"', ""), 3, "[cutters.small] lacks diameter"),
    (("200 x 120 x 6 mm", "200 x 120"), 2, "is not three lengths"),
    (("[stock]", "[stok]"), 1, "unknown key 'stok'; did you mean \"stock\"?"),
    (('"art/plate.svg"', '"art/none.svg"'), 6, "there is no drawing 'art/none.svg'"),
    (('"art/plate.svg"', '"art"'), 6, "there is no drawing 'art'"),
    (('file = "art/plate.svg"', 'part_of = "plate"'), 6, "is part of itself"),
    (('file = "art/plate.svg"', 'text = "Ada"'), 6, "write a table"),
    (('file = "art/plate.svg"', "width = 4"), 5, "comes from nowhere; give one of: file"),
    (('plate.svg"', 'plate.svg"\nwidth = 4\nscale = 2'), 7, "width and scale are given together"),
    (('plate.svg"', 'plate.svg"\nselect = "id=owl"'), 7, "owl"),
    (('plate.svg"', 'plate.svg"\ncopies = 90'), 7, "finds no room"),
    (('plate.svg"', 'plate.svg"\ncopies = 100000'), 7, "outside 1 to 2000"),
    (('plate.svg"', 'plate.svg"\nat = [1, 2, 3]'), 7, "at = [1, 2, 3] will not do"),
    (('plate.svg"', 'plate.svg"\nat = [1, "2 kg"]'), 7, "'2 kg' is no length"),
    (
        ('plate.svg"', 'plate.svg"\nfit = { drawn = 3, thickness = 3, clearance = 0 }'),
        7,
        "no slot",
    ),
    (('plate.svg"', 'plate.svg"\nfit = { drawn = 3 }'), 7, "lacks thickness and clearance"),
    (("[[set_up]]", '[[set_up]]\nturn_over = "y"'), 8, "the first set-up cannot have turn_over"),
    (("[[set_up]]", "[[set_up]]\nsteps = []"), 8, 'did you mean "step"?'),
    (("[stock]", "[stock"), 1, "this is no TOML"),
    (("tabs = 3", "tabs = 3\ntabs = 4"), 13, "this is no TOML: Cannot overwrite a value"),
    (("tabs = 3", "tabs = " + "9" * 5000), None, "this is no TOML"),
    (("tabs = 3", "tabs = " + "9" * 400), 12, "a number too large will not do"),
]


@pytest.mark.parametrize(("change", "line", "words"), FAULTS)
def test_a_fault_is_told_with_file_line_and_remedy(written, change, line, words):
    text = HEAD + STEP + "tabs = 3\n"
    assert change[0] in text
    with pytest.raises(OutlinePathError) as caught:
        read_job(written(text.replace(*change, 1)))
    told = str(caught.value)
    assert words in told
    assert told.startswith("job.toml: " if line is None else f"job.toml, line {line}: ")


@pytest.mark.parametrize(
    ("says", "words"),
    [
        ('do = "pocket"\ndepth = "9 mm"', "9 mm deep is not within the 6 mm of stock"),
        ('do = "profile"\ntabs = 2\ntab_height = 7', "tabs 7 mm high do not fit"),
    ],
)
def test_what_only_planning_can_refuse_has_its_line_too(written, says, words):
    job = read_job(written(HEAD + STEP.replace('do = "profile"', says)))
    with pytest.raises(SettingError, match=f"^job.toml, line 8: .*{words}"):
        job.plan()


def test_set_ups_must_say_what_lies_on_the_bench(written):
    with pytest.raises(SettingError, match="line 13: set-up 2 is neither turned over nor new"):
        read_job(written(HEAD + STEP + "\n" + STEP))


def test_parts_that_overlap_are_told_of_with_their_place(written):
    two = HEAD + "[drawings.slot]\nslot = { length = 30, thickness = 9, clearance = 0 }\n"
    text = two + STEP + STEP.replace('"plate"', '"slot"').replace("[[set_up]]\n", "")
    with pytest.raises(SettingError, match="line 7: parts plate and slot overlap") as caught:
        read_job(written(text))
    overlap = slot(30, 9, 0).region.intersection(o2p.read_outline(SVG.encode()).region)
    assert overlap.covers(shapely.Point(caught.value.at_mm))


def test_a_part_over_the_edge_of_its_stock_is_told_of(written):
    text = '[job]\nplaced = "as-drawn"\n' + HEAD + "at = [150, 10]\n" + STEP
    with pytest.raises(SettingError, match=r"line 7: part plate hangs 30.00 mm over"):
        read_job(written(text))


def test_kinds_of_errors_are_kept(written):
    with pytest.raises(UnitError, match="line 12"):
        read_job(written(HEAD + STEP + 'feed = "fast"\n'))
    with pytest.raises(DrawingError, match="line 6"):
        read_job(written(HEAD.replace("file =", 'path = { d = "M0 0" } #') + STEP))


@pytest.mark.parametrize(
    "bomb",
    [
        "a = " + "[" * 100_000,
        "a = " + "{a=" * 100_000,
        ".".join(["a"] * 100_000) + " = 1",
        "[" + ".".join(["a"] * 100_000) + "]",
        'a = """' + "\\" * 200_000,
        '"""' * 60_000,
        "[[a]]\n" * 50_000,
        "\n".join(f"[drawings.a{k}]\nfile='x'" for k in range(15_000)),
        "a" * (MOST_BYTES + 1),
        "\0" * 1000,
    ],
    ids=lambda text: text[:12].replace("\0", "zero"),
)
def test_a_bomb_is_refused_within_seconds(written, bomb):
    before = time.perf_counter()
    with pytest.raises(SettingError, match=r"job\.toml"):
        read_job(written(bomb))
    assert time.perf_counter() - before < 5


@pytest.mark.parametrize("name", ["none.toml", ".", "a\0b"])
def test_what_is_no_file_is_refused(tmp_path, name):
    with pytest.raises(SettingError):
        read_job(tmp_path / name)


def test_text_that_is_no_utf8_is_refused_with_its_line(tmp_path):
    path = tmp_path / "job.toml"
    path.write_bytes(b"[stock]\nmaterial = '\xff'\n")
    with pytest.raises(SettingError, match="line 2: byte 20 is no UTF-8"):
        read_job(path)


def test_the_proof_names_the_file_of_the_job_it_was_judged_by(tmp_path):
    path = tmp_path / "job.toml"
    path.write_text(new_job_text())
    proof = read_job(path).plan().prove()
    assert (proof.verdict, proof.header) == ("pass", "matches")
    assert proof.job_sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
