"""outline2path: from an SVG outline to a judged cutter path for a small mill.

The ten lines a notebook needs:

    import outline2path as o2p
    heron = o2p.read_outline("demo_art/heron.svg").fit(width="140 mm")
    heron.narrow_spots(o2p.Cutter("1/8 in", flutes=1))
    job = o2p.Job(stock=o2p.Stock("200 x 200 x 6 mm", material="birch plywood"))
    job.profile(heron, o2p.Cutter("1/8 in", flutes=1), side="outside", tabs=4)
    plan = job.plan()
    plan.prove()
    plan.write("heron.nc")

Every name is loaded when first used, so that importing the package costs next to nothing.
Lengths are millimetres, y points up, outer rings run counter-clockwise.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from outline2path.drawing.outline import Outline as Outline
    from outline2path.drawing.reader import read_outline as read_outline
    from outline2path.drawing.single_line import single_line as single_line
    from outline2path.errors import DrawingError as DrawingError
    from outline2path.errors import OutlinePathError as OutlinePathError
    from outline2path.errors import OutputError as OutputError
    from outline2path.errors import ProgramError as ProgramError
    from outline2path.errors import RefusedError as RefusedError
    from outline2path.errors import SettingError as SettingError
    from outline2path.errors import UnitError as UnitError
    from outline2path.findings import Finding as Finding
    from outline2path.job.job import Job as Job
    from outline2path.job.laying import rows as rows
    from outline2path.job.plan import Plan as Plan
    from outline2path.job.toml import read_job as read_job
    from outline2path.operations.fit import fit_slots as fit_slots
    from outline2path.operations.fit import slot as slot
    from outline2path.operations.gauge import fit_gauge as fit_gauge
    from outline2path.operations.mating import mates as mates
    from outline2path.operations.relief import relieve as relieve
    from outline2path.proof.verdict import Proof as Proof
    from outline2path.reach.spots import Reach as Reach
    from outline2path.reach.spots import narrow_spots as narrow_spots
    from outline2path.reach.walls import thin_walls as thin_walls
    from outline2path.rs274.program import Program as Program
    from outline2path.shop.cutter import Cutter as Cutter
    from outline2path.shop.machine import Machine as Machine
    from outline2path.shop.stock import Stock as Stock

__all__ = [
    "Cutter",
    "DrawingError",
    "Finding",
    "Job",
    "Machine",
    "Outline",
    "OutlinePathError",
    "OutputError",
    "Plan",
    "Program",
    "ProgramError",
    "Proof",
    "Reach",
    "RefusedError",
    "SettingError",
    "Stock",
    "UnitError",
    "fit_gauge",
    "fit_slots",
    "mates",
    "narrow_spots",
    "read_job",
    "read_outline",
    "relieve",
    "rows",
    "single_line",
    "slot",
    "thin_walls",
]

_HOMES = {
    "Cutter": "shop.cutter",
    "DrawingError": "errors",
    "Finding": "findings",
    "Job": "job.job",
    "Machine": "shop.machine",
    "Outline": "drawing.outline",
    "OutlinePathError": "errors",
    "OutputError": "errors",
    "Plan": "job.plan",
    "Program": "rs274.program",
    "ProgramError": "errors",
    "Proof": "proof.verdict",
    "Reach": "reach.spots",
    "RefusedError": "errors",
    "SettingError": "errors",
    "Stock": "shop.stock",
    "UnitError": "errors",
    "fit_gauge": "operations.gauge",
    "fit_slots": "operations.fit",
    "mates": "operations.mating",
    "narrow_spots": "reach.spots",
    "read_job": "job.toml",
    "read_outline": "drawing.reader",
    "relieve": "operations.relief",
    "rows": "job.laying",
    "single_line": "drawing.single_line",
    "slot": "operations.fit",
    "thin_walls": "reach.walls",
}


def __getattr__(name: str) -> object:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value = getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted(__all__)
