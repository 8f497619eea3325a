"""The sheet as a browser shows it: the slider moves, paper fits, dark is dark."""

from __future__ import annotations

import re
from functools import lru_cache

import numpy as np
import pytest

from outline2path.picture.sheet_page import sheet_page
from tests.picture.screen import after, needs_browser, printed, shot, told
from tests.picture.sheets import SHEET, with_program

pytestmark = needs_browser

MOVE = """
const place = document.querySelector(".replay"), slider = place.querySelector("input");
const canvas = place.querySelector("canvas"), pen = canvas.getContext("2d");
const frame = () => new Promise((done) => requestAnimationFrame(done));
const go = async (share) => {
  slider.value = share * slider.max; slider.dispatchEvent(new Event("input"));
  await frame(); await frame();
};
const press = async (key) => {
  canvas.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true })); await frame();
  await frame();
};
const dot = (x, y) => {
  const scale = Math.min((canvas.clientWidth - 32) / 120, (430 - 32) / 80);
  const left = (canvas.clientWidth - 120 * scale) / 2;
  const low = canvas.clientHeight - 16;
  return [...pen.getImageData(left + x * scale, low - y * scale, 1, 1).data].slice(0, 3);
};
const figure = (name) => [...place.querySelectorAll("dt")]
  .find((term) => term.textContent === name).nextSibling.textContent;
const block = () => place.querySelector(".now").lastChild.data;
"""
PAGE = sheet_page(with_program())
STOCK = [243, 238, 226]


def asked(script: str) -> str:
    return told(PAGE, MOVE + script)


def test_nothing_is_cut_at_the_start_and_the_ring_is_at_the_end():
    found = asked(
        "await go(0); const a = dot(60, 20); await go(1); return [a, dot(60, 20), dot(60, 40)];"
    )
    numbers = [int(n) for n in found.split(",")]
    assert numbers[:3] == STOCK
    assert sum(numbers[3:6]) < sum(STOCK) - 60
    assert numbers[6:] == STOCK


def test_going_back_puts_the_stock_back():
    assert asked("await go(1); await go(0.02); return dot(60, 60);") == "243,238,226"


def test_the_current_block_and_figures_follow_the_slider():
    found = asked("await go(0.5); return [block(), figure('z'), figure('Feed')].join('|');")
    block, z, feed = found.split("|")
    assert re.fullmatch(r"G1 X[\d.]+ Y[\d.]+", block)
    assert z == "\u22122.00 mm"
    assert feed == "600 mm/min"


def test_the_cutters_disc_is_drawn_to_scale():
    # the disc is orange in the cut; 6 mm of 120 mm wide
    found = asked(
        "await go(0.5); const { width, height } = canvas;"
        "const all = pen.getImageData(0, 0, width, height).data; let count = 0;"
        "for (let n = 0; n < all.length; n += 4)"
        " if (all[n] > 150 && all[n + 2] < 90 && all[n + 1] > 90) count += 1;"
        "return [count, Math.min((canvas.clientWidth - 32) / 120, 398 / 80)].join();"
    )
    count, scale = (float(v) for v in found.split(","))
    # within its outline of 1.6 dots
    assert count == pytest.approx(np.pi * (3 * scale) ** 2, rel=0.2)


def test_the_keyboard_goes_move_by_move():
    found = asked(
        "await go(0); const seen = []; for (let n = 0; n < 4; n += 1) {"
        " await press('ArrowRight'); seen.push(block()); }"
        " await press('ArrowLeft'); seen.push(block());"
        " await press('End'); seen.push(slider.value);"
        " await press('Home'); seen.push(slider.value); return seen.join('|');"
    )
    *ahead, back, end, home = found.split("|")
    assert len(set(ahead)) >= 3
    assert back == ahead[-2]
    assert float(end) == pytest.approx(100)
    assert float(home) == 0


def test_space_plays_and_stops():
    assert asked(
        "await press(' '); const a = place.querySelector('button').textContent;"
        " await press(' '); return a + place.querySelector('button').textContent;"
    ) == ("StopPlay")


TURN = """
document.querySelector(".lit button").click();
setTimeout(() => {{
  const canvas = document.querySelector("canvas.turned");
  for (let n = 0; n < {times}; n += 1) {{
    canvas.dispatchEvent(new KeyboardEvent("keydown", {{ key: "{key}" }}));
  }}
}}, 300);
"""


@lru_cache
def turned(key: str, times: int) -> np.ndarray:
    """The piece on the screen after pressing a key so often."""
    return shot(after(sheet_page(SHEET), TURN.format(key=key, times=times)), high=800)[250:700]


def wood(picture: np.ndarray) -> np.ndarray:
    """Where it is the colour of wood: clearly more red than blue."""
    return picture[..., 0] - picture[..., 2] > 0.15


def test_the_piece_is_drawn_when_it_is_asked_for():
    assert wood(turned("", 0)).mean() > 0.08


def test_a_full_turn_comes_back_and_half_a_turn_does_not():
    start, half, full = turned("", 0), turned("ArrowRight", 15), turned("ArrowRight", 60)
    assert np.abs(start - full).mean() < 0.002
    assert np.abs(start - half).mean() > 0.01


def test_from_straight_above_the_piece_has_its_own_proportions():
    seen = wood(turned("ArrowDown", 20))
    area, rows, columns = seen.sum(), *np.nonzero(seen)
    # a rectangle of 120 x 80 turned by 24 degrees, in its upright box
    c, s = np.cos(np.radians(24)), np.sin(np.radians(24))
    wide, high = 120 * c + 80 * s, 120 * s + 80 * c
    assert np.ptp(columns) / np.ptp(rows) == pytest.approx(wide / high, rel=0.03)
    full = np.ptp(columns) * np.ptp(rows) * 120 * 80 / (wide * high)
    assert area == pytest.approx(full, rel=0.1)


@lru_cache
def screen(dark: bool) -> np.ndarray:
    return shot(sheet_page(SHEET), dark=dark)


def test_dark_screens_get_a_dark_page_with_light_words():
    light, dark = screen(False), screen(True)
    assert np.median(light) > 0.95
    assert np.median(dark) < 0.15
    assert dark.max() > 0.85


@pytest.mark.parametrize("wide", [420, 800, 1100])
def test_nothing_sticks_out_at_the_side(wide):
    page = sheet_page(SHEET)
    page = page.replace("<body>", f'<body style="width:{wide}px">')
    found = told(page, "return document.body.scrollWidth;")
    assert int(found) <= wide


@pytest.mark.parametrize(("paper", "wide", "high"), [("A4", 595, 842), ("letter", 612, 792)])
def test_it_prints_on_paper_upright(paper, wide, high):
    pdf = printed(sheet_page(SHEET).replace("@page {", f"@page {{ size: {paper};"))
    boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", pdf)
    assert {(round(float(a)), round(float(b))) for a, b in boxes} == {(wide, high)}
    assert 3 <= len(boxes) <= 6  # a first page, and one or two for each of two set-ups


def test_no_figure_or_row_is_taller_than_a_page():
    # letter inside its margins is 279.4 - 27 mm high and 215.9 - 24 mm wide, at 96 dots an inch
    page = sheet_page(SHEET).replace("@media print", "@media screen")
    page = page.replace("<body>", '<body style="width:725px">')
    found = told(
        page,
        "return [...document.querySelectorAll('figure, tr, .tool, .keep, .facts > div')]"
        ".map((one) => Math.ceil(one.getBoundingClientRect().height))",
    )
    assert max(int(v) for v in found.split(",")) <= 953
