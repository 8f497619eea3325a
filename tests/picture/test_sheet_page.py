"""The set-up sheet as a file: whole, safe, complete."""

from __future__ import annotations

import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from outline2path.picture.sheet_content import Check, Room
from outline2path.picture.sheet_page import sheet_page
from outline2path.picture.sheet_words import CAUTIONS, FIRST
from tests.picture.sheets import PROGRAM, SET_UP, SHEET, with_program

VOID = {"meta", "img", "br", "input"}
PAGE = sheet_page(SHEET)


class Reader(HTMLParser):
    """Collects the words a reader sees, and checks that every element is closed in turn."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.words: list[str] = []
        self.links: list[str] = []
        self.alts: list[str | None] = []

    def handle_starttag(self, tag, attrs):
        found = dict(attrs)
        self.links += [v for k, v in attrs if k in ("src", "href", "srcset", "data") and v]
        if tag == "img":
            self.alts.append(found.get("alt"))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.open.pop()

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if not {"style", "script"} & set(self.open):
            self.words.append(data)


def read(page: str) -> Reader:
    reader = Reader()
    reader.feed(page)
    reader.close()
    return reader


def words(page: str) -> str:
    return re.sub(r"\s+", " ", " ".join(read(page).words))


def test_every_element_is_closed():
    assert read(PAGE).open == []


def test_the_file_needs_nothing_else():
    reader = read(PAGE)
    assert all(link.startswith("data:image/png;base64,") for link in reader.links)
    assert not re.search(r"https?:|@import|url\(|fetch\(|XMLHttpRequest", PAGE)


def test_pictures_have_words_for_those_who_cannot_see_them():
    reader = read(PAGE)
    assert len(reader.alts) == 3
    assert all(reader.alts)


@pytest.mark.parametrize(
    "said",
    [
        "key tray",
        FIRST,
        "Set-up 2: turned over",
        "cherry, 120 \u00d7 80 \u00d7 9",
        "x and y: lower left corner of the stock",
        "Turn the blank over like a page",
        "Tape and glue under the whole of it.",
        "1-1-pocket.nc",
        "24 mm",
        "9000 rpm",
        "600 mm/min",
        "200 mm/min",
        "\u22122.00 mm",
        "Squeezes by with 3.2 mm to spare: travel in x.",
        "gouge: never cuts into the part",
        "a chip of 0.01 mm rubs; feed faster",
        "Nothing is cut through in this set-up",
        *(caution for pair in CAUTIONS for caution in pair),
    ],
)
def test_a_person_can_read(said):
    assert said.replace("\u00a0", " ") in words(PAGE).replace("\u00a0", " ")


def test_inches_all_through():
    told = words(sheet_page(replace(SHEET, units="in")))
    said = told.replace("\u00a0", " ")
    assert "Squeezes by with 0.126 in" in said  # 3.2 mm / 25.4
    assert "23.6 in/min" in said  # 600 mm/min / 25.4
    assert not re.search(r"\d mm\b(?!, 2 flutes)", said.replace("0.01 mm rubs", ""))


def test_a_failed_proof_cannot_be_overlooked():
    failed = (Check(name="gouge", ok=False, detail="cuts 0.4 mm into the part"),)
    told = words(sheet_page(with_program(sound=False, checks=failed)))
    assert told.count("Do not run") == 1
    assert "Proof failed: do not run this program" in told
    assert "passed" not in told


def test_what_does_not_fit_is_said_in_words():
    room = (Room(what="travel in y", needed_mm=210, there_mm=200),)
    told = words(sheet_page(with_program(room=room))).replace("\u00a0", " ")
    assert "Does not fit: travel in y is short by 10 mm." in told


def test_nothing_from_outside_is_taken_for_markup():
    nasty = "</script><script>alert(1)</script><b>&"
    page = sheet_page(
        replace(
            with_program(name=nasty, file=nasty, text=PROGRAM.text + f"({nasty})\n"),
            title=nasty,
            machine=nasty,
        )
    )
    assert "alert(1)</script>" not in page
    assert "<b>&amp;" not in page
    assert read(page).open == []


def test_with_nothing_that_moves_there_is_no_script():
    assert "<script" not in sheet_page(replace(with_program(text=""), finished=()))


def test_the_same_content_gives_the_same_bytes():
    assert sheet_page(SHEET) == PAGE


def test_each_set_up_begins_on_a_new_page_of_paper():
    assert PAGE.count('<section class="set-up"') == len(SHEET.set_ups)
    assert re.search(r"\.set-up\s*{[^}]*break-before: page", PAGE)


def test_a_blank_of_unknown_size_says_so():
    page = sheet_page(replace(SHEET, set_ups=(replace(SET_UP, size_assumed=True),)))
    assert "Width and height were not given" in words(page)
