"""Page: an empty sheet of paper with a head and a foot.

In: the height its body needs (points), title, line of figures, line of caution. Out: a Page whose
axes count in points, y up, so that words and rules are set by measure. The figure is made with
the object interface and its own canvas; no global state of the plotting library is touched.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from outline2path.picture.style import FAINT, INK, PAPER, QUIET
from outline2path.picture.words import clean, text_style, wrap

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = ["CAUTION", "EDGE_PT", "PAGE_IN", "Page", "new_figure", "new_page"]

CAUTION = (
    "A picture of the plan, not of the machine: check cutter, work holding, zero and clearance "
    "yourself. The machine\u2019s manual, local rules and trained supervision come first."
)
"""The usual caution, at the foot of every picture of a plan."""
EDGE_PT = 18.0
"""Free edge of the paper, left and right."""
PAGE_IN = 9.0
"""Width of a page: 900 px at 100 dots an inch."""
_POINTS_PER_INCH = 72.0
_DOT_PT = 0.72
"""A dot on a screen of 100 dots an inch: pages are whole dots high."""
_MOST_TITLE_LINES = 3
_TITLE_PT, _FACTS_PT, _FOOT_PT = 14.0, 9.0, 6.8


@dataclass(frozen=True, eq=False, kw_only=True)
class Page:
    """An empty page.

    Attributes
    ----------
    figure : Figure
        The whole page.
    paper : Axes
        Axes over the whole page, in points from its lower left, y up.
    wide, high : float
        Size in points.
    top, low : float
        Where the body begins and ends, points above the lower edge.
    words : tuple of Artist
        Head and foot.
    """

    figure: Figure
    paper: Axes
    wide: float
    high: float
    top: float
    low: float
    words: tuple[Artist, ...]

    @property
    def inner(self) -> float:
        """Width between the free edges, points."""
        return self.wide - 2 * EDGE_PT

    def add_axes(self, x: float, y: float, wide: float, high: float) -> Axes:
        """Return new axes with that lower left corner and size, all in points."""
        box = (x / self.wide, y / self.high, wide / self.wide, high / self.high)
        return self.figure.add_axes(box, facecolor="none")


def new_figure(wide_pt: float, high_pt: float, *, dpi: float = 100.0) -> Figure:
    """Return an empty figure of that size in points, with its own canvas."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    size = (wide_pt / _POINTS_PER_INCH, high_pt / _POINTS_PER_INCH)
    figure = Figure(figsize=size, dpi=dpi, facecolor=PAPER)
    FigureCanvasAgg(figure)
    return figure


def new_page(
    body_pt: float, *, title: str, facts: str = "", caution: str = "", wide_in: float = PAGE_IN
) -> Page:
    """Make a page whose body is `body_pt` points high.

    Examples
    --------
    >>> page = new_page(100, title="Heron", wide_in=5)
    >>> page.wide, page.top - page.low
    (360.0, 100.0)
    """
    wide = wide_in * _POINTS_PER_INCH
    inner = wide - 2 * EDGE_PT
    titles = wrap(clean(title), _TITLE_PT, inner, bold=True)[:_MOST_TITLE_LINES]
    lines = wrap(clean(facts), _FACTS_PT, inner)
    foot = wrap(clean(caution), _FOOT_PT, inner) if caution else []
    low = 26.0 + 9.0 * len(foot) if foot else 12.0
    top = low + body_pt
    high = top + 26.0 + 18.0 * len(titles) + 12.0 * len(lines)
    high = math.ceil(high / _DOT_PT) * _DOT_PT
    figure = new_figure(wide, high)
    paper = figure.add_axes((0, 0, 1, 1), zorder=-1)
    paper.set(xlim=(0, wide), ylim=(0, high))
    paper.set_axis_off()
    words = (*_head(paper, titles, lines, high), *_foot(paper, foot, wide))
    return Page(figure=figure, paper=paper, wide=wide, high=high, top=top, low=low, words=words)


def _head(paper: Axes, titles: list[str], lines: list[str], high: float) -> list[Artist]:
    y = high - 29.0
    texts: list[Artist] = []
    for size, ink, bold, step, group in (
        (_TITLE_PT, INK, True, 18.0, titles),
        (_FACTS_PT, QUIET, False, 12.0, lines),
    ):
        for line in group:
            texts.append(paper.text(EDGE_PT, y, line, **text_style(size, ink, bold=bold)))
            y -= step
        y += 3.0
    return texts


def _foot(paper: Axes, lines: list[str], wide: float) -> list[Artist]:
    from matplotlib.lines import Line2D

    if not lines or not lines[0]:
        return []
    top = 10.0 + 9.0 * len(lines)
    rule = Line2D([EDGE_PT, wide - EDGE_PT], [top, top], color=FAINT, linewidth=0.6)
    paper.add_line(rule)
    style = text_style(_FOOT_PT, QUIET)
    return [
        rule,
        *(paper.text(EDGE_PT, top - 9 - 9 * k, line, **style) for k, line in enumerate(lines)),
    ]
