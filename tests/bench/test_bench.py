"""The bench sees what goes wrong, crashes and hangs included, and samples the same each time."""

from pathlib import Path

import pytest

from tests.bench import corpora
from tests.bench.fetching import SETS, Drawing, listed, sample
from tests.bench.one import Outcome, case_of, tried
from tests.bench.pool import each
from tests.bench.work import well

MANY = [Drawing(s, f"d{k:04}", Path()) for s in SETS for k in range(1000)]


@pytest.mark.parametrize("count", [1, 7, 300])
def test_a_sample_is_fixed_and_spread_over_all_sets(count):
    chosen = sample(MANY, count)
    assert chosen == sample(MANY, count)
    assert len(set(chosen)) == count
    assert len({d.set_name for d in chosen}) == min(count, len(SETS))


def test_one_that_hangs_dies_or_swells_costs_itself_alone():
    kinds = ["fine", "hangs", "dies", "swells", "fine too"]
    pieces = [(kind,) for kind in kinds]
    found = {
        done.arguments[0]: done.ended or done.value
        for done in each(well, pieces, workers=2, seconds=12, memory_mb=2048)
    }
    assert found == {
        "fine": "done",
        "hangs": "no end in 12 s",
        "dies": "died, exit 9",
        "swells": "no room",
        "fine too": "done",
    }


def test_a_drawing_goes_through_the_whole_way():
    path = Path(__file__).parents[2] / "demo_art" / "heron.svg"
    outcome = Outcome(**tried("demo", str(path), 0))
    assert (outcome.crash, outcome.refused, outcome.errors) == (None, None, [])
    assert not outcome.gouges | outcome.leaves | outcome.differs
    assert {"read", "check", "plan", "prove"} <= set(outcome.seconds)


def test_a_drawing_that_cannot_be_read_is_counted_as_refused(tmp_path):
    (tmp_path / "d.svg").write_text("no drawing")
    outcome = Outcome(**tried("none", str(tmp_path / "d.svg"), 0))
    assert outcome.refused.startswith("DrawingError: ")


@pytest.mark.parametrize(
    ("fault", "code"),
    [
        ({"gouge_mm": 0.0, "leftover_mm": 0.01}, 0),
        ({"gouge_mm": 0.0012, "leftover_mm": 0.01}, 1),
        ({"gouge_mm": 0.0, "leftover_mm": 0.021}, 1),
        ({"crash": "ValueError"}, 1),
        ({"wrong_px": 50}, 1),
        ({"wrong_px": 50, "explained": ["image"]}, 0),
        ({"refused": "DrawingError"}, 0),
        ({"gouge_mm": 0.0, "leftover_mm": 0.01, "errors": ["proof-loose-pieces"]}, 1),
        (
            {
                "gouge_mm": 0.0,
                "leftover_mm": 0.01,
                "errors": ["proof-loose-pieces"],
                "told": ["tabs-none"],
            },
            0,
        ),
    ],
    ids=str,
)
def test_the_exit_code_tells_what_is_wrong(capsys, fault, code):
    assert corpora.report([Outcome("s", "d", "case", **fault)], drawings=1, peak_mb=1) == code
    assert "drawings: 1" in capsys.readouterr().out


def test_cases_cover_sizes_and_ways():
    cases = {str(case_of(f"d{k}", 0)) for k in range(2000)}
    assert len(cases) == 48


def test_without_npm_and_without_drawings_the_bench_says_so(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("PATH", "")
    assert corpora.main(["--cache", str(tmp_path / "none")]) == 0
    assert "npm is not installed" in capsys.readouterr().out


def test_what_is_known_to_go_wrong_is_no_news_and_what_is_mended_is(capsys, tmp_path, monkeypatch):
    known = tmp_path / "known.txt"
    known.write_text("# a list\ns/d (case): not mended yet\n")
    monkeypatch.setattr(corpora, "KNOWN", known)
    wrong = Outcome("s", "d", "case", gouge_mm=0.01, leftover_mm=0.0)
    right = Outcome("s", "d", "case", gouge_mm=0.0, leftover_mm=0.0)
    assert corpora.report([wrong], drawings=1, peak_mb=1) == 0
    assert "mended" not in capsys.readouterr().out
    assert corpora.report([right], drawings=1, peak_mb=1) == 0
    assert "take it off known.txt: s/d (case)" in capsys.readouterr().out


def test_the_fixed_sample_names_three_hundred_drawings_sixty_of_each_set():
    names = corpora.FIXED.read_text(encoding="utf-8").splitlines()
    assert len(set(names)) == 300
    assert {n.split("/")[0] for n in names} == set(SETS)
    drawings = [Drawing(*n.split("/"), Path()) for n in names]
    assert listed(drawings[::-1], corpora.FIXED) == drawings
    assert listed(drawings[:5], corpora.FIXED) == drawings[:5]
