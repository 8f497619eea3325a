"""Heights: whether cutter, stock and machine go together upright, and by how much.

In: a cutter, the bench, the lowest z of a program. Out: findings. With the spindle at the top of
its travel the tip must clear board, stock and clearance height; at the bottom it must get down to
the deepest cut. Every margin is told in mm. Lengths in mm; the bed is where the board lies.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from outline2path.findings import Finding

if TYPE_CHECKING:
    from outline2path.job.step import Bench
    from outline2path.shop.cutter import Cutter

__all__ = ["height_findings", "margins_mm"]


def margins_mm(cutter: Cutter, bench: Bench, *, deepest_mm: float) -> tuple[float, float] | None:
    """Return the room to spare above the clearance height and below the deepest cut, mm.

    None where the machine's height under the collet or the cutter's stick-out is not known.

    Examples
    --------
    >>> from outline2path.job.job import Job
    >>> from outline2path.shop.cutter import Cutter
    >>> from outline2path.shop.machine import Machine
    >>> from outline2path.shop.stock import Stock
    >>> mill = Machine(travel="300 x 200 x 60 mm", under_collet="75 mm")
    >>> bench = Job(stock=Stock("90 x 90 x 20 mm"), machine=mill, waste_board="9 mm").bench
    >>> margins_mm(Cutter(3, stick_out=20), bench, deepest_mm=-20.3)
    (21.0, 13.7)
    """
    machine, long = bench.machine, cutter.stick_out_mm
    if machine is None or machine.under_collet_mm is None or long is None:
        return None
    highest = machine.under_collet_mm - long
    lowest = highest - machine.travel_mm[2]
    bed_mm = bench.bottom_mm - bench.waste_board_mm
    clear = bench.top_mm + bench.clearance_mm - bed_mm
    return round(highest - clear, 3), round(deepest_mm - bed_mm - lowest, 3)


def height_findings(cutter: Cutter, bench: Bench, *, deepest_mm: float) -> tuple[Finding, ...]:
    """Tell whether it squeezes by, and by how much.

    Examples
    --------
    >>> from outline2path.job.job import Job
    >>> from outline2path.shop.cutter import Cutter
    >>> from outline2path.shop.machine import Machine
    >>> from outline2path.shop.stock import Stock
    >>> mill = Machine(travel="300 x 200 x 60 mm", under_collet="45 mm")
    >>> bench = Job(stock=Stock("90 x 90 x 20 mm"), machine=mill).bench
    >>> [f.code for f in height_findings(Cutter(3, stick_out=25), bench, deepest_mm=-6)]
    ['no-height']
    """
    margins = margins_mm(cutter, bench, deepest_mm=deepest_mm)
    if margins is None:
        return ()
    above, below = margins
    if above < 0:
        return (
            Finding(
                code="no-height",
                severity="error",
                message=f"{cutter.label} at the top of the travel is {-above:.2f} mm short of "
                f"clearing the stock by {bench.clearance_mm:g} mm",
                value=-above,
                limit=0.0,
                unit="mm",
                remedy="let the cutter stick out less, or lower the clearance",
            ),
        )
    if below < 0:
        return (
            Finding(
                code="no-reach",
                severity="error",
                message=f"{cutter.label} at the bottom of the travel stays {-below:.2f} mm above "
                "the deepest cut",
                value=-below,
                limit=0.0,
                unit="mm",
                remedy="let the cutter stick out more, or put a board under the stock",
            ),
        )
    return (
        Finding(
            code="height",
            severity="info",
            message=f"{cutter.label} squeezes by: {above:.2f} mm to spare above the clearance "
            f"height, {below:.2f} mm below the deepest cut",
            value=min(above, below),
            limit=0.0,
            unit="mm",
        ),
    )
