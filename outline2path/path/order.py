"""Order (first version)."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from outline2path.operations.cut import Contour

__all__ = ["order_contours"]


def order_contours(
    contours: tuple[Contour, ...], *, start_xy: tuple[float, float] = (0.0, 0.0)
) -> tuple[Contour, ...]:
    """Order contours, prerequisites first."""
    done: list[Contour] = []
    left = list(contours)
    present = {c.number for c in contours}
    while left:
        ready = [c for c in left if not (c.after & present) - {d.number for d in done}]
        done.append(ready[0])
        left.remove(ready[0])
    return tuple(done)
