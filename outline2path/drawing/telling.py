"""Telling: what a person must know about a drawing once it is read.

In: an outline and the notes so far. Adds: how it was sized, how its lines were read, light paint
over other paint, gaps that were closed, rings that cross themselves, and shapes that leave
nothing. Places are in mm, y up, in the coordinates of the outline.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray

from outline2path.drawing.dashes import too_many_dashes
from outline2path.drawing.fillrule import filled_area
from outline2path.drawing.notes import Notes
from outline2path.errors import DrawingError
from outline2path.tolerance import SAME_MM

if TYPE_CHECKING:
    from outline2path.drawing.drawn import Drawn
    from outline2path.drawing.faces import Crossed
    from outline2path.drawing.figures import Figure, FillRule
    from outline2path.drawing.outline import Outline
    from outline2path.findings import Finding

__all__ = ["retold", "tell", "tell_nothing"]

Floats = NDArray[np.float64]

_FOUND_AGAIN = frozenset(
    [
        "strokes-ignored",
        "stroke-only",
        "dashes-too-fine",
        "gap-closed",
        "gap-open",
        "light-paint",
        "self-crossing",
        "ring-twice",
    ]
)
"""Findings that depend on which shapes there are, and are told afresh for some of them."""
_LONG = 50_000
_NEARLY_MM = 1.0
"""Ends of lines farther apart than this are not meant to meet (common practice, no source)."""
_HAIR_MM2 = 0.01
"""Areas smaller than a tenth of a millimetre squared are not worth a word."""


def tell(outline: Outline, notes: Notes, *, physical: bool) -> None:
    """Add what must be known about an outline just read.

    Parameters
    ----------
    outline : Outline
    notes : Notes
        Takes the findings.
    physical : bool
        Whether the file itself gives its size.

    Raises
    ------
    DrawingError
        When the outline holds neither area nor lines.
    """
    drawn = outline.drawn_within(outline.fine_mm)
    if drawn.region.is_empty and drawn.lines.is_empty:
        raise tell_nothing(notes, lined=any(f.stroke is not None for f in outline.figures))
    _tell_drawn(outline, drawn, notes)
    if not physical:
        w, h = outline.size_mm
        notes.add(
            "no-physical-size",
            "info",
            f"the file gives no size in mm or inches; sized by {outline.source.sized_by}, "
            f"what is drawn measures {w:.2f} x {h:.2f} mm",
            remedy="check that against the drawing, or give the width or height wanted",
        )


def retold(whole: Outline, chosen: Outline) -> tuple[Finding, ...]:
    """Return what must be known about some shapes chosen out of a drawing.

    Findings about other shapes are left out; what depends on how shapes lie together is
    found again among those chosen.

    Examples
    --------
    >>> from outline2path.drawing.outline import Outline
    >>> bow = Outline.from_path("M0 0L9 9V0L0 9Z")
    >>> [finding.code for finding in retold(bow, bow)]
    ['self-crossing']
    """
    here = {str(figure.element) for figure in chosen.figures}
    gone = {str(figure.element) for figure in whole.figures} - here
    kept = [
        finding
        for finding in whole.findings
        if finding.code not in _FOUND_AGAIN and finding.message.partition(": ")[0] not in gone
    ]
    notes = Notes()
    _tell_drawn(chosen, chosen.drawn_within(chosen.fine_mm), notes)
    return (*kept, *notes.findings())


def _tell_drawn(outline: Outline, drawn: Drawn, notes: Notes) -> None:
    """Tell what depends on how shapes are drawn and lie together."""
    _tell_strokes(outline, drawn, notes)
    _tell_light(outline, drawn, notes)
    _tell_crossings(outline, drawn, notes)


def tell_nothing(notes: Notes, *, lined: bool = False) -> DrawingError:
    """Return the error of a drawing without anything to cut, with what was left out."""
    told = "; ".join(f.message for f in notes.findings()[:6])
    why = "it holds only lines" if lined else "it has no filled shapes"
    return DrawingError(
        "the drawing holds nothing to cut: " + (told or why),
        remedy="read its strokes, or fill the shapes to be cut"
        if lined
        else "fill the shapes to be cut, and turn text into paths",
    )


def _tell_strokes(outline: Outline, drawn: Drawn, notes: Notes) -> None:
    lined = [f for f in outline.figures if f.stroke is not None]
    if not lined:
        return
    only = sum(f.fill is None for f in lined)
    how, by_policy = outline.reading.strokes, outline.reading.by_policy
    if how == "ignore" and by_policy:
        what = f"{_shapes(only)} of nothing but lines left out" if only else "lines add nothing"
        notes.add(
            "strokes-ignored",
            "warning" if only else "info",
            f"only filled areas were read, no strokes ({_shapes(len(lined))} with one): {what}",
            remedy="choose how strokes are read: ignore, outline or centreline",
        )
    if how == "outline":
        _tell_dashes(outline, notes)
    if how != "centreline":
        return
    rings, lines = len(drawn.joined.rings), len(drawn.joined.lines)
    if by_policy:
        notes.add(
            "stroke-only",
            "warning",
            "the drawing is made of lines alone; their centres were read: closed lines "
            f"({rings}) as the outline, a ring inside a ring being a hole, and open lines "
            f"({lines}) for engraving",
            remedy="choose strokes outline if the width of the lines is what counts",
        )
    for gap, at in drawn.joined.gaps:
        notes.add(
            "gap-closed",
            "info",
            f"two ends of lines lay {gap:.4f} mm apart and were joined",
            at_mm=at,
            value=gap,
            unit="mm",
        )
    for gap, at in _near_misses(drawn.joined.lines):
        notes.add(
            "gap-open",
            "warning",
            f"two ends of lines lie {gap:.3f} mm apart and were left open",
            at_mm=at,
            value=gap,
            unit="mm",
            remedy="join them in the drawing, or let wider gaps be closed, if they are to meet",
        )


def _shapes(count: int) -> str:
    return "1 shape" if count == 1 else f"{count} shapes"


def _near_misses(
    lines: tuple[NDArray[np.float64], ...],
) -> list[tuple[float, tuple[float, float]]]:
    """Gaps, and their middles, between ends of open lines that look as if they were to meet."""
    if not lines:
        return []
    ends = np.concatenate([[line[0], line[-1]] for line in lines])
    points = shapely.points(ends)
    pairs, apart = shapely.STRtree(points).query_nearest(
        points, max_distance=_NEARLY_MM, exclusive=True, return_distance=True, all_matches=False
    )
    found = {}
    for a, b, gap in zip(*pairs.tolist(), apart.tolist(), strict=True):
        middle = (ends[a] + ends[b]) / 2
        found[frozenset((a, b))] = (gap, (float(middle[0]), float(middle[1])))
    return list(found.values())


def _tell_dashes(outline: Outline, notes: Notes) -> None:
    """Tell of dashes too fine to be cut one by one."""
    dashed = [f for f in outline.figures if f.stroke is not None and f.stroke.dashes]
    for figure in dashed:
        rows = figure.curves.rows
        length = float(np.abs(np.diff(rows[:, 1:9].reshape(-1, 4, 2), axis=1)).sum())
        if figure.stroke is not None and too_many_dashes(length / 2, figure.stroke):
            notes.add(
                "dashes-too-fine",
                "warning",
                f"{figure.element}: its dashes are too fine to count; it was read as a whole line",
                remedy="give it a coarser dash pattern, or none",
            )


def _tell_light(outline: Outline, drawn: Drawn, notes: Notes) -> None:
    """Tell of light shapes painted over dark ones, where all paint counts."""
    figures, areas = outline.figures, drawn.areas
    light = [k for k, f in enumerate(figures) if f.light and not areas[k].is_empty]
    if not light or outline.reading.paint == "visible" or len(light) == len(figures):
        return
    tree = shapely.STRtree(list(areas))
    first, second = tree.query([areas[k] for k in light], predicate="intersects")
    over = {light[a] for a, b in zip(first.tolist(), second.tolist(), strict=True) if b < light[a]}
    under = {
        light[a] for a, b in zip(first.tolist(), second.tolist(), strict=True) if b > light[a]
    }
    for k in sorted((over | under) & set(light)):
        where = "over" if k in over else "under"
        if any(not figures[j].light for j in range(len(figures))):
            notes.add(
                "light-paint",
                "warning",
                f"{figures[k].element}: it is painted in {figures[k].fill} {where} other shapes, "
                "and counts as material like all paint",
                remedy="choose paint visible to take only what looks dark",
            )


def _tell_crossings(outline: Outline, drawn: Drawn, notes: Notes) -> None:
    """Tell of rings that cross themselves so that the fill rule changes their area."""
    for k, crossed in drawn.crossed.items():
        figure, rings = outline.figures[k], crossed.rings
        polygons = [shapely.Polygon(ring) for ring in rings]
        sizes = shapely.area(polygons)
        changes = np.abs(_alone(crossed, polygons, sizes, figure.rule) - sizes)
        for j in np.flatnonzero(changes > _HAIR_MM2).tolist():
            notes.add(
                "self-crossing",
                "warning",
                f"{figure.element}: its edge crosses itself; filled by the rule {figure.rule}",
                at_mm=_crossing(rings[j]),
                value=float(changes[j]),
                unit="mm2",
                remedy="look at the place; mend the drawing if it is not meant so",
            )
        _tell_doubles(figure, polygons, sizes, notes)


def _alone(
    crossed: Crossed, polygons: list[shapely.Polygon], sizes: Floats, rule: FillRule
) -> Floats:
    """Area that each ring fills by itself."""
    if crossed.alone is not None:
        return crossed.alone
    alone = sizes.copy()
    for k in np.flatnonzero(~shapely.is_valid(polygons)).tolist():
        alone[k] = filled_area([crossed.rings[k]], rule).area
    return alone


def _tell_doubles(
    figure: Figure, polygons: list[shapely.Polygon], sizes: Floats, notes: Notes
) -> None:
    """Tell of rings that lie on one another and cancel."""
    near = np.diff(np.sort(sizes)) <= SAME_MM * shapely.length(polygons).max()
    if not near.any():
        return
    keys = shapely.to_wkb(
        shapely.set_precision(shapely.normalize(polygons), SAME_MM, mode="pointwise")
    ).tolist()
    if len(set(keys)) < len(keys):
        notes.add(
            "ring-twice",
            "warning",
            f"{figure.element}: rings are drawn twice ({len(keys) - len(set(keys))} too many); "
            "by the fill rule they may cancel",
            remedy="take out the copies",
        )


def _crossing(ring: NDArray[np.float64]) -> tuple[float, float] | None:
    """Return a place where a ring meets itself, from a reason such as "Self-intersection[1 2]"."""
    if len(ring) > _LONG:
        return None
    reason = shapely.is_valid_reason(shapely.Polygon(ring))
    inside = reason.partition("[")[2].rstrip("]").split()
    return (float(inside[0]), float(inside[1])) if len(inside) >= 2 else None
