"""Harmful changes: each would spoil the part, break the cutter or endanger somebody.

A change takes a sound job, and a source of chance if it wants one; it returns None where it has
nothing to change, or where the result would do no harm.
"""

from __future__ import annotations

import re
from dataclasses import replace

import shapely

from tests.proof import programs
from tests.proof.edits import (
    NUMBER,
    along,
    corners,
    edit,
    every,
    long_cuts,
    lowest,
    numbers,
    plunges,
    point,
    put,
    swap_text,
    where,
    without,
)
from tests.proof.programs import BOTTOM

HARMFUL = {}


def harmful(change):
    HARMFUL[change.__name__.replace("_", " ")] = change
    return change


@harmful
def spindle_start_lost(job):
    return without(job, set(where(job, "M3")))


@harmful
def spindle_backwards(job):
    return swap_text(job, "^M3", "M4")


@harmful
def spindle_speed_lost(job):
    return swap_text(job, "^M3 S9000", "M3")


@harmful
def spindle_stopped_on_the_way(job, chance):
    return put(job, chance.choice(long_cuts(job)), "M5")


@harmful
def tool_change_on_the_way(job, chance):
    return put(job, chance.choice(long_cuts(job)), "T2 M6")


@harmful
def feeds_lost(job):
    return swap_text(job, r" F[0-9]+", "")


@harmful
def feed_of_zero(job, chance):
    return put(job, chance.choice(where(job, "G1 Z")) + 1, "G1 X0 F0")


@harmful
def last_lift_lost(job):
    return without(job, {where(job, "G0 Z5")[-1]})


@harmful
def a_lift_between_rings_lost(job, chance):
    lifts = where(job, "G0 Z5")[1:-1]
    return without(job, {chance.choice(lifts)}) if lifts else None


@harmful
def first_lift_lost(job):
    return without(job, {where(job, "G0 Z5")[0]})


@harmful
def lifts_too_low(job):
    return swap_text(job, "^G0 Z5", "G0 Z0.5")


@harmful
def lifts_below_the_top(job):
    return swap_text(job, "^G0 Z5", "G0 Z-0.5")


@harmful
def plunge_by_rapid(job, chance):
    lines = list(job.lines)
    n = chance.choice([g[0] for g in plunges(job)])
    lines[n] = lines[n].replace("G1", "G0")
    return edit(job, lines)


@harmful
def cut_by_rapid(job, chance):
    lines = list(job.lines)
    n = chance.choice(long_cuts(job))
    lines[n] = lines[n].replace("G1", "G0")
    return edit(job, lines)


@harmful
def units_lost(job):
    return without(job, set(where(job, "G21")))


@harmful
def units_swapped(job):
    return swap_text(job, "^G21", "G20")


@harmful
def units_swapped_on_the_way(job, chance):
    return put(job, chance.choice(long_cuts(job)), "G20")


@harmful
def incremental(job):
    return swap_text(job, "^G90", "G91")


@harmful
def incremental_on_the_way(job, chance):
    return put(job, chance.choice(long_cuts(job)), "G91")


@harmful
def distance_mode_lost(job):
    return without(job, set(where(job, "G90")))


@harmful
def another_plane(job):
    return swap_text(job, "^G17", "G18") if where(job, "G2 ") else None


@harmful
def plane_lost(job):
    return without(job, set(where(job, "G17")))


@harmful
def another_work_zero(job):
    return put(job, where(job, "G90")[0], "G55")


@harmful
def shifted_zero(job):
    return put(job, where(job, "G90")[0], "G92 X0.5")


@harmful
def inverse_time(job):
    return swap_text(job, "^G94", "G93")


@harmful
def a_corner_lost(job, chance):
    at = corners(job)
    return without(job, {chance.choice(at)}) if at else None


@harmful
def two_cuts_swapped(job, chance):
    at = [n for n in corners(job) if job.lines[n + 1].startswith("G1 X")]
    if not at:
        return None
    lines = list(job.lines)
    n = chance.choice(at)
    lines[n], lines[n + 1] = lines[n + 1], lines[n]
    return edit(job, lines)


@harmful
def everything_shifted(job, chance):
    by = chance.choice([-0.05, 0.05])
    letter = chance.choice("XY")
    return every(job, lambda line: numbers(line, letter, lambda v: v + by))


@harmful
def one_point_shifted(job, chance):
    """The end of a long cut of the last pass, sideways."""
    lines = list(job.lines)
    n = chance.choice([n for n in long_cuts(job) if n > lowest(job)[-1]])
    before = next(p for line in reversed(lines[:n]) if (p := point(line)))
    cut = complex(*point(lines[n])) - complex(*before)
    off = cut / abs(cut) * 1j * chance.choice([-0.3, 0.3])
    lines[n] = numbers(lines[n], "X", lambda v: v + off.real)
    lines[n] = numbers(lines[n], "Y", lambda v: v + off.imag)
    return edit(job, lines)


@harmful
def scaled(job, chance):
    by = chance.choice([0.995, 1.005])
    return every(job, lambda line: numbers(line, "XYIJ", lambda v: v * by))


@harmful
def one_way_scaled(job, chance):
    return every(job, lambda line: numbers(line, chance.choice("XX"), lambda v: v * 1.01))


@harmful
def mirrored(job):
    return every(job, lambda line: numbers(line, "X", lambda v: -v - 100))


@harmful
def sign_of_a_point_lost(job, chance):
    lines = list(job.lines)
    n = chance.choice(long_cuts(job))
    letter = chance.choice("XY")
    lines[n] = numbers(lines[n], letter, lambda v: -v)
    return None if along(job, n, lines[n]) else edit(job, lines)


@harmful
def sign_of_a_plunge_lost(job, chance):
    lines = list(job.lines)
    group = chance.choice(plunges(job))
    lines[group[0]] = lines[group[0]].replace("Z-", "Z")
    return edit(job, lines)


@harmful
def a_digit_lost(job, chance):
    at = [n for n in long_cuts(job) if re.search(r"X-?[0-9]{2}\.", job.lines[n])]
    if not at:
        return None
    lines = list(job.lines)
    n = chance.choice(at)
    lines[n] = re.sub(r"X(-?)[0-9]([0-9]\.)", r"X\1\2", lines[n])
    return None if along(job, n, lines[n]) else edit(job, lines)


@harmful
def a_point_lost(job, chance):
    lines = list(job.lines)
    n = chance.choice(long_cuts(job))
    lines[n] = lines[n].replace(".", "", 1)
    return None if along(job, n, lines[n]) else edit(job, lines)


@harmful
def one_pass_deeper(job):
    lines = list(job.lines)
    for n in lowest(job)[-1:]:
        lines[n] = numbers(lines[n], "Z", lambda v: v - 0.5)
    return edit(job, lines) if lines != list(job.lines) else None


@harmful
def everything_deeper(job):
    return every(job, lambda line: numbers(line, "Z", lambda v: v - 0.1 if v < 0 else v))


@harmful
def everything_higher(job):
    return every(job, lambda line: numbers(line, "Z", lambda v: v + 0.4 if v < 0 else v))


@harmful
def last_pass_lost(job):
    return without(job, set(plunges(job)[-1]))


@harmful
def first_pass_lost(job):
    return without(job, set(plunges(job)[0]))


@harmful
def half_a_pass_lost(job):
    group = plunges(job)[-1]
    half = set(group[len(group) // 2 :])
    return without(job, half) if half & set(long_cuts(job)) else None


@harmful
def passes_swapped(job):
    a, b = plunges(job)[:2]
    order = [*range(a[0]), *b, *a, *range(b[-1] + 1, len(job.lines))]
    return edit(job, [job.lines[n] for n in order]) if b[0] == a[-1] + 1 else None


@harmful
def tabs_lowered(job):
    return swap_text(job, f"^G1 Z{BOTTOM + 1.2:.4f}", f"G1 Z{BOTTOM + 0.9:.4f}")


@harmful
def tabs_lost(job):
    return without(job, set(where(job, f"G1 Z{BOTTOM + 1.2:.4f}")))


@harmful
def one_tab_lost(job, chance):
    at = where(job, f"G1 Z{BOTTOM + 1.2:.4f}")
    return without(job, {chance.choice(at)}) if at else None


@harmful
def tabs_short(job):
    """Another half of the length: raised later and lowered sooner."""
    wanted = tuple(replace(t, length_mm=t.length_mm + 1.0) for t in job.expected.tabs)
    return replace(job, expected=replace(job.expected, tabs=wanted)) if wanted else None


@harmful
def arcs_reversed(job):
    return swap_text(job, "^G2", "G3")


@harmful
def one_arc_reversed(job, chance):
    at = where(job, "G2 ")
    if not at:
        return None
    lines = list(job.lines)
    n = chance.choice(at)
    lines[n] = lines[n].replace("G2", "G3")
    return edit(job, lines)


@harmful
def arc_centre_moved(job, chance):
    at = where(job, "G2 ")
    if not at:
        return None
    lines = list(job.lines)
    n = chance.choice(at)
    lines[n] = numbers(lines[n], "I", lambda v: v + 0.05)
    return edit(job, lines)


@harmful
def arc_by_a_larger_radius(job, chance):
    at = where(job, "G2 ")
    if not at:
        return None
    lines = list(job.lines)
    n = chance.choice(at)
    i, j = (float(v) for v in re.findall(rf"[IJ]({NUMBER})", lines[n]))
    lines[n] = re.sub(r" I.*", f" R{abs(complex(i, j)) + 0.2:.4f}", lines[n])
    return edit(job, lines)


@harmful
def arcs_made_straight(job):
    return swap_text(job, r"^G2 (\S+ \S+) .*", r"G1 \1")


@harmful
def larger_cutter_mounted(job):
    if job.expected.side == "on":
        return None
    return replace(job, expected=replace(job.expected, cutter_mm=job.expected.cutter_mm + 0.04))


@harmful
def smaller_cutter_mounted(job):
    if job.expected.side == "on":
        return None
    return replace(job, expected=replace(job.expected, cutter_mm=job.expected.cutter_mm - 0.04))


@harmful
def another_cutter_named(job):
    return put(job, 0, "(cutter: 6.35 mm, 2 flutes)")


@harmful
def outer_edge_before_the_holes(job):
    if len(job.expected.part.geoms) > 1 or not job.expected.part.geoms[0].interiors:
        return None
    starts = where(job, "G0 X")
    stop = where(job, "G0 Z5")[-1] + 1
    pieces = [job.lines[a:b] for a, b in zip(starts, [*starts[1:], stop], strict=True)]
    body = [line for piece in (pieces[-1], *pieces[:-1]) for line in piece]
    return edit(job, [*job.lines[: starts[0]], *body, *job.lines[stop:]])


@harmful
def text_cut_off(job, chance):
    text = job.text.rstrip("\n")
    return edit(job, text[: chance.randrange(len(text) - 1)].split("\n"))


@harmful
def lines_cut_off(job, chance):
    return edit(job, list(job.lines[: chance.randrange(len(job.lines) - 1)]))


@harmful
def first_lines_lost(job, chance):
    return edit(job, list(job.lines[chance.randrange(6, len(job.lines) - 3) :]))


@harmful
def joined_with_itself(job):
    return edit(job, [*job.lines, *job.lines])


@harmful
def another_program_before(job):
    other = programs.job(shapely.box(-30, -30, -8, -12)).lines
    return edit(job, [*other[:-1], *job.lines])


@harmful
def ended_too_soon(job, chance):
    return put(job, chance.choice(long_cuts(job)), "M30")


@harmful
def end_lost(job):
    return without(job, set(where(job, "M30")))


@harmful
def a_line_made_optional(job, chance):
    lines = list(job.lines)
    n = chance.choice(long_cuts(job))
    lines[n] = f"/{lines[n]}"
    return edit(job, lines)


@harmful
def a_line_made_a_comment(job, chance):
    at = corners(job)
    if not at:
        return None
    lines = list(job.lines)
    n = chance.choice(at)
    lines[n] = f"({lines[n]})"
    return edit(job, lines)


@harmful
def a_detour_through_the_part(job, chance):
    if job.expected.side == "inside":
        return None
    spot = job.expected.part.geoms[0].representative_point()
    n = chance.choice(long_cuts(job))
    return put(job, n, f"G1 X{spot.x:.4f} Y{spot.y:.4f}")
