"""Polylines the path room is tried on, and an independent measure of how near pieces are."""

from __future__ import annotations

import math

import numpy as np
import shapely


def arc(radius, begin_deg, end_deg, count, *, centre=(0.0, 0.0)):
    """Points on a true arc."""
    angle = np.radians(np.linspace(begin_deg, end_deg, count))
    return np.column_stack([np.cos(angle), np.sin(angle)]) * radius + centre


def waves(count, *, radius=20.0, lobes=5, depth=0.15, centre=(0.0, 0.0)):
    """A closed smooth blob, first point repeated."""
    angle = np.linspace(0, 2 * math.pi, count)
    r = radius * (1 + depth * np.sin(lobes * angle))
    return np.column_stack([r * np.cos(angle), r * np.sin(angle)]) + centre


def rough(count, *, seed, step=0.05):
    """A closed outline as ragged as a coast."""
    angle = np.linspace(0, 2 * math.pi, count)
    r = 20 + np.cumsum(np.random.default_rng(seed).normal(0, step, count))
    return np.column_stack([r * np.cos(angle), r * np.sin(angle)])


def rounded_slot():
    """Two straight sides of 20 and two half circles of radius 5, first point repeated."""
    right = arc(5, -90, 90, 45, centre=(20, 0))
    left = arc(5, 90, 270, 45)
    return np.vstack([right, left, right[:1]])


def drawn(points, pieces, *, sagitta=1e-4):
    """The pieces as one fine polyline, chords no farther than `sagitta` (mm) from the arcs."""
    lines = [points[pieces["first"][:1]]]
    for piece in pieces:
        lines.append(_one(points[piece["first"]], points[piece["last"]], piece, sagitta))
    return shapely.LineString(np.vstack(lines))


def _one(begin, end, piece, sagitta):
    if not piece["turn"]:
        return end[None]
    centre = np.array([piece["cx"], piece["cy"]])
    radius = math.dist(begin, centre)
    first = math.atan2(*(begin - centre)[::-1])
    turn = int(piece["turn"])
    sweep = (math.atan2(*(end - centre)[::-1]) - first) * turn % (2 * math.pi)
    count = 2 + int(sweep / math.sqrt(8 * sagitta / radius))
    angle = first + turn * np.linspace(0, sweep, count)[1:]
    return centre + radius * np.column_stack([np.cos(angle), np.sin(angle)])


def apart(points, pieces):
    """Greatest distance from either line to the other, chord interiors included (mm).

    A short blind length is allowed for: points are looked at every 0.02 mm or so.
    """
    line, fit = shapely.LineString(points), drawn(points, pieces)
    ours = shapely.points(shapely.get_coordinates(line.segmentize(0.02)))
    theirs = shapely.points(shapely.get_coordinates(fit.segmentize(0.02)))
    shapely.prepare([line, fit])
    return max(shapely.distance(ours, fit).max(), shapely.distance(theirs, line).max())
