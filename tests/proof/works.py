"""Programs of several kinds of work, made from shapely's buffers alone, nothing of ours.

The base is a plate 60 x 40 x 6 mm with work zero at its lower left and z 0 on its top.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import shapely

from outline2path.proof.expected_program import Earlier, ExpectedProgram, KeepOut
from outline2path.proof.feature import Feature
from outline2path.proof.judge import judge
from outline2path.shop.cutter import Cutter

MARGIN = 0.006
PLATE = shapely.box(0, 0, 60, 40)
TANK = shapely.box(8, 8, 30, 32) - shapely.Point(19, 20).buffer(4, quad_segs=64)
WELL = shapely.Point(46, 20).buffer(7, quad_segs=64)
SUMP = shapely.box(42, 16, 50, 24)
FLAT = Cutter(3.0, flutes=1)
VEE = Cutter(6.0, shape="v", angle=90)
BLUNT = Cutter(6.0, shape="chamfer", angle=60, tip=0.4)
DRILL = Cutter(3.0, shape="drill")
HOLES = ((5.0, 5.0), (55.0, 5.0), (55.0, 35.0))
HEAD = ("(work)", "G21", "G17", "G90", "G94", "M3 S9000", "G0 Z5")
TAIL = ("M5", "M30")


@dataclass(frozen=True)
class Work:
    """Lines of a program's body, and what it was to make."""

    expected: ExpectedProgram
    body: tuple[str, ...]

    @property
    def text(self) -> str:
        return "\n".join([*HEAD, *self.body, *TAIL]) + "\n"

    def edited(self, change: Callable[[list[str]], list[str]]) -> Work:
        return replace(self, body=tuple(change(list(self.body))))

    def failed(self) -> dict[str, str]:
        return {c.name: c.detail for c in judge(self.text, self.expected).failed}


def xy(point) -> str:
    return f"X{point[0]:.4f} Y{point[1]:.4f}"


def along(points, z: float, *, note: str = "") -> list[str]:
    """Go above the first point, down, along the points, up."""
    lines = [f"G0 {xy(points[0])}", f"G1 Z{z:.4f} F200 {note}".rstrip()]
    return [*lines, *(f"G1 {xy(p)} F600" for p in points[1:]), "G0 Z5"]


def rings(region) -> list[np.ndarray]:
    return [
        shapely.get_coordinates(r) for p in shapely.get_parts(region) for r in shapely.get_rings(p)
    ]


def cleared(region, cutter: Cutter, levels, *, stepover=0.4, margin=MARGIN) -> list[str]:
    """Rings from the wall inwards at every level."""
    lines = []
    for z in levels:
        inner = region.buffer(-cutter.radius_mm - margin, quad_segs=32)
        number = 0
        while not inner.is_empty:
            for ring in rings(inner):
                lines += along(ring, z, note=f"(ring {number} z {z:g})")
            number += 1
            inner = inner.buffer(-stepover * cutter.diameter_mm, quad_segs=32)
    return lines


def swept_rows(box, cutter: Cutter, z: float, *, stepover=0.8) -> list[str]:
    """Zigzag over a box and beyond its sides."""
    x0, y0, x1, y1 = box
    beyond = cutter.radius_mm + 0.5
    rows = np.arange(y0, y1 + stepover * cutter.diameter_mm, stepover * cutter.diameter_mm)
    points = []
    for n, y in enumerate(rows):
        ends = [(x0 - beyond, y), (x1 + beyond, y)]
        points += ends[:: 1 if n % 2 == 0 else -1]
    return along(points, z)


def around(region, cutter: Cutter, levels, *, margin=MARGIN) -> list[str]:
    lines = []
    for z in levels:
        for ring in rings(region.buffer(cutter.radius_mm + margin, quad_segs=32)):
            lines += along(ring, z, note="(edge)")
    return lines


def chamfered(region, cutter: Cutter, *, width: float, tip: float, side="outside") -> list[str]:
    """Run along an edge so that the cone takes `width` off it at z 0 with its tip at `tip`."""
    out = cutter.radius_at_mm(-tip) - width + MARGIN
    path = region.buffer(out if side == "outside" else -out, quad_segs=64)
    return [line for ring in rings(path) for line in along(ring, tip, note="(chamfer)")]


def drilled(places, z: float) -> list[str]:
    return [line for p in places for line in (f"G0 {xy(p)}", f"G1 Z{z:.4f} F200", "G0 Z5")]


def feature(kind: str, region, bottom: float, **more) -> Feature:
    return Feature(kind=kind, region_fine=region, bottom_mm=bottom, **more)


def expected(features, cutter: Cutter, **more) -> ExpectedProgram:
    return ExpectedProgram(
        features=tuple(features),
        cutter=cutter,
        top_mm=0.0,
        bottom_mm=-6.0,
        clearance_mm=5.0,
        **{"depth_per_pass_mm": 2.0, "stock_mm": (-5, -5, 65, 45), **more},
    )


def base(**more) -> Work:
    """Two pockets, one with an island and one with a deeper one in it, a bored hole, the edge."""
    bored = shapely.Point(36, 33).buffer(2.5, quad_segs=64)
    body = [
        *cleared(TANK, FLAT, (-1.5, -3.0)),
        *cleared(WELL, FLAT, (-2.0,)),
        *cleared(SUMP, FLAT, (-4.0,)),
        *cleared(bored, FLAT, (-2.0, -4.0, -6.0, -6.3)),
        *around(PLATE, FLAT, (-2.0, -4.0, -6.0, -6.3)),
    ]
    features = [
        feature("pocket", TANK, -3.0, name="tank"),
        feature("pocket", WELL, -2.0, name="well"),
        feature("pocket", SUMP, -4.0, top_mm=-2.0, name="sump"),
        feature("hole", bored, -6.0, through_mm=0.3, name="bore"),
        feature("profile", PLATE, -6.0, through_mm=0.3, name="edge"),
    ]
    return Work(expected(features, FLAT, **more), tuple(body))


def faced() -> Work:
    big = Cutter(12.0, shape="facing")
    blank = shapely.box(-5, -5, 65, 45)
    body = swept_rows(blank.bounds, big, -0.5)
    more = {"stock_mm": blank.bounds}
    return Work(expected([feature("face", blank, -0.5, name="face")], big, **more), tuple(body))


def holes() -> Work:
    """Holes through the plate; the drill's point goes deeper than the underside."""
    tip = -6.3 - DRILL.point_length_mm
    drawn = shapely.MultiPolygon([shapely.Point(p).buffer(1.5, quad_segs=64) for p in HOLES])
    wanted = expected(
        [feature("hole", drawn, -6.0, through_mm=0.3)], DRILL, depth_per_pass_mm=None
    )
    return Work(wanted, tuple(drilled(HOLES, tip)))


def bevel(cutter: Cutter = VEE, *, width=1.0, tip=-1.8, side="outside", region=PLATE) -> Work:
    drawn = feature("chamfer", region, tip, width_mm=width, side=side, name="chamfer")
    body = chamfered(region, cutter, width=width, tip=tip, side=side)
    return Work(expected([drawn], cutter), tuple(body))


def engraved(cutter: Cutter = VEE, *, z=-0.3, top=0.0, before=()) -> Work:
    letter = shapely.MultiLineString([[(40, 18), (46, 24), (52, 18)], [(43, 21), (49, 21)]])
    drawn = feature("line", letter, z, top_mm=top, name="letter")
    body = [line for g in letter.geoms for line in along(shapely.get_coordinates(g), z)]
    return Work(expected([drawn], cutter, before=tuple(before)), tuple(body))


def large_then_small() -> Work:
    """A pocket cleared with a large cutter, its corners taken with a small one."""
    large, small = Cutter(6.0), Cutter(2.0)
    room = shapely.box(10, 10, 50, 30)
    drawn = feature("pocket", room, -2.0, name="room")
    first = Work(expected([drawn], large), tuple(cleared(room, large, (-2.0,))))
    wall = room.buffer(-small.radius_mm - MARGIN, join_style="mitre")
    x0, y0, x1, y1 = wall.bounds
    body = []
    for x, y, i, j in ((x0, y0, 1, 1), (x1, y0, -1, 1), (x1, y1, -1, -1), (x0, y1, 1, -1)):
        for off in (0.9, 0.0):
            ends = [(x + i * 3, y + j * off), (x + i * off, y + j * off), (x + i * off, y + j * 3)]
            body += along(ends, -2.0)
    earlier = Earlier(text=first.text, cutter=large, features=(drawn,))
    return Work(expected([drawn], small, before=(earlier,)), tuple(body))


def clamp_at(x0, y0, x1, y1, top=10.0) -> KeepOut:
    return KeepOut(box_mm=(x0, y0, x1, y1), top_mm=top, name="the left clamp")
