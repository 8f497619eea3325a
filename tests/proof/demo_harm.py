"""Harm to real programs: words, lines and passes lost, changed, moved; another cutter or bench.

A change takes a `Trial` and a source of chance and returns another; None where it does not apply
or, for changes whose harm hangs on the place, where a second look finds that the part stays as it
is. Each change is named by what happened to the program.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from random import Random

from outline2path.proof.expected_program import ExpectedProgram, KeepOut
from tests.proof.second_look import makes_another
from tests.proof.spelled import Move, moves, shifted, spelled

NUMBER = r"-?[0-9]+\.?[0-9]*"
TRIES = 4
FLAT_KINDS = {"profile", "pocket", "hole"}


@dataclass(frozen=True, eq=False)
class Trial:
    """A program's lines, spelled out, and what it was to make."""

    lines: tuple[str, ...]
    expected: ExpectedProgram

    @property
    def text(self) -> str:
        return "\n".join(self.lines) + "\n"

    @cached_property
    def moves(self) -> list[Move]:
        return moves(list(self.lines))

    @cached_property
    def cuts(self) -> list[int]:
        """Places among the moves that cut along, below the top."""
        top = self.expected.top_mm - 0.05
        return [
            n
            for n, (a, b) in enumerate(zip(self.moves, self.moves[1:], strict=False), start=1)
            if b.mode > 0 and b.z < top and (a.x, a.y) != (b.x, b.y)
        ]

    @cached_property
    def dives(self) -> list[int]:
        """Places among the moves that are fed straight down into ground."""
        top = self.expected.top_mm - 0.05
        return [
            n
            for n, (a, b) in enumerate(zip(self.moves, self.moves[1:], strict=False), start=1)
            if b.mode == 1 and b.z < min(top, a.z - 0.1) and (a.x, a.y) == (b.x, b.y)
        ]

    @property
    def kinds(self) -> set[str]:
        return {feature.kind for feature in self.expected.features}

    @property
    def is_flat(self) -> bool:
        """Whether the second look can tell what it makes."""
        drills = self.expected.cutter.shape != "flat"
        return not drills and self.kinds <= FLAT_KINDS and bool(self.cuts)

    @property
    def begins(self) -> list[int]:
        """Lines where passes begin."""
        return [n for n, line in enumerate(self.lines) if line.startswith("(pass ")]

    def but(self, lines: list[str]) -> Trial | None:
        return replace(self, lines=tuple(lines)) if tuple(lines) != self.lines else None

    def every(self, pattern: str, new: str | Callable[[re.Match[str]], str]) -> Trial | None:
        change = re.compile(pattern)
        return self.but([s if s.startswith("(") else change.sub(new, s) for s in self.lines])

    def put(self, at: int, *more: str) -> Trial:
        return replace(self, lines=(*self.lines[:at], *more, *self.lines[at:]))

    def without(self, *at: int) -> Trial | None:
        return self.but([s for n, s in enumerate(self.lines) if n not in at])

    def instead(self, at: int, line: str) -> Trial | None:
        return self.but([*self.lines[:at], line, *self.lines[at + 1 :]])

    def expecting(self, **more) -> Trial:
        """The same text for another bench, its header's cutter left out."""
        named = [s for s in self.lines if not re.match(r"\(cutter", s)]
        return Trial(tuple(named), replace(self.expected, **more))


def trial(text: str, expected: ExpectedProgram) -> Trial:
    return Trial(tuple(spelled(text.splitlines())), expected)


Change = Callable[[Trial, Random], Trial | None]
SURE: dict[str, Change] = {}
BY_PLACE: dict[str, Change] = {}


def sure(change: Change) -> Change:
    SURE[change.__name__.replace("_", " ")] = change
    return change


def by_place(change: Change) -> Change:
    """A change at a place taken by chance, tried until a second look finds the part harmed."""

    def tried(one: Trial, chance: Random) -> Trial | None:
        for _ in range(TRIES if one.is_flat else 0):
            other = change(one, chance)
            if other is not None and makes_another(one.lines, other.lines, one.expected):
                return other
        return None

    BY_PLACE[change.__name__.replace("_", " ")] = tried
    return change


def scaled(letters: str, by: float, plus: float = 0.0):
    return rf"([{letters}])({NUMBER})", lambda m: f"{m[1]}{float(m[2]) * by + plus:.4f}"


# The machine's state.


@sure
def spindle_never_started(t, _):
    return t.every(r"^M3 S.*", "S9000")


@sure
def spindle_backwards(t, _):
    return t.every(r"^M3\b", "M4")


@sure
def spindle_without_a_speed(t, _):
    return t.every(r"^M3 S[0-9]+", "M3")


@sure
def spindle_stopped_on_the_way(t, chance):
    at = (t.cuts or t.dives)[1:]
    return t.put(t.moves[chance.choice(at)].line, "M5") if at else None


@sure
def another_cutter_on_the_way(t, chance):
    at = (t.cuts or t.dives)[1:]
    return t.put(t.moves[chance.choice(at)].line, "T2 M6") if at else None


@sure
def feeds_lost(t, _):
    return t.every(r" F[0-9]+", "")


@sure
def a_feed_of_zero(t, chance):
    at = [n for n, s in enumerate(t.lines) if re.search(r" F[0-9]+$", s)]
    return t.instead(n := chance.choice(at), re.sub(r" F[0-9]+$", " F0", t.lines[n]))


@sure
def feeds_a_hundred_times_as_fast(t, _):
    return t.every(r" F([0-9]+)", lambda m: f" F{int(m[1]) * 100}")


@sure
def fed_a_tenth_faster(t, _):
    return t.every(r" F([0-9]+)", lambda m: f" F{int(m[1]) * 1.1:.0f}") if t.cuts else None


@sure
def spindle_at_half_its_speed(t, _):
    return t.every(r"^M3 S([0-9]+)", lambda m: f"M3 S{int(m[1]) // 2}") if t.cuts else None


@sure
def units_lost(t, _):
    return t.every(r"^G21\b.*", "")


@sure
def units_swapped(t, _):
    return t.every(r"^G21\b", "G20")


@sure
def units_swapped_on_the_way(t, chance):
    at = (t.cuts or t.dives)[:-1]
    return t.put(t.moves[chance.choice(at)].line, "G20") if at else None


@sure
def positions_that_add_up(t, _):
    return t.every(r"^G90\b", "G91")


@sure
def positions_that_add_up_on_the_way(t, chance):
    at = (t.cuts or t.dives)[:-1]
    return t.put(t.moves[chance.choice(at)].line, "G91") if at else None


@sure
def distance_mode_lost(t, _):
    return t.every(r"^G90\b.*", "")


@sure
def another_plane(t, _):
    return t.every(r"^G17\b", "G18") if any(m.mode > 1 for m in t.moves) else None


@sure
def plane_lost(t, _):
    return t.every(r"^G17\b.*", "")


@sure
def another_work_zero(t, _):
    return t.every(r"^G54\b", "G55")


@sure
def a_work_zero_shifted(t, _):
    return t.every(r"^G54\b.*", "G92 X0.5")


@sure
def times_for_feeds(t, _):
    return t.every(r"^G94\b", "G93")


@sure
def the_end_lost(t, _):
    return t.every(r"^M30", "")


@sure
def more_text_after_the_end(t, _):
    return t.put(len(t.lines), "G0 X1.0000")


@sure
def a_line_for_a_switch(t, chance):
    n = t.moves[chance.choice(t.cuts or t.dives)].line
    return t.instead(n, f"/{t.lines[n]}")


# Lifts and rapids.


@sure
def the_first_lift_lost(t, _):
    return t.without(t.moves[0].line)


@sure
def the_last_lift_lost(t, _):
    lifts = [m for m in t.moves if m.mode == 0 and m.z >= t.expected.clearance_mm]
    last = next(m for m in reversed(lifts) if "Z" in t.lines[m.line])
    return t.without(last.line)


@sure
def a_lift_between_passes_lost(t, chance):
    at = [
        b.line
        for a, b, c in zip(t.moves, t.moves[1:], t.moves[2:], strict=False)
        if a.z < 0 and b.z >= t.expected.clearance_mm and (b.x, b.y) != (c.x, c.y)
    ]
    return t.without(chance.choice(at)) if at else None


@sure
def lifts_too_low(t, _):
    clear = t.expected.clearance_mm
    return t.every(rf"^(G0.*) Z{clear:.4f}", rf"\1 Z{t.expected.top_mm + 0.5:.4f}")


@sure
def lifts_below_the_top(t, _):
    clear = t.expected.clearance_mm
    return t.every(rf"^(G0.*) Z{clear:.4f}", rf"\1 Z{t.expected.top_mm - 0.5:.4f}")


@sure
def the_first_way_down_by_rapid(t, _):
    if not t.dives or t.expected.before:
        return None
    n = t.moves[t.dives[0]].line
    return t.instead(n, re.sub("^G1", "G0", t.lines[n]))


@sure
def a_cut_by_rapid(t, chance):
    at = [n for n in t.cuts if t.moves[n].mode == 1]
    return t.instead(n := t.moves[chance.choice(at)].line, "G0" + t.lines[n][2:]) if at else None


# Spelling that no reader may guess at.


@sure
def a_comment_left_open(t, _):
    return t.instead(n := t.begins[0], t.lines[n][:-1])


@sure
def a_comment_in_a_comment(t, _):
    return t.instead(n := t.begins[0], f"(and {t.lines[n]}")


@sure
def a_letter_lost(t, chance):
    n = t.moves[chance.choice(t.cuts or t.dives)].line
    return t.instead(n, re.sub(r" [XZ](?=-?[0-9])", " ", t.lines[n], count=1))


@sure
def a_number_lost(t, chance):
    n = t.moves[chance.choice(t.cuts or t.dives)].line
    return t.instead(n, re.sub(rf"([XZ]){NUMBER}", r"\1", t.lines[n], count=1))


@sure
def a_word_twice(t, chance):
    n = t.moves[chance.choice(t.cuts or t.dives)].line
    letter = "X" if "X" in t.lines[n] else "Z"
    return t.instead(n, f"{t.lines[n]} {letter}1")


@sure
def another_letter(t, chance):
    n = t.moves[chance.choice(t.cuts or t.dives)].line
    return t.instead(n, re.sub(r"[XZ](?=-?[0-9])", chance.choice("HLQDA"), t.lines[n], count=1))


@sure
def two_modes_in_a_line(t, chance):
    n = t.moves[chance.choice(t.cuts or t.dives)].line
    return t.instead(n, f"G0 {t.lines[n]}")


@sure
def cut_off(t, chance):
    text = t.text.rstrip("\n")
    return replace(t, lines=tuple(text[: chance.randrange(len(text))].split("\n")))


@sure
def cut_off_after_a_line(t, chance):
    return replace(t, lines=t.lines[: chance.randrange(1, len(t.lines))])


@sure
def joined_to_itself(t, _):
    return replace(t, lines=(*t.lines, *t.lines))


@sure
def joined_to_another(t, _):
    other = ("G0 Z5", "G0 X5 Y5", "G1 Z-9 F300", "G1 X30 Y30", "G0 Z5")
    end = next(n for n, s in enumerate(t.lines) if s.startswith("M5"))
    return t.put(end, *other)


# All of it at another place, size or depth.


@sure
def all_deeper(t, _):
    top = t.expected.clearance_mm
    lower = rf"Z({NUMBER})", lambda m: f"Z{float(m[1]) - 0.1 * (float(m[1]) < top):.4f}"
    return t.every(*lower)


@sure
def all_shallower(t, _):
    return t.every(rf"Z({NUMBER})", lambda m: f"Z{float(m[1]) + 0.1:.4f}")


@sure
def all_shifted(t, chance):
    by = chance.choice([-0.05, 0.05])
    return None if t.kinds == {"face"} else t.every(*scaled(chance.choice("XY"), 1.0, by))


@sure
def all_scaled(t, chance):
    by = chance.choice([0.993, 1.007])
    return None if t.kinds == {"face"} else t.every(*scaled("XYIJ", by))


@sure
def all_scaled_one_way(t, _):
    if t.kinds == {"face"} or any(m.mode > 1 for m in t.moves):
        return None
    return t.every(*scaled("X", 1.01))


@sure
def all_scaled_by_an_inch(t, chance):
    return t.every(*scaled("XYZIJ", chance.choice([25.4, 1 / 25.4])))


@sure
def all_mirrored(t, _):
    wide = 2 * max(m.x for m in t.moves) + 3
    swapped = {"G2": "G3", "G3": "G2"}
    turned = t.every(rf"X({NUMBER})", lambda m: f"X{wide - float(m[1]):.4f}")
    turned = turned and (turned.every(rf"I({NUMBER})", lambda m: f"I{-float(m[1]):.4f}") or turned)
    return turned and (turned.every(r"^G[23]\b", lambda m: swapped[m[0]]) or turned)


@sure
def x_and_y_exchanged(t, _):
    swapped = {"X": "Y", "Y": "X", "I": "J", "J": "I", "G2": "G3", "G3": "G2"}
    return t.every(r"\bG[23]\b|[XYIJ](?=-?[0-9])", lambda m: swapped[m[0]])


# Passes.


def blocks(t: Trial) -> list[tuple[int, int]]:
    ends = [*t.begins[1:], next(n for n, s in enumerate(t.lines) if s.startswith("M5")) - 2]
    return list(zip(t.begins, ends, strict=True))


@sure
def a_pass_missing(t, chance):
    a, b = chance.choice(blocks(t))
    return t.without(*range(a, b))


@sure
def the_last_pass_first(t, _):
    (a, b), (first, _) = blocks(t)[-1], blocks(t)[0]
    if t.expected.depth_per_pass_mm is None or t.kinds == {"face"} or first == a:
        return None
    levels = [float(t.lines[n].rsplit("z ", 1)[1].split()[0]) for n in (a, first)]
    if levels[0] > levels[1] - 0.1 or t.expected.before:
        return None
    lines = list(t.lines)
    last = lines[a:b]
    del lines[a:b]
    return t.but([*lines[:first], *last, "G0 Z5.0000", *lines[first:]])


@sure
def the_last_pass_deeper(t, _):
    a, b = blocks(t)[-1]
    low = min(m.z for m in t.moves)
    part = [s.replace(f"Z{low:.4f}", f"Z{low - 0.5:.4f}") for s in t.lines[a:b]]
    return t.but([*t.lines[:a], *part, *t.lines[b:]])


@sure
def tabs_lowered(t, _):
    tops = {f"Z{t.expected.bottom_mm + tab.height_mm:.4f}" for tab in t.expected.tabs}
    low = f"Z{t.expected.deepest_mm:.4f}"
    return t.every("|".join(map(re.escape, tops)), low) if tops else None


@sure
def one_tab_lowered(t, chance):
    tops = [f"Z{t.expected.bottom_mm + tab.height_mm:.4f}" for tab in t.expected.tabs]
    low = f"Z{t.expected.deepest_mm:.4f}"
    at = [n for n, s in enumerate(t.lines) if tops and tops[0] in s and s.startswith("G1")]
    return t.instead(n := chance.choice(at), t.lines[n].replace(tops[0], low)) if at else None


@sure
def tabs_half_as_high(t, _):
    half = {
        f"Z{t.expected.bottom_mm + tab.height_mm:.4f}": t.expected.bottom_mm + tab.height_mm / 2
        for tab in t.expected.tabs
    }
    pattern = "|".join(map(re.escape, half))
    return t.every(pattern, lambda m: f"Z{half[m[0]]:.4f}") if half else None


# Arcs.


@sure
def an_arc_whose_centre_fits_no_end(t, chance):
    at = [n for n in t.cuts if t.moves[n].mode > 1]
    if not at:
        return None
    n = chance.choice(at)
    a, b = t.moves[n - 1], t.moves[n]
    moved = replace(b, i=b.i + 0.05)
    first = abs(complex(moved.i, moved.j))
    last = abs(complex(a.x + moved.i - b.x, a.y + moved.j - b.y))
    return t.instead(b.line, moved.words(a)) if abs(first - last) > 0.003 else None


@by_place
def an_arc_reversed(t, chance):
    at = [n for n in t.cuts if t.moves[n].mode > 1]
    if not at:
        return None
    n = chance.choice(at)
    return t.instead(t.moves[n].line, replace(t.moves[n], mode=5 - t.moves[n].mode).words(None))


@by_place
def all_arcs_reversed(t, _):
    return t.every(r"^G[23]\b", lambda m: {"G2": "G3", "G3": "G2"}[m[0]])


@by_place
def an_arc_made_straight(t, chance):
    at = [n for n in t.cuts if t.moves[n].mode > 1]
    return _other(t, n := chance.choice(at), replace(t.moves[n], mode=1)) if at else None


# Points and lines at a place.


def _other(t: Trial, n: int, move: Move) -> Trial | None:
    return t.instead(t.moves[n].line, move.words(None))


@by_place
def a_point_shifted(t, chance):
    n = chance.choice(t.cuts)
    by = chance.choice([-0.1, -0.3, 0.1, 0.3, 1.0, -1.0])
    sideways = chance.random() < 0.5
    return _other(t, n, shifted(t.moves[n], by * sideways, by * (not sideways)))


@by_place
def a_line_lost(t, chance):
    return t.without(t.moves[chance.choice(t.cuts)].line)


@by_place
def a_line_repeated_elsewhere(t, chance):
    line = t.moves[chance.choice(t.cuts)].line
    return t.put(t.moves[chance.choice(t.cuts)].line, t.lines[line])


@by_place
def two_lines_swapped(t, chance):
    a, b = (t.moves[chance.choice(t.cuts)].line for _ in "ab")
    lines = list(t.lines)
    lines[a], lines[b] = lines[b], lines[a]
    return t.but(lines)


@by_place
def a_sign_lost(t, chance):
    n = chance.choice(t.cuts)
    letter = chance.choice("xy")
    return _other(t, n, replace(t.moves[n], **{letter: -getattr(t.moves[n], letter)}))


@by_place
def a_decimal_point_moved(t, chance):
    n = chance.choice(t.cuts)
    letter, by = chance.choice("xy"), chance.choice([0.1, 10])
    return _other(t, n, replace(t.moves[n], **{letter: by * getattr(t.moves[n], letter)}))


@by_place
def two_digits_exchanged(t, chance):
    n = t.moves[chance.choice(t.cuts)].line
    digits = [m.start() for m in re.finditer(r"[0-9](?=[0-9]*\.)|(?<=\.)[0-9]", t.lines[n])]
    a, b = (chance.choice(digits) for _ in "ab")
    line = list(t.lines[n])
    line[a], line[b] = line[b], line[a]
    return t.instead(n, "".join(line))


@by_place
def a_word_of_another_line(t, chance):
    n, other = chance.choice(t.cuts), chance.choice(t.cuts)
    letter = chance.choice("xy")
    return _other(t, n, replace(t.moves[n], **{letter: getattr(t.moves[other], letter)}))


def _lowest(t: Trial) -> list[int]:
    low = min((t.moves[n].z for n in t.cuts), default=0.0)
    return [n for n in t.cuts if t.moves[n].z == low]


@sure
def one_cut_deeper(t, chance):
    n = chance.choice(_lowest(t)) if t.cuts else None
    return n and _other(t, n, replace(t.moves[n], z=t.moves[n].z - 0.3))


@by_place
def one_cut_higher(t, chance):
    n = chance.choice(_lowest(t))
    return _other(t, n, replace(t.moves[n], z=t.moves[n].z + 0.6))


# Another cutter, another bench.


@sure
def a_cutter_too_wide(t, _):
    cutter = t.expected.cutter
    wider = replace_cutter(cutter, diameter=cutter.diameter_mm + 0.04)
    return t.expecting(cutter=wider) if t.is_flat else None


@sure
def a_cutter_too_thin(t, _):
    cutter = t.expected.cutter
    thinner = replace_cutter(cutter, diameter=cutter.diameter_mm - 0.05)
    return t.expecting(cutter=thinner) if t.is_flat else None


@sure
def a_cutter_with_short_edges(t, _):
    deep = max(f.top_mm for f in t.expected.features) - min(m.z for m in t.moves)
    cutter = replace_cutter(t.expected.cutter, flute_length=deep / 2)
    return t.expecting(cutter=cutter)


@sure
def another_cutter_named_in_the_header(t, _):
    mm = t.expected.cutter_mm
    lines = [re.sub(rf"{mm:g} mm", f"{mm + 1:g} mm", s) if "cutter:" in s else s for s in t.lines]
    return t.but([*lines])


@sure
def a_clamp_in_the_way(t, chance):
    at = t.moves[chance.choice(t.cuts or t.dives)]
    box = (at.x - 1, at.y - 1, at.x + 1, at.y + 1)
    return t.expecting(keep_out=(KeepOut(box_mm=box, top_mm=3.0, name="a clamp"),))


@sure
def a_machine_too_small(t, _):
    xs, ys = [m.x for m in t.moves], [m.y for m in t.moves]
    travel = (min(xs) - 1, min(ys) - 1, -50.0, max(xs) - 2, max(ys) + 1, 50.0)
    return t.expecting(travel_mm=travel)


@sure
def thinner_passes_asked(t, _):
    asked = t.expected.depth_per_pass_mm
    if asked is None or not t.cuts or t.kinds <= {"face", "line", "chamfer"}:
        return None
    return t.expecting(depth_per_pass_mm=asked * 0.4)


@sure
def a_thicker_sheet(t, _):
    through = [f for f in t.expected.features if f.through_mm > 0]
    if not through:
        return None
    lower = [
        replace(f, bottom_mm=f.bottom_mm - 0.5) if f in through else f for f in t.expected.features
    ]
    return t.expecting(features=tuple(lower), bottom_mm=t.expected.bottom_mm - 0.5)


def replace_cutter(cutter, **more):
    """The same cutter but for a figure."""
    from outline2path.shop.cutter import Cutter

    known = {"diameter": cutter.diameter_mm, "flutes": cutter.flutes, "shape": cutter.shape}
    if cutter.shape in ("v", "chamfer"):
        known["angle"] = cutter.angle_deg
    return Cutter(**{**known, **more})


HARM = {**SURE, **BY_PLACE}
