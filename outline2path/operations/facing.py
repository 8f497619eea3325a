"""Facing: a surface cut flat, from edge to edge.

In: an Outline (a rectangle of stock, a whole blank, any regions), a Cutter, the settings, z of
the surface and of the new one, mm. Out: Cuts, one contour: at each depth the whole region is swept
and more: facing runs over the region's edges, and comes down beside them where the region leaves
room. Where something must stand beside the region, use a pocket.

zigzag    lines to and fro, joined at their ends where the region lets them.
one-way   lines all the same way, lifting in between.
spiral-in rings from the edge inwards.

Lines: `scanlines`. Rings: the first is the innermost of a few whose sweep holds the whole region,
the others lie a stepover apart inside it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.operations.checks import check_holds_area
from outline2path.operations.clearing import Leg, walks_of
from outline2path.operations.cut import Contour, Cut, Cuts, Span
from outline2path.operations.face_settings import FaceSettings
from outline2path.operations.levels import levels_of
from outline2path.operations.loops import Loop
from outline2path.operations.offset import offset
from outline2path.operations.passes import pass_depths
from outline2path.operations.scanlines import strokes
from outline2path.operations.shortfalls import flute_findings
from outline2path.operations.specks import with_detours
from outline2path.tolerance import GRID_MM, Budget

if TYPE_CHECKING:
    from outline2path.drawing.outline import Outline
    from outline2path.shop.cutter import Cutter

__all__ = ["FaceSettings", "face"]

Floats = NDArray[np.float64]
_BESIDE_MM = 1.0
"""The cutter comes down this far beside the region: common practice, no source."""
_TRIES = 64
"""Places tried to come down at."""


def face(
    outline: Outline,
    cutter: Cutter,
    *,
    settings: FaceSettings | None = None,
    top_mm: float,
    bottom_mm: float,
) -> Cuts:
    """Plan the cuts that make a surface flat.

    Parameters
    ----------
    outline : Outline
        What must be faced, in mm, y up, in work coordinates; its holes are faced as well.
    cutter : Cutter
        A flat or facing cutter.
    settings : FaceSettings, optional
        Pattern, stepover, overlap, depth per pass.
    top_mm, bottom_mm : float
        z of the surface and of the one to be made, in work coordinates.

    Raises
    ------
    SettingError
        When the settings contradict each other or the depths.

    Examples
    --------
    >>> from outline2path.drawing.outline import Outline
    >>> from outline2path.shop.cutter import Cutter
    >>> plan = face(Outline.from_shapely(shapely.box(0, 0, 100, 60)), Cutter(6),
    ...             settings=FaceSettings(depth_per_pass_mm=0.5), top_mm=0, bottom_mm=-1)
    >>> [(cut.z_mm, len(cut.spans)) for cut in plan.contours[0].cuts]
    [(-0.5, 3), (-1.0, 3)]
    """
    settings = settings or FaceSettings()
    depths = pass_depths(
        top_mm=top_mm,
        bottom_mm=bottom_mm,
        depth_per_pass_mm=settings.depth_per_pass_mm,
        through_mm=0.0,
    )
    budget = Budget(settings.tolerance_mm)
    drawn = outline.region_within(budget.flatten_mm)
    check_holds_area(drawn, doing="face")
    region = shapely.MultiPolygon([shapely.Polygon(part.exterior) for part in drawn.geoms])
    if settings.pattern == "spiral-in":
        paths = _rings(region, cutter, settings, budget)
    else:
        paths = _lines(region, cutter, settings)
    cuts, above = [], top_mm
    for z in depths:
        for into, path in paths:
            spans = _spans(into, path, above, z)
            cuts.append(Cut(operation="face", cutter=cutter, z_mm=z, spans=spans))
        above = z
    findings = flute_findings(cutter, deep_mm=top_mm - bottom_mm, step_mm=top_mm - depths[0])
    return Cuts((Contour(number=0, cuts=tuple(cuts)),), tuple(findings))


Path = tuple[Floats, Floats]
"""Where the cutter comes down, shape (2,), and the path it follows from there, shape (n, 2)."""


def _spans(into: Floats, path: Floats, from_z: float, to_z: float) -> tuple[Span, ...]:
    x, y = into
    return (
        Span("plunge", np.array([[x, y, from_z], [x, y, to_z]])),
        Span.level("lead-in", np.stack((into, path[0])), to_z),
        Span.level("cut", path, to_z),
    )


def _lines(region: shapely.MultiPolygon, cutter: Cutter, settings: FaceSettings) -> list[Path]:
    """Sweep by straight lines along x or y."""
    x0, y0, x1, y1 = region.bounds
    turned = settings.along == "y" or (settings.along == "auto" and y1 - y0 > x1 - x0)
    if turned:  # x' = y, y' = -x: a quarter turn, so that left stays left
        region = shapely.transform(region, lambda p: np.column_stack((p[:, 1], -p[:, 0])))
    lines = strokes(
        region,
        radius_mm=cutter.radius_mm,
        step_mm=settings.stepover * cutter.diameter_mm,
        overlap_mm=settings.overlap_mm,
    )
    climb = settings.direction == "climb"
    chains = _joined(lines, to_and_fro=settings.pattern == "zigzag", leftwards=climb)
    paths = []
    for chain in chains:
        back = np.array((-1.0 if chain[1, 0] >= chain[0, 0] else 1.0, 0.0))
        paths.append((_beside(chain, back, region, cutter.radius_mm), chain))
    if turned:
        paths = [(_back(into[None])[0], _back(chain)) for into, chain in paths]
    return paths


def _back(points: Floats) -> Floats:
    return np.column_stack((-points[:, 1], points[:, 0]))


def _joined(
    lines: list[tuple[float, list[tuple[float, float]]]], *, to_and_fro: bool, leftwards: bool
) -> list[Floats]:
    """Chain the strokes of neighbouring lines that face each other alone; else begin afresh.

    With the lines taken from low y to high y the uncut side is that of high y: on the right, as
    climbing wants it, where the cutter goes left.
    """
    chains: list[list[tuple[float, float]]] = []
    open_chains: list[tuple[tuple[float, float], int]] = []
    for y, ranges in lines:
        now = []
        for a, b in ranges:
            beside = [k for k, ((c, d), _) in enumerate(open_chains) if c <= b and a <= d]
            sole = len(beside) == 1 and to_and_fro
            if sole:
                (c, d), chain = open_chains[beside[0]]
                sole = sum(p <= d and c <= q for p, q in ranges) == 1
            if sole:
                at_right = chains[chain][-1][0] > chains[chain][-2][0]
                chains[chain] += [(b, y), (a, y)] if at_right else [(a, y), (b, y)]
            else:
                chain = len(chains)
                chains.append([(b, y), (a, y)] if leftwards else [(a, y), (b, y)])
            now.append(((a, b), chain))
        open_chains = now
    return [np.array(chain) for chain in chains]


def _rings(
    region: shapely.MultiPolygon, cutter: Cutter, settings: FaceSettings, budget: Budget
) -> list[Path]:
    """Sweep by rings from the edge inwards."""
    radius = cutter.radius_mm
    outer = _first_rings(region, radius, settings.overlap_mm, budget)
    wrong = budget.simplify_mm + budget.chords_mm + 4 * GRID_MM
    cover = radius - 4 * wrong
    step = min(settings.stepover * cutter.diameter_mm, 2 * cover)
    levels = levels_of(outer, step_mm=step, cover_mm=cover, budget=budget)
    clockwise = settings.direction == "climb"  # uncut stock on the right, inside
    rings = with_detours(
        levels,
        [
            [
                Loop.of(shapely.get_coordinates(ring), clockwise=clockwise != bool(k))
                for k, ring in enumerate(shapely.get_rings(level.area))
            ]
            for level in levels
        ],
        step_mm=step,
        cover_mm=cover,
        fine_mm=wrong,
        budget=budget,
    )
    paths = []
    for walk in walks_of(levels, rings, step_mm=step, outwards=False):
        path = _run(walk.legs)
        ahead = (path[1] - path[0]) / np.hypot(*(path[1] - path[0]))
        outward = np.array((-ahead[1], ahead[0]))
        paths.append((_beside(path, outward if clockwise else -outward, region, radius), path))
    return paths


def _beside(path: Floats, away: Floats, region: shapely.MultiPolygon, radius_mm: float) -> Floats:
    """Return the nearest place in a direction from a path's start at which to come down.

    Where the region hems it in, the place farthest from the region.
    """
    off = np.linspace(0, 6 * radius_mm + _BESIDE_MM, _TRIES)
    places = path[0] + off[:, None] * away
    far = shapely.distance(region, shapely.points(places))
    free = far >= radius_mm + _BESIDE_MM / 2
    return np.asarray(places[int(np.argmax(free if free.any() else far))])


def _run(legs: tuple[Leg, ...]) -> Floats:
    return np.vstack([legs[0].points[:1], *(leg.points[1:] for leg in legs)])


def _first_rings(
    region: shapely.MultiPolygon, radius_mm: float, overlap_mm: float, budget: Budget
) -> shapely.MultiPolygon:
    """Choose the innermost rings whose sweep holds the whole region."""
    surely = radius_mm - budget.margin_mm
    for inset in (surely - overlap_mm, 0.7 * surely, 0.35 * surely):
        if inset > surely - overlap_mm:
            continue
        rings = offset(region, -inset, budget=budget)
        if not rings.is_empty and region.difference(offset(rings, surely, budget=budget)).is_empty:
            return rings
    return offset(region, max(overlap_mm - radius_mm, 0.0), budget=budget)
