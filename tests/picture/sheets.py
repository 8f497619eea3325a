"""A small set-up sheet, its content written by hand."""

from __future__ import annotations

import hashlib
from dataclasses import replace

from outline2path.picture.height_field import Cutting
from outline2path.picture.sheet_content import (
    Check,
    Finished,
    Pass,
    ProgramPage,
    Room,
    SetUpPage,
    SheetContent,
    Tool,
    Zero,
)
from outline2path.picture.solid import solid_png
from outline2path.picture.turning import turning_data
from outline2path.shop.cutter import Cutter
from tests.picture.blocks import run

SQUARE = run((20, 20), (100, 20), (100, 60), (20, 60), (20, 20), z=-2)

TOOL = Tool(
    name="6 mm, 2 flutes",
    shape="flat",
    diameter_mm=6.0,
    flutes=2,
    stick_out_mm=24.0,
    flute_length_mm=None,
    reach_mm=2.0,
    rpm=9000.0,
    feed=600.0,
    plunge=200.0,
    chip_mm=0.0333,
)

PROGRAM = ProgramPage(
    name="1-1 pocket",
    file="1-1-pocket.nc",
    tool=TOOL,
    time_s=100.0,
    lines=14,
    passes=(
        Pass(operation="pocket", z_mm=-1, deep_mm=1, contours=2, cut_mm=240, time_s=50),
        Pass(operation="pocket", z_mm=-2, deep_mm=2, contours=2, cut_mm=240, time_s=50),
    ),
    room=(
        Room(what="travel in x", needed_mm=196.8, there_mm=200),
        Room(what="travel in z", needed_mm=7, there_mm=60),
    ),
    sound=True,
    checks=(Check(name="gouge", ok=True, detail="never cuts into the part"),),
    notes=(("warning", "a chip of 0.01 mm rubs; feed faster"),),
    sha256=hashlib.sha256(SQUARE.encode()).hexdigest(),
    text=SQUARE,
)

SET_UP = SetUpPage(
    number=1,
    name="first side up",
    material="cherry",
    size_mm=(120.0, 80.0, 9.0),
    size_assumed=False,
    stock_box_mm=(0.0, 0.0, 120.0, 80.0),
    top_mm=0.0,
    zero=Zero(xy="lower left corner of the stock", z="top of the stock", across=0, up=0, on_top=1),
    turned=None,
    new_blank=True,
    holding=("Tape and glue under the whole of it.",),
    through_mm=0.0,
    clearance_mm=5.0,
    programs=(PROGRAM,),
    solid=solid_png(
        [Cutting(text=SQUARE, cutter=Cutter(6))],
        stock_box_mm=(0, 0, 120, 80),
        top_mm=0.0,
        bottom_mm=-9.0,
        wide_px=200,
    ),
)

SHEET = SheetContent(
    title="key tray",
    units="mm",
    machine="bench mill",
    set_ups=(SET_UP, replace(SET_UP, number=2, turned="y", new_blank=False, name="turned over")),
    finished=(
        Finished(
            name="",
            picture=SET_UP.solid,
            turning=turning_data(
                [Cutting(text=SQUARE, cutter=Cutter(6))],
                stock_box_mm=(0, 0, 120, 80),
                top_mm=0.0,
                bottom_mm=-9.0,
            ),
        ),
    ),
)


def with_program(**changes) -> SheetContent:
    """The sheet with one set-up whose only program is changed."""
    page = replace(SET_UP, programs=(replace(PROGRAM, **changes),))
    return replace(SHEET, set_ups=(page,))
