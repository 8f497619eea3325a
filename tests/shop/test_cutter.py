"""The cutter's shapes against elementary geometry (sources.md 3.5, W7, W7b, 3.1 drill point)."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from outline2path.errors import OutlinePathError, SettingError
from outline2path.shop.cutter import Cutter

CONES = [
    Cutter(6, shape="v", angle=60),
    Cutter(6, shape="v", angle="90 deg", tip="0.2 mm"),
    Cutter(12.7, shape="chamfer", angle=120, tip=3),
    Cutter(3, shape="drill"),
]
ALL = [*CONES, Cutter(3), Cutter(6, shape="ball"), Cutter(25, shape="facing", flutes=3)]


def test_a_flat_cutter_shows_itself_as_it_always_has():
    cutter = Cutter("1/8 in", flutes=1, flute_length="12 mm")
    assert repr(cutter) == 'Cutter("3.175 mm", flutes=1, flute_length="12.00 mm")'
    assert cutter.label == "3.175 mm, 1 flute"


@pytest.mark.parametrize(
    "value",
    [
        *ALL,
        Cutter(6, stick_out=25, shank="1/4 in", holder=20, holder_length=30, name="the long one"),
    ],
)
def test_every_shape_shows_itself_as_the_call_that_makes_it(value):
    assert eval(repr(value), {"Cutter": Cutter}) == value  # noqa: S307


# W7: w 1, rt 0.1, e 0.5; included 60 / 90 / 120 degrees: rim at top 1.388675 / 1.6 / 1.966025
# from the wall's side, which is centre offset + w; depth of the chamfer 1.732051 / 1 / 0.577350
@pytest.mark.parametrize(
    ("angle", "deep", "rim"), [(60, 1.732051, 1.388675), (90, 1, 1.6), (120, 0.57735, 1.966025)]
)
def test_a_cone_is_as_wide_as_the_worked_chamfer(angle, deep, rim):
    cutter = Cutter(10, shape="chamfer", angle=angle, tip=0.2)
    assert cutter.radius_at_mm(deep + 0.5) == pytest.approx(rim, abs=1e-6)  # six decimals given


# W7b: groove 3 wide, rt 0 and 0.1
@pytest.mark.parametrize(
    ("angle", "tip", "deep"),
    [
        (60, 0, 2.598076),
        (90, 0, 1.5),
        (120, 0, 0.866025),
        (60, 0.2, 2.424871),
        (90, 0.2, 1.4),
        (120, 0.2, 0.80829),
    ],
)
def test_a_groove_is_as_deep_as_the_worked_one(angle, tip, deep):
    cutter = Cutter(6, shape="v", angle=angle, tip=tip)
    assert cutter.depth_for_radius_mm(1.5) == pytest.approx(deep, abs=1e-6)  # six decimals given


@pytest.mark.parametrize(("diameter", "angle"), [(1, None), (3, 118), (6, "118 deg")])
def test_the_point_of_a_drill_is_three_tenths_of_its_diameter(diameter, angle):
    drill = Cutter(diameter, shape="drill", angle=angle)
    assert drill.point_length_mm == pytest.approx(0.30043 * diameter, rel=1e-5)  # five digits


@pytest.mark.parametrize("cutter", [Cutter(3), Cutter(25, shape="facing")])
def test_a_cylinder_is_equally_wide_at_every_height(cutter):
    widths = [cutter.radius_at_mm(h) for h in (0, 0.1, 50)]
    assert widths == [cutter.radius_mm] * 3
    assert cutter.point_length_mm == 0


def test_a_ball_follows_its_circle():
    ball = Cutter(10, shape="ball")
    assert [ball.radius_at_mm(h) for h in (0, 1, 2, 5, 7)] == [0, 3, 4, 5, 5]  # 3-4-5 triangles
    assert ball.point_length_mm == 5


@pytest.mark.parametrize("cutter", ALL)
@given(share=st.floats(0, 1))
def test_width_and_height_undo_one_another(cutter, share):
    radius = share * cutter.radius_mm
    height = cutter.depth_for_radius_mm(radius)
    back = cutter.radius_at_mm(height)
    # square roots near a ball's rim lose half the digits of a float
    assert back == pytest.approx(max(radius, cutter.radius_at_mm(0)), abs=1e-7)


@pytest.mark.parametrize("cutter", ALL)
@given(low=st.floats(0, 20), more=st.floats(0, 20))
def test_no_cutter_narrows_upwards(cutter, low, more):
    assert cutter.radius_at_mm(low) <= cutter.radius_at_mm(low + more) <= cutter.radius_mm


def test_only_cones_are_conical_and_only_facing_cutters_do_not_cut_down():
    assert [cutter.is_conical for cutter in ALL] == [True] * 4 + [False] * 3
    assert [cutter.cuts_down for cutter in ALL] == [True] * 6 + [False]


def test_two_cones_of_one_diameter_have_two_labels():
    sharp, wide = (Cutter(6, shape="v", angle=a).label for a in (60, 90))
    assert sharp == "V 60 deg 6 mm, 2 flutes"
    assert sharp != wide


@pytest.mark.parametrize(
    "make",
    [
        lambda: Cutter(6, shape="round"),
        lambda: Cutter(6, shape="v"),
        lambda: Cutter(6, shape="chamfer"),
        lambda: Cutter(6, angle=60),
        lambda: Cutter(6, shape="ball", tip=1),
        lambda: Cutter(6, shape="v", angle=180),
        lambda: Cutter(6, shape="v", angle=math.nan),
        lambda: Cutter(6, shape="v", angle=60, tip=6),
        lambda: Cutter(6, shape="v", angle=60, tip=-1),
        lambda: Cutter(6, stick_out=0),
        lambda: Cutter(6, shank="-6 mm"),
        lambda: Cutter(6, holder_length=30),
        lambda: Cutter(6, flute_length=30, stick_out=20),
    ],
)
def test_shapes_that_contradict_themselves_are_refused(make):
    with pytest.raises(OutlinePathError) as caught:
        make()
    assert 10 < len(str(caught.value)) < 200


@pytest.mark.parametrize(("ask", "figure"), [("radius_at_mm", -0.1), ("depth_for_radius_mm", 3.1)])
def test_heights_and_widths_a_cutter_has_not_are_refused(ask, figure):
    with pytest.raises(SettingError):
        getattr(Cutter(6), ask)(figure)
