"""Harm to programs of several kinds of work, each with the check that must name it."""

from __future__ import annotations

import re

from tests.proof import works


def shifted(pattern: str, letters: str, by: float):
    """Shift the words of lines, from the line after a match to the next lift."""

    def change(lines: list[str]) -> list[str]:
        begin = next(n for n, line in enumerate(lines) if re.search(pattern, line))
        end = next(n for n in range(begin + 1, len(lines)) if lines[n].startswith("G0"))
        for n in range(begin - 1, end):
            lines[n] = re.sub(
                rf"([{letters}])(-?[0-9.]+)", lambda m: f"{m[1]}{float(m[2]) + by:.4f}", lines[n]
            )
        return lines

    return change


def all_shifted(letters: str, by: float):
    def change(lines: list[str]) -> list[str]:
        pattern = rf"([{letters}])(-?[0-9.]+)"
        return [
            line
            if line == "G0 Z5"
            else re.sub(pattern, lambda m: f"{m[1]}{float(m[2]) + by:.4f}", line)
            for line in lines
        ]

    return change


def without(pattern: str):
    """Leave out a stretch: from the rapid before a match to the lift after it."""

    def change(lines: list[str]) -> list[str]:
        begin = next(n for n, line in enumerate(lines) if re.search(pattern, line)) - 1
        end = next(n for n in range(begin + 1, len(lines)) if lines[n] == "G0 Z5") + 1
        return lines[:begin] + lines[end:]

    return change


def every_without(pattern: str):
    def change(lines: list[str]) -> list[str]:
        while any(re.search(pattern, line) for line in lines):
            lines = without(pattern)(lines)
        return lines

    return change


def first_of_all(pattern: str):
    """Put all stretches with a match before all others."""

    def change(lines: list[str]) -> list[str]:
        found = []
        while any(re.search(pattern, line) for line in lines):
            begin = next(n for n, line in enumerate(lines) if re.search(pattern, line)) - 1
            rest = without(pattern)(lines)
            found += lines[begin : begin + len(lines) - len(rest)]
            lines = rest
        return found + lines

    return change


def put(*more: str):
    return lambda lines: [*lines, *more]


BASE = {
    "a wall cut 0.01 mm over": (shifted(r"ring 0 z -3\b", "X", 0.016), "gouge"),
    "a wall left 0.03 mm": (shifted(r"ring 0 z -3\b", "X", -0.03), "leftover"),
    "a floor 0.05 mm deeper": (shifted(r"ring 2 z -3\b", "Z", -0.05), "depth"),
    "a floor 0.05 mm shallow in one ring": (shifted(r"ring 2 z -3\b", "Z", 0.05), "leftover"),
    "an island cut": (put("G0 X19 Y20", "G1 Z-3 F200", "G1 X20 F600", "G0 Z5"), "gouge"),
    "a ring missing": (without(r"ring 2 z -3\b"), "leftover"),
    "a first pass missing": (every_without(r"ring \d z -1.5\b"), "depth per pass"),
    "the inner pocket before the outer": (first_of_all(r"ring \d z -4\b"), "depth per pass"),
    "a rapid through ground that stands": (
        put("G0 X19 Y28", "G0 Z-1", "G0 X25", "G0 Z5"),
        "rapids",
    ),
    "the floor of the deeper pocket cut beside it": (
        put("G0 X46 Y15", "G1 Z-4 F200", "G1 X46.5 F600", "G0 Z5"),
        "depth",
    ),
    "a cut between the pockets": (
        put("G0 X35 Y20", "G1 Z-1 F200", "G1 X35.5 F600", "G0 Z5"),
        "gouge",
    ),
    "worked on after it came free": (
        put("G0 X25 Y12", "G1 Z-3 F200", "G1 X25.5 F600", "G0 Z5"),
        "loose pieces",
    ),
    "the edge not cut through": (all_shifted("Z", 0.31), "depth"),
}


HARMS = {
    **{harm: (works.base, *rest) for harm, rest in BASE.items()},
    "a face too high": (works.faced, all_shifted("Z", 0.05), "depth"),
    "a face too deep": (works.faced, all_shifted("Z", -0.05), "depth"),
    "rows of a face missing": (works.faced, lambda lines: lines[:6] + lines[8:], "leftover"),
    "a hole 0.05 mm off": (works.holes, shifted(r"^G0 X55.*Y35", "X", 0.05), "holes"),
    "a hole off, in the part": (works.holes, shifted(r"^G0 X55.*Y35", "X", 0.05), "gouge"),
    "holes too shallow": (works.holes, all_shifted("Z", 0.05), "depth"),
    "holes too deep": (works.holes, all_shifted("Z", -0.05), "depth"),
    "a hole too shallow": (works.holes, shifted(r"^G0 X55.*Y35", "Z", 0.05), "holes"),
    "a hole missing": (works.holes, lambda lines: lines[:3] + lines[6:], "holes"),
    "a V's tip too low": (works.bevel, all_shifted("Z", -0.03), "gouge"),
    "a V's tip below its floor": (works.bevel, all_shifted("Z", -0.03), "depth"),
    "a V's tip too high": (works.bevel, all_shifted("Z", 0.03), "leftover"),
    "a chamfer to one side, wide": (works.bevel, all_shifted("X", 0.03), "gouge"),
    "a chamfer to one side, narrow": (works.bevel, all_shifted("X", 0.03), "leftover"),
    "a letter too deep": (works.engraved, all_shifted("Z", -0.05), "depth"),
    "a letter too shallow": (works.engraved, all_shifted("Z", 0.05), "depth"),
    "a letter off its place": (works.engraved, all_shifted("Y", 0.05), "gouge"),
    "half a letter": (works.engraved, lambda lines: lines[:5], "leftover"),
    "a corner not cleared": (works.large_then_small, lambda lines: lines[12:], "leftover"),
}
"""Harm by name: the work, the change, and the check that must name it."""
