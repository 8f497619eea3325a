"""Named specimens: one shape for each difficulty, with its answer in closed form.

Shapely geometry in mm, y up. Round shapes are chords of 512 to a quarter turn, whose sagitta is
under 5e-6 of the radius.
"""

from __future__ import annotations

import math

import numpy as np
import shapely

QUADRANT = 512


def disc(x: float, y: float, r: float) -> shapely.Polygon:
    """A disc of radius r about x, y."""
    return shapely.Point(x, y).buffer(r, quad_segs=QUADRANT)


def square(a: float) -> shapely.Polygon:
    """A square of side a, lower left corner at the origin."""
    return shapely.box(0, 0, a, a)


def triangle_345() -> shapely.Polygon:
    """The right triangle of sides 3, 4, 5: area 6, inradius 1."""
    return shapely.Polygon([(0, 0), (4, 0), (0, 3)])


def hourglass() -> shapely.Polygon:
    """Two discs of radius 5 with centres 6 apart: waist 2 sqrt(25 - 9) = 8 (sources.md 4, W16)."""
    return disc(-3, 0, 5).union(disc(3, 0, 5))


def hourglass_hole() -> shapely.Polygon:
    """A plate whose hole is the hourglass: a gap of 8.000 in the free space."""
    return shapely.box(-15, -12, 15, 12).difference(hourglass())


def two_discs() -> shapely.MultiPolygon:
    """Discs of radius 9 and 8, centres 20 apart: a gap of 3.000 (sources.md W16)."""
    return shapely.MultiPolygon([disc(0, 0, 9), disc(20, 0, 8)])


def keyhole(neck: float = 2.0) -> shapely.Polygon:
    """A plate with a round hole of radius 6 and a neck to the edge, `neck` wide."""
    plate = shapely.box(-20, -15, 20, 15)
    return plate.difference(disc(0, 0, 6)).difference(shapely.box(-neck / 2, 0, neck / 2, 20))


def comb(gaps: tuple[float, ...] = (0.5, 1, 1.5, 2, 2.5, 3, 3.5, 4)) -> shapely.Polygon:
    """A comb with square-ended slots 12 deep, as wide as `gaps` say, teeth 4 wide."""
    width = sum(gaps) + 4 * (len(gaps) + 1)
    body, x = shapely.box(0, 0, width, 20), 4.0
    for gap in gaps:
        body = body.difference(shapely.box(x, 8, x + gap, 21))
        x += gap + 4
    return body


def wedge_notch(angle_deg: float) -> shapely.Polygon:
    """A plate 40 x 30 with a notch of that inside angle, its tip at (20, 10), open to the top."""
    half = math.radians(angle_deg) / 2
    up = 25.0
    notch = shapely.Polygon(
        [(20, 10), (20 + up * math.tan(half), 10 + up), (20 - up * math.tan(half), 10 + up)]
    )
    width = max(40.0, 2 * up * math.tan(half) + 20)
    return shapely.box(20 - width / 2, 0, 20 + width / 2, 30).difference(notch)


def pentagram(r: float = 1.0) -> shapely.Polygon:
    """The five-pointed star outline: area 1.122570 r^2, perimeter 7.265425 r (sources.md 4)."""
    k = np.arange(10)
    radius = np.where(k % 2 == 0, r, r * math.sin(math.radians(18)) / math.sin(math.radians(54)))
    angle = math.pi / 2 + k * math.pi / 5
    return shapely.Polygon(np.column_stack((radius * np.cos(angle), radius * np.sin(angle))))


def rounded_rectangle(w: float = 40, h: float = 20, q: float = 5) -> shapely.Polygon:
    """A rectangle w x h with corner radius q: 40 x 20, q 5 has area 778.539816."""
    return shapely.box(q, q, w - q, h - q).buffer(q, quad_segs=QUADRANT)


def ellipse(a: float = 30, b: float = 20, points: int = 4096) -> shapely.Polygon:
    """An ellipse of semi-axes a, b: 30 x 20 has area 1884.955592, perimeter 158.654396."""
    t = np.linspace(0, 2 * math.pi, points, endpoint=False)
    return shapely.Polygon(np.column_stack((a * np.cos(t), b * np.sin(t))))


def ring() -> shapely.Polygon:
    """A washer: radius 20 with a hole of radius 8."""
    return disc(0, 0, 20).difference(disc(0, 0, 8))


def nested() -> shapely.MultiPolygon:
    """A washer with an island in its hole: rings inside rings."""
    return shapely.MultiPolygon([ring(), disc(0, 0, 3)])


def tiny_island() -> shapely.MultiPolygon:
    """A plate with a speck of 0.2 mm beside it."""
    return shapely.MultiPolygon([square(30), disc(36, 15, 0.1)])


ALL = {
    "square": square(30),
    "triangle": shapely.affinity.scale(triangle_345(), 8, 8),
    "hourglass": hourglass(),
    "hourglass hole": hourglass_hole(),
    "two discs": two_discs(),
    "keyhole": keyhole(),
    "comb": comb(),
    "wedge": wedge_notch(30),
    "pentagram": pentagram(25),
    "rounded rectangle": rounded_rectangle(),
    "ellipse": ellipse(),
    "ring": ring(),
    "nested rings": nested(),
    "tiny island": tiny_island(),
}
"""Every specimen at a workshop's size, by name."""
