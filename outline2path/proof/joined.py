"""Joined: the proofs of several programs as one.

Each check keeps its figures and is called after its program; a figure of the whole is the worst of
its parts.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import replace

from outline2path.proof.verdict import Proof

__all__ = ["joined"]


def joined(proofs: Mapping[str, Proof]) -> Proof:
    """Join proofs by the names of their programs.

    Examples
    --------
    >>> from outline2path.proof.verdict import Check
    >>> def proof(ok, gouge):
    ...     return Proof(checks=(Check(name="gouge", ok=ok, detail=""),), gouge_mm=gouge,
    ...         leftover_mm=0.01, deepest_mm=-6.3, bounds_mm=None, loose_pieces=0,
    ...         program_sha256="")
    >>> both = joined({"1-1 face": proof(True, 0.0), "1-2 pocket": proof(False, 0.2)})
    >>> both, both.failed[0].name
    (Proof(fail: gouge 0.200 mm, leftover 0.010 mm, 1 of 2 checks hold), '1-2 pocket: gouge')
    """
    each = list(proofs.values())
    hashes = "".join(proof.program_sha256 for proof in each)
    corners = [proof.bounds_mm for proof in each if proof.bounds_mm is not None]
    return Proof(
        checks=tuple(
            replace(check, name=f"{name}: {check.name}")
            for name, proof in proofs.items()
            for check in proof.checks
        ),
        gouge_mm=_worst([proof.gouge_mm for proof in each]),
        leftover_mm=_worst([proof.leftover_mm for proof in each]),
        deepest_mm=min((p.deepest_mm for p in each if p.deepest_mm is not None), default=None),
        bounds_mm=(
            *(min(low) for low in zip(*(c[:3] for c in corners), strict=True)),
            *(max(high) for high in zip(*(c[3:] for c in corners), strict=True)),
        )
        if corners
        else None,
        loose_pieces=sum(proof.loose_pieces or 0 for proof in each),
        program_sha256=hashlib.sha256(hashes.encode()).hexdigest(),
    )


def _worst(figures: list[float | None]) -> float | None:
    """Return the greatest figure; unknown where one is."""
    known = [figure for figure in figures if figure is not None]
    return max(known, default=None) if len(known) == len(figures) else None
