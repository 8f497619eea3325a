"""Tabs as planned are tabs as judged, for every entry and in narrow company."""

from pathlib import Path

import pytest
import shapely

import outline2path as o2p

ART = Path(__file__).parents[2] / "demo_art"


def failed(outline, cutter_mm, **options):
    job = o2p.Job(stock=o2p.Stock(thickness=6)).profile(outline, o2p.Cutter(cutter_mm), **options)
    return [str(check) for check in job.plan().prove().failed]


@pytest.mark.parametrize("entry", ["plunge", "ramp", "helix"])
@pytest.mark.parametrize("name", ["heron", "name_sign", "garden_gate", "oak_leaf"])
def test_tabs_of_the_demo_drawings_stand_for_every_entry(name, entry):
    outline = o2p.read_outline(ART / f"{name}.svg")
    assert failed(outline, 2.0, tabs=4, entry=entry) == []


@pytest.mark.parametrize("gap", [4.2, 5.0, 6.5])
def test_a_path_on_the_far_wall_of_a_slot_does_not_shorten_a_tab(gap):
    pickets = [shapely.box(0, 0, 30, 60), shapely.box(30 + gap, 0, 60 + gap, 60)]
    fence = shapely.union_all([*pickets, shapely.box(0, 0, 60 + gap, 8)])
    assert failed(o2p.Outline.from_shapely(fence), 2.0, tabs=8) == []
