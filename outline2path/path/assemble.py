"""Assemble: contours in, one toolpath out.

In: the contours of one step or several, feeds in mm/min, heights in mm, work coordinates. Out: a
`Toolpath` that begins and ends at clearance height over `start_xy`. Moves across go at clearance
height, or lower where a `Hop` allows it; rapids down stop `APPROACH_MM` above the stock's top, or
above the floor the same contour has already cut at that very point, and the plunge feed takes over
there. Nothing lifts when the next cut begins where the last one ended. Before another cutter or
another speed is wanted, the cutter goes up to clearance height where it stands; the writer puts
the change there.

Feeds: everything runs at the cutting feed, but no move goes down faster than the plunge feed, and
where each axis of the machine has a limit of its own, no move asks an axis for more than that.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from operator import itemgetter
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from outline2path.errors import SettingError
from outline2path.path.blocks import Fitter
from outline2path.path.directions import axis_shares
from outline2path.path.order import order_contours
from outline2path.path.toolpath import LINE, MOVE, RAPID, ROLES, Section, Toolpath
from outline2path.tolerance import GRID_MM, Budget

if TYPE_CHECKING:
    from outline2path.operations.cut import Contour, Cut, Span
    from outline2path.path.hop import Hop
    from outline2path.shop.axes import PerAxis

__all__ = ["APPROACH_MM", "Run", "assemble", "assemble_runs"]

APPROACH_MM = 1.0
"""Rapids down end this far above stock or floor: common practice, no source."""

_ROLE = {name: number for number, name in enumerate(ROLES)}
Point = tuple[float, float, float]


@dataclass(frozen=True, eq=False, kw_only=True)
class Run:
    """Contours of one step, with what is theirs alone.

    Attributes
    ----------
    contours : tuple of Contour
        As the operation gave them.
    feed, plunge : float
        Cutting feed, and greatest feed straight down, mm/min.
    top_mm : float
        Work z of the surface the step starts from.
    most_feed : float
        Fastest the machine cuts, mm/min, however much a span would raise its feed.
    number : int or None
        The cutter's place on the machine, where the program changes cutters.
    rpm : float or None
        Spindle speed, where the steps of the program differ in it.
    like : tuple or None
        Neighbours that are alike in this are put in order together; None stays in its place.
    """

    contours: tuple[Contour, ...]
    feed: float
    plunge: float
    top_mm: float
    most_feed: float = math.inf
    number: int | None = None
    rpm: float | None = None
    like: tuple[object, ...] | None = None


def assemble(
    contours: Sequence[Contour],
    *,
    feed: float,
    plunge: float,
    clearance_mm: float,
    top_mm: float,
    budget: Budget,
    start_xy: tuple[float, float] = (0.0, 0.0),
) -> Toolpath:
    """Link contours into one toolpath.

    Parameters
    ----------
    contours : sequence of Contour
        Contours of one operation are put in an order of short rapids; operations stay in the
        order given.
    feed, plunge : float
        Cutting feed, and greatest feed straight down, mm/min.
    clearance_mm, top_mm : float
        Work z of moves across, and of the stock's top, mm.
    budget : Budget
        Its `arcs_mm` is what the fitted lines and arcs may differ from the spans.
    start_xy : tuple of float
        Where the program begins and ends, mm.

    Raises
    ------
    SettingError
        When a feed is not positive, the clearance height is not above the stock, or a contour
        would have to wait for itself.

    Examples
    --------
    >>> import numpy as np
    >>> from outline2path.operations.cut import Contour, Cut, Span
    >>> from outline2path.shop.cutter import Cutter
    >>> from outline2path.tolerance import Budget
    >>> down = Span("plunge", np.array([[5, 5, 0.5], [5, 5, -1]]))
    >>> along = Span("cut", np.array([[5, 5, -1], [9, 5, -1.0]]))
    >>> slot = Contour(number=0, cuts=(Cut("profile", Cutter(3), -1.0, (down, along)),))
    >>> path = assemble([slot], feed=900, plunge=300, clearance_mm=5, top_mm=0, budget=Budget())
    >>> [(ROLES[m["role"]], float(m["z"]), float(m["feed"])) for m in path.moves[:4]]
    [('rapid', 5.0, 0.0), ('rapid', 1.0, 0.0), ('plunge', -1.0, 300.0), ('cut', -1.0, 900.0)]
    """
    run = Run(contours=tuple(contours), feed=feed, plunge=plunge, top_mm=top_mm)
    return assemble_runs([run], clearance_mm=clearance_mm, budget=budget, start_xy=start_xy)


def assemble_runs(
    runs: Sequence[Run],
    *,
    clearance_mm: float,
    budget: Budget,
    start_xy: tuple[float, float] = (0.0, 0.0),
    axis_feeds: PerAxis | None = None,
    hop: Hop | None = None,
) -> Toolpath:
    """Link the steps of one program into one toolpath, in the order given.

    Parameters and errors are those of `assemble`; a section's `step` is the number of its run.
    `axis_feeds` are the greatest feeds of the machine's axes, mm/min, where they are known apart;
    `hop` gives leave to cross lower than the clearance height.
    """
    for run in runs:
        _check(run.feed, run.plunge, clearance_mm, run.top_mm)
    ordered = _in_order(runs, start_xy)
    contours = [contour for _, contour in ordered]
    fitter = Fitter(budget.arcs_mm)
    fitter.learn([s.points for c in contours for cut in c.cuts for s in cut.spans])
    trace = _Trace(clearance_mm=clearance_mm, fitter=fitter, at=(*start_xy, clearance_mm), hop=hop)
    for step, group in groupby(ordered, key=itemgetter(0)):
        trace.take_up(step, runs[step])
        for _, contour in group:
            trace.contour(contour)
    toolpath = trace.finish(start_xy)
    if axis_feeds is not None and len(axis_feeds.figures) > 1:
        _slow_down(toolpath, axis_feeds)
    return toolpath


def _in_order(runs: Sequence[Run], start_xy: tuple[float, float]) -> list[tuple[int, Contour]]:
    """Order the contours of each operation, beginning where the last one ended.

    Each comes with the number of its run; runs that are alike are ordered as one.
    """
    at = start_xy
    ordered: list[tuple[int, Contour]] = []
    offered = [(step, contour) for step, run in enumerate(runs) for contour in run.contours]
    for _, group in groupby(offered, key=lambda one: _kind(one[0], runs[one[0]], one[1])):
        found = _together(list(group), at)
        ordered += found
        if found:
            last = [cut for cut in found[-1][1].cuts if cut.spans][-1]
            x, y = last.spans[-1].points[-1, :2].tolist()
            at = (x, y)
    return ordered


def _kind(step: int, run: Run, contour: Contour) -> tuple[object, ...]:
    """Tell which contours next to each other are ordered together."""
    operation = contour.cuts[0].operation if contour.cuts else ""
    return (operation, run.number, run.rpm, step if run.like is None else run.like)


def _together(
    group: list[tuple[int, Contour]], at: tuple[float, float]
) -> list[tuple[int, Contour]]:
    """Order contours of several runs; numbers that two runs share are told apart meanwhile."""
    place: dict[tuple[int, int], int] = {}
    for step, contour in group:
        place.setdefault((step, contour.number), len(place))
    told_apart = [
        replace(
            contour,
            number=place[step, contour.number],
            after=frozenset(place[step, n] for n in contour.after if (step, n) in place),
        )
        for step, contour in group
    ]
    return [
        (
            group[chosen.number][0],
            replace(
                chosen,
                number=group[chosen.number][1].number,
                after=group[chosen.number][1].after,
            ),
        )
        for chosen in order_contours(told_apart, start_xy=at)
    ]


def _slow_down(toolpath: Toolpath, axis_feeds: PerAxis) -> None:
    """Lower the feed of every move that would ask an axis for more than it has."""
    moves = toolpath.moves
    most = axis_feeds.along(axis_shares(toolpath))
    moves["feed"] = np.where(moves["kind"] == RAPID, 0.0, np.minimum(moves["feed"], most))


class _Trace:
    """The moves so far and where the cutter stands."""

    def __init__(
        self, *, clearance_mm: float, fitter: Fitter, at: Point, hop: Hop | None = None
    ) -> None:
        self.clearance_mm, self.hop = clearance_mm, hop
        self.fitter, self.at, self.start = fitter, at, at
        self.parts: list[NDArray[np.void]] = []
        self.sections: list[Section] = []

    def take_up(self, step: int, run: Run) -> None:
        """Go on with another step, its feeds and its surface; up first for a change."""
        last = self.sections[-1] if self.sections else None
        if last is not None and (last.number, last.rpm) != (run.number, run.rpm):
            self._go((*self.at[:2], max(self.clearance_mm, self.at[2])), "retract")
        self.number, self.rpm = run.number, run.rpm
        self.step, self.feed, self.plunge, self.top_mm = step, run.feed, run.plunge, run.top_mm
        self.most_feed = max(run.most_feed, run.feed)

    def contour(self, contour: Contour) -> None:
        """Add all cuts of one contour."""
        before: Cut | None = None
        for cut in contour.cuts:
            if not cut.spans:
                continue
            self.sections.append(
                Section(
                    operation=cut.operation,
                    contour=contour.number,
                    cutter=cut.cutter,
                    z_mm=cut.z_mm,
                    step=self.step,
                    top_mm=self.top_mm,
                    number=self.number,
                    rpm=self.rpm,
                )
            )
            self._enter(cut, before)
            for span in cut.spans:
                self._span(span)
            before = cut

    def finish(self, start_xy: tuple[float, float]) -> Toolpath:
        """Go back to the start at clearance height and hand over the table."""
        if self.sections:
            self._across(start_xy)
        moves = np.concatenate(self.parts) if self.parts else np.zeros(0, MOVE)
        return Toolpath(
            moves=moves,
            sections=tuple(self.sections),
            start=self.start,
            clearance_mm=self.clearance_mm,
        )

    def _enter(self, cut: Cut, before: Cut | None) -> None:
        """Get to the first point of a cut, or to the foot of its leading plunge."""
        first = cut.spans[0]
        x, y, z = (float(v) for v in first.points[0])
        plunges = first.role == "plunge"
        low = min(z, float(first.points[-1, 2])) if plunges else z
        floor = _floor(before, x, y, self.top_mm)
        if math.hypot(x - self.at[0], y - self.at[1]) > GRID_MM:
            hops = self.hop is not None and self.hop.allows(self.at[:2], (x, y))
            self._across((x, y), hop=hops)
        ready = min(max(floor + APPROACH_MM, low), self.clearance_mm)
        if self.at[2] > ready or self.at[2] < low:
            self._go((self.at[0], self.at[1], max(ready, low)), "rapid")
        if not plunges:
            self._go((x, y, z), "approach")

    def _across(self, xy: tuple[float, float], *, hop: bool = False) -> None:
        height = self.hop.height_mm if hop and self.hop is not None else self.clearance_mm
        self._go((self.at[0], self.at[1], max(height, self.at[2])), "retract")
        self._go((*xy, self.at[2]), "rapid")

    def _go(self, to: Point, role: str) -> None:
        """Add one straight move: rapid, or down at the plunge feed."""
        if to == self.at:
            return
        move = np.zeros(1, MOVE)
        move["kind"] = LINE if role == "approach" else RAPID
        move["role"] = _ROLE[role]
        move["section"] = max(len(self.sections) - 1, 0)
        move["x"], move["y"], move["z"] = to
        move["feed"] = self.plunge if role == "approach" else 0.0
        self.parts.append(move)
        self.at = to

    def _span(self, span: Span) -> None:
        """Add the moves of one span, from where the cutter stands."""
        points = np.asarray(span.points, float)
        if span.role == "lift":
            x, y, z = (float(v) for v in points[-1])
            self._go((x, y, z), "lift")
            return
        if span.role == "plunge":
            points = np.vstack([self.at, points[-1]])
        moves = self.fitter.moves(points)
        if not len(moves):
            return
        moves["role"] = _ROLE[span.role]
        moves["section"] = len(self.sections) - 1
        moves["feed"] = self._feeds(
            moves, points[0], min(self.feed * span.feed_factor, self.most_feed)
        )
        self.parts.append(moves)
        self.at = tuple(moves[-1][["x", "y", "z"]].tolist())

    def _feeds(
        self, moves: NDArray[np.void], begin: NDArray[np.float64], feed: float
    ) -> NDArray[np.float64]:
        """Cutting feed, lowered where a move would go down faster than the plunge feed."""
        ends = np.column_stack([moves["x"], moves["y"], moves["z"]])
        step = np.diff(np.vstack([begin, ends]), axis=0)
        size = np.sqrt((step * step).sum(axis=1))
        down = np.maximum(-step[:, 2], 0.0)
        limit = self.plunge * size / np.maximum(down, GRID_MM * size)
        feeds: NDArray[np.float64] = np.minimum(feed, limit)
        return feeds


def _floor(before: Cut | None, x: float, y: float, top_mm: float) -> float:
    """Lowest z the contour's last cut reached at this very point, else the stock's top."""
    if before is None:
        return top_mm
    points = np.vstack([span.points for span in before.spans])
    here = np.hypot(points[:, 0] - x, points[:, 1] - y) <= GRID_MM
    return min(float(points[here, 2].min()), top_mm) if here.any() else top_mm


def _check(feed: float, plunge: float, clearance_mm: float, top_mm: float) -> None:
    for name, value in (("feed", feed), ("plunge feed", plunge)):
        if not (math.isfinite(value) and value > 0):
            raise SettingError(f"a {name} of {value:g} mm/min is not positive", value=value)
    if not clearance_mm > top_mm:
        raise SettingError(
            f"a clearance height of z {clearance_mm:g} mm is not above the stock's top at "
            f"z {top_mm:g} mm",
            value=clearance_mm,
            limit=top_mm,
            remedy="raise the clearance",
        )
