"""A small program maker for judging the judge: plain rings from shapely, nothing of ours.

Each maker returns lines of text. Rings are shapely buffers of the part, or for rounded plates
exact lines and arcs. A ring is cut level by level, raised over tabs.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from outline2path.proof.expected import Expected, ExpectedTab

HEAD = ["(test part)", "G21", "G17", "G90", "G94", "M3 S9000", "G0 Z5"]
TAIL = ["G0 Z5", "M5", "M30"]
CLEAR, TOP, BOTTOM, THROUGH = 5.0, 0.0, -4.0, 0.3


@dataclass(frozen=True)
class Job:
    """What is expected, and a text that makes it."""

    expected: Expected
    lines: tuple[str, ...]

    @property
    def text(self) -> str:
        return "\n".join(self.lines) + "\n"


def xy(point) -> str:
    return f"X{point[0]:.4f} Y{point[1]:.4f}"


def levels(depth_per_pass: float = 2.15) -> list[float]:
    count = int(np.ceil((TOP - BOTTOM + THROUGH) / depth_per_pass - 1e-9))
    return [TOP + (BOTTOM - THROUGH - TOP) * (n + 1) / count for n in range(count)]


def ring_pass(ring: np.ndarray, z: float, spans=(), raised=None) -> list[str]:
    """One pass around a closed ring at z; `spans` are (from, to) lengths to run at `raised`."""
    length = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(ring, axis=0).T))])
    lines = [f"G1 Z{z:.4f} F200 (pass)"]
    stops = sorted({s for span in spans for s in span} | set(length[1:].tolist()))
    up = False
    for s in stops:
        point = [np.interp(s, length, ring[:, n]) for n in (0, 1)]
        lines.append(f"G1 {xy(point)} F600")
        now = any(a <= s < b for a, b in spans) and z < raised
        if now != up:
            lines.append(f"G1 Z{raised if now else z:.4f} F200")
            up = now
    return lines


def tab_places(ring: np.ndarray, count: int, room: float) -> list[float]:
    """Lengths along a ring for tabs: longest straight stretches, or evenly where it is round."""
    steps = np.hypot(*np.diff(ring, axis=0).T)
    ends = np.cumsum(steps)
    straight = [n for n in np.argsort(-steps) if steps[n] > room][:count]
    if len(straight) < count:
        return [(n + 0.4) / count * ends[-1] for n in range(count)]
    return [float(ends[n] - steps[n] / 2) for n in straight]


def on_ring(ring: np.ndarray, middle: float, tab: tuple[float, float], cutter: float):
    """A tab at a length along the ring: its span and what is expected of it."""
    line = shapely.LineString(ring)
    point = line.interpolate(middle)
    half = (tab[0] + cutter) / 2
    wanted = ExpectedTab(at_mm=(point.x, point.y), length_mm=tab[0], height_mm=tab[1])
    return (middle - half, middle + half), wanted


def around(part) -> tuple[float, float, float, float]:
    """Stock that reaches 8 mm beyond the part."""
    x0, y0, x1, y1 = part.bounds
    return (x0 - 8, y0 - 8, x1 + 8, y1 + 8)


def rings_for(part, side: str, distance: float) -> list[np.ndarray]:
    """Rings of the cutter's centre, inner ones first; shapely's buffer stands for the offset."""
    grown = part.buffer(distance if side == "outside" else -distance, quad_segs=32)
    if side == "on":
        grown = part
    polygons = shapely.get_parts(grown)
    inner = [np.array(r.coords) for p in polygons for r in p.interiors]
    return inner + [np.array(p.exterior.coords) for p in polygons]


def job(
    part,
    *,
    side="outside",
    cutter=3.0,
    margin=0.006,
    tabs=0,
    tab=(5.0, 1.2),
    depth_per_pass=2.15,
    tolerance=0.02,
) -> Job:
    """A whole program for a part, and what is expected of it."""
    lines, wanted = list(HEAD), []
    for ring in rings_for(part, side, cutter / 2 + margin):
        spans = []
        for place in tab_places(ring, tabs, tab[0] + cutter + 1):
            span, expected_tab = on_ring(ring, place, tab, cutter)
            spans.append(span)
            wanted.append(expected_tab)
        lines.append(f"G0 {xy(ring[0])}")
        for z in levels(depth_per_pass):
            lines += ring_pass(ring, z, spans, BOTTOM + tab[1])
        lines.append("G0 Z5")
    expected = Expected(
        region_fine=part,
        side=side,
        cutter_mm=cutter,
        tolerance_mm=tolerance,
        top_mm=TOP,
        bottom_mm=BOTTOM,
        through_mm=THROUGH,
        tabs=tuple(wanted),
        clearance_mm=CLEAR,
        travel_mm=(-100, -100, -10, 200, 200, 50),
        stock_mm=around(part),
        most_feed_mm_min=3000,
        depth_per_pass_mm=depth_per_pass,
    )
    return Job(expected, (*lines, *TAIL[1:]))


def plate_with_arcs(width=40.0, height=20.0, round_=5.0, *, cutter=3.0, margin=0.006) -> Job:
    """A plate with round corners, cut with one arc at each, clockwise around."""
    out = cutter / 2 + margin
    q = round_ + out
    w, h = width / 2, height / 2
    corners = [
        ((-w - out, h - round_), (-w + round_, h + out), (q, 0)),
        ((w - round_, h + out), (w + out, h - round_), (0, -q)),
        ((w + out, -h + round_), (w - round_, -h - out), (-q, 0)),
        ((-w + round_, -h - out), (-w - out, -h + round_), (0, q)),
    ]
    lines = [*HEAD, f"G0 {xy((-w - out, -h + round_))}"]
    for z in levels():
        lines.append(f"G1 Z{z:.4f} F200 (pass)")
        for a, b, (i, j) in corners:
            lines += [f"G1 {xy(a)} F600", f"G2 {xy(b)} I{i:.4f} J{j:.4f}"]
    core = shapely.box(-w + round_, -h + round_, w - round_, h - round_)
    part = core.buffer(round_, quad_segs=512)
    expected = Expected(
        region_fine=part,
        side="outside",
        cutter_mm=cutter,
        top_mm=TOP,
        bottom_mm=BOTTOM,
        through_mm=THROUGH,
        clearance_mm=CLEAR,
        travel_mm=(-100, -100, -10, 200, 200, 50),
        stock_mm=around(part),
        most_feed_mm_min=3000,
        depth_per_pass_mm=2.15,
    )
    return Job(expected, (*lines, *TAIL))
