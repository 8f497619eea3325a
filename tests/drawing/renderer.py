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
    `astray` counts pixels that differ at all although no edge of the outline is beside them,
    nor a seam where shapes painted one by one meet;
    `share` is the sum of all differences over the sum of the coverage;
    `blur` is the sum of all differences over the number of pixels on an edge: what the edges
    differ by on average.
    """

    wrong: int
    astray: int
    share: float
    blur: float
    covered: float


def coverage(svg: str, width: int, *, style: str | None = None, finer: int = 1) -> np.ndarray:
    """Alpha of a drawing painted `width` pixels wide, shape (rows, columns).

    `finer` pixels a side are painted for one and averaged, since the renderer's own curves,
    lines and grey levels are only as fine as the pixels asked for.
    """
    png = resvg_py.svg_to_bytes(svg_string=svg, width=width * finer, style_sheet=style, dpi=96)
    alpha = np.asarray(Image.open(io.BytesIO(bytes(png))).convert("RGBA"))[:, :, 3] / 255.0
    high, wide = (side // finer for side in alpha.shape)
    parts = alpha[: high * finer, : wide * finer].reshape(high, finer, wide, finer)
    return parts.mean(axis=(1, 3))


def outline_svg(outline: Outline, *, one_by_one: bool = False) -> str:
    """The outline on its drawing's page in CSS pixels, as one path or as one for each shape."""
    a, b, c, d, e, f = outline.matrix
    inverse = np.linalg.inv(np.array([[a, c, e], [b, d, f], [0.0, 0.0, 1.0]]))
    width, height = outline.source.page_px
    drawn = outline.drawn_within(_FINE * max(outline.source.page_mm))
    paths = []
    for area in drawn.areas if one_by_one else [drawn.region]:
        pieces = []
        for ring in (r for polygon in area.geoms for r in (polygon.exterior, *polygon.interiors)):
            mm = shapely.get_coordinates(ring)[:-1]
            px = mm @ inverse[:2, :2].T + inverse[:2, 2]
            pieces.append("M" + "L".join(f"{x:.9f} {y:.9f}" for x, y in px.tolist()) + "Z")
        paths.append(f'<path fill-rule="evenodd" d="{"".join(pieces)}"/>')
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width!r}" height="{height!r}">'
        f"{''.join(paths)}</svg>"
    )


def beside_an_edge(cover: np.ndarray) -> np.ndarray:
    """Pixels whose neighbourhood of three by three, empty off the page, is not all alike."""
    padded = np.pad(cover, 1)
    rows, columns = cover.shape
    around = [padded[r : r + rows, c : c + columns] for r in range(3) for c in range(3)]
    return np.min(around, axis=0) != np.max(around, axis=0)


def compare(
    svg: str,
    outline: Outline | None,
    *,
    width: int = 1024,
    style: str | None = FILLS_ONLY,
    finer: int = 1,
) -> Difference:
    """Compare a drawing with the outline read from it (None: nothing was found to cut)."""
    drawn = coverage(svg, width, style=style, finer=finer)
    ours = np.zeros_like(drawn)
    if outline is not None:
        ours = coverage(outline_svg(outline), width, finer=finer)
    if ours.shape != drawn.shape:
        return Difference(ours.size, ours.size, 1.0, 1.0, float(drawn.mean()))
    off = np.abs(ours - drawn)
    edge = max(int(((drawn > 0) & (drawn < 1)).sum()), width)
    total, wrong = float(off.sum()), int((off > 0.5).sum())
    share = total / max(float(drawn.sum()), 1.0)
    astray = (off > _GREY) & ~beside_an_edge(ours)
    if outline is not None and astray.any():
        seams = coverage(outline_svg(outline, one_by_one=True), width, finer=finer)
        astray &= np.abs(seams - drawn) > _GREY
    return Difference(wrong, int(astray.sum()), share, total / edge, float(drawn.mean()))
