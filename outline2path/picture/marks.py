"""Marks: numbered places on a plot, and their words beside it.

In: the narrow spots of a Reach, walls, findings (mm). Out: marks in the order of their weight -
errors first, then narrow spots, thin walls, warnings, the rest - of which the first dozen get a
number and a row of words; the others are shown by a small cross and counted in the last row.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from outline2path.picture.frame import Units, box_size_pt, whole_figure
from outline2path.picture.labels import Box, place_labels
from outline2path.picture.notes import Badge, Block, Row, Shape, draw_badge
from outline2path.picture.style import INK, meaning
from outline2path.units import format_length

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes

    from outline2path.findings import Finding

__all__ = ["MOST_LISTED", "Mark", "draw_marks", "make_marks", "marks_block"]

MOST_LISTED = 12
"""Marks that get a number and words; a page holds no more in readable size."""
_BADGE_PT, _HALO_PT = 14.0, 1.4
_SPOT_WORDS = {
    "gap": "gap {gap} wide, the cutter does not pass",
    "hole": "hole {gap} wide, the cutter cannot enter",
    "corner": "inner corner left round by the cutter",
}
_RANK = {"error": 0, "spot": 1, "thin": 2, "warning": 3, "info": 4}


@dataclass(frozen=True, kw_only=True)
class Mark:
    """One place to look at.

    Attributes
    ----------
    shape : "circle", "diamond" or "square"
        Narrow spot, thin wall, other finding.
    at_mm : tuple of float or None
        Place in mm, y up; None where the words concern the whole.
    words : str
        What is there, for the row beside the plot.
    rank, weight : int, float
        Lower rank comes first; within a rank the greater weight.
    """

    shape: Shape
    words: str
    at_mm: tuple[float, float] | None
    rank: int
    weight: float = 0.0

    @property
    def grave(self) -> bool:
        """Whether the mark stands for an error."""
        return self.rank == _RANK["error"]


def make_marks(
    *,
    reach: Any = None,
    walls: Iterable[Any] = (),
    findings: Iterable[Finding] = (),
    units: Units = "mm",
) -> tuple[Mark, ...]:
    """Gather marks from a Reach, walls and findings, gravest first.

    A finding that speaks of a narrow spot or wall already marked (same place) is left out.

    Examples
    --------
    >>> from outline2path.findings import Finding
    >>> note = Finding(code="text", severity="info", message="text is not cut")
    >>> [m.words for m in make_marks(findings=(note,))]
    ['text is not cut']
    """
    marks = [_spot_mark(s, units) for s in getattr(reach, "spots", ())]
    marks += [_wall_mark(w, units) for w in walls]
    placed = {_rounded(m.at_mm) for m in marks if m.at_mm}
    known = set(getattr(reach, "findings", ()))
    for f in findings:
        doubled = f in known or (f.at_mm is not None and _rounded(f.at_mm) in placed)
        if not (doubled and marks):
            words = f.message + (f"; {f.remedy}" if f.remedy else "")
            marks.append(Mark(shape="square", words=words, at_mm=f.at_mm, rank=_RANK[f.severity]))
    return tuple(sorted(marks, key=lambda m: (m.rank, -m.weight)))


def marks_block(marks: Sequence[Mark], *, heading: str = "Notes") -> tuple[Block, ...]:
    """Set the first dozen marks as numbered rows, and say how many more there are."""
    if not marks:
        return ()
    rows = [
        Row(words=m.words, badge=Badge(k, m.shape, m.grave))
        for k, m in enumerate(marks[:MOST_LISTED], start=1)
    ]
    if len(marks) > MOST_LISTED:
        more = len(marks) - MOST_LISTED
        rows.append(Row(words=f"and {more} more, shown by crosses", sign="more", quiet=True))
    return (Block(heading, tuple(rows)),)


def draw_marks(
    ax: Axes,
    marks: Sequence[Mark],
    *,
    keep_clear: tuple[Box, ...] = (),
    anchor_pt: float = 5.0,
) -> dict[str, tuple[Artist, ...]]:
    """Draw badges with leaders for the listed marks, crosses for the others.

    `keep_clear` holds boxes in points from the lower left of the axes; `anchor_pt` is half the
    side of the square left clear about each listed place, in points. The limits of the axes must
    be final. Returns artists by name: "badge", "leader", "more".
    """
    listed = [
        (k, m, m.at_mm) for k, m in enumerate(marks[:MOST_LISTED], start=1) if m.at_mm is not None
    ]
    rest = [m.at_mm for m in marks[MOST_LISTED:] if m.at_mm is not None]
    if not listed:
        return {"badge": (), "leader": (), "more": _crosses(ax, rest)}
    wide, high = box_size_pt(ax)
    (x0, x1), (y0, y1) = ax.get_xlim(), ax.get_ylim()
    scale = np.array([wide / (x1 - x0), high / (y1 - y0)])
    anchors = (np.array([at for _, _, at in listed]) - [x0, y0]) * scale
    frame = (3.0, 3.0, wide - 3.0, high - 3.0)
    seats = _seats(anchors, frame, keep_clear, anchor_pt)
    badges: list[Artist] = []
    leaders: list[Artist] = []
    for (number, mark, at), seat, anchor in zip(listed, seats, anchors, strict=True):
        if seat is not None:
            offset = (seat[0] - anchor[0], seat[1] - anchor[1])
            leaders.append(_leader(ax, at, offset))
            badges += _seated(ax, Badge(number, mark.shape, mark.grave), at, offset)
    spots = np.array([place for _, _, place in listed])
    dots = ax.scatter(spots[:, 0], spots[:, 1], s=5.0, color=INK, linewidths=0, zorder=7)
    return {
        "badge": tuple(badges),
        "leader": (*leaders, dots),
        "more": _crosses(ax, rest),
    }


def _seats(
    anchors: NDArray[np.float64], frame: Box, keep_clear: tuple[Box, ...], anchor_pt: float
) -> list[tuple[float, float] | None]:
    """Seat the badges, off all listed places where there is room for that."""
    sizes = np.full(anchors.shape, _BADGE_PT)
    for half in (anchor_pt, 2.0, 0.0):
        squares = np.hstack([anchors - half, anchors + half]).tolist()
        clear = (*keep_clear, *((x0, y0, x1, y1) for x0, y0, x1, y1 in squares))
        seats = place_labels(anchors, sizes, frame, keep_clear=clear if half else keep_clear)
        if None not in seats:
            break
    return seats


def _spot_mark(spot: Any, units: Units) -> Mark:
    gap = "" if spot.gap_mm is None else format_length(spot.gap_mm, units=units)
    words = _SPOT_WORDS[spot.kind].format(gap=gap)
    depth = format_length(spot.lost_depth_mm, units=units)
    rank = _RANK["spot"] if spot.kind != "corner" else _RANK["warning"]
    return Mark(
        shape="circle",
        words=f"{words}; {depth} deep is lost",
        at_mm=spot.at_mm,
        rank=rank,
        weight=spot.lost_area_mm2,
    )


def _wall_mark(wall: Any, units: Units) -> Mark:
    thick = format_length(wall.thickness_mm, units=units)
    return Mark(
        shape="diamond",
        words=f"wall only {thick} thick, may break",
        at_mm=wall.at_mm,
        rank=_RANK["thin"],
        weight=-wall.thickness_mm,
    )


def _rounded(at_mm: tuple[float, float]) -> tuple[float, float]:
    return (round(at_mm[0], 2), round(at_mm[1], 2))


def _seated(
    ax: Axes, badge: Badge, at: tuple[float, float], offset: tuple[float, float]
) -> tuple[Artist, ...]:
    from matplotlib.transforms import ScaledTranslation

    figure = whole_figure(ax)
    away = ScaledTranslation(offset[0] / 72, offset[1] / 72, figure.dpi_scale_trans)
    return draw_badge(ax, badge, *at, transform=ax.transData + away)


def _leader(ax: Axes, at: tuple[float, float], offset: tuple[float, float]) -> Artist:
    return ax.annotate(
        "",
        xy=at,
        xytext=offset,
        textcoords="offset points",
        zorder=7,
        arrowprops={
            "arrowstyle": "-",
            "color": INK,
            "linewidth": 0.8,
            "shrinkA": 0,
            "shrinkB": 0,
        },
    )


def _crosses(ax: Axes, places: list[tuple[float, float]]) -> tuple[Artist, ...]:
    if not places:
        return ()
    style = meaning("more")
    x, y = np.array(places).T
    pen = ((style.colour, style.width_pt, 0.0), ("#ffffff", style.width_pt + _HALO_PT, 0.01))
    return tuple(
        ax.scatter(
            x,
            y,
            s=16,
            marker=style.marker,
            color=colour,
            linewidths=wide,
            zorder=style.order - under,
        )
        for colour, wide, under in pen
    )
