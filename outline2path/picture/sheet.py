"""Sheet: a page with a title, a plot, notes beside or below it, and a line of caution.

In: the bounds to show (mm), blocks of notes, title and facts. Out: a Sheet with the figure, the
plot's axes and the artists of the words. The figure is made with the object interface and its own
canvas; no global state of the plotting library is read or changed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from outline2path.picture.frame import BAND_PT, MARGIN_PT, whole_figure
from outline2path.picture.notes import (
    Block,
    blocks_height,
    draw_key,
    draw_notes,
    in_columns,
    key_height,
    split_block,
)
from outline2path.picture.style import FAINT, INK, PAPER, QUIET
from outline2path.picture.words import clean, text_style, wrap

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = ["CAUTION", "Sheet", "lay_sheet", "new_figure"]

CAUTION = (
    "A picture of the plan, not of the machine: check cutter, work holding, zero and clearance "
    "yourself. The machine\u2019s manual, local rules and trained supervision come first."
)
_POINT = 1 / 72
_EDGE_PT, _GUTTER_PT = 18.0, 22.0
_AXIS_LEFT_PT, _AXIS_LOW_PT = 34.0, 27.0
_NOTES_PT, _LEAST_COLUMN_PT = 178.0, 165.0
_LEAST_PLOT_PT, _MOST_PLOT_PT = (250.0, 190.0), 560.0
_KEY_GAP_PT = 10.0
_WIDE = 2.3
_MOST_TITLE_LINES = 3
_MOST_INSETS, _HEAD_PT, _CAPTION_PT = 4, 20.0, 16.0


@dataclass(frozen=True, eq=False, kw_only=True)
class Sheet:
    """A page ready to draw on: figure, the plot's axes, a row of small axes, artists of words."""

    figure: Figure
    ax: Axes
    words: tuple[Artist, ...]
    insets: tuple[Axes, ...] = ()


@dataclass(frozen=True, kw_only=True)
class _Plan:
    """Sizes of the parts of a page, in points: plot, key under it, notes beside or below."""

    plot: tuple[float, float]
    column: float
    columns: tuple[tuple[Block, ...], ...]
    below: bool
    key: float
    insets: float = 0.0

    @property
    def notes(self) -> float:
        """Height of the tallest column."""
        return max((blocks_height(c, self.column) for c in self.columns), default=0.0)

    @property
    def left(self) -> float:
        """Height of plot and key."""
        return self.plot[1] + _AXIS_LOW_PT + (_KEY_GAP_PT + self.key if self.key else 0.0)

    @property
    def body(self) -> float:
        """Height of everything between head and foot."""
        small = _GUTTER_PT + self.insets if self.insets else 0.0
        if self.below and self.columns:
            return self.left + _GUTTER_PT + self.notes + small
        return max(self.left, self.notes) + small


def new_figure(wide_pt: float, high_pt: float, *, dpi: float = 100.0) -> Figure:
    """Return an empty page of that size in points, with its own canvas."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=(wide_pt * _POINT, high_pt * _POINT), dpi=dpi, facecolor=PAPER)
    FigureCanvasAgg(figure)
    return figure


def lay_sheet(
    bounds: tuple[float, float, float, float],
    *,
    title: str,
    facts: str = "",
    key: Block | None = None,
    blocks: tuple[Block, ...] = (),
    caution: str = CAUTION,
    insets: int = 0,
    inset_head: str = "",
    wide_in: float = 9.0,
) -> Sheet:
    """Make a page for a plot of `bounds` (mm) with its words.

    Parameters
    ----------
    bounds : tuple of float
        x0, y0, x1, y1 in mm: gives the plot's proportions.
    title, facts, caution : str
        Head line, the line of figures under it, and the foot.
    key : Block, optional
        What the lines and fills mean; set under the plot.
    blocks : tuple of Block
        Notes, beside the plot, or below it where the plot is wide.
    insets : int
        Number of small square axes in a row under everything, 0 to 4, and `inset_head` over them.
    wide_in : float
        Width of the page in inches.

    Examples
    --------
    >>> lay_sheet((0, 0, 100, 60), title="Heron").figure.get_size_inches().tolist()[0]
    9.0
    """
    wide = wide_in / _POINT
    inner = wide - 2 * _EDGE_PT
    plan = replace(_arrange(bounds, key, blocks, inner), insets=_inset_height(insets, inner))
    titles = wrap(clean(title), 14, inner, bold=True)[:_MOST_TITLE_LINES]
    head_lines = wrap(clean(facts), 9, inner)
    foot_lines = wrap(clean(caution), 6.8, inner) if caution else []
    head = 26.0 + 18.0 * len(titles) + 12.0 * len(head_lines)
    foot = 26.0 + 9.0 * len(foot_lines) if foot_lines else 12.0
    high = head + plan.body + foot
    figure = new_figure(wide, high)
    page = figure.add_axes((0, 0, 1, 1), zorder=-1)
    page.set(xlim=(0, wide), ylim=(0, high))
    page.set_axis_off()
    words = [*_head(page, titles, head_lines, high), *_foot(page, foot_lines, wide)]
    words += _set_notes(page, plan, key, high - head)
    left, low = _EDGE_PT + _AXIS_LEFT_PT, high - head - plan.plot[1]
    box = (left / wide, low / high, plan.plot[0] / wide, plan.plot[1] / high)
    ax = figure.add_axes(box, facecolor="none")
    small = _add_insets(page, insets, foot + plan.insets, inset_head) if insets else ()
    return Sheet(figure=figure, ax=ax, words=tuple(words), insets=small)


def _inset_side(inner: float) -> float:
    return (inner - (_MOST_INSETS - 1) * _GUTTER_PT) / _MOST_INSETS


def _inset_height(count: int, inner: float) -> float:
    return _inset_side(inner) + _HEAD_PT + _CAPTION_PT if count else 0.0


def _add_insets(page: Axes, count: int, top: float, head: str) -> tuple[Axes, ...]:
    """Add a row of square axes below `top` (points), with captions' room under them."""
    figure = whole_figure(page)
    wide, high = page.get_xlim()[1], page.get_ylim()[1]
    inner = wide - 2 * _EDGE_PT
    side = _inset_side(inner)
    draw_notes(page, (Block(head, ()),), left_pt=_EDGE_PT, top_pt=top, width_pt=inner)
    low = (top - _HEAD_PT - side) / high
    lefts = [_EDGE_PT + k * (side + _GUTTER_PT) for k in range(count)]
    return tuple(
        figure.add_axes((x / wide, low, side / wide, side / high), facecolor="#ffffff")
        for x in lefts
    )


def _set_notes(page: Axes, plan: _Plan, key: Block | None, top: float) -> list[Artist]:
    """Draw key and columns where the plan has room for them."""
    words: list[Artist] = []
    left_wide = _AXIS_LEFT_PT + plan.plot[0]
    if key:
        y = top - plan.plot[1] - _AXIS_LOW_PT - _KEY_GAP_PT
        words += draw_key(page, key, left_pt=_EDGE_PT, top_pt=y, width_pt=left_wide)
    x = _EDGE_PT if plan.below else _EDGE_PT + left_wide + _GUTTER_PT
    y = top - plan.left - _GUTTER_PT if plan.below else top
    for column in plan.columns:
        words += draw_notes(page, column, left_pt=x, top_pt=y, width_pt=plan.column)
        x += plan.column + _GUTTER_PT
    return words


def _arrange(
    bounds: tuple[float, float, float, float],
    key: Block | None,
    blocks: tuple[Block, ...],
    inner: float,
) -> _Plan:
    """Choose the plot's size and where the notes go."""
    least = 1 / inner
    ratio = max(bounds[2] - bounds[0], least) / max(bounds[3] - bounds[1], least)
    below = ratio > _WIDE or not blocks
    room = inner - _AXIS_LEFT_PT
    plot = _plot_size(ratio, room if below else room - _GUTTER_PT - _NOTES_PT)
    span = inner if below else room - _GUTTER_PT - plot[0]
    count = max(int((span + _GUTTER_PT) / (_LEAST_COLUMN_PT + _GUTTER_PT)), 1)
    column = (span + _GUTTER_PT) / count - _GUTTER_PT
    if below and len(blocks) == 1:
        blocks = split_block(blocks[0], count)
    return _Plan(
        plot=plot,
        column=column,
        columns=in_columns(blocks, count, column) if blocks else (),
        below=below,
        key=key_height(key, _AXIS_LEFT_PT + plot[0]) if key else 0.0,
    )


def _plot_size(ratio: float, most_wide: float) -> tuple[float, float]:
    """Return the plot's width and height for content of that width-to-height ratio."""
    extra = 2 * MARGIN_PT
    high = (most_wide - extra) / ratio + extra + BAND_PT
    if high <= _MOST_PLOT_PT:
        return most_wide, max(high, _LEAST_PLOT_PT[1])
    wide = (_MOST_PLOT_PT - extra - BAND_PT) * ratio + extra
    return min(max(wide, _LEAST_PLOT_PT[0]), most_wide), _MOST_PLOT_PT


def _head(page: Axes, titles: list[str], lines: list[str], high: float) -> list[Artist]:
    y = high - 29.0
    texts: list[Artist] = []
    for size, ink, bold, step, group in (
        (14.0, INK, True, 18.0, titles),
        (9.0, QUIET, False, 12.0, lines),
    ):
        for line in group:
            texts.append(page.text(_EDGE_PT, y, line, **text_style(size, ink, bold=bold)))
            y -= step
        y += 3.0
    return texts


def _foot(page: Axes, lines: list[str], wide: float) -> list[Artist]:
    from matplotlib.lines import Line2D

    if not lines or not lines[0]:
        return []
    top = 10.0 + 9.0 * len(lines)
    rule = Line2D([_EDGE_PT, wide - _EDGE_PT], [top, top], color=FAINT, linewidth=0.6)
    page.add_line(rule)
    style = text_style(6.8, QUIET)
    return [
        rule,
        *(page.text(_EDGE_PT, top - 9 - 9 * k, line, **style) for k, line in enumerate(lines)),
    ]
