"""The pages in docs/ say what the code does: every block runs, and what is claimed holds."""

import re
from pathlib import Path

import pytest

from docs.making.running import blocks_of, run_page, show
from docs.making.site import filled, with_answers

ROOT = Path(__file__).parents[2]
PAGES = {
    p.relative_to(ROOT / "docs").with_suffix("").as_posix(): p
    for p in sorted((ROOT / "docs").rglob("*.md"))
}
RUN = [name for name in PAGES if not name.startswith("lessons/")]
"""Lessons are notebooks, and run with those."""
PYTHON = {"python", "console"}


@pytest.fixture(scope="module")
def run(tmp_path_factory):
    """Run a page once, without its pictures."""
    done = {}

    def once(name):
        if name not in done:
            page = PAGES[name].read_text(encoding="utf-8")
            folder = tmp_path_factory.mktemp(name.replace("/", "-"))
            done[name] = run_page(page, folder, looking=False)
        return done[name]

    return once


def text_of(run, start):
    """What the block that begins so said."""
    [shown] = [shown for block, shown in run.shown if block.text.startswith(start)]
    return "".join(one.data for one in shown)


@pytest.mark.parametrize("name", RUN)
def test_every_block_of_a_page_runs(run, name):
    page = PAGES[name].read_text(encoding="utf-8")
    fences = len(re.findall("^ *```(?:python|console)", page, re.MULTILINE))
    assert len([b for b, _ in run(name).shown if b.language in PYTHON]) == fences


@pytest.mark.parametrize("name", RUN)
def test_a_page_opens_with_its_one_title(name):
    text = re.sub(r"^```.*?^```$", "", PAGES[name].read_text(encoding="utf-8"), flags=re.M | re.S)
    assert text.startswith("# ")
    assert len(re.findall("^# ", text, re.MULTILINE)) == 1


@pytest.mark.parametrize("name", PAGES)
def test_links_between_pages_lead_somewhere(name):
    text = PAGES[name].read_text(encoding="utf-8")
    links = re.findall(r"\]\(([^)#]+?\.md)\)", text)
    assert [link for link in links if not (PAGES[name].parent / link).is_file()] == []


def test_every_page_is_in_the_table_of_contents():
    listed = re.findall(
        r"^(?!:)([a-z_/]+)$",
        "\n".join(b.text for b in _toctrees(PAGES["index"].read_text(encoding="utf-8"))),
        re.MULTILINE,
    )
    assert sorted(listed) == sorted(set(PAGES) - {"index"})


def _toctrees(page):
    return [
        b for b in blocks_of(page.replace("```{toctree}", "```toctree")) if b.language == "toctree"
    ]


@pytest.mark.parametrize("name", PAGES)
def test_pages_ask_for_nothing_from_a_network(name):
    assert not re.search(
        "https?://",
        PAGES[name]
        .read_text(encoding="utf-8")
        .replace('page.count("http://") + page.count("https://")', ""),
    )


def test_neither_style_nor_frame_asks_for_anything_from_a_network():
    theme = ROOT / "docs" / "theme" / "workshop"
    for path in (theme / "layout.html", theme / "static" / "workshop.css"):
        assert not re.search("https?:|//[a-z]+[.]|@import", path.read_text(encoding="utf-8"))


def test_the_start_ends_with_a_written_and_proved_program(run):
    done = run("start")
    assert done.namespace["plan"].prove().verdict == "pass"
    assert text_of(done, "heron = heron.fit").startswith("Outline(140.00 x ")
    assert "wrote heron.nc" in text_of(done, "$ outline2path cut")


def test_the_cutter_page_frees_every_gap_by_scale_and_warns_of_short_flutes(run):
    done = run("how/cutter")
    assert text_of(done, "factor") == "[]"
    assert "6.30 mm deep, the flutes are 5.00 mm" in text_of(done, "short")
    first, second = done.namespace["both"].programs
    assert second.times.total_s < first.times.total_s


def test_the_slot_page_makes_a_slot_that_fits_and_shows_one_that_does_not(run):
    done = run("how/slot")
    assert "5.9" in text_of(done, "import outline2path")
    assert done.namespace["fit"].fits
    assert "does not fit" in text_of(done, "import shapely")


def test_the_small_parts_page_needs_no_tabs_with_glue_and_sees_the_clamp(run):
    done = run("how/small_parts")
    assert text_of(done, "job = o2p.Job(stock=stock, holding=held)") == "[]"
    assert "clamp" in text_of(done, "from outline2path.shop.holding import Clamp")
    assert "ok " in text_of(done, "[str(check) for check in plan.prove().checks")


def test_the_flip_page_comes_out_as_thick_as_it_says(run):
    done = run("how/flip")
    assert text_of(done, "deepest") == "([20.0, 19.4], -19.7)"
    assert "('pass'," in text_of(done, "proof")


def test_the_proving_page_catches_the_slip_and_passes_the_hand_written_square(run):
    done = run("how/prove")
    assert text_of(done, "import outline2path").startswith("Proof(fail")
    assert text_of(done, "import shapely").startswith("Proof(pass")


def test_the_table_of_promises_names_the_budgets_own_figures(run):
    assert text_of(run("promises"), "2 *") == "True"
    gouge, leftover = (
        run("promises").namespace["proof"].gouge_mm,
        run("promises").namespace["proof"].leftover_mm,
    )
    assert gouge <= 0.001
    assert leftover <= 0.02


HEADS = re.findall(r"^\*\*([A-Z][^*]+)\*\*", PAGES["how/sheet"].read_text(encoding="utf-8"), re.M)


@pytest.mark.parametrize(
    "head", [h for h in HEADS if h not in {"The head", "Each set-up", "Each program"}]
)
def test_the_sheet_page_names_headings_the_sheet_has(run, head):
    assert f"<h4>{head}</h4>" in run("how/sheet").namespace["page"]


def test_the_sheet_page_needs_no_network(run):
    assert text_of(run("how/sheet"), "import outline2path") == "(True, 0)"


@pytest.mark.parametrize("name", ["report", "job_file"])
def test_a_schemas_page_names_every_key(name):
    import json

    schema = {"report": "report", "job_file": "job"}[name]
    page = filled(PAGES[name].read_text(encoding="utf-8"))
    place = ROOT / "outline2path" / "job" / f"{schema}.schema.json"
    keys = json.loads(place.read_text(encoding="utf-8"))["properties"]
    assert [key for key in keys if f"<code>{key}</code>" not in page] == []


def test_the_glossary_holds_every_word_of_the_trade_in_order():
    page = PAGES["glossary"].read_text(encoding="utf-8")
    words = re.findall(r"^([a-zA-Z].*)$", page.split("```{glossary}")[1].split("```")[0], re.M)
    assert words == sorted(words, key=str.lower)
    needed = (
        "allowance block chamfer climb cutter drill engrave feed flute outline pass plunge pocket "
    )
    needed += (
        "profile program ramp rapid region stepover stock tab travel waste zero lead-in proof"
    )
    told = " ".join(words)
    assert [word for word in needed.split() if word not in told] == []


def test_every_public_name_is_on_the_reference_page():
    import outline2path

    page = PAGES["reference"].read_text(encoding="utf-8")
    homes = outline2path._HOMES.items()
    assert [n for n, home in homes if f"outline2path.{home}.{n}\n" not in page] == []


def test_the_rooms_page_names_every_module():
    page = filled(PAGES["rooms"].read_text(encoding="utf-8"))
    modules = [p.stem for p in (ROOT / "outline2path").rglob("*.py") if p.stem[0] != "_"]
    assert [m for m in modules if f"| `{m}` |" not in page] == []


def test_answers_stand_under_the_blocks_they_belong_to(tmp_path):
    page = "# T\n\n```python\nprint(1)\n2\n```\n\nwords\n\n```python\nx = 3\n```\n"
    done = with_answers(page, run_page(page, tmp_path), lambda shown: f"<{shown.data.strip()}>")
    assert re.findall("<.>|words|x = 3", done) == ["<1>", "<2>", "words", "x = 3"]


@pytest.mark.parametrize(
    ("block", "fault"),
    [
        ("```python\n1 / 0\n```\n", ZeroDivisionError),
        ("```console\n$ outline2path read nothing.svg\n```\n", ValueError),
        ("```console\n$ rm -r /\n```\n", ValueError),
    ],
)
def test_a_block_that_fails_fails_the_page(tmp_path, block, fault):
    with pytest.raises(fault):
        run_page(block, tmp_path)


def test_a_value_shows_itself_as_in_a_notebook():
    class Value:
        def _repr_html_(self):
            return "<p>html</p>"

    assert [(s.kind, s.data) for s in show(Value())] == [("html", "<p>html</p>")]
    assert [(s.kind, s.data) for s in show([1, 2])] == [("text", "[1, 2]\n")]
