"""Layout: a page with a title, a plot, notes beside or below it, and a line of caution.

In: the bounds to show (mm), blocks of notes, title and facts. Out: a Layout with the figure, the
plot's axes and the artists of the words.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from outline2path.picture.frame import BAND_PT, MARGIN_PT
from outline2path.picture.notes import (
    Block,
    blocks_height,
    draw_key,
    draw_notes,
    in_columns,
    key_height,
    split_block,
)
from outline2path.picture.page import CAUTION, EDGE_PT, PAGE_IN, Page, new_page

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = ["Layout", "lay_out"]

_POINTS_PER_INCH = 72.0
_GUTTER_PT = 22.0
_AXIS_LEFT_PT, _AXIS_LOW_PT = 34.0, 27.0
_NOTES_PT, _LEAST_COLUMN_PT = 178.0, 165.0
_LEAST_PLOT_PT, _MOST_PLOT_PT = (250.0, 190.0), 560.0
_KEY_GAP_PT = 10.0
_WIDE = 2.3
_MOST_INSETS, _HEAD_PT, _CAPTION_PT = 4, 20.0, 16.0


@dataclass(frozen=True, eq=False, kw_only=True)
class Layout:
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


def lay_out(
    bounds: tuple[float, float, float, float],
    *,
    title: str,
    facts: str = "",
    key: Block | None = None,
    blocks: tuple[Block, ...] = (),
    caution: str = CAUTION,
    insets: int = 0,
    inset_head: str = "",
    wide_in: float = PAGE_IN,
) -> Layout:
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
    >>> lay_out((0, 0, 100, 60), title="Heron").figure.get_size_inches().tolist()[0]
    9.0
    """
    inner = wide_in * _POINTS_PER_INCH - 2 * EDGE_PT
    plan = replace(_arrange(bounds, key, blocks, inner), insets=_inset_height(insets, inner))
    page = new_page(plan.body, title=title, facts=facts, caution=caution, wide_in=wide_in)
    words = [*page.words, *_set_notes(page, plan, key)]
    ax = page.add_axes(EDGE_PT + _AXIS_LEFT_PT, page.top - plan.plot[1], *plan.plot)
    small = _add_insets(page, insets, page.low + plan.insets, inset_head) if insets else ()
    return Layout(figure=page.figure, ax=ax, words=tuple(words), insets=small)


def _inset_side(inner: float) -> float:
    return (inner - (_MOST_INSETS - 1) * _GUTTER_PT) / _MOST_INSETS


def _inset_height(count: int, inner: float) -> float:
    return _inset_side(inner) + _HEAD_PT + _CAPTION_PT if count else 0.0


def _add_insets(page: Page, count: int, top: float, head: str) -> tuple[Axes, ...]:
    """Add a row of square axes below `top` (points), with room for captions under them."""
    side = _inset_side(page.inner)
    draw_notes(page.paper, (Block(head, ()),), left_pt=EDGE_PT, top_pt=top, width_pt=page.inner)
    low = top - _HEAD_PT - side
    return tuple(
        page.add_axes(EDGE_PT + k * (side + _GUTTER_PT), low, side, side) for k in range(count)
    )


def _set_notes(page: Page, plan: _Plan, key: Block | None) -> list[Artist]:
    """Draw key and columns where the plan has room for them."""
    words: list[Artist] = []
    left_wide = _AXIS_LEFT_PT + plan.plot[0]
    if key:
        y = page.top - plan.plot[1] - _AXIS_LOW_PT - _KEY_GAP_PT
        words += draw_key(page.paper, key, left_pt=EDGE_PT, top_pt=y, width_pt=left_wide)
    x = EDGE_PT if plan.below else EDGE_PT + left_wide + _GUTTER_PT
    y = page.top - plan.left - _GUTTER_PT if plan.below else page.top
    for column in plan.columns:
        words += draw_notes(page.paper, column, left_pt=x, top_pt=y, width_pt=plan.column)
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
