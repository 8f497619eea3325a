"""Cuts: the passes of a toolpath on a plan.

In: traces (mm). Out: artists by meaning. All passes of a profile lie above one another in plan, so
each is drawn as a stripe and the stripes are nested: the shallowest widest and lightest, the
deepest narrowest and darkest, like the steps of a groove seen from above. Where a tab lifts the
cutter the deep stripe stops and the shallower one shows. What the cutter clears is drawn to scale.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.ops import substring

from outline2path.picture.moves import Trace, depth_order
from outline2path.picture.shapes import add_lines
from outline2path.picture.style import meaning

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from shapely.geometry.base import BaseGeometry

    from outline2path.path.toolpath import Toolpath

__all__ = ["cleared", "draw_cuts", "draw_direction", "draw_starts", "pass_depths", "tab_bridge"]

_Array = NDArray[np.float64]
_CUTTING = frozenset({"cut", "tab", "ramp", "lead-in", "lead-out", "link"})
_STRIPE_PT = (0.9, 6.0)
_KERF_SHARE = 0.7
_MOST_VERTICES = 40_000
_ARROW_EVERY_PT, _MOST_ARROWS, _ARROW_LEAST_PT = 150.0, 300, 16.0
_HEAD = np.array([[0.62, 0.0], [-0.42, 0.46], [-0.2, 0.0], [-0.42, -0.46], [0.62, 0.0]])


def cleared(
    lines: Sequence[Trace], diameters_mm: Sequence[float], *, detail_mm: float
) -> BaseGeometry:
    """Return what cutters of these diameters (mm, one a section) clear, seen from above.

    `detail_mm` is the finest detail worth showing: lines are simplified to it.
    """
    cutting = [t for t in lines if t.role in _CUTTING and len(t.points) > 1]
    if not cutting:
        return shapely.MultiPolygon()
    paths = shapely.linestrings(
        np.concatenate([t.points[:, :2] for t in cutting]),
        indices=np.repeat(np.arange(len(cutting)), [len(t.points) for t in cutting]),
    )
    thin = shapely.simplify(paths, detail_mm, preserve_topology=False)
    coarse = detail_mm
    while shapely.get_num_coordinates(thin).sum() > _MOST_VERTICES and coarse < 100 * detail_mm:
        coarse *= 2
        thin = shapely.simplify(paths, coarse, preserve_topology=False)
    radius = np.array([diameters_mm[t.section] / 2 for t in cutting])
    seen, keep = np.unique(shapely.to_wkb(shapely.normalize(thin)), return_index=True)
    del seen
    swept = shapely.buffer(thin[keep], radius[keep], quad_segs=6)
    return shapely.union_all(swept)


def pass_depths(toolpath: Toolpath) -> tuple[_Array, NDArray[np.intp]]:
    """Return the different depths (z in mm, shallowest first) and each section's place in them."""
    return depth_order(np.array([s.z_mm for s in toolpath.sections], dtype=float))


def draw_cuts(
    ax: Axes,
    lines: Sequence[Trace],
    *,
    place: NDArray[np.intp],
    colours: Sequence[str],
    kerf_pt: float,
) -> dict[str, tuple[Artist, ...]]:
    """Draw stripes, ramps, leads and rapids, one artist each; return them by meaning.

    Parameters
    ----------
    place : ndarray of int
        Rank of each section's depth, 0 the shallowest.
    colours : sequence of str
        One colour a depth.
    kerf_pt : float
        Width of the cutter on paper in points: stripes stay inside it.
    """
    cut = sorted((t for t in lines if t.role == "cut"), key=lambda t: place[t.section])
    artists: dict[str, tuple[Artist, ...]] = {"pass": ()}
    if cut:
        rank = np.array([place[t.section] for t in cut])
        widest = float(np.clip(kerf_pt * _KERF_SHARE, *_STRIPE_PT))
        wide = widest * (1 - rank / max(len(colours), 1)) ** 0.9
        artists["pass"] = (
            add_lines(
                ax,
                [t.points[:, :2] for t in cut],
                "edge",
                lift=-0.4,
                colours=[colours[k] for k in rank],
                width_pt=np.maximum(wide, 0.5).tolist(),
            ),
        )
    for role, names in {
        "ramp": ("ramp",),
        "lead-in": ("lead-in",),
        "lead-out": ("lead-out",),
        "rapid": ("rapid",),
    }.items():
        found = [t.points[:, :2] for t in lines if t.role in names and _moves_sideways(t)]
        artists[role] = (add_lines(ax, found, role),) if found else ()
    return artists


def draw_starts(ax: Axes, lines: Sequence[Trace]) -> tuple[Artist, ...]:
    """Mark where each pass first goes down into the stock, each place once."""
    first: dict[int, Trace] = {}
    for t in lines:
        if t.role in _CUTTING or t.role == "plunge":
            first.setdefault(t.section, t)
    down = [t.points[0, :2] for t in first.values()]
    if not down:
        return ()
    style = meaning("start")
    x, y = np.unique(np.round(np.array(down), 3), axis=0).T
    size = 20.0 if len(x) <= 60 else 10.0
    drawn = ax.scatter(
        x,
        y,
        s=size,
        marker=style.marker,
        facecolors="#ffffff",
        edgecolors=style.colour,
        linewidths=style.width_pt,
        zorder=style.order,
    )
    return (drawn,)


def draw_direction(
    ax: Axes,
    lines: Sequence[Trace],
    *,
    place: NDArray[np.intp],
    scale: float,
    size_pt: float = 7.8,
) -> tuple[Artist, ...]:
    """Draw arrow heads along the deepest pass, one artist; `scale` is points a mm."""
    from matplotlib.collections import PathCollection
    from matplotlib.path import Path as MplPath
    from matplotlib.transforms import IdentityTransform

    deepest: dict[bytes, Trace] = {}
    for t in lines:
        if t.role == "cut" and t.length_mm * scale >= _ARROW_LEAST_PT:
            deepest[np.round(t.points[[0, -1], :2], 2).tobytes()] = t
    last = max((place[t.section] for t in deepest.values()), default=0)
    shown = [t for t in deepest.values() if place[t.section] == last] or list(deepest.values())
    if not shown:
        return ()
    heads = np.concatenate([_heads(t, scale) for t in shown])
    heads = heads[:: int(np.ceil(len(heads) / _MOST_ARROWS))]
    style = meaning("direction")
    cos, sin = np.cos(heads[:, 2]), np.sin(heads[:, 2])
    turn = np.stack([np.stack([cos, sin], -1), np.stack([-sin, cos], -1)], axis=1)
    drawn = PathCollection(
        [MplPath(_HEAD @ m, closed=True) for m in turn],
        sizes=[size_pt**2],
        offsets=heads[:, :2],
        offset_transform=ax.transData,
        facecolors="#ffffff",
        edgecolors=style.colour,
        linewidths=style.width_pt,
        zorder=style.order,
    )
    drawn.set_transform(IdentityTransform())
    ax.add_collection(drawn, autolim=False)
    return (drawn,)


def tab_bridge(
    region: BaseGeometry, at_mm: tuple[float, float], *, length_mm: float, cutter_mm: float
) -> BaseGeometry:
    """Return the footprint of a tab: `length_mm` along the wall nearest `at_mm`, across the cut.

    Examples
    --------
    >>> part = shapely.box(0, 0, 50, 50)
    >>> bridge = tab_bridge(part, (25, 0), length_mm=6, cutter_mm=3)
    >>> round(bridge.area, 6), [round(x, 6) for x in bridge.bounds]
    (18.0, [22.0, -3.0, 28.0, 0.0])
    """
    rings = shapely.get_rings(shapely.get_parts(shapely.orient_polygons(region)))
    here = shapely.Point(at_mm)
    ring = shapely.get_coordinates(rings[int(np.argmin(shapely.distance(rings, here)))])
    twice = shapely.LineString(np.vstack([ring, ring[1:]]))
    once = float(shapely.length(shapely.LineString(ring)))
    middle = float(shapely.line_locate_point(twice, here))
    middle += once if middle < length_mm / 2 else 0.0
    wall = substring(twice, middle - length_mm / 2, middle + length_mm / 2)
    side = shapely.buffer(wall, -cutter_mm, cap_style="flat", single_sided=True)
    return shapely.difference(side, region)


def _moves_sideways(trace: Trace) -> bool:
    return bool(np.ptp(trace.points[:, :2], axis=0).any())


def _heads(trace: Trace, scale: float) -> _Array:
    """Places and angles of the arrow heads of one trace: x, y in mm, angle in radians."""
    steps = np.diff(trace.points[:, :2], axis=0)
    length = np.hypot(steps[:, 0], steps[:, 1])
    along = np.cumsum(length)
    count = max(int(along[-1] * scale / _ARROW_EVERY_PT), 1)
    at = along[-1] * (np.arange(count) + 0.5) / count
    k = np.searchsorted(along, at)
    share = (at - along[k] + length[k]) / np.maximum(length[k], np.finfo(float).tiny)
    places = trace.points[k, :2] + share[:, None] * steps[k]
    return np.column_stack([places, np.arctan2(steps[k, 1], steps[k, 0])])
