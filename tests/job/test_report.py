"""Every report is held to the schema that ships with the package."""

import json
from importlib.resources import files

import jsonschema
import pytest
import shapely
from hypothesis import given, settings

from outline2path.drawing.outline import Outline
from outline2path.job.check import check
from outline2path.job.job import Job
from outline2path.shop.cutter import Cutter
from outline2path.shop.stock import Stock
from tests import specimens
from tests.strategies import cutter_diameters, regions

SCHEMA = json.loads((files("outline2path.job") / "report.schema.json").read_text("utf-8"))
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)


def plan_of(region, **options):
    job = Job(stock=Stock(thickness=5))
    return job.profile(Outline.from_shapely(region), Cutter(2), **options).plan()


def test_the_schema_itself_is_sound():
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("name", specimens.ALL)
def test_the_report_of_every_specimen_follows_the_schema(name):
    report = plan_of(specimens.ALL[name], tabs=2).report()
    assert list(VALIDATOR.iter_errors(report)) == []


@settings(max_examples=25)
@given(regions(), cutter_diameters())
def test_the_report_of_every_check_follows_the_schema(region, diameter):
    report = check(Outline.from_shapely(region), cutter=diameter).report()
    assert list(VALIDATOR.iter_errors(report)) == []


def test_a_report_is_plain_json_and_survives_the_round_trip():
    report = plan_of(specimens.ALL["ring"]).report()
    assert json.loads(json.dumps(report, allow_nan=False)) == report


def test_totals_are_the_sums_of_the_passes():
    report = plan_of(shapely.box(0, 0, 40, 30)).report()
    assert sum(p["cut_mm"] for p in report["passes"]) == pytest.approx(
        report["totals"]["cut_mm"], abs=1e-3
    )


def test_settings_hold_every_number_used():
    settings_used = plan_of(shapely.box(0, 0, 40, 30)).report()["settings"]
    for name in ("cutter_mm", "feed_mm_min", "plunge_mm_min", "speed_rpm", "through_mm", "tabs"):
        assert settings_used[name] is not None
