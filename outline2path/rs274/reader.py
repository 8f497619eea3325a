"""Reader of RS-274 programs, written from the published standard alone.

In: the text of a program. Out: `Motions`, a table of what the machine would do, in mm. The
language is that of T. R. Kramer, F. M. Proctor, E. Messina, "The NIST RS274NGC Interpreter -
Version 3", NISTIR 6556 (2000); sections of that report stand beside each rule and in each error.

Strict reading refuses every fault of the report. Lenient reading notes as findings those that
common controllers overlook, and still refuses what has no safe meaning. Refused in both, with
the reason: expressions and parameters, G92, G10, probing, radius compensation, cycles beyond
G81 to G83, rotary axes. Offsets of G54 to G59.3 are taken as zero; after a move in machine
coordinates (G53, G28, G30) the position in work coordinates is unknown, NaN, until told.

Lines of plain moves go through one regular expression (`_PLAIN`); all others, and all faults,
through `read_block`. Time is linear in the text; memory is that of the table.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

from outline2path.errors import ProgramError
from outline2path.findings import Finding
from outline2path.rs274.blocks import Block, read_block
from outline2path.rs274.controller import Controller, Point
from outline2path.rs274.modal import check_codes, check_words, code_name
from outline2path.rs274.motion import EndState, Motions, motion_lengths
from outline2path.units import MM_PER_INCH

__all__ = ["read_program"]

_NUMBER = r"([+-]?(?:[0-9]{1,6}(?:\.[0-9]{0,17})?|\.[0-9]{1,17}))"
_PLAIN = re.compile(
    r"(?:N[0-9]{1,5} ?)?(?:G0?([0-3]) ?)?"
    + "".join(rf"(?:{letter}{_NUMBER} ?)?" for letter in "XYZIJ")
    + r"(?:F([0-9]{1,6}(?:\.[0-9]{0,6})?))?"
)
_COMMENTS = re.compile(r"(?:\([^()]*\)[ \t]*)*(?:;.*)?")
_CHUNK_TEXT = 1 << 20
_MOST_NOTES = 100
_UNKNOWN = math.nan


def read_program(
    text: str | bytes,
    *,
    strict: bool = True,
    start_mm: Point = (_UNKNOWN, _UNKNOWN, _UNKNOWN),
    block_delete: bool = False,
) -> Motions:
    r"""Read a program.

    Parameters
    ----------
    text : str or bytes
        The whole program.
    strict : bool
        Refuse every fault of the standard; else note those that controllers overlook.
    start_mm : tuple of float
        Where the tool stands before, mm in work coordinates; unknown (NaN) unless given.
    block_delete : bool
        Whether the machine's switch leaves out lines that begin with a slash.

    Returns
    -------
    Motions
        Every motion in mm, and the state at the end.

    Raises
    ------
    ProgramError
        For a fault; `element` names the line, `limit` the section of the standard.

    Examples
    --------
    >>> motions = read_program("G21 G90 G17\nG0 X0 Y0 Z5\nG1 Z-1 F300 S9000 M3\nM30")
    >>> len(motions), motions.end.ended_by, float(motions.table["rpm"][1])
    (2, 'M30', 9000.0)
    >>> read_program("G21\nG0 G1 X1\nM30")
    Traceback (most recent call last):
    ...
    outline2path.errors.ProgramError: line 2: G0 and G1 are of one modal group (motion), in ...
    """
    if isinstance(text, bytes):
        text = text.decode("utf-8", "replace")
    return _Reading(strict=strict, start_mm=start_mm).run(text, block_delete)


def _lines(text: str) -> Iterator[str]:
    """Give lines without their ends, LF, CR LF or CR, and no second copy of the whole text."""
    if "\r" in text and "\n" not in text:
        text = text.replace("\r", "\n")
    at = 0
    while at < len(text):
        cut = text.find("\n", at + _CHUNK_TEXT)
        cut = len(text) if cut < 0 else cut
        part = text[at:cut].replace("\r\n", "\n").removesuffix("\r")
        yield from (part.removesuffix("\n") if cut == len(text) else part).split("\n")
        at = cut + 1


def _located(fault: ProgramError, line: int, text: str) -> ProgramError:
    """Put the line, its words and the section into a fault."""
    words = text[:200].strip()
    words = words if len(words) <= 60 else f"{words[:57]}..."
    return ProgramError(
        f"{fault.message}, in {words!r} (NISTIR 6556, {fault.limit})",
        element=f"line {line}",
        value=words,
        limit=f"NISTIR 6556, {fault.limit}",
    )


class _Reading:
    """One pass over a text: line counting, framing, notes; the controller does the rest."""

    def __init__(self, *, strict: bool, start_mm: Point) -> None:
        self.strict = strict
        self.line = 0
        self.controller = Controller(start_mm=start_mm, inch_mm=MM_PER_INCH, forgive=self.forgive)
        self.framed: bool | None = None
        self.closed = False
        self.text_after: int | None = None
        self.codes: set[str] = set()
        self.comments: list[tuple[int, str]] = []
        self.findings: list[Finding] = []
        self.skippable: list[int] = []

    def forgive(self, what: str, section: str) -> None:
        """Refuse in strict reading, note in lenient reading."""
        if self.strict:
            raise ProgramError(f"{what}", limit=section)
        if len(self.findings) < _MOST_NOTES:
            message = f"line {self.line}: {what} (NISTIR 6556, {section})"
            self.findings.append(
                Finding(code="program-fault", severity="warning", message=message)
            )

    def run(self, text: str, block_delete: bool) -> Motions:
        plain_words, plain_move = _PLAIN.fullmatch, self.controller.plain
        lines, line = _lines(text), ""
        try:
            for line in lines:
                self.line += 1
                match = plain_words(line)
                if match is not None and plain_move(match.groups(), self.line):
                    continue
                if self.block(line, block_delete):
                    break
            end_line = self.line
            self.read_rest(lines)
        except ProgramError as fault:
            raise _located(fault, self.line, line) from None
        return self.result(end_line)

    def block(self, line: str, block_delete: bool) -> bool:
        """Read and execute one line; True where it ends the program."""
        if line.strip(" \t") == "%":
            return self.percent()
        block = read_block(line, self.forgive)
        self.note(block)
        if block.empty or (block.skippable and block_delete):
            return False
        machine = self.controller
        codes = check_codes(block.g, block.m)
        motion = codes.get("motion", machine.motion)
        moves = check_words(block.words, codes, motion, self.forgive)
        if machine.rows.empty:
            self.codes.update(code_name(c) for c in block.g)
        machine.execute(block.words, codes, moves=moves, line=self.line)
        return machine.ended_by is not None

    def note(self, block: Block) -> None:
        """Remember what a block says beside its words."""
        if self.framed is None and not (block.empty and not block.comments):
            self.framed = False
        if block.skippable:
            self.skippable.append(self.line)
        if block.comments and self.controller.rows.empty:
            room = _MOST_NOTES - len(self.comments)
            self.comments += [(self.line, c) for c in block.comments[:room]]

    def percent(self) -> bool:
        """Take a first % as a frame, a second as the end (3.1)."""
        if self.framed is None and self.controller.rows.empty:
            self.framed = True
            return False
        if not self.framed:
            self.forgive("a % ends a program that no % began", "3.1")
        self.controller.ended_by, self.closed = "%", True
        return True

    def read_rest(self, lines: Iterator[str]) -> None:
        """Look, without executing, for text after the end and for the closing %."""
        for line in lines:
            self.line += 1
            bare = line.strip(" \t")
            if bare == "%" and not self.closed:
                self.closed = True
            elif bare and self.text_after is None and not _COMMENTS.fullmatch(bare):
                self.text_after = self.line
        if self.controller.ended_by is None:
            self.forgive("the program stops without M2, M30 or a closing %", "3.1")
        elif self.framed and not self.closed:
            self.forgive("a first % needs a second", "3.1")

    def result(self, end_line: int) -> Motions:
        machine = self.controller
        table = machine.rows.table()
        timed = table["feed"] < 0
        if timed.any():
            table["feed"][timed] = -table["feed"][timed] * motion_lengths(table[timed])
        return Motions(
            table=table,
            lines=self.line,
            end=EndState(
                ended_by=machine.ended_by,
                line=end_line,
                position_mm=(machine.x, machine.y, machine.z),
                rpm=machine.rpm,
                text_after=self.text_after,
            ),
            comments=tuple(self.comments),
            codes_before_motion=frozenset(self.codes),
            stops=tuple(machine.stops),
            changes=tuple(machine.tooling.changes),
            tool_lengths=tuple(machine.tooling.lengths),
            skippable=tuple(self.skippable),
            dwell_s=machine.dwell_s,
            findings=tuple(self.findings),
        )
