"""Modal groups: which codes there are, and which of them go together on a line.

Tables 4 and 5 of NISTIR 6556 as data, and the rules of 3.3.5 and 3.4 on one block: no two codes
of one group; a motion and a non-modal code may not both take the axis words; no word without a
code that uses it. Codes in the language that this reader cannot follow are listed with the
reason, so that they are refused in words and never passed over.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from outline2path.errors import ProgramError
from outline2path.rs274.cycles import CYCLES

__all__ = ["AXES", "G_GROUP", "M_GROUP", "check_codes", "check_words", "code_name"]

AXES = frozenset("XYZ")

_G_MEMBERS: dict[str, tuple[int, ...]] = {
    "motion": (0, 10, 20, 30, 382, 800, 810, 820, 830, 840, 850, 860, 870, 880, 890),
    "plane": (170, 180, 190),
    "distance": (900, 910),
    "feed mode": (930, 940),
    "units": (200, 210),
    "radius compensation": (400, 410, 420),
    "length offset": (430, 490),
    "cycle return": (980, 990),
    "coordinate system": (540, 550, 560, 570, 580, 590, 591, 592, 593),
    "path mode": (610, 611, 640),
    "non-modal": (40, 100, 280, 300, 530, 920, 921, 922, 923),
}
_M_MEMBERS: dict[str, tuple[int, ...]] = {
    "stop": (0, 1, 2, 30, 60),
    "tool change": (6,),
    "spindle": (3, 4, 5),
    "coolant": (7, 8, 9),
    "override": (48, 49),
}
G_GROUP = {code: group for group, codes in _G_MEMBERS.items() for code in codes}
"""Ten times the G value to its modal group (Table 4)."""
M_GROUP = {code: group for group, codes in _M_MEMBERS.items() for code in codes}
"""M value to its modal group (Table 4; coolant M7 and M8 may stand together)."""

_NOT_FOLLOWED = {
    100: "sets offsets the text alone does not tell",
    382: "probes, so where it ends is not in the text",
    410: "needs the machine's cutter table; write the path of the cutter's centre",
    420: "needs the machine's cutter table; write the path of the cutter's centre",
    840: "taps, and only the drilling cycles G81 to G83 are followed",
    850: "bores, and only the drilling cycles G81 to G83 are followed",
    860: "bores, and only the drilling cycles G81 to G83 are followed",
    870: "bores, and only the drilling cycles G81 to G83 are followed",
    880: "bores, and only the drilling cycles G81 to G83 are followed",
    890: "bores, and only the drilling cycles G81 to G83 are followed",
    920: "shifts the work zero; set the zero on the machine and leave it out",
    921: "shifts the work zero; set the zero on the machine and leave it out",
    922: "shifts the work zero; set the zero on the machine and leave it out",
    923: "shifts the work zero; set the zero on the machine and leave it out",
}
_TAKES_AXES = frozenset({280, 300})


def code_name(code: int) -> str:
    """Write ten times a G value as people do.

    Examples
    --------
    >>> code_name(210), code_name(593)
    ('G21', 'G59.3')
    """
    return f"G{code // 10}" if code % 10 == 0 else f"G{code / 10:.1f}"


def check_codes(g: Iterable[int], m: Iterable[int]) -> dict[str, int]:
    """Sort the codes of a block by modal group.

    Parameters
    ----------
    g, m : iterable of int
        Ten times the G values, the M values.

    Returns
    -------
    dict of str to int
        Code by group name. Coolant keeps the last, since it moves nothing.

    Raises
    ------
    ProgramError
        When a code is unknown or not followed here, or a group has two.

    Examples
    --------
    >>> check_codes((10, 210), (3,))
    {'motion': 10, 'units': 210, 'spindle': 3}
    """
    found: dict[str, int] = {}
    for code in g:
        _put(found, G_GROUP.get(code), code, code_name)
        if code in _NOT_FOLLOWED:
            why = _NOT_FOLLOWED[code]
            raise ProgramError(f"{code_name(code)} {why}", limit="3.5")
    for code in m:
        _put(found, M_GROUP.get(code), code, lambda c: f"M{c}")
    return found


def _put(found: dict[str, int], group: str | None, code: int, named: Callable[[int], str]) -> None:
    if group is None:
        raise ProgramError(f"{named(code)} is not in the language", limit="Tables 5 and 7")
    if group in found and {found[group], code} != {7, 8}:
        both = f"{named(found[group])} and {named(code)}"
        raise ProgramError(f"{both} are of one modal group ({group})", limit="3.3.5")
    found[group] = code


def check_words(
    words: Mapping[str, float],
    codes: Mapping[str, int],
    motion: int | None,
    forgive: Callable[[str, str], None],
) -> bool:
    """Check that the words of a block have a code that uses them.

    Parameters
    ----------
    words : mapping of str to float
        The block's words.
    codes : mapping of str to int
        Its codes by group.
    motion : int or None
        Ten times the G value of the motion mode in force, this block's own included.
    forgive : callable
        Takes (what, section) of a fault that lenient reading lets pass.

    Returns
    -------
    bool
        Whether the block moves: its axis words, or its arc's, belong to no G28 or G30.

    Raises
    ------
    ProgramError
        When axis words have no use, or two.

    Examples
    --------
    >>> check_words({"X": 1.0}, {"motion": 10}, 10, print)
    True
    """
    axes = bool(AXES & words.keys())
    if {"A", "B", "C"} & words.keys():
        raise ProgramError(f"rotary axes are not followed here: {sorted(words)}", limit="2.1.2")
    aside = codes.get("non-modal") in _TAKES_AXES
    if aside and "motion" in codes:
        raise ProgramError(
            f"{code_name(codes['motion'])} and {code_name(codes['non-modal'])} on one line "
            f"both take axis words",
            limit="3.4",
        )
    if axes and not aside:
        _axes_have_a_motion(motion)
    tells_arc = motion in {20, 30} and bool({"I", "J", "K", "R"} & words.keys())
    moves = (axes or tells_arc) and not aside
    _no_idle_words(words, codes, motion if moves else None, forgive)
    return moves


def _axes_have_a_motion(motion: int | None) -> None:
    if motion is None:
        raise ProgramError(f"axis words before any of {'G0 G1 G2 G3'}", limit="3.5.1")
    if motion == 800:
        raise ProgramError(f"axis words while {code_name(motion)} is active", limit="3.5.15")


def _no_idle_words(
    words: Mapping[str, float],
    codes: Mapping[str, int],
    motion: int | None,
    forgive: Callable[[str, str], None],
) -> None:
    """Words without a code that uses them (the report's list of errors, from memory)."""
    arc, cycle = motion in {20, 30}, motion in CYCLES
    used = {
        "I": arc,
        "J": arc,
        "K": arc,
        "R": arc or cycle,
        "P": codes.get("non-modal") == 40 or motion == 820,
        "Q": motion == 830,
        "L": cycle,
        "H": codes.get("length offset") == 430,
        "D": False,
    }
    idle = sorted(letter for letter in words if not used.get(letter, True))
    if idle:
        forgive(f"no code uses the word {' '.join(idle)}", "3.5")
