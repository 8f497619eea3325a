"""Harmless changes to real programs: the same moves, or more careful ones, in other words."""

from __future__ import annotations

import re
from dataclasses import replace
from random import Random

import numpy as np

from tests.proof.demo_harm import Change, Trial, blocks
from tests.proof.spelled import Move

NO_HARM: dict[str, Change] = {}
NUMBER = r"-?[0-9]+\.?[0-9]*"


def harmless(change: Change) -> Change:
    NO_HARM[change.__name__.replace("_", " ")] = change
    return change


def each(t: Trial, change) -> Trial:
    return replace(t, lines=tuple(s if s.startswith("(") else change(s) for s in t.lines))


def bare(line: str) -> str:
    return re.sub(r" ?\(.*\)", "", line)


@harmless
def numbered(t: Trial, _: Random):
    return replace(t, lines=tuple(f"N{10 * n % 100000} {s}" for n, s in enumerate(t.lines)))


@harmless
def lower_case(t, _):
    return each(t, str.lower)


@harmless
def spread_out(t, _):
    return each(t, lambda s: "  ".join(bare(s)))


@harmless
def squeezed(t, _):
    return each(t, lambda s: bare(s).replace(" ", ""))


@harmless
def tabbed(t, _):
    return each(t, lambda s: "\t" + s.replace(" ", "\t"))


@harmless
def comments_added(t, _):
    return each(t, lambda s: f"{s} (a note)")


@harmless
def comments_left_out(t, _):
    return replace(t, lines=tuple(bare(s) for s in t.lines))


@harmless
def blank_lines(t, _):
    return replace(t, lines=tuple(x for s in t.lines for x in ("", s, "(between)")))


@harmless
def windows_ends(t, _):
    return replace(t, lines=tuple(f"{s}\r" for s in t.lines))


@harmless
def words_turned_round(t, _):
    return each(t, lambda s: " ".join(reversed(bare(s).split())))


@harmless
def leading_zeros(t, _):
    return each(t, lambda s: re.sub(r"^([GM])([0-9])\b", r"\g<1>0\2", s))


@harmless
def plus_signs(t, _):
    return each(t, lambda s: re.sub(r"([XYZIJ])([0-9])", r"\1+\2", s))


@harmless
def trailing_zeros(t, _):
    return each(t, lambda s: re.sub(r"(\.[0-9]{4})\b", r"\g<1>000", s))


@harmless
def zeros_left_out(t, _):
    return each(t, lambda s: re.sub(r"(\.[0-9]*?)0+\b", r"\1", s))


@harmless
def modes_left_out(t, _):
    lines, last = [], ""
    for s in t.lines:
        word = s.split(" ")[0]
        lines.append(s[3:] if word == last and word in {"G0", "G1", "G2", "G3"} else s)
        last = word if not s.startswith("(") else last
    return replace(t, lines=tuple(lines))


@harmless
def framed(t, _):
    return replace(t, lines=("%", *t.lines, "%"))


@harmless
def ended_by_m2(t, _):
    return t.every(r"^M30", "M2")


@harmless
def spindle_stopped_by_the_end(t, _):
    return t.every(r"^M5$", "")


@harmless
def a_longer_dwell(t, _):
    return t.every(r"^G4 P2", "G4 P5.5")


@harmless
def coolant(t, _):
    n = next(n for n, s in enumerate(t.lines) if s.startswith("M3"))
    return t.put(n, "M7", "M9")


@harmless
def a_stop_up_there(t, chance):
    lifted = [m.line for m in t.moves if m.mode == 0 and m.z >= t.expected.clearance_mm]
    return t.put(chance.choice(lifted) + 1, "M0")


@harmless
def states_told_twice(t, _):
    n = next(n for n, s in enumerate(t.lines) if s.startswith("G90"))
    return t.put(n, "G17 G21 G40 G49 G54 G80", "G90 G94")


@harmless
def states_in_one_line(t, _):
    states = [bare(s) for s in t.lines if re.match(r"G(17|21|40|49|80|54|90|94)\b", s)]
    first = next(n for n, s in enumerate(t.lines) if s.startswith("G17"))
    rest = [s for s in t.lines if not re.match(r"G(17|21|40|49|80|54|90|94)\b", s)]
    return replace(t, lines=(*rest[:first], " ".join(states), *rest[first:]))


@harmless
def points_told_twice(t, _):
    still = {m.line for m in t.moves if m.mode < 2}
    return replace(
        t, lines=tuple(x for n, s in enumerate(t.lines) for x in ([s, s] if n in still else [s]))
    )


@harmless
def straight_cuts_split(t, _):
    def half(a: Move, b: Move) -> list[str]:
        middle = Move(1, (a.x + b.x) / 2, (a.y + b.y) / 2, (a.z + b.z) / 2)
        return [f"G1 X{middle.x:.6f} Y{middle.y:.6f} Z{middle.z:.6f}"]

    return _between(t, 1, half)


@harmless
def arcs_split(t, _):
    out, before = list(t.lines), None
    for b in t.moves:
        a, before = before, b
        if a is None or b.mode < 2:
            continue
        centre = complex(a.x + b.i, a.y + b.j)
        r, s = complex(a.x, a.y) - centre, complex(b.x, b.y) - centre
        sign = 1 if b.mode == 3 else -1
        turn = (np.angle(s / r) * sign) % (2 * np.pi) or 2 * np.pi
        m = r * np.exp(sign * 0.5j * turn)
        x, y, z = (centre + m).real, (centre + m).imag, (a.z + b.z) / 2
        first = f"G{b.mode} X{x:.6f} Y{y:.6f} Z{z:.6f} I{b.i:.6f} J{b.j:.6f}"
        feed = "" if b.feed is None else f" F{b.feed:g}"
        rest = f"G{b.mode} X{b.x:.6f} Y{b.y:.6f} Z{b.z:.6f} I{-m.real:.6f} J{-m.imag:.6f}"
        out[b.line] = f"{first}{feed}\n{rest}"
    return t.but("\n".join(out).split("\n"))


@harmless
def arcs_by_radius(t, _):
    out, before = list(t.lines), None
    for b in t.moves:
        a, before = before, b
        if a is None or b.mode < 2:
            continue
        centre = complex(a.x + b.i, a.y + b.j)
        r, s = complex(a.x, a.y) - centre, complex(b.x, b.y) - centre
        turn = (np.angle(s / r) * (1 if b.mode == 3 else -1)) % (2 * np.pi)
        if 0.05 < turn < 2.5:
            z = f" Z{b.z:.4f}" if b.z != a.z else ""
            feed = "" if b.feed is None else f" F{b.feed:g}"
            radius = (abs(r) + abs(s)) / 2
            out[b.line] = f"G{b.mode} X{b.x:.4f} Y{b.y:.4f}{z} R{radius:.5f}{feed}"
    return t.but(out)


@harmless
def in_inches(t, _):
    t = t.every(r"^G21\b", "G20")
    return t.every(rf"([XYZIJF])({NUMBER})", lambda m: f"{m[1]}{float(m[2]) / 25.4:.5f}")


@harmless
def fed_half_as_fast(t, _):
    return t.every(r" F([0-9]+)", lambda m: f" F{int(m[1]) / 2:g}")


@harmless
def higher_lifts(t, _):
    clear = t.expected.clearance_mm
    return t.every(rf"^(G0.*) Z{clear:.4f}", rf"\1 Z{clear + 3.25:.4f}")


@harmless
def a_pass_again(t, chance):
    pairs = blocks(t)
    a, b = chance.choice(pairs)
    return t.put(b, "G0 Z5.0000", *t.lines[a:b]) if "G0 X" in "".join(t.lines[a:b]) else None


@harmless
def a_note_after_the_end(t, _):
    return t.put(len(t.lines), "(kept in the drawer)", "")


@harmless
def a_stronger_machine(t, _):
    return t.expecting(most_rpm=60000.0, most_feed_mm_min=90000.0)


@harmless
def a_little_more_tolerance(t, _):
    more = [replace(f, tolerance_mm=f.tolerance_mm * 1.5) for f in t.expected.features]
    return t.expecting(features=tuple(more))


def _between(t: Trial, mode: int, half) -> Trial | None:
    out, before = list(t.lines), None
    for b in t.moves:
        if before is not None and b.mode == mode and b.feed is None:
            out[b.line] = "\n".join([*half(before, b), t.lines[b.line]])
        before = b
    return t.but("\n".join(out).split("\n"))
