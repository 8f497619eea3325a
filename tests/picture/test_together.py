"""A mating shows where two parts clash; a gauge shows its slots and labels."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from outline2path.drawing.outline import Outline
from outline2path.operations.gauge import fit_gauge
from outline2path.operations.mating import mates
from outline2path.picture.dots import picture, png_size
from outline2path.picture.together import draw_gauge, draw_mating

FOOT = Outline.from_shapely(shapely.box(0, 0, 24, 5.8))


def slot(wide, high):
    """A slot round the middle of the foot."""
    return Outline.from_shapely(
        shapely.box(12 - wide / 2, 2.9 - high / 2, 12 + wide / 2, 2.9 + high / 2)
    )


ROUND = Outline.from_shapely(shapely.box(-0.05, -0.05, 24.05, 5.85).buffer(-1.5).buffer(1.5))
FITS = mates(FOOT, slot(24.2, 6.0), "0.1 mm")
CLASHES = mates(FOOT, ROUND, "0.1 mm")
TIGHT = mates(FOOT, slot(24.2, 5.83), "0.1 mm")
CASES = {"fits": FITS, "clashes": CLASHES, "tight": TIGHT}


@pytest.mark.parametrize(
    ("mating", "verdict"),
    [(FITS, "Fits"), (CLASHES, "Does not fit"), (TIGHT, "Fits tightly")],
    ids=list(CASES),
)
def test_the_head_line_is_the_verdict(mating, verdict):
    assert draw_mating(mating).title.startswith(verdict)


@pytest.mark.parametrize(
    ("name", "lost", "thin"), [("fits", 0, 0), ("clashes", 1, 0), ("tight", 0, 1)]
)
def test_overlaps_and_tight_places_are_filled_where_they_are(name, lost, thin):
    drawn = draw_mating(CASES[name])
    assert (len(drawn.artists["lost"]), len(drawn.artists["thin"])) == (lost, thin)


def test_the_filled_overlap_is_what_the_part_shares_with_the_material():
    (patch,) = draw_mating(CLASHES).artists["lost"]
    area = sum(shapely.Polygon(ring).area for ring in patch.get_path().to_polygons())
    shared = FOOT.region.difference(ROUND.region).area
    assert area == pytest.approx(shared, rel=1e-6)  # the same polygons, summed otherwise


def test_each_clash_has_a_number_and_a_place_enlarged():
    drawn = draw_mating(CLASHES)
    assert len(CLASHES.interferences) == 4
    assert len([w for w in drawn.words if w[0].isdigit()]) == 4
    assert len(drawn.figure.axes) == 2 + 4


def test_a_fit_enlarges_the_least_gap():
    drawn = draw_mating(FITS)
    assert len(drawn.figure.axes) == 2 + 1
    words = [t.get_text() for t in drawn.figure.axes[-1].texts]
    assert "least gap 0.100 mm" in words  # (24.2 - 24) / 2 and (6.0 - 5.8) / 2


@pytest.mark.parametrize(("mating", "ends"), [(FITS, 0.1), (TIGHT, 0.015)], ids=["fits", "tight"])
def test_the_measure_in_the_enlargement_is_as_long_as_the_gap(mating, ends):
    small = draw_mating(mating).figure.axes[-1]
    [line] = [t for t in small.texts if getattr(t, "arrow_patch", None)]
    length = np.hypot(*(np.asarray(line.xy) - np.asarray(line.get_position())))
    assert length == pytest.approx(ends, abs=0.0011)  # tight places begin a micrometre early


def test_inches_are_inches():
    assert "0.0039 in" in draw_mating(FITS, units="in").facts


def test_the_edge_of_the_material_thought_round_a_slot_is_not_drawn():
    x0, _, _, y1 = FITS.material.bounds
    for ax in draw_mating(FITS).figure.axes[1:]:
        lines = [c for c in ax.collections if hasattr(c, "get_segments")]
        points = np.vstack([s for c in lines for s in c.get_segments()])
        assert (np.abs(points[:, 0] - x0) > 0.001).all()
        assert (np.abs(points[:, 1] - y1) > 0.001).all()


def test_a_mating_shows_itself_and_draws_into_given_axes():
    from matplotlib.figure import Figure

    assert CLASHES._repr_png_()[1]["width"] == 900
    ax = Figure().subplots()
    assert CLASHES.draw(ax=ax).ax is ax


def test_a_gauge_shows_every_label_and_the_zeros_in_them():
    gauge = fit_gauge("5.8 mm", step="0.05 mm", count=3)
    drawn = draw_gauge(gauge)
    (label,) = drawn.artists["label"]
    # closed strokes, as those of a 0, are regions of the labels: three labels hold six zeros
    closed = [s for s in label.get_segments() if np.allclose(s[0], s[-1])]
    assert len(closed) >= 6
    assert png_size(picture(drawn, dpi=100))[0] == 640


def test_a_gauge_tells_its_slots_in_a_table():
    page = fit_gauge("5.8 mm", step="0.05 mm", count=3)._repr_html_()
    assert page.count("<tr>") == 1 + 3
    assert "clearance mm" in page
    assert ">5.900<" in page
