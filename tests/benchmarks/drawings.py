"""Drawings of many segments of one kind, for timing the way from SVG text to an outline."""

from __future__ import annotations

import math

import numpy as np

__all__ = ["KINDS", "cubics", "page"]

_OPEN = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="500mm" height="500mm" viewBox="0 0 500 500">'
)
_MIDDLE = 250 + 250j


def page(body: str) -> bytes:
    return f"{_OPEN}{body}</svg>".encode()


def _wave(count):
    """Points of a closed wavy ring and the steps of its tangent, as complex numbers."""
    t = np.linspace(0, 2 * math.pi, count + 1)
    r, turn = 200 + 20 * np.sin(40 * t), np.exp(1j * t)
    slope = (800 * np.cos(40 * t) + 1j * r) * turn * (2 * math.pi / count)
    return _MIDDLE + r * turn, slope


def _path(start, letter, rows) -> bytes:
    words = " ".join(rows)
    return page(f'<path d="M{start.real:.5f} {start.imag:.5f}{letter}{words}Z"/>')


def _pair(z) -> str:
    return f"{z.real:.5f} {z.imag:.5f}"


def lines(count: int) -> bytes:
    at, _ = _wave(count)
    return _path(at[0], "L", map(_pair, at[1:]))


def quads(count: int) -> bytes:
    at, slope = _wave(count)
    middle = at[:-1] + slope[:-1] / 2
    return _path(
        at[0], "Q", (f"{_pair(a)} {_pair(b)}" for a, b in zip(middle, at[1:], strict=True))
    )


def cubics(count: int) -> bytes:
    at, slope = _wave(count)
    rows = zip((at + slope / 3)[:-1], (at - slope / 3)[1:], at[1:], strict=True)
    return _path(at[0], "C", (" ".join(map(_pair, row)) for row in rows))


def arcs(count: int) -> bytes:
    at, _ = _wave(count)
    size = np.abs(np.diff(at))
    rows = zip(size, at[1:], strict=True)
    return _path(at[0], "A", (f"{r:.5f} {r:.5f} 0 0 1 {_pair(b)}" for r, b in rows))


KINDS = {"lines": lines, "quadratics": quads, "cubics": cubics, "arcs": arcs}
