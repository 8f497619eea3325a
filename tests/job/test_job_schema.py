"""The schema that ships is the reader's own, sound, and accepts what the reader accepts."""

import copy
import json
import tomllib
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest

from outline2path.job.schema import job_schema, schema_text
from outline2path.job.starting import new_job_text
from outline2path.job.tables import step_keys

JOBS = sorted((Path(__file__).parents[2] / "demo_art").rglob("*.toml"))
START = tomllib.loads(new_job_text())


def validator():
    return jsonschema.Draft202012Validator(job_schema())


def test_the_schema_that_ships_is_up_to_date():
    """Written by `schema_text`; write it anew when an operation's arguments change."""
    shipped = (files("outline2path.job") / "job.schema.json").read_text(encoding="utf-8")
    assert shipped == schema_text()


def test_the_schema_is_sound_and_accepts_the_starting_file():
    jsonschema.Draft202012Validator.check_schema(json.loads(schema_text()))
    validator().validate(START)


def test_every_operation_and_nearly_every_key_is_described():
    steps = job_schema()["properties"]["set_up"]["items"]["properties"]["step"]["items"]
    tables = {table["properties"]["do"]["const"]: table["properties"] for table in steps["oneOf"]}
    assert set(tables) == set(step_keys())
    bare = [
        (do, name)
        for do, keys in tables.items()
        for name, key in keys.items()
        if name != "do" and not key.get("description")
    ]
    assert bare == []


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.parent.name)
def test_the_schema_accepts_the_jobs_that_ship(path):
    validator().validate(tomllib.loads(path.read_text(encoding="utf-8")))


def changed(path, value):
    data = copy.deepcopy(START)
    table = data
    for key in path[:-1]:
        table = table[key]
    table[path[-1]] = value
    return data


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("stok",), {}),
        (("stock", "sise"), "1 x 2 x 3"),
        (("cutters", "small", "flutes"), "two"),
        (("job", "zero"), "middle"),
        (("set_up", 0, "step", 0, "do"), "saw"),
        (("set_up", 0, "step", 0, "tabs"), 4),
        (("set_up", 0, "step", 2, "tabs"), 2.5),
        (("drawings", "tag", "file"), "two-sources.svg"),
        (("drawings", "tag", "at"), [1, 2, 3]),
        (("drawings", "mortise", "slot", "length"), True),
    ],
)
def test_the_schema_refuses_what_the_reader_refuses(path, value):
    assert not validator().is_valid(changed(path, value))


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("set_up", 0, "step", 1, "holes"), [[1, 2], [3, 4.5]]),
        (("drawings", "tag", "at"), ["1 in", 20]),
        (("set_up", 0, "step", 2, "feed"), "72 in/min"),
        (("machine", "speeds"), [8000, "24000 rpm"]),
    ],
)
def test_the_schema_accepts_both_ways_to_write_a_figure(path, value):
    validator().validate(changed(path, value))
