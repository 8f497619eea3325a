"""Programs with several cutters: each move judged with the cutter in the spindle at that moment.

The program is put together from shapely's buffers alone (`works`): a tank cleared with a flat
cutter, its plate chamfered with a cone, and the flat cutter put in again for the edge.
"""

from dataclasses import replace

import pytest
import shapely

from outline2path.errors import SettingError
from outline2path.proof.expected_program import Earlier
from outline2path.proof.judge import judge
from outline2path.proof.mountings import ExpectedMountings, Mounting
from outline2path.shop.cutter import Cutter
from tests.proof import works
from tests.proof.works import FLAT, PLATE, TANK, VEE

HEAD = ["(work)", "(cutter 1: 3 mm, 1 flute)", "(cutter 2: V 90 deg 6 mm, 2 flutes)"]
HEAD += ["G21", "G17", "G90", "G94", "G0 Z5", "T1", "M6", "M3 S9000"]
CONE_IN = ["M5", "T2", "M6", "M0", "M3 S12000", "G0 Z5"]
FLAT_IN = ["M5", "T1", "M6", "M0", "M3 S9000", "G0 Z5"]
CLEAR = works.cleared(TANK, FLAT, (-1.5, -3.0))
CHAMFER = works.chamfered(PLATE, VEE, width=1.0, tip=-1.5)
EDGE = works.around(PLATE, FLAT, (-2.0, -4.0, -6.0, -6.3))
LINES = [*HEAD, *CLEAR, *CONE_IN, *CHAMFER, *FLAT_IN, *EDGE, "M5", "M30"]


def wanted():
    tank = works.feature("pocket", TANK, -3.0, name="tank")
    rim = works.feature("chamfer", PLATE, -1.5, width_mm=1.0, name="rim")
    edge = works.feature("profile", PLATE, -6.0, through_mm=0.3, name="edge")
    done, mountings = [], []
    for number, cutter, feature in ((1, FLAT, tank), (2, VEE, rim), (1, FLAT, edge)):
        before = tuple(done)
        mountings.append(
            Mounting(number=number, wanted=works.expected([feature], cutter, before=before))
        )
        done.append(Earlier(text="", cutter=cutter, features=(feature,)))
    return ExpectedMountings(mountings=tuple(mountings))


WANTED = wanted()


def failed(lines):
    return {c.name: c for c in judge("\n".join(lines) + "\n", WANTED).failed}


def edited(old, new, *, nth=0, lines=LINES):
    """Put other lines for the nth place where some stand one after another."""
    found = [n for n in range(len(lines)) if lines[n : n + len(old)] == old]
    at = found[nth]
    return [*lines[:at], *new, *lines[at + len(old) :]]


def test_the_sound_program_is_sound():
    proof = judge("\n".join(LINES) + "\n", WANTED)
    assert proof.failed == ()
    assert proof.gouge_mm == 0
    assert proof.deepest_mm == pytest.approx(-6.3)
    assert proof.loose_pieces == 1


def test_it_says_the_same_as_three_programs_one_after_another():
    """Each with the texts before it: the shapes that are left are the same."""
    bodies = ((CLEAR, FLAT), (CHAMFER, VEE), (EDGE, FLAT))
    done, proofs = [], []
    for (body, cutter), one in zip(bodies, WANTED.mountings, strict=True):
        alone = works.expected(one.wanted.features, cutter, before=tuple(done))
        text = works.Work(alone, tuple(body)).text
        proofs.append(judge(text, alone))
        done.append(Earlier(text=text, cutter=cutter, features=one.wanted.features))
    whole = judge("\n".join(LINES) + "\n", WANTED)
    assert [proof.failed for proof in proofs] == [(), (), ()]
    assert whole.leftover_mm == max(proof.leftover_mm for proof in proofs)
    assert whole.loose_pieces == proofs[-1].loose_pieces


HARM = {
    "M6 lost": (edited(["T2", "M6", "M0"], ["T2", "M0"]), "cutter"),
    "M6 lost on the way back": (edited(["T1", "M6", "M0"], ["T1", "M0"]), "cutter"),
    "T lost": (edited(["T2", "M6"], ["M6"]), "cutter"),
    "numbers swapped": (
        [{"T1": "T2", "T2": "T1"}.get(line, line) for line in LINES],
        "cutter",
    ),
    "a number nobody named": (edited(["T2", "M6"], ["T7", "M6"]), "cutter"),
    "M3 lost after a change": (edited(["M3 S12000"], ["S12000"]), "spindle"),
    "M3 lost after the first": (edited(["M6", "M3 S9000"], ["M6", "S9000"]), "spindle"),
    "M5 lost before a change": (edited(["M5", "T2"], ["T2"]), "cutter change"),
    "M5 on the line of M6": (edited(["M5", "T2", "M6"], ["T2", "M5 M6"]), "cutter change"),
    "a change in the work": (edited(["G0 Z5", "M5", "T2"], ["M5", "T2"]), "cutter change"),
    "a change too low": (edited(["G0 Z5", "M5", "T2"], ["G0 Z1", "M5", "T2"]), "cutter change"),
    "the stop to measure lost": (edited(["M6", "M0"], ["M6"]), "cutter change"),
    "another cutter's length": (edited(["M6", "M0"], ["M6", "G43 H1"]), "cutter change"),
    "a change more than asked for": (
        edited(["M5", "M30"], ["M5", "T2 M6", "M0", "M3", "G1 Z-1 F99", "G0 Z5", "M5", "M30"]),
        "cutter",
    ),
    "the work of a cutter lost": (edited(CHAMFER, []), "cutter"),
    "header of another cutter": (edited([HEAD[2]], ["(cutter 2: 6 mm, 2 flutes)"]), "cutter"),
    "header of another angle": (
        edited([HEAD[2]], ["(cutter 2: V 60 deg 6 mm, 2 flutes)"]),
        "cutter",
    ),
    "a deep cut of the second cutter": (
        [line.replace("Z-1.5000", "Z-2.5000") if "chamfer" in line else line for line in LINES],
        "gouge",
    ),
    "a pass of the third lost": (edited(EDGE[-len(EDGE) // 4 :], []), "depth"),
}
HARMLESS = {
    "words in another order": edited(["T2", "M6"], ["M6 T2"]),
    "on one line": edited(["T2", "M6"], ["N7 t2 m6"]),
    "chosen early": edited(["M5", "T2"], ["T2", "M5"]),
    "put in once more": edited(["T2", "M6"], ["T2", "M6", "M6"]),
    "lengths from the table": edited(
        ["M6", "M0"], ["M6", "G43 H1"], lines=edited(["M6", "M0"], ["M6", "G43 H2"])
    ),
    "no comments": [line for line in LINES if line not in HEAD[:3]],
    "lifted higher": edited(["G0 Z5", "M5", "T2"], ["G0 Z25", "M5", "T2"]),
    "lifted to the top of the travel": edited(["G0 Z5", "M5"], ["G0 Z5", "G53 G0 Z0", "M5"]),
}


@pytest.mark.parametrize("kind", HARM)
def test_harm_is_found_by_the_check_that_tells_of_it(kind):
    lines, check = HARM[kind]
    assert lines != LINES
    assert check in failed(lines)


@pytest.mark.parametrize("kind", HARMLESS)
def test_harmless_changes_raise_no_alarm(kind):
    assert HARMLESS[kind] != LINES
    assert failed(HARMLESS[kind]) == {}


def test_a_lost_change_is_told_with_its_line_and_what_would_happen():
    """The flat cutter, of radius 1.5, would run where the cone was to, 0.506 off the plate."""
    found = failed(edited(["T2", "M6", "M0"], ["T2", "M0"]))
    assert "cutter 2, V 90 deg 6 mm, 2 flutes, is never put to work" in found["cutter"].detail
    assert found["gouge"].value == pytest.approx(1.5 - 0.506, abs=0.001), "chords of the corners"


def test_swapped_numbers_are_told_at_the_first_work():
    found = failed(HARM["numbers swapped"][0])["cutter"]
    assert (found.value, found.limit) == (2, 1)
    assert "cutter 2, V 90 deg 6 mm, 2 flutes, works where cutter 1, 3 mm" in found.detail
    assert found.line == HARM["numbers swapped"][0].index(CLEAR[1]) + 1


def test_figures_that_need_the_cutters_in_order_are_left_out_without_it():
    proof = judge("\n".join(HARM["numbers swapped"][0]), WANTED)
    assert proof.leftover_mm is None
    assert proof.loose_pieces is None


def test_a_faced_surface_is_no_proof_of_the_chamfer_that_begins_there():
    """Facing runs over all of the plate at z -0.5; a chamfer from there is still to be cut."""
    big = Cutter(12.0, shape="facing")
    rows = works.swept_rows((-5, -5, 65, 45), big, -0.5)
    rim = works.feature("chamfer", PLATE, -2.0, top_mm=-0.5, width_mm=1.0)
    flat = works.feature("face", shapely.box(-5, -5, 65, 45), -0.5)
    first = works.expected([flat], big)
    before = (Earlier(text="", cutter=big, features=(flat,)),)
    second = works.expected([rim], VEE, before=before)
    made = ExpectedMountings(
        mountings=(
            Mounting(number=1, wanted=first),
            Mounting(number=2, wanted=replace(second, top_mm=-0.5)),
        )
    )
    narrow = works.chamfered(PLATE, VEE, width=0.7, tip=-1.5)
    lines = [*HEAD[3:], *rows, *CONE_IN, *(s.replace("Z-1.5", "Z-2.0") for s in narrow)]
    proof = judge("\n".join([*lines, "M5", "M30"]) + "\n", made)
    assert [check.name for check in proof.failed] == ["leftover"]
    assert proof.leftover_mm == pytest.approx(0.3, abs=0.01), "the margin of the path"


def test_one_cutters_work_is_no_leave_for_another():
    """The tank is the flat cutter's to clear; the cone may not go there."""
    cut = ["G0 X15 Y15", "G1 Z-1 F200", "G0 Z5"]
    assert "gouge" not in failed(edited(["M5", "T2"], [*cut, "M5", "T2"]))
    rim = ["G0 X30 Y37", "G1 Z-1 F200", "G0 Z5"]
    assert "gouge" in failed(edited(FLAT_IN[:2], [*rim, *FLAT_IN[:2]]))


@pytest.mark.parametrize(
    ("numbers", "words"),
    [({}, "0 cutters"), ({0: 1, 2: 1}, "twice running"), ({0: 1, 1: 1}, "stands for")],
)
def test_mountings_that_contradict_each_other_are_refused(numbers, words):
    made = tuple(Mounting(number=n, wanted=WANTED.mountings[k].wanted) for k, n in numbers.items())
    with pytest.raises(SettingError, match=words):
        ExpectedMountings(mountings=made)


def test_every_cutter_is_listed_once_in_the_order_it_is_first_put_in():
    assert list(WANTED.cutters) == [1, 2]
    assert WANTED.numbers == (1, 2, 1)


def test_a_program_that_takes_nothing_is_told_of():
    found = failed([*HEAD, "M5", "M30"])
    assert "cutter 1, 3 mm, 1 flute, is never put to work" in found["cutter"].detail
    assert shapely.area(PLATE) == 2400
