"""Combining: several outlines become one, each where it lies.

In: outlines in mm. Out: one outline with all their shapes, so that one step of a job works on all
of them. Where all keep their drawn curves and are read alike, the curves are kept and parts can
still be chosen by id or class; otherwise the regions are taken as they are.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import shapely

from outline2path.drawing.figures import Clip
from outline2path.drawing.outline import Outline
from outline2path.drawing.transforms import IDENTITY, Affine, compose, invert
from outline2path.errors import DrawingError

if TYPE_CHECKING:
    from outline2path.drawing.figures import Figure

__all__ = ["combined"]


def combined(outlines: Sequence[Outline]) -> Outline:
    """Return one outline that holds all of these.

    Parameters
    ----------
    outlines : sequence of Outline
        Each where it is to lie, in mm; they do not overlap.

    Returns
    -------
    Outline
        With the matrix and the source of the first.

    Raises
    ------
    DrawingError
        When there is none, or regions that have no curves overlap.

    Examples
    --------
    >>> plate = Outline.from_path("M0 0H4V2H0Z")
    >>> combined([plate, plate.move(10)]).size_mm
    (14.0, 2.0)
    """
    if not outlines:
        raise DrawingError(f"{len(outlines)} outlines hold nothing to cut", remedy="give some")
    first = outlines[0]
    findings = tuple(dict.fromkeys(f for one in outlines for f in one.findings))
    if any(one.solid is not None or one.reading != first.reading for one in outlines):
        parts = [part for one in outlines for part in one.region.geoms]
        whole = Outline.from_shapely(shapely.MultiPolygon(parts))
        return replace(whole, source=first.source, findings=findings)
    back = invert(first.matrix) or IDENTITY  # an outline's is never flat
    figures: list[Figure] = []
    for one in outlines:
        figures += map(_Mover(compose(back, one.matrix)).figure, one.figures)
    return replace(first, figures=tuple(figures), findings=findings)


class _Mover:
    """Moves figures and all that clips them, in CSS pixels; what is shared stays shared."""

    def __init__(self, matrix: Affine) -> None:
        self.matrix = matrix
        self._clips: dict[int, Clip] = {}

    def figure(self, figure: Figure) -> Figure:
        return replace(
            figure,
            matrix=compose(self.matrix, figure.matrix),
            clips=tuple(map(self.clip, figure.clips)),
        )

    def clip(self, clip: Clip) -> Clip:
        if id(clip) not in self._clips:
            self._clips[id(clip)] = Clip(
                figures=tuple(map(self.figure, clip.figures)),
                over=tuple(map(self.clip, clip.over)),
            )
        return self._clips[id(clip)]
