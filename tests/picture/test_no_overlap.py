"""On every picture of the demo drawings and of the demo job no words overlap or leave the page."""

from __future__ import annotations

from functools import lru_cache
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest

from outline2path.drawing.reader import read_outline
from outline2path.job.toml import read_job
from outline2path.picture.plan_view import draw_outline, draw_reach
from outline2path.reach.spots import narrow_spots

ART = Path(__file__).parents[2] / "demo_art"
DRAWINGS = sorted(p.stem for p in ART.glob("*.svg"))
CUTTER_MM = 3.175


@lru_cache(maxsize=1)
def plan():
    """The demo job's plan."""
    return read_job(ART / "heron_on_base" / "job.toml").plan()


def shown(axis):
    """Figures of an axis that are drawn: there are some beyond its ends that are not."""
    low, high = sorted(axis.get_view_interval())
    return [t.label1 for t in axis.get_major_ticks() if low <= t.get_loc() <= high]


def words_on(drawn):
    """Every piece of words on the page with its box in pixels, figures of the axes included."""
    drawn.figure.canvas.draw()
    found = []
    for ax in drawn.figure.axes:
        labels = [ax.xaxis.label, ax.yaxis.label] if ax.axison else []
        ticks = [label for axis in (ax.xaxis, ax.yaxis) for label in shown(axis)]
        ticks = ticks if ax.axison else []
        found += [t for t in (*ax.texts, *labels, *ticks) if t.get_visible() and t.get_text()]
    frame = drawn.figure.bbox
    boxes = [(t.get_text(), t.get_window_extent()) for t in found]
    return [(text, box) for text, box in boxes if box.overlaps(frame)]


def clashes(drawn):
    """Pairs of words that share more than half a pixel, and words that leave the page."""
    found = words_on(drawn)
    table = np.array([box.extents for _, box in found])
    frame = drawn.figure.bbox.extents
    out = [
        text
        for (text, _), b in zip(found, table, strict=True)
        if b[0] < frame[0] or b[1] < frame[1] or b[2] > frame[2] or b[3] > frame[3]
    ]
    for a, b in combinations(range(len(found)), 2):
        wide, high = np.minimum(table[a, 2:], table[b, 2:]) - np.maximum(
            table[a, :2], table[b, :2]
        )
        if wide > 0.5 and high > 0.5:
            out.append((found[a][0], found[b][0]))
    return out


@pytest.mark.parametrize("name", DRAWINGS)
def test_no_words_overlap_on_a_demo_drawing(name):
    outline = read_outline(ART / f"{name}.svg")
    drawn = draw_outline(outline, units="in")
    assert len(words_on(drawn)) > 8
    assert clashes(drawn) == []
    assert clashes(draw_reach(narrow_spots(outline, CUTTER_MM))) == []


@pytest.mark.parametrize("number", range(7))
def test_no_words_overlap_on_a_program_of_the_demo_job(number):
    program = plan().programs[number]
    assert clashes(program.draw()) == []


def test_the_demo_job_has_no_more_programs():
    assert len(plan().programs) == 7


def test_words_on_top_of_one_another_are_noticed():
    drawn = draw_outline(read_outline(ART / "oak_leaf.svg"))
    for _ in range(2):
        drawn.ax.text(80, 30, "the same place")
    assert ("the same place", "the same place") in clashes(drawn)
