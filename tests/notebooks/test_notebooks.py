"""The lessons run from top to bottom, show their pictures, and say what is true."""

import ast
import shutil
from functools import cache
from pathlib import Path

import nbformat
import pytest
from nbclient import NotebookClient

ROOT = Path(__file__).parents[2]
LESSONS = sorted((ROOT / "notebooks").glob("*.ipynb"))
SILHOUETTE, NARROW, PASSES, BASE = (p.stem for p in LESSONS)


@cache
def lesson(name):
    return nbformat.read(ROOT / "notebooks" / f"{name}.ipynb", as_version=4)


@pytest.fixture(scope="module")
def run(tmp_path_factory):
    """Run a lesson once, in a folder below one with the drawings; return it and the folder."""
    done = {}

    def once(name):
        if name not in done:
            place = tmp_path_factory.mktemp(name)
            shutil.copytree(ROOT / "demo_art", place / "demo_art")
            folder = place / "anywhere" / "below"
            folder.mkdir(parents=True)
            notebook = nbformat.from_dict(lesson(name))
            with pytest.MonkeyPatch.context() as patch:
                patch.setenv("IPYTHONDIR", str(place / "ipython"))
                patch.setenv("JUPYTER_PLATFORM_DIRS", "1")
                client = NotebookClient(
                    notebook, timeout=300, resources={"metadata": {"path": str(folder)}}
                )
                client.execute()
            done[name] = notebook, folder
        return done[name]

    return once


def result_of(notebook, start):
    """The value that the cell whose source begins so showed, read back from its text."""
    [cell] = [c for c in notebook.cells if c.cell_type == "code" and c.source.startswith(start)]
    [output] = [o for o in cell.outputs if o.output_type == "execute_result"]
    return ast.literal_eval(output.data["text/plain"])


def pictures(notebook):
    outputs = [o for c in notebook.cells if c.cell_type == "code" for o in c.outputs]
    return [o for o in outputs if "image/png" in o.get("data", {})]


def test_there_are_four_lessons():
    assert len(LESSONS) == 4


@pytest.mark.parametrize("name", [p.stem for p in LESSONS])
def test_a_lesson_is_kept_without_outputs(name):
    code = [c for c in lesson(name).cells if c.cell_type == "code"]
    assert [c.outputs for c in code] == [[]] * len(code)
    assert {c.execution_count for c in code} == {None}


@pytest.mark.parametrize("name", [p.stem for p in LESSONS])
def test_a_lesson_opens_with_the_cautions(name):
    assert "Before anybody cuts" in lesson(name).cells[1].source


@pytest.mark.parametrize(
    ("name", "least"), [(SILHOUETTE, 3), (NARROW, 3), (PASSES, 3), (BASE, 3)], ids=lambda v: str(v)
)
def test_a_lesson_runs_and_shows_its_pictures(run, name, least):
    notebook, _ = run(name)
    assert len(pictures(notebook)) >= least


def test_the_first_lesson_leaves_a_whole_program(run):
    _, folder = run(SILHOUETTE)
    text = (folder / "out" / "heron.nc").read_text(encoding="ascii")
    assert text.split()[-1] in {"M30", "%"}


def test_the_first_lesson_fits_the_heron_and_proves_it(run):
    notebook, _ = run(SILHOUETTE)
    assert result_of(notebook, "heron = heron.fit")[0] == pytest.approx(140, abs=1e-6)
    gouge, leftover, deepest = result_of(notebook, "proof.gouge_mm")
    assert gouge <= 0.001
    assert leftover <= 0.02
    assert deepest == pytest.approx(-6.3, abs=1e-4)  # the written decimals


def test_the_second_lesson_finds_the_gaps_below_an_eighth_of_an_inch(run):
    """The gate's own description states its gaps; 3.5 and 4 mm let 3.175 mm pass."""
    notebook, _ = run(NARROW)
    found = {round(gap, 2) for _, gap in result_of(notebook, "[(spot.kind, spot.gap_mm)") if gap}
    assert found == {0.5, 1.0, 1.5, 2.0, 2.5, 3.0}


def test_the_second_lesson_counts_less_left_by_thinner_cutters(run):
    notebook, _ = run(NARROW)
    left = list(result_of(notebook, "sizes =").values())
    assert left == sorted(left, reverse=True)
    assert left[-1] < left[0]


def test_the_second_lesson_frees_every_gap_by_scale(run):
    notebook, _ = run(NARROW)
    assert result_of(notebook, "factor =")[1] == []


def test_the_second_lesson_loses_in_a_corner_what_geometry_says(run):
    """Square corner: r^2 (1 - pi/4), elementary."""
    notebook, _ = run(NARROW)
    measured, by_hand = result_of(notebook, "import math")
    assert measured == pytest.approx([by_hand] * 4, abs=0.002)  # chords of the round piece


def test_the_third_lesson_counts_five_equal_depths(run):
    notebook, _ = run(PASSES)
    assert result_of(notebook, "passes =") == pytest.approx([-1.26, -2.52, -3.78, -5.04, -6.3])


def test_the_third_lesson_catches_the_slip_and_passes_the_program(run):
    notebook, _ = run(PASSES)
    verdict, failed = result_of(notebook, "text =")
    assert (verdict, bool(failed)) == ("fail", True)
    assert result_of(notebook, "plan.prove().verdict") == "pass"


def test_the_fourth_lesson_makes_slots_of_the_measured_width(run):
    notebook, _ = run(BASE)
    assert result_of(notebook, "slots = o2p.fit_slots") == [5.9, 5.9]


def test_the_fourth_lesson_plans_in_the_order_of_the_work(run):
    notebook, _ = run(BASE)
    names = result_of(notebook, "[program.name")
    assert [name.partition(" ")[2] for name in names] == [
        "face",
        "face",
        "drill",
        "pocket",
        "chamfer",
        "profile",
    ]


def test_the_fourth_lesson_proves_the_programs_and_catches_the_slip(run):
    notebook, _ = run(BASE)
    verdict, count, *kept = result_of(notebook, "proof = plan.prove()")
    assert (verdict, count > 120, kept) == ("pass", True, [True, True])
    assert "depth" in result_of(notebook, "deepest =")


def test_the_fourth_lesson_leaves_a_folder_for_the_machine(run):
    notebook, folder = run(BASE)
    names = result_of(notebook, "sorted(path.name")
    assert {"set-up-sheet.html", "report.json", "2-3-pocket.nc"} <= set(names)
    assert (folder / "base" / "2-3-pocket.nc").stat().st_size > 1000
