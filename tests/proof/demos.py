"""Programs for every demo drawing and every kind of step, as this project writes them.

Every drawing is cut out with tabs. Plates are faced, pocketed, bored, drilled, engraved,
chamfered, cut with slots to fit, or with two cutters. Sizes are those the files state.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import shapely

import outline2path as o2p
from outline2path.job.planned import PlannedProgram
from outline2path.job.toml import read_job

ART = Path(__file__).parents[2] / "demo_art"
THIN, WIDE = o2p.Cutter("1/8 in", flutes=1), o2p.Cutter(12)
SMALL, LARGE = o2p.Cutter(2), o2p.Cutter(6)
CONE = o2p.Cutter(6, shape="v", angle=90)
DRILL = o2p.Cutter(4, shape="drill")
DRAWINGS = tuple(sorted(path.stem for path in ART.glob("*.svg")))
MACHINE = o2p.Machine(travel="400 x 300 x 80 mm")
PLATE = shapely.box(10, 10, 80, 60)
BORED = shapely.MultiPolygon(
    [shapely.Point(p).buffer(5, quad_segs=64) for p in ((25, 22), (66, 48))]
)
DRILLED = shapely.MultiPolygon(
    [shapely.Point(p).buffer(2, quad_segs=32) for p in ((16, 54), (45, 54), (74, 16))]
)
ROOM = shapely.box(32, 20, 58, 48) - shapely.Point(45, 34).buffer(6, quad_segs=64)


def drawn(region) -> o2p.Outline:
    return o2p.Outline.from_shapely(region)


def bench() -> o2p.Job:
    stock = o2p.Stock("90 x 70 x 8 mm", material="birch plywood")
    return o2p.Job(stock=stock, machine=MACHINE, zero="stock-corner", placed="as-drawn")


def cut_out(name: str) -> o2p.Job:
    """A drawing cut out of a sheet, held by tabs."""
    outline = o2p.read_outline(ART / f"{name}.svg")
    job = o2p.Job(
        stock=o2p.Stock(thickness=6, material="birch plywood"), machine=MACHINE, name=name
    )
    return job.profile(outline, THIN, tabs=3)


def every_kind() -> o2p.Job:
    """One plate faced, pocketed, bored, drilled, engraved, chamfered and cut out."""
    job = bench()
    job.face(WIDE, depth="0.5 mm").pocket(drawn(ROOM), THIN, depth="2 mm")
    job.drill(drawn(BORED), THIN).drill(drawn(DRILLED), DRILL)
    job.engrave(drawn(shapely.box(15, 12, 50, 15)), CONE, depth="0.3 mm")
    job.chamfer(drawn(PLATE), CONE, width="1 mm")
    return job.profile(drawn(PLATE), THIN, tabs=4, entry="ramp")


def two_cutters() -> o2p.Job:
    """A pocket cleared with a large cutter, its corners with a small one."""
    job, room = bench(), drawn(shapely.box(10, 10, 60, 40))
    job.pocket(room, LARGE, depth="3 mm")
    return job.pocket(room, SMALL, depth="3 mm", rest_of=LARGE.diameter_mm)


def base() -> o2p.Job:
    """The worked job of the demo: relieved slots that fit, both sides faced, a second blank."""
    return read_job(ART / "heron_on_base" / "job.toml")


@cache
def demo_programs() -> dict[str, PlannedProgram]:
    """Return every program by its name; each passes its proof."""
    found = {}
    for title, job in (
        *((name, cut_out(name)) for name in DRAWINGS),
        ("every kind", every_kind()),
        ("two cutters", two_cutters()),
        ("heron on its base", base()),
    ):
        for program in job.plan().programs:
            found[f"{title}: {program.name}"] = program
    return found
