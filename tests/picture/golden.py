"""Golden pictures: what the pictures looked like when somebody last looked at them.

    python -m tests.picture.golden

draws them anew into `tests/picture/golden/`; look at each before it is committed.

Compared is what an eye sees from a little way off: both pictures are brought down to cells of a
few dots, in CIE L*a*b*, and their difference is evened out over three cells by three, so that
edges smoothed in another way cancel out; an area or a line that changes its colour does not.
Words are left to other tests and not drawn, since letters differ from one version of the plotting
library to the next, and all is drawn into axes of a given size.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import numpy as np
import shapely
from matplotlib.image import imread, imsave
from matplotlib.text import Text

from outline2path.drawing.outline import Outline
from outline2path.drawing.single_line import single_line
from outline2path.operations.gauge import fit_gauge
from outline2path.operations.mating import mates
from outline2path.path.toolpath import LINE, MOVE, RAPID, ROLES, Section, Toolpath
from outline2path.picture.choice import draw_choice
from outline2path.picture.details import draw_detail, listed_spots
from outline2path.picture.height_field import Cutting
from outline2path.picture.marks import make_marks
from outline2path.picture.page import new_figure
from outline2path.picture.passes import draw_passes
from outline2path.picture.plan_view import draw_outline, draw_plan, draw_reach
from outline2path.picture.section import draw_section
from outline2path.picture.solid import solid_picture
from outline2path.picture.together import draw_gauge, draw_mating
from outline2path.reach.spots import narrow_spots
from outline2path.shop.cutter import Cutter
from tests.picture.stand_ins import leaf, outline, plan_of_leaf, profile_path
from tests.picture.vision import lab, linear

PLACE = Path(__file__).parent / "golden"
LIMIT = 2.3
"""Greatest difference, CIE 1976, that may stay: the least a person notices side by side."""
_SIZE_PT, _DPI, _CELL = (346.0, 260.0), 50.0, 4
_WIDE_PX = 240


def axes(count=1, size=_SIZE_PT):
    """Axes that fill a figure but for room for their figures."""
    figure = new_figure(*size, dpi=_DPI)
    wide = 0.98 / count
    return [
        figure.add_axes((0.01 + 0.08 / count + k * wide, 0.1, wide - 0.1 / count, 0.88))
        for k in range(count)
    ]


def dots(ax) -> np.ndarray:
    """The dots of the figure that axes lie in, red green blue 0 to 1."""
    for words in ax.figure.findobj(Text):
        words.set_visible(bool(getattr(words, "arrow_patch", None)) and not words.get_text())
    stream = io.BytesIO()
    ax.figure.savefig(stream, format="png", dpi=_DPI, facecolor=ax.figure.get_facecolor())
    stream.seek(0)
    return imread(stream)[..., :3]


PLATE = shapely.box(10, 10, 90, 60).buffer(4)
SEAT = shapely.box(22, 22, 50, 48)
HOLES = [(66.0, 24.0), (66.0, 46.0)]
STOCK = (0.0, 0.0, 100.0, 70.0)


def made(operation: str, cutter: Cutter, rings, depths) -> Toolpath:
    """A path along rings at depths, whatever the planner would choose today."""
    role, rows, sections = {name: k for k, name in enumerate(ROLES)}, [], []
    for number, ring in enumerate(rings):
        points = shapely.get_coordinates(ring)
        for z in depths:
            where = len(sections)
            sections.append(Section(operation=operation, contour=number, cutter=cutter, z_mm=z))
            rows.append((RAPID, role["rapid"], where, *points[0], 5.0, 0, 0, 0))
            rows.append((LINE, role["plunge"], where, *points[0], z, 0, 0, 200))
            rows += [(LINE, role["cut"], where, x, y, z, 0, 0, 900) for x, y in points[1:]]
            rows.append((RAPID, role["retract"], where, *points[-1], 5.0, 0, 0, 0))
    return Toolpath(
        moves=np.array(rows, dtype=MOVE),
        sections=tuple(sections),
        start=(0.0, 0.0, 5.0),
        clearance_mm=5.0,
    )


def works() -> dict[str, tuple[shapely.Geometry, str, Toolpath]]:
    """What is made of a small plate: shape, side and path of each program."""
    letters = single_line("O2", height="14 mm").move(56, 14)
    strokes = [*shapely.get_parts(letters.lines), *(g.exterior for g in letters.region.geoms)]
    discs = shapely.union_all([shapely.Point(at).buffer(2.5) for at in HOLES])
    drilled = [shapely.LineString([at, at]) for at in HOLES]
    cleared = [SEAT.buffer(-3 - 2.4 * k, join_style="mitre").exterior for k in range(4)]
    return {
        "drill": (discs, "inside", made("drill", Cutter(5, shape="drill"), drilled, (-12.3,))),
        "pocket": (SEAT, "inside", made("pocket", Cutter(6), cleared, (-2.0, -4.0))),
        "engrave": (PLATE, "on", made("engrave", Cutter(3, shape="ball"), strokes, (-0.3,))),
        "chamfer": (
            PLATE,
            "outside",
            made("chamfer", Cutter(8, shape="v", angle=90), [PLATE.buffer(0.3).exterior], (-2.3,)),
        ),
    }


def _program(deed: str):
    """Draw one program of the plate's."""
    shape, side, path = works()[deed]
    (ax,) = axes()
    draw_plan(outline=outline(shape), toolpath=path, stock_box_mm=STOCK, side=side, ax=ax)
    return dots(ax)


def _profile(tabs: int = 4):
    (ax,) = axes()
    path, bridges = profile_path(PLATE, cutter_mm=6.0, tabs=tabs)
    draw_plan(outline=outline(PLATE), toolpath=path, tabs=bridges, stock_box_mm=STOCK, ax=ax)
    return dots(ax)


def text_of(path: Toolpath) -> str:
    """A path as a program, word by word."""
    rows = path.moves
    lines = [
        f"G{0 if row['kind'] == RAPID else 1} X{row['x']:.3f} Y{row['y']:.3f} Z{row['z']:.3f} F900"
        for row in rows
    ]
    return "\n".join(["G21 G90 G17", *lines, "M30"])


def _plan(**options):
    (ax,) = axes()
    draw_plan(**plan_of_leaf(**options), ax=ax)
    return dots(ax)


def _passes():
    found = axes(2)
    plan = plan_of_leaf()
    draw_passes(outline=plan["outline"], toolpath=plan["toolpath"], axes=found)
    return dots(found[0])


def _reach():
    (ax,) = axes()
    draw_reach(plan_of_leaf()["reach"], ax=ax)
    return dots(ax)


def _detail():
    reach = narrow_spots(Outline.from_shapely(leaf()), 6.0)
    (ax,) = axes(size=(200.0, 200.0))
    number, mark, spot = listed_spots(reach, make_marks(reach=reach))[0]
    draw_detail(ax, reach, spot, (number, mark))
    return dots(ax)


def _section():
    (ax,) = axes()
    plan = plan_of_leaf()
    draw_section(
        outline=plan["outline"],
        toolpath=plan["toolpath"],
        top_mm=0.0,
        bottom_mm=-6.0,
        tabs=plan["tabs"],
        ax=ax,
    )
    return dots(ax)


def _choice():
    (ax,) = axes()
    part = outline(leaf())
    draw_choice([narrow_spots(part, wide) for wide in (1.0, 2.0, 3.175, 6.0)], ax=ax)
    return dots(ax)


def _solid():
    path, _ = profile_path(PLATE, cutter_mm=6.0, tabs=2, depths_mm=(-6.0, -12.3))
    paths = [path for _, _, path in works().values()] + [path]
    cuttings = [Cutting(text=text_of(p), cutter=p.sections[0].cutter) for p in paths]
    solid = solid_picture(
        cuttings,
        stock_box_mm=STOCK,
        top_mm=0.0,
        bottom_mm=-12.0,
        part=PLATE,
        material="oak",
        wide_px=_WIDE_PX,
    )
    shown = solid.dots / 255
    clear = shown[..., 3:]
    return shown[..., :3] * clear + (1 - clear)


def _mating():
    (ax,) = axes()
    foot = Outline.from_shapely(shapely.box(0, 0, 24, 8))
    slot = Outline.from_shapely(shapely.box(-0.1, -0.1, 24.1, 8.1).buffer(-3).buffer(3))
    draw_mating(mates(foot, slot, "0.1 mm"), ax=ax)
    return dots(ax)


def _gauge():
    (ax,) = axes()
    draw_gauge(fit_gauge("5.8 mm", count=4), ax=ax)
    return dots(ax)


def _outline(units="mm"):
    (ax,) = axes()
    draw_outline(outline(leaf()), units=units, ax=ax)
    return dots(ax)


PICTURES: dict[str, Callable[[], np.ndarray]] = {
    "outline": _outline,
    "outline in inches": lambda: _outline("in"),
    "plan": _plan,
    "plan of an opening": lambda: _plan(side="inside"),
    "profile with tabs": _profile,
    "pocket": lambda: _program("pocket"),
    "drill": lambda: _program("drill"),
    "chamfer": lambda: _program("chamfer"),
    "engrave": lambda: _program("engrave"),
    "passes": _passes,
    "reach": _reach,
    "enlarged spot": _detail,
    "section": _section,
    "choice": _choice,
    "solid": _solid,
    "mating": _mating,
    "gauge": _gauge,
}
"""Every golden picture by its name."""


def cells(picture: np.ndarray) -> np.ndarray:
    """The picture in cells of a few dots, in L*a*b*."""
    high, wide = (n // _CELL * _CELL for n in picture.shape[:2])
    light = linear(picture[:high, :wide])
    return lab(light.reshape(high // _CELL, _CELL, wide // _CELL, _CELL, 3).mean(axis=(1, 3)))


def apart(one: np.ndarray, other: np.ndarray) -> float:
    """How far apart two pictures look at the worst place; without bound if of other sizes."""
    a, b = cells(one), cells(other)
    if a.shape != b.shape:
        return np.inf
    wide = np.pad(a - b, ((1, 1), (1, 1), (0, 0)), mode="edge")
    shifted = [wide[i : i + a.shape[0], j : j + a.shape[1]] for i in range(3) for j in range(3)]
    return float(np.linalg.norm(np.mean(shifted, axis=0), axis=-1).max())


def kept(name: str) -> np.ndarray:
    """The picture as it was when it was last looked at."""
    return imread(PLACE / f"{name.replace(' ', '_')}.png")[..., :3]


def main() -> None:
    """Draw every picture anew."""
    PLACE.mkdir(exist_ok=True)
    for name, draw in PICTURES.items():
        path = PLACE / f"{name.replace(' ', '_')}.png"
        imsave(path, np.ascontiguousarray(draw()), metadata={"Software": None})
        print(path.name, path.stat().st_size)


if __name__ == "__main__":
    main()
