"""Advice: what would happen at the machine where a check fails, and what to change.

In: the name of a check. Out: two short sentences for people. Every check of the judge has them.
"""

from __future__ import annotations

__all__ = ["ADVICE", "advice"]

ADVICE = {
    "reads cleanly": "A controller may stop there or do something else. Mend the line named.",
    "start state": "The machine would go on in the state the last job left. Tell G17, G21 or G20, "
    "and G90 before the first move.",
    "work zero": "The part would be cut at another place. Use G54, or set that zero on purpose.",
    "positions": "The cutter may start from anywhere. Tell X, Y and Z before the first feed move.",
    "spindle": "The cutter would break, rub or burn. Start it with M3 and a speed before the cut.",
    "feed": "The machine would stop, or lose its place. Give each cut an F that the machine has.",
    "cutter": "Walls would be off by the difference. Mount the cutter named, or plan anew.",
    "cutter change": "Somebody would reach under a low or turning cutter. Lift it and stop the "
    "spindle before M6.",
    "one meaning": "It would cut differently as a switch stands. Take the slashes out.",
    "end state": "Somebody would meet a turning spindle or a cutter in the work. End with a lift, "
    "M5 and M30.",
    "nothing after": "Some controllers run it. Delete what follows the end.",
    "travel": "The machine would run against its end. Move the work zero, or the part.",
    "stock": "The cutter would leave the stock, or cut what lies beside it. Move the part, or "
    "take a larger blank.",
    "size": "The part would not have its size. See if inches were taken for millimetres.",
    "waste board": "The cutter would go through the board. Cut less deep, or mount a thicker one.",
    "rapids": "The cutter would be driven into the stock at full speed. Lift before the move.",
    "clamps": "Cutter and clamp would meet. Move the clamp, or go around or above it.",
    "depth": "The part would not come free, or the floor would be wrong. Correct that Z.",
    "reach of the cutter": "The shank would rub and burn. Use longer cutting edges, or cut less "
    "deep.",
    "depth per pass": "The cutter would take too much at once, bend or break. Add a pass between.",
    "plunge": "The tip cannot cut: it would burn and push. Enter by a ramp or a helix.",
    "width of cut": "The cutter would bend, and may break. Cut narrower strips or less deep ones.",
    "chip load": "Teeth would take more than planned, and may break. Lower F or raise S.",
    "shank and holder": "They would rub on the wall. Let the cutter stand out farther.",
    "gouge": "The part would be spoilt there. Correct the point named, or plan it anew.",
    "leftover": "The part would not fit or need filing. Look for a pass or a point that is lost.",
    "holes": "A hole would be missing or misplaced. Correct its X, Y or depth.",
    "tabs": "The part may tear loose. Keep the path raised over each tab.",
    "loose pieces": "A piece would jam the cutter, or fly. Leave tabs on it, or free it last.",
}
"""By name of the check: what would happen, then what to change."""


def advice(name: str) -> str:
    """Return what a failed check means and asks for; empty for a name that is not known.

    Examples
    --------
    >>> advice("rapids")
    'The cutter would be driven into the stock at full speed. Lift before the move.'
    """
    return ADVICE.get(name.rpartition(": ")[2], "")
