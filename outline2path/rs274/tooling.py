"""Tooling: which cutter is in the spindle, and whose length the controller counts with.

In: the T, M6 and G43 to G49 of one block after another. Out: the number mounted, and a record of
every change. By NISTIR 6556 T names a place (3.7.3), M6 puts in what T named last, leaving the
spindle stopped (3.6.3), and G43 takes the length kept under H in the machine's table (3.5.11).
The table itself is not in the text: that it is right is taken on trust.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from outline2path.errors import ProgramError

__all__ = ["ToolChange", "ToolLength", "Tooling"]

Words = Mapping[str, float]
Codes = Mapping[str, int]
_TAKE_LENGTH = 430


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
    mounted : int
        Number of the cutter in the spindle, 0 before the first M6.
    changes : list of ToolChange
        Every M6 so far.
    lengths : list of ToolLength
        Every G43 and G49 so far.

    Examples
    --------
    >>> tooling = Tooling()
    >>> tooling.change({"T": 3.0}, {"tool change": 6}, line=4, rpm=0.0, z_mm=5.0)
    True
    >>> tooling.mounted, tooling.changes[0].line
    (3, 4)
    """

    def __init__(self) -> None:
        self.mounted = self._named = 0
        self.changes: list[ToolChange] = []
        self.lengths: list[ToolLength] = []

    def change(self, words: Words, codes: Codes, *, line: int, rpm: float, z_mm: float) -> bool:
        """Take T and M6 of a block; return whether the spindle was stopped by a change.

        Raises
        ------
        ProgramError
            When T is no whole number.
        """
        named = words.get("T", float(self._named))
        if named != int(named):
            raise ProgramError(f"T{named:g} is no whole number", limit="3.7.3")
        self._named = int(named)
        if "tool change" not in codes:
            return False
        self.changes.append(ToolChange(line, self._named, rpm, z_mm))
        self.mounted = self._named
        return True

    def offset(self, words: Words, codes: Codes, *, line: int) -> None:
        """Take G43 H or G49 of a block.

        Raises
        ------
        ProgramError
            When G43 has no H, or H is no whole number from 0 up.
        """
        if "length offset" not in codes:
            return
        number = words.get("H", -1.0) if codes["length offset"] == _TAKE_LENGTH else 0.0
        if number != int(number) or number < 0:
            raise ProgramError(f"G43 needs a whole H, among {sorted(words)}", limit="3.5.11")
        self.lengths.append(ToolLength(line, int(number), self.mounted))
