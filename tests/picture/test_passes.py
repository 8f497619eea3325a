"""Panels show one depth each, in order, at one scale."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from outline2path.picture.passes import MOST_PANELS, draw_passes
from tests.picture.stand_ins import leaf, outline, profile_path


def panels(depths, region=None, **options):
    """Panels of a profile at these depths."""
    region = leaf() if region is None else region
    path, _ = profile_path(region, depths_mm=depths, tabs=2)
    return draw_passes(outline=outline(region, "leaf.svg"), toolpath=path, **options)


@pytest.mark.parametrize("count", [1, 2, 5])
def test_each_depth_has_a_panel_with_its_number_and_z(count):
    depths = tuple(-1.5 * (k + 1) for k in range(count))
    drawn = panels(depths)
    for k, z in enumerate(depths, start=1):
        words = [a.get_text() for a in drawn.artists[f"panel {k}"] if hasattr(a, "get_text")]
        assert words[:2] == [str(k), f"z \u2212{-z:.2f} mm"]


def test_panels_have_one_scale():
    drawn = panels((-1.0, -2.0, -3.0))
    shown = drawn.figure.axes[1:]
    assert len({tuple(np.round((*ax.get_xlim(), *ax.get_ylim()), 6)) for ax in shown}) == 1


def test_the_first_panel_has_nothing_cleared_before_it():
    drawn = panels((-1.0, -2.0))
    first, second = (len(drawn.artists[f"panel {k}"]) for k in (1, 2))
    assert second == first + 1


def test_many_depths_are_shown_by_a_dozen_with_first_and_last():
    drawn = panels(tuple(-0.25 * (k + 1) for k in range(30)), region=shapely.box(5, 5, 30, 30))
    named = [n for n in drawn.artists if n.startswith("panel")]
    assert len(named) == MOST_PANELS
    assert "30 depths, 12 of them shown" in drawn.facts
    numbers = [drawn.artists[n][-3].get_text() for n in (named[0], named[-1])]
    assert numbers == ["1", "30"]


def test_given_axes_are_used_as_far_as_they_go():
    from matplotlib.figure import Figure

    axes = Figure().subplots(1, 2)
    drawn = panels((-1.0, -2.0, -3.0), axes=list(axes))
    assert drawn.ax is axes[0]
    assert "panel 3" not in drawn.artists
