"""Change: the blocks that put another cutter in, or turn the spindle at another speed.

In: the pass that is to begin, and where the tool stands. Out: lines of text. The tool stands at
clearance height, where the path has brought it. By NISTIR 6556 M6 takes the cutter last named by T
and leaves the spindle stopped (3.6.3), so M3 follows it; we stop the spindle with M5 before, and
tell the place and the next feed anew after it, since hands or a changer may have moved the tool.

The new tip is longer or shorter than the last. Either the program waits (M0) until its height
was measured, or G43 takes its length from the machine's table, under the number of its place.
The words about that are common practice, no source; the machine's manual goes first.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from outline2path.rs274.comment import comment_lines
from outline2path.units import format_length

if TYPE_CHECKING:
    from outline2path.path.toolpath import Section
    from outline2path.shop.cutter import Cutter

__all__ = ["Lengths", "cutter_words", "mounting_lines", "spindle_lines"]

Lengths = Literal["touch-off", "table"]
"""Where the height of a new tip comes from: measured by hand, or the machine's table."""


def cutter_words(cutter: Cutter) -> str:
    """Name a cutter so that it can be told from another: shape, angle, diameter, flutes, tip.

    Lengths are in mm, as on the label of a cutter, whatever the program is written in.

    Examples
    --------
    >>> from outline2path.shop.cutter import Cutter
    >>> cutter_words(Cutter(6, shape="chamfer", angle=90, tip=0.2))
    'chamfer 90 deg 6 mm, 2 flutes, tip 0.20 mm'
    >>> cutter_words(Cutter(3, shape="drill"))
    'drill 3 mm, 2 flutes, point 118 deg'
    """
    words = [cutter.label]
    if cutter.shape == "drill":
        words.append(f"point {cutter.angle_deg:g} deg")
    if cutter.tip_mm:
        words.append(f"tip {format_length(cutter.tip_mm)}")
    return ", ".join(words)


def spindle_lines(rpm: float, spin_up_s: float) -> list[str]:
    """Turn the spindle clockwise and wait until it is up to speed.

    Examples
    --------
    >>> spindle_lines(9000, 2.0)
    ['M3 S9000', 'G4 P2']
    """
    return [f"M3 S{rpm:.0f}", *([f"G4 P{spin_up_s:.3g}"] if spin_up_s else [])]


def mounting_lines(
    section: Section, *, lengths: Lengths, first: bool = False, units: str = "mm"
) -> list[str]:
    """Put the cutter of a pass in; the spindle stands still afterwards.

    Parameters
    ----------
    section : Section
        Its cutter and the number of its place.
    lengths : "touch-off" or "table"
        Where the height of its tip comes from.
    first : bool
        Whether it is the program's first cutter, whose height is measured with the work zero and
        under which the spindle has not turned yet.
    units : "mm" or "in"
        What lengths are told in.

    Examples
    --------
    >>> from outline2path.path.toolpath import Section
    >>> from outline2path.shop.cutter import Cutter
    >>> slot = Section(operation="pocket", contour=0, cutter=Cutter(3, stick_out=20), z_mm=-1.0,
    ...                number=2)
    >>> for line in mounting_lines(slot, lengths="touch-off"):
    ...     print(line)
    M5
    (cutter 2: 3 mm, 2 flutes, stands out 20.00 mm)
    T2
    M6
    M0 (set z to the new tip as the machine's manual says, then go on)
    """
    number, cutter = section.number, section.cutter
    out = cutter.stick_out_mm
    long = "" if out is None else f", stands out {format_length(out, units=units)}"
    lines = [] if first else ["M5"]
    lines += comment_lines(f"cutter {number}: {cutter_words(cutter)}{long}")
    lines += [f"T{number}", "M6"]
    if lengths == "table":
        lines.append(f"G43 H{number} (length of cutter {number} from the machine's table)")
    elif not first:
        lines.append("M0 (set z to the new tip as the machine's manual says, then go on)")
    return lines
