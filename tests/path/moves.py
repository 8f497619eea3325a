"""Short ways to say contours and toolpaths in the tests of this room and the next."""

from __future__ import annotations

import numpy as np

from outline2path.operations.cut import Contour, Cut, Span
from outline2path.path.toolpath import MOVE, ROLES, Toolpath
from outline2path.shop.cutter import Cutter

CUTTER = Cutter(3.175)


def toolpath(rows, *, start=(0.0, 0.0, 5.0)):
    """A toolpath from (kind, x, y, z, i, j, feed) rows; the rest is cutting in no section."""
    moves = np.array([(kind, 4, 0, *rest) for kind, *rest in rows], MOVE)
    return Toolpath(moves=moves, sections=(), start=start, clearance_mm=5.0)


def span(role, *points):
    return Span(role, np.array(points, dtype=float))


def cut(z, *spans, operation="profile", cutter=CUTTER):
    return Cut(operation, cutter, z, spans)


def contour(number, *cuts, after=()):
    return Contour(number=number, cuts=cuts, after=frozenset(after))


def line_contour(number, begin, end, *, depths=(-1.0,), top=0.0, after=(), **options):
    """A slot from begin to end at each depth, entered by a plunge at its beginning."""
    cuts, above = [], top + 0.5
    for z in depths:
        plunge = span("plunge", (*begin, above), (*begin, z))
        cuts.append(cut(z, plunge, span("cut", (*begin, z), (*end, z)), **options))
        above = z
    return contour(number, *cuts, after=after)


def ring_contour(number, ring, *, depths=(-1.0,), after=()):
    """A closed ring (n, 2) at each depth, entered by a plunge at its first point."""
    ring, cuts = np.asarray(ring, float), []
    for z in depths:
        level = Span("cut", np.column_stack([ring, np.full(len(ring), z)]))
        cuts.append(cut(z, span("plunge", (*ring[0], 0.5), (*ring[0], z)), level))
    return contour(number, *cuts, after=after)


def roles(path):
    return [ROLES[k] for k in path.moves["role"].tolist()]
