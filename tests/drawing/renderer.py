"""An independent renderer (resvg, through resvg_py) as the judge of what a drawing fills.

Both the drawing and the outline read from it are painted by the same renderer, so that what
differs is geometry and not the way edges are smoothed. Coverage is the alpha channel, 0 to 1.
"""

from __future__ import annotations

import io
from dataclasses import dataclass

import numpy as np
import resvg_py
import shapely
from PIL import Image

from outline2path.drawing.outline import Outline

_FINE = 1e-5
"""Curves are flattened to this share of the page, far below any pixel of these pictures."""
_GREY = 0.05
"""Neighbouring shapes painted one by one leave seams of a few grey levels."""
FILLS_ONLY = "*{stroke:none !important}"


@dataclass(frozen=True)
class Difference:
    """How far two pictures of the same page disagree.

    `wrong` counts pixels whose coverage differs by more than half, edges included;
    `astray` counts pixels that differ at all although no edge of the outline is beside them;
    `share` is the sum of all differences over the sum of the coverage;
    `blur` is the sum of all differences over the number of pixels on an edge: what the edges
    differ by on average.
    """

    wrong: int
    astray: int
    share: float
    blur: float
    covered: float


def coverage(svg: str, width: int, *, style: str | None = None) -> np.ndarray:
    """Alpha of a drawing painted `width` pixels wide, shape (rows, columns)."""
    png = resvg_py.svg_to_bytes(svg_string=svg, width=width, style_sheet=style, dpi=96)
    return np.asarray(Image.open(io.BytesIO(bytes(png))).convert("RGBA"))[:, :, 3] / 255.0


def outline_svg(outline: Outline) -> str:
    """The outline on its drawing's page, as one path in CSS pixels."""
    a, b, c, d, e, f = outline.matrix
    inverse = np.linalg.inv(np.array([[a, c, e], [b, d, f], [0.0, 0.0, 1.0]]))
    width, height = outline.source.page_px
    rings = [
        ring for polygon in outline.region.geoms for ring in (polygon.exterior, *polygon.interiors)
    ]
    pieces = []
    for ring in rings:
        mm = shapely.get_coordinates(ring)[:-1]
        px = mm @ inverse[:2, :2].T + inverse[:2, 2]
        pieces.append("M" + "L".join(f"{x:.9f} {y:.9f}" for x, y in px) + "Z")
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width!r}" height="{height!r}">'
        f'<path fill-rule="evenodd" d="{"".join(pieces)}"/></svg>'
    )


def beside_an_edge(cover: np.ndarray) -> np.ndarray:
    """Pixels whose own neighbourhood of three by three is neither all empty nor all filled."""
    padded = np.pad(cover, 1, mode="edge")
    rows, columns = cover.shape
    around = [padded[r : r + rows, c : c + columns] for r in range(3) for c in range(3)]
    return np.min(around, axis=0) != np.max(around, axis=0)


def compare(
    svg: str, outline: Outline | None, *, width: int = 1024, style: str | None = FILLS_ONLY
) -> Difference:
    """Compare a drawing with the outline read from it (None: nothing was found to cut)."""
    drawn = coverage(svg, width, style=style)
    ours = np.zeros_like(drawn) if outline is None else coverage(outline_svg(outline), width)
    if ours.shape != drawn.shape:
        return Difference(ours.size, ours.size, 1.0, 1.0, float(drawn.mean()))
    off = np.abs(ours - drawn)
    edge = max(int(((drawn > 0) & (drawn < 1)).sum()), width)
    total, wrong = float(off.sum()), int((off > 0.5).sum())
    share = total / max(float(drawn.sum()), 1.0)
    astray = int(((off > _GREY) & ~beside_an_edge(ours)).sum())
    return Difference(wrong, astray, share, total / edge, float(drawn.mean()))
