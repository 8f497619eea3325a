"""Small programs for pictures of what is cut, written by hand."""

from __future__ import annotations

HEAD = "G17 G21 G40 G49 G80 G54 G90 G94"


def program(*blocks: str) -> str:
    """A whole program around some blocks, spindle on, feed set, 5 mm up."""
    return "\n".join([HEAD, "G0 Z5", "M3 S9000 F600", *blocks, "G0 Z5", "M5", "M30", ""])


def run(*points: tuple[float, float], z: float) -> str:
    """Down at the first point, level along the others."""
    (x, y), *rest = points
    return program(
        f"G0 X{x:.4f} Y{y:.4f}", f"G1 Z{z:.4f}", *(f"G1 X{a:.4f} Y{b:.4f}" for a, b in rest)
    )
