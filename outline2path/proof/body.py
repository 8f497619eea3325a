"""Body: how wide the cutter is at a height above its tip, for many heights at once.

In: a cutter of the shop. Out: radii in mm of what turns and cuts, as arrays. A flat cutter is as
wide at its tip as anywhere; a cone or a ball widens up to the height `widens_mm`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from outline2path.proof.tracks import Floats
    from outline2path.shop.cutter import Cutter

__all__ = ["Body"]


class Body:
    """What sweeps the ground.

    Parameters
    ----------
    cutter : Cutter
        The cutter mounted.

    Attributes
    ----------
    radius_mm : float
        Half its diameter.
    widens_mm : float
        Height of the point: from there on it is as wide as it gets; 0 where it is flat.

    Examples
    --------
    >>> from outline2path.shop.cutter import Cutter
    >>> from outline2path.shop.cutter import Cutter
    >>> Body(Cutter(3.0)).radius_at(np.array([0.0, 4.0])).tolist()
    [1.5, 1.5]
    """

    def __init__(self, cutter: Cutter) -> None:
        self.cutter = cutter
        self.radius_mm = cutter.radius_mm
        self.widens_mm = cutter.point_length_mm

    @property
    def is_flat(self) -> bool:
        """Whether it is as wide at its tip as anywhere."""
        return self.widens_mm == 0

    @property
    def slope(self) -> float:
        """How much wider, to each side, for each mm of height along the point; 0 where flat."""
        if self.is_flat:
            return 0.0
        return (self.radius_mm - float(self.cutter.radius_at_mm(0.0))) / self.widens_mm

    def radius_at(self, height_mm: Floats) -> Floats:
        """Return the radius at heights above the tip, mm; heights below it count as 0."""
        if self.is_flat:
            return np.full(np.shape(height_mm), self.radius_mm)
        heights, where = np.unique(np.maximum(height_mm, 0.0), return_inverse=True)
        radii = np.array([self.cutter.radius_at_mm(float(height)) for height in heights])
        out: Floats = radii[where].reshape(np.shape(height_mm))
        return out
