"""Pictures touch nothing outside themselves."""

from __future__ import annotations

import pkgutil
import subprocess
import sys

import matplotlib
import pytest

import outline2path.picture
from outline2path.picture.dots import picture
from outline2path.picture.plan_view import draw_plan, draw_reach
from outline2path.picture.show import outline_png
from tests.picture.stand_ins import leaf, outline, plan_of_leaf

MODULES = [m.name for m in pkgutil.iter_modules(outline2path.picture.__path__)]


def run(code: str) -> str:
    """Run code in a fresh interpreter and return what it prints."""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return done.stdout.strip()


def test_importing_every_picture_module_loads_no_plotting_library():
    names = ", ".join(f"outline2path.picture.{name}" for name in MODULES)
    assert run(f"import sys, {names}; print('matplotlib' in sys.modules)") == "False"


def test_drawing_never_loads_the_global_plotting_interface():
    code = (
        "import sys, shapely; from outline2path.drawing.outline import Outline;"
        "from outline2path.picture.show import outline_png;"
        "outline_png(Outline.from_shapely(shapely.box(0, 0, 9, 9)));"
        "print('matplotlib.pyplot' in sys.modules, 'matplotlib' in sys.modules)"
    )
    assert run(code) == "False True"


def test_settings_of_the_plotting_library_stay_as_they_were():
    before = dict(matplotlib.rcParams)
    picture(draw_plan(**plan_of_leaf()), dpi=50)
    assert dict(matplotlib.rcParams) == before


def test_pictures_look_alike_under_foreign_settings():
    plain = outline_png(outline(leaf()))
    with matplotlib.rc_context(
        {"font.family": "serif", "lines.linewidth": 7, "text.color": "red"}
    ):
        assert outline_png(outline(leaf())) == plain


def test_foreign_axes_keep_their_neighbours():
    from matplotlib.figure import Figure

    figure = Figure()
    ours, theirs = figure.subplots(1, 2)
    theirs.plot([0, 1], [5, 6])
    before = (theirs.get_xlim(), theirs.get_ylim(), len(theirs.get_children()))
    drawn = draw_plan(**plan_of_leaf(), ax=ours)
    assert drawn.ax is ours
    assert len(figure.axes) == 2
    assert (theirs.get_xlim(), theirs.get_ylim(), len(theirs.get_children())) == before


def test_axes_in_a_part_of_a_figure_work():
    from matplotlib.figure import Figure

    figure = Figure()
    left, _ = figure.subfigures(1, 2)
    drawn = draw_reach(plan_of_leaf()["reach"], ax=left.subplots())
    assert drawn.figure is figure


@pytest.mark.parametrize("kind", ["png", "svg", "pdf"])
def test_the_same_drawing_gives_the_same_bytes(kind):
    made = [picture(draw_plan(**plan_of_leaf()), kind=kind, dpi=50) for _ in range(2)]
    assert made[0] == made[1]
