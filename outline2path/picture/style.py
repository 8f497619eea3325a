"""Style: one palette, one set of lines, one meaning each.

In: nothing. Out: for every meaning a colour, a line pattern, a weight in points and a marker, and
for every depth a colour. No meaning rests on colour alone: two meanings that could be confused
differ in pattern, weight or marker too.

Colours of meanings come from the eight of Okabe and Ito ("Color Universal Design", 2008, from
memory), chosen to stay apart for the common kinds of colour vision. Depths use the cividis ramp
(Nunez, Anderton and Renslow, PLoS ONE 13(7), 2018, from memory), even in lightness for people
with and without colour-vision deficiency; its palest part is left out because it stands out from
paper by less than 3 to 1. Line patterns follow technical drawing (ISO 128-2, from memory): wide
continuous for edges, narrow long-dash double-dot for the blank before it is cut, narrow dotted
for motion that leaves no mark.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = [
    "FAINT",
    "FAMILY",
    "INK",
    "MEANINGS",
    "PAPER",
    "QUIET",
    "Meaning",
    "depth_colours",
    "meaning",
]

FAMILY = "DejaVu Sans"
"""The one typeface; it comes with matplotlib, so pictures look alike everywhere."""
PAPER = "#fdfcf9"
"""Colour of the page."""
INK = "#1f2429"
"""Colour of text and edges."""
QUIET = "#5b636b"
"""Colour of text that stands back."""
FAINT = "#b9b6ad"
"""Colour of rules and frames."""

Kind = Literal["fill", "line", "point"]
Pattern = Literal["plain", "slant", "cross", "level"]
_Dashes = tuple[float, tuple[float, ...]] | Literal["solid"]
_SHALLOWEST, _DEEPEST = 0.62, 0.0


@dataclass(frozen=True, kw_only=True)
class Meaning:
    """How one meaning is drawn.

    Attributes
    ----------
    name : str
        Key in `MEANINGS` and in the artists a drawing returns.
    label : str
        Words for the key beside the plot.
    kind : "fill", "line" or "point"
        What it is on paper.
    colour : str
        Fill of a fill, stroke of a line, edge of a point.
    dashes : "solid" or (offset, on-off lengths)
        Line pattern, in line widths.
    width_pt : float
        Line weight in points.
    marker : str
        Marker of a point.
    ruling : str
        Colour of a pattern's lines.
    pattern : "plain", "slant", "cross" or "level"
        Fine lines a fill carries, so that it is known without its colour.
    order : float
        Drawing order; greater lies on top.
    """

    name: str
    label: str
    kind: Kind
    colour: str
    dashes: _Dashes = "solid"
    width_pt: float = 0.8
    marker: str = ""
    ruling: str = "#ddd5c2"
    pattern: Pattern = "plain"
    order: float = 1.0


_LIST = (
    Meaning(
        name="waste",
        label="stock that is waste",
        kind="fill",
        colour="#f3eee2",
        pattern="slant",
        order=1.0,
    ),
    Meaning(name="part", label="part that stays", kind="fill", colour="#c3d1dc", order=1.2),
    Meaning(name="kerf", label="cut away by the cutter", kind="fill", colour="#ffffff", order=1.4),
    Meaning(name="tab", label="tab left standing", kind="fill", colour="#e69f00", order=3.6),
    Meaning(
        name="lost", label="the cutter cannot reach", kind="fill", colour="#d55e00", order=3.4
    ),
    Meaning(
        name="thin",
        label="wall too thin",
        kind="fill",
        colour="#cc79a7",
        pattern="cross",
        ruling=INK,
        order=3.3,
    ),
    Meaning(
        name="board",
        label="waste board under the stock",
        kind="fill",
        colour="#e4dccb",
        pattern="level",
        ruling="#b5a988",
        order=1.0,
    ),
    Meaning(
        name="stock",
        label="edge of the stock",
        kind="line",
        colour=QUIET,
        dashes=(0, (14, 3, 1.2, 3, 1.2, 3)),
        width_pt=0.7,
        order=1.6,
    ),
    Meaning(name="edge", label="drawn outline", kind="line", colour=INK, width_pt=1.1, order=3.0),
    Meaning(
        name="rapid",
        label="rapid, above the stock",
        kind="line",
        colour="#6f7780",
        dashes=(0, (1, 2.4)),
        width_pt=0.8,
        order=2.0,
    ),
    Meaning(
        name="lead-in",
        label="lead-in",
        kind="line",
        colour="#009e73",
        dashes=(0, (6, 1.2)),
        width_pt=1.5,
        order=4.0,
    ),
    Meaning(
        name="lead-out",
        label="lead-out",
        kind="line",
        colour="#0072b2",
        dashes=(0, (2, 1.2)),
        width_pt=1.5,
        order=4.0,
    ),
    Meaning(
        name="ramp",
        label="ramp down",
        kind="line",
        colour="#d55e00",
        dashes=(0, (5, 1.4, 1, 1.4)),
        width_pt=1.1,
        order=4.1,
    ),
    Meaning(
        name="cutter",
        label="cutter, to scale",
        kind="line",
        colour=INK,
        dashes=(0, (5, 2)),
        width_pt=0.9,
        order=4.4,
    ),
    Meaning(
        name="start",
        label="cutter goes down here",
        kind="point",
        colour="#0072b2",
        marker="o",
        width_pt=1.1,
        order=4.6,
    ),
    Meaning(
        name="direction",
        label="direction of cutting",
        kind="point",
        colour=INK,
        marker=">",
        order=4.5,
    ),
    Meaning(
        name="more",
        label="place of a note not listed",
        kind="point",
        colour=INK,
        marker="x",
        width_pt=1.0,
        order=4.7,
    ),
)

MEANINGS: dict[str, Meaning] = {m.name: m for m in _LIST}
"""Every meaning by its name."""


def meaning(name: str) -> Meaning:
    """Return how a meaning is drawn.

    Examples
    --------
    >>> meaning("rapid").label
    'rapid, above the stock'
    """
    return MEANINGS[name]


def depth_colours(count: int) -> tuple[str, ...]:
    """Return one colour a depth, the shallowest first and lightest, as #rrggbb.

    Parameters
    ----------
    count : int
        Number of depths, 0 or more; a single depth gets the darkest colour.

    Examples
    --------
    >>> len(depth_colours(4)), depth_colours(1)
    (4, ('#00224e',))
    """
    from matplotlib import colormaps
    from matplotlib.colors import to_hex

    ramp = colormaps["cividis"]
    step = (_DEEPEST - _SHALLOWEST) / max(count - 1, 1)
    last = count - 1
    return tuple(to_hex(ramp(_DEEPEST - step * (last - k))) for k in range(count))
