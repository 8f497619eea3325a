"""Tooling: which cutter is in the spindle, and whose length the controller counts with.

In: the T, M6 and G43 to G49 of one block after another. Out: the number mounted, and a record of
every change. By NISTIR 6556 T names a place (3.7.3), M6 puts in what T named last, leaving the
spindle stopped (3.6.3), and G43 takes the length kept under H in the machine's table (3.5.11).
The table itself is not in the text: that it is right is taken on trust.
"""

from __future__ import annotations

from typing import NamedTuple

__all__ = ["ToolChange", "ToolLength", "Tooling"]


class ToolChange(NamedTuple):
    """An M6: its line, the number put in, spindle (rpm) and z (mm, NaN unknown) until then."""

    line: int
    number: int
    rpm: float
    z_mm: float


class ToolLength(NamedTuple):
    """A G43 or G49: its line, the number whose length is taken (0: none), the cutter mounted."""

    line: int
    number: int
    mounted: int


class Tooling:
    """The cutters of one program as it is read.

    Attributes
    ----------
    named, mounted : int
        Numbers that T told last, and of the cutter in the spindle; 0 before.
    changes : list of ToolChange
        Every M6 so far.
    lengths : list of ToolLength
        Every G43 and G49 so far.

    Examples
    --------
    >>> tooling = Tooling()
    >>> tooling.named = 3
    >>> tooling.change(line=4, rpm=0.0, z_mm=5.0)
    >>> tooling.mounted, tooling.changes[0].line
    (3, 4)
    """

    def __init__(self) -> None:
        self.mounted = self.named = 0
        self.changes: list[ToolChange] = []
        self.lengths: list[ToolLength] = []

    def change(self, *, line: int, rpm: float, z_mm: float) -> None:
        """M6: put in what T named last, at this line, after this spindle speed, at this z."""
        self.changes.append(ToolChange(line, self.named, rpm, z_mm))
        self.mounted = self.named

    def take_length(self, number: int, *, line: int) -> None:
        """G43 with H, or G49 with 0: count with this length from this line on."""
        self.lengths.append(ToolLength(line, number, self.mounted))
