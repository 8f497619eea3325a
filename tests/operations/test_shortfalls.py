from __future__ import annotations

import pytest

from outline2path.operations.shortfalls import flute_findings
from outline2path.shop.cutter import Cutter
from tests import specimens
from tests.operations.laws import planned


@pytest.mark.parametrize(
    ("flutes", "severity"), [(None, []), (7.0, []), (5.0, ["warning"]), (1.0, ["error"])]
)
def test_flutes_shorter_than_a_pass_are_an_error_than_the_cut_a_warning(flutes, severity):
    found = flute_findings(Cutter(3, flute_length=flutes), deep_mm=6.3, step_mm=1.26)
    assert [f.severity for f in found] == severity


@pytest.mark.parametrize(
    ("hole", "options", "code"),
    [
        (2.2, {"lead": "arc"}, "lead-replaced"),
        (2.2, {"entry": "helix"}, "entry-replaced"),
        (15.0, {"tabs": 30}, "tabs-fewer"),
        (1.0, {}, "hole-uncut"),
    ],
)
def test_what_is_not_to_be_had_is_told_with_place_and_remedy(hole, options, code):
    plate = specimens.square(80).difference(specimens.disc(40, 40, hole))
    cutter = 4.3 if hole == 2.2 else 3.0
    found = {f.code: f for f in planned(plate, cutter, **options).findings}
    assert found[code].at_mm is not None
    assert found[code].remedy or found[code].severity == "info"


def test_a_plan_with_room_for_everything_has_no_findings():
    plan = planned(specimens.rounded_rectangle(80, 60), tabs=4, entry="helix")
    assert plan.findings == ()
