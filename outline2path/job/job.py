"""Job: what is to be made, from which stock, on which machine.

A job collects steps with the units and names a person uses; `plan` turns it into moves, text and
findings. The job itself computes nothing, so it may be changed until it is planned.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal

from outline2path.errors import SettingError
from outline2path.job.edges import Edges
from outline2path.job.marks import Marks
from outline2path.job.numbers import check_changes
from outline2path.job.placing import Placed, Zero
from outline2path.job.sequence import Order
from outline2path.job.shown import job_html
from outline2path.job.step import About, Bench, Programs, SetUp, Step
from outline2path.job.surfaces import Surfaces
from outline2path.progress import in_notebook
from outline2path.rs274.change import Lengths
from outline2path.shop.holding import Holding
from outline2path.shop.machine import Machine
from outline2path.shop.stock import Stock
from outline2path.units import parse_length

if TYPE_CHECKING:
    from outline2path.job.plan import Plan

__all__ = ["Job"]

Length = str | float


class Job(Surfaces, Edges, Marks):
    """A job at the bench.

    Parameters
    ----------
    stock : Stock
        The blank, at least its measured thickness.
    machine : Machine, optional
        Checked against travel, feeds and speeds where given; a small mill is assumed for the
        estimate of time.
    zero : "lower-left", "centre" or "stock-corner"
        Work zero in x and y: of the part's box, or of the stock.
    zero_z : "top" or "bottom"
        Work zero in z: top of the stock, or the waste board under it.
    clearance : str or float
        Height above the stock's top at which rapids cross, a length.
    hop : str or float, optional
        Lower height at which they cross over the stock itself, away from clamps, to save time;
        only for stock that lies flat. Left out, they cross at the clearance everywhere.
    units : "mm" or "in"
        Of the written program.
    tolerance : str or float
        T of the promise: nothing more is left on the part where the cutter reaches.
    placed : "centre" or "as-drawn"
        The drawing in the stock's middle, or with its origin on the stock's lower left corner.
    order : "usual" or "as-given"
        Face, then pockets and holes, engraving, chamfers, and last the profiles that free the
        part; or just as asked for.
    name : str
        What the job is called, on sheets and files.
    holding : Holding, optional
        How the work is held; nothing may enter its clamps.
    waste_board : str or float
        Thickness of the board under the stock, that cuts may go into.
    programs : "per-cutter" or "per-set-up"
        A program for each cutter in a set-up, or one for the whole set-up that changes cutters
        by M6; the machine must have `tool_change`.
    cutter_lengths : "touch-off" or "table"
        In programs that change cutters: stop after each change until the height of the new tip
        was set by hand, or take its length from the machine's own table (G43).
    first_side : str
        What the first set-up is called, on the set-up sheet.

    Examples
    --------
    >>> import shapely
    >>> from outline2path.drawing.outline import Outline
    >>> from outline2path.shop.cutter import Cutter
    >>> job = Job(stock=Stock(thickness="6 mm"))
    >>> plate = Outline.from_shapely(shapely.box(0, 0, 40, 30))
    >>> plan = job.profile(plate, Cutter("1/8 in"), tabs=2).plan()
    >>> plan.prove().verdict
    'pass'
    """

    def __init__(
        self,
        *,
        stock: Stock,
        machine: Machine | None = None,
        zero: Zero = "lower-left",
        zero_z: Literal["top", "bottom"] = "top",
        clearance: Length = 5.0,
        hop: Length | None = None,
        units: Literal["mm", "in"] = "mm",
        tolerance: Length = 0.02,
        placed: Placed = "centre",
        order: Order = "usual",
        name: str = "job",
        holding: Holding | None = None,
        waste_board: Length = 0.0,
        programs: Programs = "per-cutter",
        cutter_lengths: Lengths = "touch-off",
        first_side: str = "first side up",
    ) -> None:
        for setting, chosen, allowed in (
            ("zero", zero, ("lower-left", "centre", "stock-corner")),
            ("zero_z", zero_z, ("top", "bottom")),
            ("units", units, ("mm", "in")),
            ("placed", placed, ("centre", "as-drawn")),
            ("order", order, ("usual", "as-given")),
            ("programs", programs, ("per-cutter", "per-set-up")),
            ("cutter_lengths", cutter_lengths, ("touch-off", "table")),
        ):
            if chosen not in allowed:
                raise SettingError(
                    f"{setting} {chosen!r} is unknown", value=chosen, remedy=f"one of {allowed}"
                )
        check_changes(programs, cutter_lengths, machine)
        height = parse_length(clearance)
        if not 0.5 <= height <= 200:
            raise SettingError(
                f"a clearance of {height:g} mm is outside 0.5 to 200 mm",
                value=height,
                limit=(0.5, 200),
                remedy="leave it out for 5 mm",
            )
        self.bench = Bench(
            stock=stock,
            machine=machine,
            zero=zero,
            zero_z=zero_z,
            clearance_mm=height,
            hop_mm=_hop_mm(hop, height),
            units=units,
            tolerance_mm=parse_length(tolerance),
            placed=placed,
            holding=holding,
            waste_board_mm=parse_length(waste_board),
            programs=programs,
            cutter_lengths=cutter_lengths,
        )
        self.name, self.order = name, order
        self.sha256 = ""  # of the file that asks for the job
        self.where: str | None = None  # file and line of the step that is asked for now
        self._set_ups = [SetUp(number=1, blank=1, name=first_side, bench=self.bench)]

    def turn_over(self, *, about: About = "y", name: str | None = None) -> Job:
        """Go on with the same blank turned over, and return the job.

        Parameters
        ----------
        about : "x" or "y"
            The axis it is turned about: "y" swaps left and right, "x" front and back. All
            outlines of a blank are given as seen from the side on which one is first used, and
            are mirrored on the other.
        name : str, optional
            For the set-up sheet.

        Raises
        ------
        SettingError
            When nothing was asked of the side that lies up now.
        """
        last = self._set_ups[-1]
        turned: About | None = None if last.about == about else about
        if last.about is not None and turned is not None:
            raise SettingError(
                f"a blank turned about {last.about} cannot go on about {about}",
                value=about,
                limit=last.about,
                remedy="turn it back about the same axis",
            )
        bench = last.bench.with_stock(_thinner(last))
        return self._begin(bench, name or "other side up", blank=last.blank, about=turned)

    def new_blank(self, stock: Stock, *, name: str | None = None) -> Job:
        """Go on with another blank, and return the job.

        Parameters
        ----------
        stock : Stock
            The new blank.
        name : str, optional
            For the set-up sheet.
        """
        last = self._set_ups[-1]
        blank = last.blank + 1
        return self._begin(last.bench.with_stock(stock), name or f"blank {blank}", blank=blank)

    @property
    def steps(self) -> tuple[Step, ...]:
        """All steps asked for so far."""
        return tuple(step for set_up in self._set_ups for step in set_up.steps)

    @property
    def set_ups(self) -> tuple[SetUp, ...]:
        """The set-ups asked for so far."""
        return tuple(self._set_ups)

    def plan(self) -> Plan:
        """Turn the steps into a plan.

        Raises
        ------
        SettingError
            When a set-up has no step, or settings contradict one another.
        RefusedError
            When a cutter reaches nothing at all.
        """
        from outline2path.job.make import make_plan  # the later rooms are loaded when needed

        for set_up in self._set_ups:
            if not set_up.steps:
                raise SettingError(
                    f"set-up {set_up.number}, {set_up.name}, has no step",
                    value=set_up.number,
                    remedy="ask for a profile, a pocket or another operation",
                )
        with in_notebook():
            return make_plan(
                self._set_ups, name=self.name, order=self.order, job_sha256=self.sha256
            )

    def _add(self, step: Step) -> None:
        last, step = self._set_ups[-1], replace(step, where=self.where)
        self._set_ups[-1] = replace(last, steps=(*last.steps, step))

    def _begin(self, bench: Bench, name: str, *, blank: int, about: About | None = None) -> Job:
        if not self._set_ups[-1].steps:
            raise SettingError(
                f"set-up {len(self._set_ups)} has no step yet",
                value=len(self._set_ups),
                remedy="ask for its steps before going on",
            )
        number = len(self._set_ups) + 1
        self._set_ups.append(
            SetUp(number=number, blank=blank, name=name, bench=bench, about=about)
        )
        self.bench = bench
        return self

    def __repr__(self) -> str:
        return f"Job({self._set_ups[0].bench.stock!r}, steps={len(self.steps)})"

    def _repr_html_(self) -> str:
        return job_html(self)


def _hop_mm(hop: Length | None, clearance_mm: float) -> float | None:
    """Read the height of hops; it lies between the least clearance and the one asked for."""
    if hop is None:
        return None
    height = parse_length(hop)
    if not 0.5 <= height <= clearance_mm:
        raise SettingError(
            f"a hop of {height:g} mm is outside 0.5 mm to the clearance of {clearance_mm:g} mm",
            value=height,
            limit=(0.5, clearance_mm),
            remedy="leave it out to cross at the clearance",
        )
    return height


def _thinner(set_up: SetUp) -> Stock:
    """Return the blank as it is after a set-up: what was faced off all of it is gone."""
    stock = set_up.bench.stock
    left = stock.thickness_mm
    for step in set_up.steps:
        if step.operation == "face" and step.outline is None:
            left = step.left_mm if step.left_mm is not None else left - (step.depth_mm or 0.0)
    if left == stock.thickness_mm or stock.width_mm is None:
        return stock
    return stock.with_thickness(left)
