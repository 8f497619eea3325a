"""Every kind of work is judged right, and every kind of harm to it by the check that names it."""

import re
from dataclasses import replace

import numpy as np
import pytest
import shapely

from outline2path.proof.expected_program import Earlier
from outline2path.proof.judge import judge
from outline2path.rs274.program import Program
from outline2path.shop.cutter import Cutter
from tests.proof import works
from tests.proof.no_harm import HARMLESS
from tests.proof.programs import Job
from tests.proof.tampering import changed_by
from tests.proof.work_harm import HARMS, put
from tests.proof.works import Work

SOUND = {
    "pockets, bore and edge": works.base,
    "face": works.faced,
    "drilled holes": works.holes,
    "chamfer with a V": works.bevel,
    "chamfer with a flat tip": lambda: works.bevel(works.BLUNT, width=0.6, tip=-1.5),
    "chamfer of a pocket's edge": lambda: works.bevel(side="inside", region=works.WELL),
    "engraved with a V": works.engraved,
    "engraved with a ball": lambda: works.engraved(Cutter(2.0, shape="ball")),
    "engraved flat": lambda: works.engraved(Cutter(1.0)),
    "a small cutter after a large one": works.large_then_small,
}


@pytest.mark.parametrize("name", SOUND)
def test_a_sound_program_of_every_kind_passes(name):
    assert SOUND[name]().failed() == {}


@pytest.mark.parametrize("harm", HARMS)
def test_every_harm_is_named_by_its_check(harm):
    work, change, check = HARMS[harm]
    assert check in work().edited(change).failed()


def test_a_floor_wholly_shallow_is_named_with_its_figure():
    def change(lines):
        return [re.sub(r"^G1 Z-3\.0000", "G1 Z-2.9500", line) for line in lines]

    told = works.base().edited(change).failed()
    assert "tank was to go to z -3.000 mm, the program goes to z -2.950" in told["depth"]
    assert "leftover" in told


@pytest.mark.parametrize("by", [-0.03, 0.03])
@pytest.mark.parametrize("cutter", [works.VEE, works.BLUNT])
def test_a_chamfer_has_its_width_to_within_the_tolerance(cutter, by):
    """Wider by 0.03 is cut into the part, narrower is left on it; T is 0.02 mm."""
    work = works.bevel(cutter, width=0.8, tip=-1.5)
    drawn = replace(work.expected.features[0], width_mm=0.8 + by)
    proof = judge(work.text, replace(work.expected, features=(drawn,)))
    found = proof.gouge_mm if by < 0 else proof.leftover_mm
    # by closed form: 0.03 mm less or more the 0.006 mm that the program leaves; at the corners,
    # where two walls meet, what is left is up to sqrt 2 times that
    assert 0.03 - 0.0065 <= found <= (0.03 + 0.0065) * 2**0.5
    assert proof.verdict == "fail"


# What programs before it took.


def test_the_small_cutter_alone_leaves_the_room_uncut_and_dives_into_it():
    work = works.large_then_small()
    alone = replace(work, expected=replace(work.expected, before=()))
    assert "leftover" in alone.failed()


@pytest.mark.parametrize(("z", "sound"), [(-2.0, True), (-2.01, False)])
def test_a_rapid_may_go_down_where_a_program_before_cleared_the_ground(z, sound):
    work = works.large_then_small().edited(put("G0 X30 Y20", f"G0 Z{z}", "G1 X31 F600", "G0 Z5"))
    assert ("rapids" not in work.failed()) is sound
    alone = replace(work, expected=replace(work.expected, before=()))
    assert "rapids" in alone.failed()


@pytest.mark.parametrize(("x", "sound"), [(47.9, True), (48.9, True), (49.5, False)])
def test_a_rapid_goes_down_only_where_all_of_its_disc_is_clear(x, sound):
    """The large cutter of 6 mm cleared x 10 to 50; the small one is 2 mm wide."""
    work = works.large_then_small().edited(put(f"G0 X{x} Y20", "G0 Z-2", "G1 X40 F600", "G0 Z5"))
    assert ("rapids" not in work.failed()) is sound


def in_the_well(z: float = -2.3, wide: float = 6.0) -> Work:
    well = works.feature("pocket", works.WELL, -2.0, name="well")
    body = tuple(works.cleared(works.WELL, works.FLAT, (-2.0,)))
    first = Work(works.expected([well], works.FLAT), body)
    earlier = Earlier(text=first.text, cutter=works.FLAT, features=(well,))
    cutter = Cutter(wide, shape="v", angle=90)
    return works.engraved(cutter, z=z, top=-2.0, before=(earlier,))


def test_a_pocket_floor_may_be_engraved_if_the_cone_clears_the_walls():
    """At z 0 the cone is 2.3 mm wide to each side; the letter comes within 0.7 mm of the wall."""
    proof = judge((work := in_the_well()).text, work.expected)
    assert {c.name for c in proof.failed} == {"gouge"}
    far = shapely.Point(40, 18).distance(shapely.Point(46, 20))
    assert proof.gouge_mm == pytest.approx(2.3 - (7 - far), abs=0.001), "chords of the drawn well"


# Clamps, shank, holder, plunge, waste board.


@pytest.mark.parametrize(
    ("box", "top", "sound"),
    [
        ((-9, 10, -3.01, 20), 10.0, True),
        ((-9, 10, -2.9, 20), 10.0, False),
        ((-9, 10, -2.9, 20), -6.5, True),
        ((31, 15, 34, 25), 4.9, True),
        ((31, 15, 34, 25), 5.1, False),
    ],
)
def test_a_clamp_in_the_way_of_any_move_is_found(box, top, sound):
    work = works.base(keep_out=(works.clamp_at(*box, top=top),))
    assert ("clamps" not in work.failed()) is sound


@pytest.mark.parametrize(
    ("figures", "sound"),
    [
        ({"flute_length": 7.0, "shank": 3.0, "stick_out": 12.0, "holder": 20.0}, True),
        ({"flute_length": 2.0, "shank": 2.9}, True),
        ({"flute_length": 2.0, "shank": 3.2}, False),
        ({"flute_length": 6.0, "stick_out": 6.2, "holder": 20.0}, False),
    ],
)
def test_shank_and_holder_stay_clear_of_the_stock(figures, sound):
    work = works.base()
    wanted = replace(work.expected, cutter=Cutter(3.0, flutes=1, **figures))
    assert ("shank and holder" not in replace(work, expected=wanted).failed()) is sound


@pytest.mark.parametrize(("shape", "sound"), [("flat", True), ("facing", False)])
def test_a_cutter_that_cannot_cut_down_must_not_be_fed_down_into_the_stock(shape, sound):
    work = works.base()
    wanted = replace(work.expected, cutter=Cutter(3.0, flutes=1, shape=shape))
    assert ("plunge" not in replace(work, expected=wanted).failed()) is sound


@pytest.mark.parametrize(("least", "sound"), [(-6.3, True), (-6.2, False), (None, True)])
def test_nothing_goes_deeper_than_the_waste_board_allows(least, sound):
    assert ("waste board" not in works.base(waste_board_mm=least).failed()) is sound


# The whole.


def test_features_alike_are_judged_as_one_and_cost_what_their_outlines_cost():
    spots = [(x, y) for x in np.arange(2, 58, 4) for y in np.arange(2, 38, 4)]
    squares = [shapely.box(x, y, x + 3.2, y + 3.2) for x, y in spots]
    cutter = Cutter(1.0)
    body = [line for s in squares for line in works.cleared(s, cutter, (-1.0,))]
    drawn = [works.feature("pocket", s, -1.0) for s in squares]
    assert Work(works.expected(drawn, cutter), tuple(body)).failed() == {}
    missing = Work(works.expected(drawn, cutter), tuple(body[:-20]))
    assert "leftover" in missing.failed()


def test_the_proof_repeats_what_it_was_judged_against():
    work = works.base(drawing_sha256="a" * 64, job_sha256="b" * 64)
    told = judge(work.text, work.expected).as_dict()
    assert (told["drawing_sha256"], told["job_sha256"]) == ("a" * 64, "b" * 64)
    assert told["header"] == "none"


@pytest.mark.parametrize("kind", [kind for kind in HARMLESS if kind != "a pass again"])
def test_harmless_changes_to_works_raise_no_alarm(kind):
    for name in ("face", "drilled holes", "chamfer with a V", "engraved flat"):
        work = SOUND[name]()
        job = Job(work.expected, tuple(work.text.splitlines()))
        changed = changed_by(HARMLESS[kind], job, f"{kind} {name}")
        if changed is not None:
            assert judge(changed.text, changed.expected).failed == (), name


def test_a_second_program_must_not_work_in_what_the_first_cut_free():
    edge = works.feature("profile", works.PLATE, -6.0, name="edge")
    body = tuple(works.around(works.PLATE, works.FLAT, (-2.0, -4.0, -6.0)))
    first = Work(works.expected([edge], works.FLAT), body)
    well = works.feature("pocket", works.WELL, -2.0, name="well")
    earlier = Earlier(text=first.text, cutter=works.FLAT, features=(edge,))
    body = tuple(works.cleared(works.WELL, works.FLAT, (-2.0,)))
    for before, checks in (((), set()), ((earlier,), {"loose pieces"})):
        second = Work(works.expected([well], works.FLAT, before=before), body)
        assert set(second.failed()) == checks


def test_a_changed_program_no_longer_matches_the_verdict_in_its_header():
    work = works.faced()
    marked = Program(work.text).with_verdict("pass").text
    for text, header in ((marked, "matches"), (marked.replace("F600", "F601"), "changed")):
        proof = judge(text, work.expected)
        assert (proof.verdict, proof.header) == ("pass", header)
    assert "no longer matches" in str(proof)
