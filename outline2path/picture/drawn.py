"""Drawn: what a drawing function gives back.

Holds the axes, every artist by meaning, and the words that stand (or would stand) beside the
plot, so that a notebook can restyle, remove or read them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from outline2path.picture.frame import whole_figure

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from outline2path.picture.notes import Block

__all__ = ["Drawn"]


@dataclass(frozen=True, eq=False, kw_only=True)
class Drawn:
    """A finished drawing.

    Attributes
    ----------
    ax : Axes
        Where it was drawn: the axes given, or those of a page made for it.
    artists : mapping of str to tuple of Artist
        What was drawn, by meaning ("edge", "pass", "rapid", ...); a meaning that had nothing to
        show is there with an empty tuple.
    blocks : tuple of Block
        The words: key, passes, numbered notes.
    title, facts : str
        The head line and the line of figures.
    """

    ax: Axes
    artists: Mapping[str, tuple[Artist, ...]]
    blocks: tuple[Block, ...] = ()
    title: str = ""
    facts: str = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "artists", MappingProxyType(dict(self.artists)))

    @property
    def figure(self) -> Figure:
        """The whole figure, also where the axes lie in a part of it."""
        return whole_figure(self.ax)

    @property
    def words(self) -> tuple[str, ...]:
        """Every row of words, as plain text, numbered as on the plot."""
        return tuple(
            f"{row.badge.number}. {row.words}" if row.badge else f"{row.words} {row.right}".strip()
            for block in self.blocks
            for row in block.rows
        )

    def _repr_png_(self) -> tuple[bytes, dict[str, int]]:
        from outline2path.picture.dots import DENSE, SCREEN_DPI, for_notebook, picture

        return for_notebook(picture(self, dpi=SCREEN_DPI * DENSE))

    def __repr__(self) -> str:
        kinds = ", ".join(name for name, found in self.artists.items() if found)
        return f"Drawn({self.title!r}: {kinds})"
