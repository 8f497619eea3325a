"""Cut: the joint between operations and path.

An operation turns a region and a cutter into cuts. A cut is one contour at one depth: a chain of
spans, each a polyline in three dimensions with a role. Operations know nothing of arcs, rapids
or words; `path` fits arcs, orders the cuts and links them.

Coordinates are work coordinates in mm, y up, z up. The points are those of the cutter's tip
centre.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from outline2path.findings import Finding
    from outline2path.shop.cutter import Cutter

__all__ = ["Contour", "Cut", "Cuts", "Role", "Span", "Tab", "Way"]

Role = Literal["plunge", "ramp", "lead-in", "cut", "tab", "lead-out", "link", "lift"]
"""What the cutter does on a span. "tab" is a cutting span raised over a tab; "link" goes level
over ground that the operation has already cleared to this depth; "lift" is a rapid straight up."""


@dataclass(frozen=True, eq=False)
class Span:
    """One polyline with one role.

    Attributes
    ----------
    role : Role
        See above. A "plunge" is vertical, straight down at the plunge feed; all else runs at the
        cutting feed.
    points : ndarray, shape (n, 3)
        x, y, z in mm, n >= 2; the first point is the last point of the span before.
    feed_factor : float
        Share of the cutting feed this span runs at.
    """

    role: Role
    points: NDArray[np.float64]
    feed_factor: float = 1.0

    @classmethod
    def level(
        cls, role: Role, points: NDArray[np.float64], z_mm: float, *, feed_factor: float = 1.0
    ) -> Span:
        """Return a level span along plane points, shape (n, 2), mm.

        Examples
        --------
        >>> Span.level("cut", np.array([[0.0, 0], [9, 0]]), -1.0).points.tolist()
        [[0.0, 0.0, -1.0], [9.0, 0.0, -1.0]]
        """
        heights = np.full(len(points), z_mm)
        return cls(role, np.column_stack((points, heights)), feed_factor)


@dataclass(frozen=True, eq=False)
class Cut:
    """One contour at one depth, from where the cutter enters to where it leaves.

    The first point of the first span lies above the stock or in space already cut, and is reached
    by a rapid at clearance height and a feed straight down to it.
    """

    operation: str
    cutter: Cutter
    z_mm: float
    spans: tuple[Span, ...]


@dataclass(frozen=True, kw_only=True)
class Tab:
    """A bridge left standing.

    Middle of the tab on the part's wall, length along it, height above the stock's bottom; mm.
    """

    at_mm: tuple[float, float]
    length_mm: float
    height_mm: float


@dataclass(frozen=True, eq=False, kw_only=True)
class Way:
    """Another way to make the same contour: begun elsewhere, or gone along the other way.

    Attributes
    ----------
    begin_mm, end_mm : tuple of float
        x, y where its first cut begins and its last one ends.
    make : callable
        Returns its cuts; called only where the way is chosen.
    """

    begin_mm: tuple[float, float]
    end_mm: tuple[float, float]
    make: Callable[[], tuple[Cut, ...]]


@dataclass(frozen=True, eq=False, kw_only=True)
class Contour:
    """All cuts of one ring, in the order they must be made.

    Attributes
    ----------
    cuts : tuple of Cut
        Top to bottom, roughing before finishing.
    number : int
        Its own number within the operation.
    after : frozenset of int
        Numbers of the contours that must be finished first (holes before the edge round them).
    tabs : tuple of Tab
        The tabs this contour leaves.
    others : tuple of Way
        Other ways to make it, as good as its own cuts; `path` takes the one with short rapids.
    """

    number: int
    cuts: tuple[Cut, ...]
    after: frozenset[int] = field(default_factory=frozenset)
    tabs: tuple[Tab, ...] = ()
    others: tuple[Way, ...] = ()


@dataclass(frozen=True, eq=False)
class Cuts:
    """What an operation plans.

    Attributes
    ----------
    contours : tuple of Contour
        In a lawful order.
    findings : tuple of Finding
        What could not be done as asked, and what to do about it.
    """

    contours: tuple[Contour, ...]
    findings: tuple[Finding, ...] = ()
