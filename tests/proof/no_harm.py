"""Harmless changes: the same moves, or more careful ones, in other words."""

from __future__ import annotations

import re

from tests.proof.edits import NUMBER, edit, every, numbers, plunges, point, put, swap_text, where

HARMLESS = {}


def harmless(change):
    HARMLESS[change.__name__.replace("_", " ")] = change
    return change


@harmless
def numbered(job):
    return edit(job, [f"N{10 * n % 100000} {line}" for n, line in enumerate(job.lines)])


@harmless
def lower_case(job):
    return every(job, str.lower)


@harmless
def spread_out(job):
    return every(job, lambda line: line if "(" in line else " ".join(line))


@harmless
def squeezed(job):
    return every(job, lambda line: line if "(" in line else line.replace(" ", ""))


@harmless
def tabbed(job):
    return every(job, lambda line: "\t" + line.replace(" ", "\t"))


@harmless
def commented(job):
    return every(job, lambda line: f"{line} (a note)")


@harmless
def blank_lines(job):
    return edit(job, [x for line in job.lines for x in ("", line, "(between)")])


@harmless
def windows_ends(job):
    return every(job, lambda line: f"{line}\r")


@harmless
def words_turned_round(job):
    def turned(line: str) -> str:
        return " ".join(reversed(line.split())) if "(" not in line else line

    return every(job, turned)


@harmless
def leading_zeros(job):
    return swap_text(job, r"^([GM])([0-9])\b", r"\g<1>0\2")


@harmless
def plus_signs(job):
    return swap_text(job, r"([XYZ])([0-9])", r"\1+\2")


@harmless
def trailing_zeros(job):
    return swap_text(job, r"(\.[0-9]{4})\b", r"\g<1>000")


@harmless
def modal_words_left_out(job):
    lines, last = [], ""
    for line in job.lines:
        word = line.split()[0]
        again = word == last and word in {"G0", "G1"}
        lines.append(line[3:] if again else line)
        last = word
    return edit(job, lines)


@harmless
def framed(job):
    return edit(job, ["%", *job.lines, "%"])


@harmless
def ended_by_m2(job):
    return swap_text(job, "^M30", "M2")


@harmless
def dwell_for_the_spindle(job):
    return put(job, where(job, "M3")[0] + 1, "G4 P2")


@harmless
def coolant(job):
    return put(job, where(job, "M3")[0], "M7", "M9")


@harmless
def a_stop_between(job, chance):
    return put(job, chance.choice(where(job, "G0 X")), "M0")


@harmless
def lines_repeated(job):
    at = set(where(job, r"G1 X|M5|G21|G0 Z5"))
    return edit(job, [x for n, s in enumerate(job.lines) for x in ([s, s] if n in at else [s])])


@harmless
def straight_cuts_split(job):
    lines = list(job.lines)
    last = None
    out = []
    for line in lines:
        now = point(line)
        if line.startswith("G1") and now and last:
            middle = [(a + b) / 2 for a, b in zip(last, now, strict=True)]
            out.append(f"G1 X{middle[0]:.6f} Y{middle[1]:.6f}")
        out.append(line)
        last = now or last
    return edit(job, out)


@harmless
def arcs_split(job):
    out, last = [], None
    for line in job.lines:
        now = point(line)
        if line.startswith("G2 "):
            i, j = (float(v) for v in re.findall(rf"[IJ]({NUMBER})", line))
            centre = complex(*last) + complex(i, j)
            a, b = complex(*last) - centre, complex(*now) - centre
            m = (a + b) / abs(a + b) * abs(a)
            half, rest = centre + m, -m
            out.append(f"G2 X{half.real:.5f} Y{half.imag:.5f} I{i:.5f} J{j:.5f}")
            line = f"G2 X{now[0]:.5f} Y{now[1]:.5f} I{rest.real:.5f} J{rest.imag:.5f}"
        out.append(line)
        last = now or last
    return edit(job, out) if where(job, "G2 ") else None


@harmless
def arcs_by_radius(job):
    def by_radius(line: str) -> str:
        found = re.findall(rf"[IJ]({NUMBER})", line)
        if not found:
            return line
        radius = abs(complex(float(found[0]), float(found[1])))
        return re.sub(r" I.*", f" R{radius:.5f}", line)

    return every(job, by_radius) if where(job, "G2 ") else None


@harmless
def in_inches(job):
    def inches(line: str) -> str:
        if line == "G21":
            return "G20"
        if line.startswith("("):
            return line
        return re.sub(rf"([XYZIJF])({NUMBER})", lambda m: f"{m[1]}{float(m[2]) / 25.4:.5f}", line)

    return every(job, inches)


@harmless
def feeds_halved(job):
    return every(job, lambda line: numbers(line, "F", lambda v: v / 2))


@harmless
def higher_lifts(job):
    return swap_text(job, "^G0 Z5", "G0 Z9.5")


@harmless
def a_pass_again(job):
    group = plunges(job)[-1]
    again = [job.lines[n] for n in group]
    return put(job, group[-1] + 1, *again)


@harmless
def header_words_on_one_line(job):
    rest = [line for line in job.lines if line not in {"G21", "G17", "G90", "G94"}]
    return edit(job, ["G21 G17 G90 G94", *rest])


@harmless
def a_note_after_the_end(job):
    return edit(job, [*job.lines, "(kept in the drawer)", ""])
