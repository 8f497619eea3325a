"""Descent: how the cutter comes down into a pocket, chosen by the room there is.

In: the walk that clears one depth, the depth above and the depth wanted, cutter and settings. Out:
the spans from the depth above to the walk's first point, mm, and the place they begin at.

helix  on a circle about the roomiest spot, 0.5 to 0.9 of the cutter's radius wide (wider leaves a
       post), then level to the first ring.
ramp   down along the first ring itself, round and round where it is short.
plunge straight down where the walk begins.
open   straight down beside what is left to cut, where a larger cutter has been before.

"auto" takes the first of helix, ramp and plunge there is room for; "open" is taken wherever it
can be.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from outline2path.operations.clearing import hop
from outline2path.operations.cut import Span
from outline2path.operations.entries import MOST_TURNS, Raised, helix_spans, ramp_turns, walk
from outline2path.operations.leads import chord_angles

if TYPE_CHECKING:
    from outline2path.operations.clearing import Walk
    from outline2path.operations.pocket_settings import PocketSettings

__all__ = ["Descent", "descent_for"]

Floats = NDArray[np.float64]
_WIDEST, _NARROWEST = 0.8, 0.5
"""Radius of a helix in cutter radii: under 1, so that no post stays (sources: 0.5 to 0.9)."""


@dataclass(frozen=True, eq=False)
class Descent:
    """One way down, to be used at every depth.

    Attributes
    ----------
    way : "helix", "ramp", "plunge" or "open"
        What there is room for.
    start : ndarray, shape (2,)
        Where it begins, mm.
    circle : ndarray, shape (n, 2), or None
        One turn of the helix.
    """

    way: Literal["helix", "ramp", "plunge", "open"]
    start: Floats
    circle: Floats | None
    onward: Walk
    ramp_angle_deg: float

    def spans(self, *, from_z: float, to_z: float) -> list[Span]:
        """Return the spans from one depth down to the next, ending where the walk begins."""
        if self.circle is not None:
            spans = helix_spans(
                self.circle, from_z=from_z, to_z=to_z, angle_deg=self.ramp_angle_deg
            )
            return [*spans, Span.level("cut", np.stack((self.start, self.onward.start)), to_z)]
        loop = self.onward.first
        if self.way == "ramp":
            turns = ramp_turns(loop, fall_mm=from_z - to_z, angle_deg=self.ramp_angle_deg)
            return walk(
                loop, -turns * loop.length_mm, 0.0, from_z=from_z, to_z=to_z, raised=Raised()
            )
        x, y = self.start
        down = Span("plunge", np.array([[x, y, from_z], [x, y, to_z]]))
        across = hop(self.onward.area, self.start, self.onward.start, cleared=[])
        return [down, *(Span.level("cut", leg.points, to_z) for leg in across)]


def descent_for(
    onward: Walk,
    *,
    settings: PocketSettings,
    cutter_mm: float,
    fall_mm: float,
    chords_mm: float,
    uncut: BaseGeometry | None = None,
) -> Descent:
    """Choose the way down for a walk.

    Parameters
    ----------
    onward : Walk
        What is cut once down.
    settings : PocketSettings
        The entry asked for and the steepest angle.
    cutter_mm, fall_mm, chords_mm : float
        Cutting diameter, greatest depth of one pass, sagitta of the helix's chords, mm.
    uncut : geometry, optional
        What is left to cut, where not everything is.

    Examples
    --------
    >>> from outline2path.operations.clearing import Leg, Walk
    >>> from outline2path.operations.loops import Loop
    >>> from outline2path.operations.pocket_settings import PocketSettings
    >>> loop = Loop.of([(0, 0), (10, 0), (10, 10), (0, 10)])
    >>> area = shapely.Polygon(loop.points)
    >>> onward = Walk(area, np.array((5.0, 5.0)), loop, (Leg("cut", loop.points),))
    >>> descent_for(onward, settings=PocketSettings(), cutter_mm=3.0, fall_mm=1.5,
    ...             chords_mm=0.005).way
    'helix'
    """
    angle = settings.ramp_angle_deg
    if uncut is not None:
        corners = shapely.get_coordinates(onward.area)
        far = shapely.distance(shapely.points(corners), uncut)
        if np.max(far) >= cutter_mm / 2:
            return Descent("open", corners[int(np.argmax(far))], None, onward, angle)
    if settings.entry in ("auto", "helix"):
        circle = _circle(onward, cutter_mm / 2, settings.direction == "climb", chords_mm)
        if circle is not None:
            return Descent("helix", circle[0], circle, onward, angle)
    turns = ramp_turns(onward.first, fall_mm=fall_mm, angle_deg=angle)
    if settings.entry != "plunge" and turns <= MOST_TURNS:
        begin = onward.first.at(-turns * onward.first.length_mm)
        return Descent("ramp", begin, None, onward, angle)
    return Descent("plunge", onward.start, None, onward, angle)


def _circle(onward: Walk, radius_mm: float, climb: bool, chords_mm: float) -> Floats | None:
    """Return one turn of a circle in the roomiest spot, from where the walk begins is nearest."""
    middle = onward.heart
    room = float(onward.area.exterior.distance(shapely.Point(middle)))
    for hole in onward.area.interiors:
        room = min(room, float(hole.distance(shapely.Point(middle))))
    if room < _NARROWEST * radius_mm:
        return None
    radius = min(room, _WIDEST * radius_mm)
    x, y = onward.start - middle
    begin = math.atan2(y, x)
    angle = begin + chord_angles(radius, 2 * math.pi if climb else -2 * math.pi, chords_mm)
    circle = middle + radius * np.column_stack((np.cos(angle), np.sin(angle)))
    circle[-1] = circle[0]
    across = shapely.LineString((circle[0], onward.start))
    return circle if shapely.difference(across, onward.area).length <= chords_mm else None
