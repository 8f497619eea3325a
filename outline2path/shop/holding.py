"""Holding: how large a piece may be that drops or lies loose while the cutter still runs."""

from __future__ import annotations

__all__ = ["LARGE_PIECE_MM2"]

LARGE_PIECE_MM2 = 100.0
"""A piece seen from above as large as this, a square of 10 mm, must be held where tabs are asked
for: the cutter can throw it. Common practice, no source."""
