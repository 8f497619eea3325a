"""Flattening: curves -> points, no curve farther than the tolerance from its chords.

In: segments already under their full matrix, and the tolerance in the same unit. Out: points on
the curves. Each curve is first cut where it turns in x or in y, so that bounds are exact; then
into pieces of equal sagitta, the parameter spaced by the square root of the curve's bending; and
pieces that still miss the bound are halved until none does. The bound is a proven one. Lines,
circles and ellipses: sagitta (1 - cos(h/2)) |r x chord| / |chord|. Cubics: a point of a Bezier
curve is nowhere farther from its chord than its controls let it be, by convexity,
3 (1-t)^2 t d1 + 3 (1-t) t^2 d2 <= min(3/4 max(d1, d2), 4/9 (d1 + d2)); compare Sederberg's
notes on flatness (from memory). All of it works on whole tables at once.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from outline2path.drawing.curves import ARC, CUBIC, LINE

__all__ = ["flatten", "pieces_of", "points_at", "tangents_at"]

_SAMPLES = 12
_HALVINGS = 40

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def flatten(rows: Floats, tolerance: float) -> tuple[Floats, Ints]:
    """Return points of every segment, the end of each left to the next one's start.

    Parameters
    ----------
    rows : ndarray, shape (n, 13)
        Segments, see `Curves`.
    tolerance : float
        Greatest distance between curve and chords, in the unit of the rows.

    Returns
    -------
    points : ndarray, shape (m, 2)
        Start and inner points of each segment, in order.
    counts : ndarray of int, shape (n,)
        Points of each segment, at least 1.

    Examples
    --------
    A circle of radius 10 to within 0.01 needs 71 chords, 72 with the four extreme points kept
    (ceil(pi / acos(1 - tol / R))):

    >>> from outline2path.drawing.curves import circle_rows
    >>> points, counts = flatten(np.array(circle_rows(0, 0, 10, 10)), 0.01)
    >>> len(points), counts.tolist()
    (72, [18, 18, 18, 18])
    """
    curved = np.flatnonzero(rows[:, 0] != LINE)
    if not len(curved):
        return rows[:, 1:3].copy(), np.ones(len(rows), dtype=np.int64)
    owner, low, _ = pieces_of(rows[curved], tolerance)
    inside = low > 0
    segment, t = owner[inside], low[inside]
    inner = points_at(rows[curved][segment], t)
    counts = np.ones(len(rows), dtype=np.int64)
    counts[curved] += np.bincount(segment, minlength=len(curved))
    points = np.empty((int(counts.sum()), 2))
    starts = np.cumsum(counts) - counts
    is_start = np.zeros(len(points), dtype=bool)
    is_start[starts] = True
    points[is_start] = rows[:, 1:3]
    points[~is_start] = inner
    return points, counts


def pieces_of(rows: Floats, tolerance: float) -> tuple[Ints, Floats, Floats]:
    """Cut curves into pieces no farther than the tolerance from their chords.

    Parameters
    ----------
    rows : ndarray, shape (n, 13)
        Curved segments.
    tolerance : float
        In the unit of the rows.

    Returns
    -------
    owner : ndarray of int, shape (m,)
        The segment each piece belongs to; pieces come in order along each segment.
    low, high : ndarray, shape (m,)
        Parameters (0 to 1) between which each piece lies.
    """
    segment, cuts = _extremes(rows)
    low, high, owner = _intervals(segment, cuts, len(rows))
    owner, low, high = _spread(rows, owner, low, high, tolerance)
    for _ in range(_HALVINGS):
        far = _sagitta(rows[owner], low, high) > tolerance
        if not far.any():
            break
        middle = (low + high) / 2
        owner = np.concatenate([owner, owner[far]])
        new_low = np.concatenate([low, middle[far]])
        high = np.concatenate([np.where(far, middle, high), high[far]])
        low = new_low
    order = np.lexsort((low, owner))
    return owner[order], low[order], high[order]


def _intervals(segment: Ints, cuts: Floats, n: int) -> tuple[Floats, Floats, Ints]:
    """Intervals between 0, the cuts of each segment, and 1."""
    owner = np.concatenate([np.arange(n), segment])
    low = np.concatenate([np.zeros(n), cuts])
    order = np.lexsort((low, owner))
    owner, low = owner[order], low[order]
    last = np.append(owner[1:] != owner[:-1], True)
    high = np.where(last, 1.0, np.append(low[1:], 1.0))
    return low, high, owner


def _extremes(rows: Floats) -> tuple[Ints, Floats]:
    """Parameters at which a curve turns in x or in y."""
    segments: list[Ints] = []
    cuts: list[Floats] = []
    for k in (0, 1):
        for found, t in (_cubic_turns(rows, k), _arc_turns(rows, k)):
            inside = (t > 1e-9) & (t < 1 - 1e-9)
            segments.append(found[inside])
            cuts.append(t[inside])
    return np.concatenate(segments), np.concatenate(cuts)


def _cubic_turns(rows: Floats, k: int) -> tuple[Ints, Floats]:
    """Roots of a cubic's derivative along axis k, by the stable quadratic formula."""
    which = np.flatnonzero(rows[:, 0] == CUBIC)
    p0, p1, p2, p3 = (rows[which, 1 + 2 * j + k] for j in range(4))
    a, b, c = p3 - 3 * p2 + 3 * p1 - p0, 2 * (p2 - 2 * p1 + p0), p1 - p0
    root = np.sqrt(np.maximum(b * b - 4 * a * c, 0.0))
    real = b * b >= 4 * a * c
    q = -(b + np.copysign(root, b)) / 2
    with np.errstate(divide="ignore", invalid="ignore"):
        t = np.concatenate([np.where(real, q / a, -1.0), np.where(real, c / q, -1.0)])
    return np.concatenate([which, which]), np.nan_to_num(t, nan=-1.0, posinf=-1.0, neginf=-1.0)


def _arc_turns(rows: Floats, k: int) -> tuple[Ints, Floats]:
    """Parameters of an arc's extreme points along axis k."""
    which = np.flatnonzero(rows[:, 0] == ARC)
    u, v, start, sweep = rows[which, 3 + k], rows[which, 5 + k], rows[which, 11], rows[which, 12]
    base = np.arctan2(v, u)
    sweep = np.where(sweep == 0, 1.0, sweep)
    angles = [base + half * np.pi for half in range(2)]
    turns = []
    for angle in angles:
        t = ((angle - start) * np.sign(sweep)) % (2 * np.pi) / np.abs(sweep)
        turns.append(t)
    return np.concatenate([which, which]), np.concatenate(turns)


def _spread(
    rows: Floats, owner: Ints, low: Floats, high: Floats, tolerance: float
) -> tuple[Ints, Floats, Floats]:
    """Cut intervals into pieces of about equal sagitta."""
    share = np.linspace(0.0, 1.0, _SAMPLES + 1)
    t = low[:, None] + (high - low)[:, None] * share
    bend = np.sqrt(_bending(rows[owner], t))
    step = (bend[:, 1:] + bend[:, :-1]) / 2 * ((high - low)[:, None] / _SAMPLES)
    step += 1e-12 * step.sum(axis=1, keepdims=True) + 1e-300
    total = np.concatenate([np.zeros((len(step), 1)), np.cumsum(step, axis=1)], axis=1)
    wanted = np.ceil(total[:, -1] / np.sqrt(8 * tolerance) - 1e-6)
    pieces = np.clip(wanted, 1, 100_000).astype(np.int64)
    first = np.repeat(np.cumsum(pieces) - pieces, pieces)
    row = np.repeat(np.arange(len(pieces)), pieces)
    k = np.arange(len(row)) - first
    goal = total[row, -1] * k / pieces[row]
    column = np.clip((total[row] <= goal[:, None]).sum(axis=1) - 1, 0, _SAMPLES - 1)
    within = (goal - total[row, column]) / step[row, column]
    start = low[row] + (high - low)[row] * (column + within) / _SAMPLES
    start = np.where(k == 0, low[row], start)
    last = np.append(row[1:] != row[:-1], True)
    end = np.where(last, high[row], np.append(start[1:], 0.0))
    return owner[row], start, end


def _bending(rows: Floats, t: Floats) -> Floats:
    """Part of the second derivative that stands off the curve, at parameters t, (n, k)."""
    d1, d2 = _derivatives(rows, t)
    cross = np.abs(d1[..., 0] * d2[..., 1] - d1[..., 1] * d2[..., 0])
    speed = np.hypot(d1[..., 0], d1[..., 1])
    whole = np.hypot(d2[..., 0], d2[..., 1])
    with np.errstate(divide="ignore", invalid="ignore"):
        across = np.where(speed > 0, cross / speed, whole)
    return np.asarray(np.minimum(np.nan_to_num(across), whole))


def _derivatives(rows: Floats, t: Floats) -> tuple[Floats, Floats]:
    p = rows[:, 1:9].reshape(-1, 1, 4, 2)
    s = t[..., None]
    d1 = 3 * (
        (1 - s) ** 2 * (p[:, :, 1] - p[:, :, 0])
        + 2 * s * (1 - s) * (p[:, :, 2] - p[:, :, 1])
        + s * s * (p[:, :, 3] - p[:, :, 2])
    )
    d2 = 6 * (
        (1 - s) * (p[:, :, 2] - 2 * p[:, :, 1] + p[:, :, 0])
        + s * (p[:, :, 3] - 2 * p[:, :, 2] + p[:, :, 1])
    )
    arcs = rows[:, 0] == ARC
    if arcs.any():
        u, v = rows[arcs, None, 3:5], rows[arcs, None, 5:7]
        sweep = rows[arcs, 12][:, None, None]
        angle = rows[arcs, 11][:, None, None] + sweep * s[arcs]
        d1[arcs] = sweep * (v * np.cos(angle) - u * np.sin(angle))
        d2[arcs] = -(sweep**2) * (u * np.cos(angle) + v * np.sin(angle))
    return d1, d2


def points_at(rows: Floats, t: Floats) -> Floats:
    """Return the point of each segment at one parameter each, shape (n, 2)."""
    s = t[:, None]
    p0, p1, p2, p3 = rows[:, 1:3], rows[:, 3:5], rows[:, 5:7], rows[:, 7:9]
    r = 1 - s
    points = r * r * r * p0 + 3 * r * r * s * p1 + 3 * r * s * s * p2 + s * s * s * p3
    arcs = rows[:, 0] == ARC
    if arcs.any():
        angle = (rows[arcs, 11] + rows[arcs, 12] * t[arcs])[:, None]
        turned = rows[arcs, 3:5] * np.cos(angle) + rows[arcs, 5:7] * np.sin(angle)
        points[arcs] = rows[arcs, 9:11] + turned
    return np.asarray(points)


def tangents_at(rows: Floats, t: Floats) -> Floats:
    """Return the unit direction of each segment at one parameter each; zero where it stands."""
    along = _derivatives(rows, t[:, None])[0][:, 0]
    length = np.hypot(along[:, 0], along[:, 1])[:, None]
    return np.asarray(np.divide(along, length, out=np.zeros_like(along), where=length > 0))


def _sagitta(rows: Floats, low: Floats, high: Floats) -> Floats:
    """Bound on the distance between a piece of a curve and its chord."""
    p, q = points_at(rows, low), points_at(rows, high)
    h = (high - low)[:, None]
    d_low, d_high = _derivatives(rows, low[:, None])[0], _derivatives(rows, high[:, None])[0]
    c1, c2 = p + h / 3 * d_low[:, 0], q - h / 3 * d_high[:, 0]
    d1, d2 = _to_chord(c1, p, q), _to_chord(c2, p, q)
    bound = np.minimum(0.75 * np.maximum(d1, d2), 4 / 9 * (d1 + d2))
    arcs = rows[:, 0] == ARC
    if arcs.any():
        turn = rows[arcs, 12] * (high - low)[arcs]
        middle = (rows[arcs, 11] + rows[arcs, 12] * ((low + high) / 2)[arcs])[:, None]
        out = rows[arcs, 3:5] * np.cos(middle) + rows[arcs, 5:7] * np.sin(middle)
        along = rows[arcs, 5:7] * np.cos(middle) - rows[arcs, 3:5] * np.sin(middle)
        length = np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-300)
        area = np.abs(out[:, 0] * along[:, 1] - out[:, 1] * along[:, 0])
        bound[arcs] = (1 - np.cos(turn / 2)) * area / length
    return np.asarray(bound)


def _to_chord(point: Floats, p: Floats, q: Floats) -> Floats:
    """Distance from points to the segments p q."""
    chord = q - p
    square = np.maximum((chord**2).sum(axis=1), 1e-300)
    share = np.clip(((point - p) * chord).sum(axis=1) / square, 0.0, 1.0)
    away = point - p - share[:, None] * chord
    return np.hypot(away[:, 0], away[:, 1])
