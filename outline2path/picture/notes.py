"""Notes: the words beside a plot - key, passes, numbered notes - set like a page.

In: blocks of rows (a sign, words, perhaps a figure on the right). Out: their places in points and
the artists. Lines are broken by measured widths, so the height is known before the figure is
made. Columns run top to bottom; a block is kept whole.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from outline2path.picture.style import FAINT, INK, QUIET, meaning
from outline2path.picture.words import clean, text_style, text_width, wrap

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes

__all__ = [
    "Badge",
    "Block",
    "Row",
    "blocks_height",
    "draw_badge",
    "draw_key",
    "draw_notes",
    "in_columns",
    "key_height",
    "split_block",
]

SIZE_PT = 8.0
_LINE_PT, _ROW_GAP_PT, _BLOCK_GAP_PT, _HEAD_PT = 10.6, 3.0, 13.0, 17.0
_SIGN_PT, _SIGN_GAP_PT = 20.0, 7.0
_RIGHT_GAP_PT = 8.0
_KEY_COLUMN_PT = 126.0

Shape = Literal["circle", "square", "diamond"]
_MARKERS = {"circle": "o", "square": "s", "diamond": "D"}
_MARKER_PT = {"circle": 12.5, "square": 11.5, "diamond": 9.0}


@dataclass(frozen=True)
class Badge:
    """A number in a small frame: circle for a narrow spot, diamond for a thin wall, square for
    any other finding; dark for an error.
    """

    number: int
    shape: Shape = "circle"
    dark: bool = False


@dataclass(frozen=True, kw_only=True)
class Row:
    """One row: a sign, words, and a figure set right.

    The sign is a meaning's name, a depth's colour, or a badge; at most one of them is given.
    """

    words: str
    sign: str | None = None
    colour: str | None = None
    badge: Badge | None = None
    right: str = ""
    quiet: bool = False


@dataclass(frozen=True)
class Block:
    """A heading (with an optional right-hand head for figures) and its rows."""

    heading: str
    rows: tuple[Row, ...]
    right: str = ""


def blocks_height(blocks: tuple[Block, ...], width_pt: float) -> float:
    """Return the height of one column of blocks, in points.

    Examples
    --------
    >>> one = Block("Key", (Row(words="rapid"),))
    >>> blocks_height((one, one), 150) > 2 * blocks_height((one,), 150)
    True
    """
    if not blocks:
        return 0.0
    heights = [_block_height(b, width_pt) for b in blocks]
    return sum(heights) + _BLOCK_GAP_PT * (len(blocks) - 1)


def in_columns(
    blocks: tuple[Block, ...], count: int, width_pt: float
) -> tuple[tuple[Block, ...], ...]:
    """Share blocks among columns, keeping their order, so that the tallest is as low as it can be.

    Examples
    --------
    >>> a = Block("A", (Row(words="x"),) * 6)
    >>> b = Block("B", (Row(words="y"),) * 3)
    >>> [[x.heading for x in column] for column in in_columns((a, b, b), 2, 150)]
    [['A'], ['B', 'B']]
    """
    best: tuple[tuple[Block, ...], ...] = (blocks,)
    if count > 1:
        for cut in range(1, len(blocks)):
            trial = (blocks[:cut], *in_columns(blocks[cut:], count - 1, width_pt))
            if _tallest(trial, width_pt) < _tallest(best, width_pt):
                best = trial
    return best


def split_block(block: Block, count: int) -> tuple[Block, ...]:
    """Share the rows of one block among columns; only the first keeps the heading.

    Examples
    --------
    >>> [len(b.rows) for b in split_block(Block("A", (Row(words="x"),) * 5), 3)]
    [2, 2, 1]
    """
    each = max(-(-len(block.rows) // count), 1)
    parts = [block.rows[k : k + each] for k in range(0, len(block.rows), each)]
    return tuple(
        Block(block.heading if k == 0 else "", rows, block.right if k == 0 else "")
        for k, rows in enumerate(parts)
    )


def draw_notes(
    ax: Axes, blocks: tuple[Block, ...], *, left_pt: float, top_pt: float, width_pt: float
) -> tuple[Artist, ...]:
    """Draw one column into axes whose data unit is a point, y up; return the artists."""
    artists: list[Artist] = []
    y = top_pt
    for block in blocks:
        artists += _draw_head(ax, block, left_pt, y, width_pt)
        y -= _HEAD_PT
        for row in block.rows:
            lines = _lines(row, width_pt)
            artists += _draw_row(ax, row, lines, left_pt, y, width_pt)
            y -= len(lines) * _LINE_PT + _ROW_GAP_PT
        y -= _BLOCK_GAP_PT
    return tuple(artists)


def key_height(key: Block, width_pt: float) -> float:
    """Return the height in points of a key set in columns under a heading."""
    rows = -(-len(key.rows) // _key_columns(width_pt))
    return _HEAD_PT + rows * (_LINE_PT + _ROW_GAP_PT)


def draw_key(
    ax: Axes, key: Block, *, left_pt: float, top_pt: float, width_pt: float
) -> tuple[Artist, ...]:
    """Draw a key in as many columns as the width holds, filled column by column."""
    count = _key_columns(width_pt)
    rows = -(-len(key.rows) // count)
    artists = _draw_head(ax, key, left_pt, top_pt, width_pt)
    for k, row in enumerate(key.rows):
        x = left_pt + (k // rows) * width_pt / count
        y = top_pt - _HEAD_PT - (k % rows) * (_LINE_PT + _ROW_GAP_PT)
        artists += _draw_row(ax, row, [clean(row.words)], x, y, width_pt / count)
    return tuple(artists)


def draw_badge(ax: Axes, badge: Badge, x: float, y: float, **place: Any) -> tuple[Artist, ...]:
    """Draw a badge at x, y; `place` may hold the transform of both artists."""
    from matplotlib.lines import Line2D

    face, ink = (INK, "#ffffff") if badge.dark else ("#ffffff", INK)
    frame = Line2D(
        [x],
        [y],
        marker=_MARKERS[badge.shape],
        markersize=_MARKER_PT[badge.shape],
        markerfacecolor=face,
        markeredgecolor=INK,
        markeredgewidth=0.9,
        zorder=8,
        **place,
    )
    ax.add_line(frame)
    size = 7.0 if badge.number < 10 else 6.2
    text = ax.text(
        x,
        y,
        str(badge.number),
        ha="center",
        va="center_baseline",
        zorder=8.1,
        **text_style(size, ink, bold=True),
        **place,
    )
    return (frame, text)


def _key_columns(width_pt: float) -> int:
    return max(int(width_pt // _KEY_COLUMN_PT), 1)


def _tallest(columns: tuple[tuple[Block, ...], ...], width_pt: float) -> float:
    return max(blocks_height(column, width_pt) for column in columns)


def _block_height(block: Block, width_pt: float) -> float:
    rows = sum(len(_lines(r, width_pt)) * _LINE_PT + _ROW_GAP_PT for r in block.rows)
    return _HEAD_PT + rows


def _lines(row: Row, width_pt: float) -> list[str]:
    right = text_width(row.right, SIZE_PT) + _RIGHT_GAP_PT if row.right else 0.0
    return wrap(clean(row.words), SIZE_PT, width_pt - _indent(row) - right)


def _indent(row: Row) -> float:
    signed = row.sign or row.colour or row.badge
    return _SIGN_PT + _SIGN_GAP_PT if signed else 0.0


def _draw_head(ax: Axes, block: Block, x: float, y: float, width_pt: float) -> list[Artist]:
    from matplotlib.lines import Line2D

    rule = Line2D([x, x + width_pt], [y - 12.5, y - 12.5], color=FAINT, linewidth=0.6)
    ax.add_line(rule)
    left = ax.text(x, y - 8.5, block.heading, va="baseline", **text_style(SIZE_PT, INK, bold=True))
    right = ax.text(
        x + width_pt, y - 8.5, block.right, ha="right", va="baseline", **text_style(7, QUIET)
    )
    return [rule, left, right]


def _draw_row(
    ax: Axes, row: Row, lines: list[str], x: float, y: float, width_pt: float
) -> list[Artist]:
    ink = QUIET if row.quiet else INK
    artists: list[Artist] = [
        ax.text(
            x + _indent(row),
            y - 8.4 - k * _LINE_PT,
            line,
            va="baseline",
            **text_style(SIZE_PT, ink),
        )
        for k, line in enumerate(lines)
    ]
    if row.right:
        artists.append(
            ax.text(
                x + width_pt,
                y - 8.4,
                row.right,
                ha="right",
                va="baseline",
                **text_style(SIZE_PT, ink),
            )
        )
    middle = y - 5.5
    if row.badge:
        artists += draw_badge(ax, row.badge, x + _SIGN_PT / 2, middle)
    elif row.sign:
        artists += _draw_sign(ax, row.sign, x, middle)
    elif row.colour:
        artists.append(_stroke(ax, x, middle, row.colour))
    return artists


def _stroke(ax: Axes, x: float, y: float, colour: str) -> Artist:
    from matplotlib.lines import Line2D

    return ax.add_line(
        Line2D([x, x + _SIGN_PT], [y, y], color=colour, linewidth=4.5, solid_capstyle="butt")
    )


def _draw_sign(ax: Axes, name: str, x: float, y: float) -> list[Artist]:
    """Draw the sample of a meaning, 20 points wide, as it looks in the plot."""
    from matplotlib.collections import LineCollection
    from matplotlib.lines import Line2D
    from matplotlib.patches import Rectangle

    style = meaning(name)
    if style.kind == "fill":
        box = Rectangle(
            (x, y - 4), _SIGN_PT, 8, facecolor=style.colour, edgecolor=QUIET, linewidth=0.4
        )
        ax.add_patch(box)
        if style.pattern == "plain":
            return [box]
        ruled = [[(x + d, y - 4), (x + d + 8, y + 4)] for d in (0, 4, 8, 12)]
        if style.pattern == "level":
            ruled = [[(x, y + d), (x + _SIGN_PT, y + d)] for d in (-2, 0, 2)]
        if style.pattern == "cross":
            ruled += [[(a, 2 * y - b) for a, b in line] for line in ruled]
        fine = LineCollection(ruled, colors=style.ruling, linewidths=0.5)
        ax.add_collection(fine, autolim=False)
        return [box, fine]
    if style.kind == "line":
        line = Line2D(
            [x, x + _SIGN_PT],
            [y, y],
            color=style.colour,
            linewidth=style.width_pt,
            linestyle=style.dashes,
        )
    else:
        line = Line2D(
            [x + _SIGN_PT / 2],
            [y],
            marker=style.marker,
            markersize=5.5,
            linestyle="none",
            markerfacecolor="#ffffff",
            markeredgecolor=style.colour,
            markeredgewidth=style.width_pt,
        )
    return [ax.add_line(line)]
