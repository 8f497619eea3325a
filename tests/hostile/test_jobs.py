"""Hostile jobs: bombs in TOML, drawings by tricky names, figures beyond reason, calls outside."""

import pytest

from tests.hostile import bombs
from tests.hostile.bombs import FAR, SQUARE, page
from tests.hostile.bounded import command
from tests.hostile.test_sealed import CALLING, SEALED

HEAD = '[stock]\nsize = "80 x 70 x 6 mm"\n[cutters.small]\ndiameter = "3 mm"\n'
DRAWING = '[drawings.plate]\nfile = "d.svg"\n'
STEP = '[[set_up]]\n[[set_up.step]]\ndo = "profile"\ndrawing = "plate"\ncutter = "small"\n'
GOOD = HEAD + DRAWING + STEP

TABLES = "\n".join(f'[drawings.a{k}]\nfile = "d.svg"' for k in range(900))
STEPS = '[[set_up.step]]\ndo = "profile"\ndrawing = "plate"\ncutter = "small"\n'

REFUSED = {
    "brackets": "a = " + "[" * 100_000,
    "braces": "a = " + "{a=" * 100_000,
    "a dotted key": ".".join(["a"] * 100_000) + " = 1",
    "a dotted table": "[" + ".".join(["a"] * 100_000) + "]",
    "backslashes": 'a = """' + "\\" * 200_000,
    "quotes": '"""' * 60_000,
    "tables without end": "[[a]]\n" * 50_000,
    "15000 drawings": "\n".join(f"[drawings.a{k}]\nfile='x'" for k in range(15_000)),
    "10^4 steps": GOOD + STEPS * 5_000,
    "600 kB": "#" * 600_000,
    "NUL": "\0" * 1000,
    "a number of 10^5 digits": f"[stock]\nthickness = {'9' * 100_000}",
    "a number beyond all": "[stock]\nthickness = 1e999\n",
    "no number": "[stock]\nthickness = nan\n",
    "a length of 10^5 letters": f'[stock]\nsize = "{"9" * 100_000} mm"\n',
    "a drawing by its whole name elsewhere": GOOD.replace("d.svg", "/etc/hostname"),
    "a drawing above all folders": GOOD.replace("d.svg", "../" * 40 + "etc/hostname"),
    "a stream for a drawing": GOOD.replace("d.svg", "/dev/zero"),
    "a folder for a drawing": GOOD.replace("d.svg", "."),
    "a far drawing": GOOD.replace("d.svg", FAR),
    "a drawing's name with NUL": GOOD.replace("d.svg", "d\\u0000.svg"),
    "10^9 copies": GOOD.replace(
        DRAWING, DRAWING + "copies = { columns = 100000, rows = 10000, gap = 1 }\n"
    ),
    "drawings of each other": HEAD
    + "".join(f'[drawings.{a}]\nunion = ["{b}"]\n' for a, b in ("xy", "yx"))
    + STEP.replace("plate", "x"),
    "a text of 10^5 letters": GOOD.replace(
        'file = "d.svg"', f'text = {{ text = "{"W" * 100_000}", height = 5 }}'
    ),
    "a billion tabs": GOOD + "tabs = 1000000000\n",
    "passes without number": GOOD + 'depth_per_pass = "1e-9 mm"\n',
    "a tolerance of nothing": '[job]\ntolerance = "1e-12 mm"\n' + GOOD,
    "a stock of a light year": GOOD.replace("80 x 70", "9.5e15 x 9.5e15"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_a_hostile_job_is_refused_soon_and_in_one_paragraph(tmp_path, name):
    (tmp_path / "d.svg").write_bytes(page(SQUARE))
    (tmp_path / "job.toml").write_text(REFUSED[name])
    ended = command("job", "job.toml", "-o", "out", folder=tmp_path)
    assert ended.code == 2, (ended.out, ended.err[-2000:])
    assert ended.is_one_paragraph, ended.err[-2000:]
    assert ended.is_bounded, ended
    assert sorted(p.name for p in tmp_path.iterdir()) == ["d.svg", "job.toml"]


DRAWINGS = {
    "copies of copies": bombs.use_tree,
    "nested entities": bombs.nested_entities,
    "packed blanks": bombs.gzip_bomb,
    "groups 100000 deep": bombs.deep,
    "200000 squares": lambda: bombs.squares(200_000),
}


@pytest.mark.parametrize("name", DRAWINGS)
def test_a_job_refuses_a_hostile_drawing_by_its_line(tmp_path, name):
    (tmp_path / "d.svg").write_bytes(DRAWINGS[name]())
    (tmp_path / "job.toml").write_text(GOOD)
    ended = command("job", "job.toml", "-o", "out", folder=tmp_path)
    assert (ended.code, ended.is_one_paragraph) == (2, True), ended
    assert "job.toml, line" in ended.err
    assert ended.is_bounded, ended


@pytest.mark.parametrize("name", ["../../trap", "/trap", "a\\\\b", "CON", "(M30)", "%", "\\n"])
def test_names_in_a_job_name_no_file_elsewhere(tmp_path, name):
    inside = tmp_path / "deep" / "inside"
    inside.mkdir(parents=True)
    (inside / "d.svg").write_bytes(page(SQUARE))
    text = f'[job]\nname = "{name}"\n' + GOOD.replace("[[set_up]]", f'[[set_up]]\nname = "{name}"')
    (inside / "job.toml").write_text(text.replace("small", "trap"))
    ended = command("job", "job.toml", "-o", "out", folder=inside)
    if ended.code == 0:
        made = sorted(p.name for p in (inside / "out").iterdir())
        assert made == ["1-1-profile.nc", "1-1-profile.png", "report.json", "set-up-sheet.html"]
    assert [p.name for p in tmp_path.iterdir() if p.suffix != ".used"] == ["deep"]
    assert ended.code == 0 or ended.is_one_paragraph, ended


def test_words_in_a_job_stay_words_in_its_sheet(tmp_path):
    """Text of a job is shown as text: nothing of it becomes part of the page's own code."""
    trap = "</script><script>alert(1)</script><img src=x onerror=alert(1)>"
    text = f"[job]\nname = '{trap}'\n" + GOOD.replace("[cutters.small]", "[cutters.small]\n#")
    text = text.replace('diameter = "3 mm"', f"diameter = \"3 mm\"\nname = '{trap}'")
    (tmp_path / "d.svg").write_bytes(page(SQUARE))
    (tmp_path / "job.toml").write_text(text)
    ended = command("job", "job.toml", "-o", "out", folder=tmp_path)
    assert ended.code == 0, ended
    sheet = (tmp_path / "out" / "set-up-sheet.html").read_text()
    assert "alert(1)" in sheet
    assert "<script>alert" not in sheet
    assert "<img src=x" not in sheet


@pytest.mark.parametrize("args", [("job", "job.toml", "-o", "out"), ("demo", "out")], ids=str)
def test_a_job_and_the_demo_stay_at_home(tmp_path, args):
    (tmp_path / "d.svg").write_bytes(page("".join(CALLING.values()) + SQUARE))
    (tmp_path / "job.toml").write_text(GOOD)
    ended = command(*args, folder=tmp_path, code=SEALED)
    assert ended.code == 0, ended
    assert (tmp_path / "out").is_dir()
