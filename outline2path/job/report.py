"""Report: everything that was found out, as plain JSON values (report.schema.json).

Numbers are in mm, mm/min, rpm, s and degrees, rounded to a millionth; whatever is not finite
becomes null.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

from outline2path.drawing.outline import Outline
from outline2path.findings import Finding

if TYPE_CHECKING:
    from outline2path.reach.spots import Reach
    from outline2path.reach.walls import Wall

__all__ = ["SCHEMA", "report"]

SCHEMA = "outline2path.report/1"
_DECIMALS = 6


def report(
    outline: Outline,
    reach: Reach,
    *,
    walls: Iterable[Wall],
    settings: Mapping[str, Any],
    findings: Iterable[Finding],
    placement: Mapping[str, Any] | None = None,
    cutting: Mapping[str, Any] | None = None,
) -> dict[str, Any]:
    """Return the report of a check, or with `cutting` of a plan.

    Parameters
    ----------
    outline : Outline
        In the coordinates everything else is in.
    reach : Reach
        Where the cutter cannot get.
    walls : iterable of Wall
        Walls too thin to survive.
    settings : mapping
        Every number used, defaults included.
    findings : iterable of Finding
        All of them, in the order they were found.
    placement : mapping, optional
        Work zero and the stock's box.
    cutting : mapping, optional
        The parts `tabs`, `passes`, `totals` and `proof`.
    """
    parts: dict[str, Any] = {
        "schema": SCHEMA,
        "drawing": _drawing(outline),
        "placement": {"matrix": list(outline.matrix), **(placement or {})},
        "settings": dict(settings),
        "findings": [finding.as_dict() for finding in findings],
        "reach": reach.as_dict(),
        "walls": [{"at_mm": w.at_mm, "thickness_mm": w.thickness_mm} for w in walls],
        "tabs": [],
        "passes": [],
        "totals": None,
        "proof": None,
        **(cutting or {}),
    }
    plain: dict[str, Any] = _plain(parts)
    plain["placement"]["matrix"] = [float(number) for number in outline.matrix]
    return plain


def _drawing(outline: Outline) -> dict[str, Any]:
    source, region = outline.source, outline.region
    return {
        "file": source.file,
        "sha256": source.sha256,
        "page_px": source.page_px,
        "sized_by": source.sized_by,
        "size_mm": outline.size_mm,
        "regions": len(region.geoms),
        "holes": sum(len(part.interiors) for part in region.geoms),
        "area_mm2": region.area,
        "edge_mm": region.length,
    }


def _plain(value: Any) -> Any:
    """Turn tuples, NumPy numbers and odd floats into what JSON holds."""
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(item) for item in value]
    if value is None or isinstance(value, (str, bool, int)):
        return value
    if hasattr(value, "item"):
        return _plain(value.item())
    number = float(value)
    return round(number, _DECIMALS) if math.isfinite(number) else None
