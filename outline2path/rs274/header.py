"""Header: what a person at the machine must know before pressing start.

In: facts about the job. Out: comment lines that open the program. The cautions are the usual ones
of the trade (sources: OSHA and NIOSH pages on wood dust, eyes and noise; the rest is common
practice, no source) and defer to the machine's manual and trained supervision.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from outline2path.rs274.comment import comment_lines
from outline2path.units import format_length

__all__ = ["CAUTIONS", "Header"]

CAUTIONS = (
    "Machine manual, local rules and trained supervision come first.",
    "Eye and ear protection on. Extract the dust at the cutter.",
    "Hold the work fast. Keep clamps out of the way of every rapid.",
    "Try it above the work first. Know where the stop button is.",
    "Never leave a running machine.",
)
"""The usual cautions, one comment line each."""


@dataclass(frozen=True, kw_only=True)
class Header:
    """The facts a program's opening comments state.

    Attributes
    ----------
    title : str
        What is made.
    size_mm : tuple of float or None
        Width and height of the finished part, mm.
    zero_xy, zero_z : str
        Where work zero lies, in words.
    stock : str
        What it is cut from, in words.
    notes : tuple of str
        Further lines: direction, passes, findings.
    verdict : str
        What the proof found; until then that there was none.

    Examples
    --------
    >>> Header(title="key rack", size_mm=(120, 45)).lines()[:2]
    ('(key rack)', '(finished size: 120.00 mm x 45.00 mm)')
    """

    title: str
    size_mm: tuple[float, float] | None = None
    zero_xy: str = "lower left corner"
    zero_z: str = "top of the stock"
    stock: str = ""
    notes: tuple[str, ...] = ()
    verdict: str = "none yet"

    def lines(
        self,
        *,
        cutter: str = "",
        cutters: Mapping[int, str] | None = None,
        bounds_mm: tuple[float, ...] = (),
        units: str = "mm",
    ) -> tuple[str, ...]:
        """Return the comment lines.

        Parameters
        ----------
        cutter : str
            The cutter in words.
        cutters : mapping of int to str, optional
            Instead: every cutter of a program that changes them, by the number of its place.
        bounds_mm : tuple of float
            Least x, y, z and greatest x, y, z of the cutter's centre, mm.
        units : "mm" or "in"
            What lengths are shown in.
        """
        facts = [self.title or "untitled"]
        if self.size_mm:
            facts.append(f"finished size: {_lengths(self.size_mm, ' x ', units)}")
        facts.append(f"work zero: x and y {self.zero_xy}, z {self.zero_z}")
        facts += [f"cutter: {cutter}"] if cutter and not cutters else []
        facts += [f"cutter {number}: {words}" for number, words in (cutters or {}).items()]
        facts += [f"stock: {self.stock}"] if self.stock else []
        for axis, low, high in zip("xyz", bounds_mm[:3], bounds_mm[3:], strict=False):
            facts.append(f"cutter centre, {axis}: {_lengths((low, high), ' to ', units)}")
        facts += [*self.notes, f"proof: {self.verdict}", *CAUTIONS]
        return tuple(line for fact in facts for line in comment_lines(fact))


def _lengths(values: tuple[float, ...], between: str, units: str) -> str:
    return between.join(format_length(value, units=units) for value in values)
