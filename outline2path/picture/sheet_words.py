"""Sheet words: what a set-up sheet tells a person to do and to mind.

In: the sheet's content. Out: sentences, no markup. The cautions are the usual ones of the trade:
wood dust is a carcinogen and an irritant (NIOSH; OSHA wood-dust pages), eye protection and
hearing (OSHA 29 CFR 1910.133 and 1910.95, from memory), cyanoacrylate vapour irritates and can
sensitise (safety data sheets); clamps, air runs and never leaving a machine are common practice,
no source. They defer to the machine's manual, local rules and trained supervision.
"""

from __future__ import annotations

from outline2path.picture.sheet_content import ProgramPage, SetUpPage, Tool
from outline2path.units import MM_PER_INCH, format_length

__all__ = [
    "CAUTIONS",
    "FIRST",
    "checklist",
    "clock",
    "feed_words",
    "length",
    "room_words",
    "tool_checks",
    "turn_words",
]

FIRST = (
    "The machine\u2019s manual, local rules and codes, and trained supervision come first. "
    "Every figure here is a starting point; you decide at the machine."
)
"""What stands above all else."""

CAUTIONS = (
    (
        "Dust",
        "Catch it at the cutter; a mask does not replace that. Wood dust harms lungs and skin, "
        "and a fine cloud of it can explode.",
    ),
    ("Eyes", "Safety glasses on, for you and for everyone who watches."),
    ("Ears", "Spindle and extraction together are loud for hours. Wear hearing protection."),
    (
        "Fire",
        "A dull or stalled cutter burns wood, and sparks smoulder in the dust bag. Stop at the "
        "first smell of smoke; know where the extinguisher is.",
    ),
    (
        "Tape and glue",
        "Cyanoacrylate fumes sting eyes and airways and can cause asthma. Air the room, keep your "
        "face away, keep it off cotton: it gets hot.",
    ),
    (
        "Loose pieces",
        "What is cut free can be thrown. Hold it by tabs, tape or screws; never reach in to catch "
        "it while the cutter turns.",
    ),
    (
        "Hands and clothes",
        "Hands away until the spindle stands still. No gloves, loose sleeves, "
        "cords or open long hair near it.",
    ),
    ("Never unattended", "Stay by the running machine, one hand near the stop button."),
)
"""Head and sentence of each caution."""

_SECONDS_A_MINUTE = 60


def length(mm: float, units: str, *, decimals: int = 2, trim: bool = True) -> str:
    r"""Write a length, without zeros that say nothing unless `trim` is off, as in columns.

    Examples
    --------
    >>> length(18, "mm"), length(3.175, "mm", decimals=3), length(3.175, "in")
    ('18\xa0mm', '3.175\xa0mm', '0.125\xa0in')
    """
    number, unit = format_length(mm, units=units, decimals=decimals).split()
    if trim and "." in number:
        number = number.rstrip("0").rstrip(".")
    return f"{'0' if number == '-0' else number}\u00a0{unit}".replace("-", "\u2212")


def feed_words(feed: float, units: str) -> str:
    r"""Write a feed.

    Examples
    --------
    >>> feed_words(1828.8, "mm"), feed_words(1828.8, "in")
    ('1829\xa0mm/min', '72.0\xa0in/min')
    """
    if units == "in":
        return f"{feed / MM_PER_INCH:.1f}\u00a0in/min"
    return f"{feed:.0f}\u00a0mm/min"


def clock(seconds: float) -> str:
    r"""Write a time as minutes and seconds, or hours and minutes.

    Examples
    --------
    >>> clock(42.4), clock(125), clock(3725)
    ('42\xa0s', '2\xa0min 05\xa0s', '1\xa0h 02\xa0min')
    """
    whole = round(seconds)
    if whole < _SECONDS_A_MINUTE:
        return f"{whole}\u00a0s"
    minutes, rest = divmod(whole, _SECONDS_A_MINUTE)
    if minutes < _SECONDS_A_MINUTE:
        return f"{minutes}\u00a0min {rest:02d}\u00a0s"
    hours, minutes = divmod(minutes, _SECONDS_A_MINUTE)
    return f"{hours}\u00a0h {minutes:02d}\u00a0min"


def turn_words(set_up: SetUpPage) -> str:
    """Say how the blank comes to lie."""
    if set_up.turned == "y":
        return (
            "Turn the blank over like a page: its left edge goes to the right. The front edge "
            "stays in front. Set work zero anew."
        )
    if set_up.turned == "x":
        return (
            "Turn the blank over away from you: its front edge goes to the back. The left edge "
            "stays on the left. Set work zero anew."
        )
    if set_up.number > 1 and set_up.new_blank:
        return "Take a new blank, and set work zero anew."
    return "Choose the better face, and mark which edge is the front."


def room_words(program: ProgramPage, units: str) -> str:
    """Say by how much it squeezes by, where there is least room."""
    tight = program.tightest
    if tight is None:
        return "No machine was given: compare the size with its travel yourself."
    if tight.spare_mm < 0:
        return f"Does not fit: {tight.what} is short by {length(-tight.spare_mm, units)}."
    return f"Squeezes by with {length(tight.spare_mm, units)} to spare: {tight.what}."


def checklist(set_up: SetUpPage, units: str, *, program_units: str) -> tuple[str, ...]:
    """Return what to tick off before the first program of a set-up."""
    thick = length(set_up.size_mm[2], units)
    first = set_up.programs[0].file if set_up.programs else ""
    below = (
        f"Waste board lies under the whole blank: the cutter goes "
        f"{length(set_up.through_mm, units)} below it."
        if set_up.through_mm > 0
        else "Nothing is cut through in this set-up: the underside stays whole."
    )
    unit = "millimetres (G21)" if program_units == "mm" else "inches (G20)"
    return (
        f"Blank measured with calipers: {thick} thick, flat, no screws, staples or loose knots.",
        "Blank held fast: push it hard from every side by hand.",
        below,
        f"Clamps and screws stand clear of every rapid, which cross "
        f"{length(set_up.clearance_mm, units)} above the blank.",
        f"Work zero set and written down: x and y {set_up.zero.xy}, z {set_up.zero.z}.",
        f"The right file is loaded ({first} first), and the machine reads {unit}.",
        "Air run with the spindle off, well above the blank: it moves where the picture says.",
        "Extraction on, glasses and hearing protection on, stop button within reach.",
    )


def tool_checks(program: ProgramPage, units: str) -> tuple[str, ...]:
    """Return what to tick off before one program: its cutter, or all that it puts in."""
    each = {tool.number: _cutter_check(tool, units) for tool in program.tools}
    if len(program.turns) > 1:
        order = ", ".join(f"{tool.number}" for tool in program.turns)
        return (*each.values(), f"Cutters come in this order: {order}.", program.lengths)
    return (*each.values(), "Height of the tip measured anew after the change.")


def _cutter_check(tool: Tool, units: str) -> str:
    reach = length(tool.reach_mm, units)
    out = (
        f"stands out {length(tool.stick_out_mm, units)}"
        if tool.stick_out_mm is not None
        else f"stands out more than {reach}, as little as will do"
    )
    first = "Cutter in" if tool.number is None else f"Cutter {tool.number} ready at its place"
    return f"{first}: {tool.name}, sharp and clean; it {out}; collet tight."
