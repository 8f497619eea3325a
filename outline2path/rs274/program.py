"""Program: RS-274 text, whole.

Out of the writer, or of any text; into the judge, files and reports. The text never changes; a
verdict takes the place of the header's proof line in a copy.
"""

from __future__ import annotations

import hashlib
import os
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from outline2path.files import write_whole
from outline2path.rs274.comment import comment_lines
from outline2path.rs274.mark import body_mark

__all__ = ["Program"]

_PROOF = "(proof: "
_MORE = "(  "


@dataclass(frozen=True)
class Program:
    """RS-274 text with its figures.

    Parameters
    ----------
    text : str
        All blocks, each ended by a line feed.

    Examples
    --------
    >>> program = Program(chr(10).join(["G21", "M30", ""]))
    >>> program
    Program(2 lines, 8 bytes, sha256 6839c6246cf8)
    """

    text: str

    @cached_property
    def lines(self) -> tuple[str, ...]:
        """The blocks without their line ends."""
        return tuple(self.text.splitlines())

    @cached_property
    def sha256(self) -> str:
        """Hash of the bytes as written, hexadecimal."""
        return hashlib.sha256(self.text.encode("utf-8")).hexdigest()

    @property
    def size(self) -> int:
        """Bytes as written."""
        return len(self.text.encode("utf-8"))

    def with_verdict(self, verdict: str) -> Program:
        r"""Return a copy whose header says what the proof found, and of which text.

        No motion changes; the mark at the end ties the words to the blocks below the header.

        Examples
        --------
        >>> Program("(proof: none yet)\nM30\n").with_verdict("pass").lines
        ('(proof: pass, text b2d119509fab)', 'M30')
        """
        lines = list(self.lines)
        said = comment_lines(f"proof: {verdict}, text {body_mark(self.text)}")
        for number, line in enumerate(lines):
            if line.startswith(_PROOF):
                end = number + 1
                while lines[end:] and lines[end].startswith(_MORE):
                    end += 1
                lines[number:end] = said
                return Program("\n".join(lines) + "\n")
        return Program("\n".join([*said, *lines]) + "\n")

    def write(self, path: str | os.PathLike[str]) -> Path:
        """Write the text to a file, whole or not at all.

        Raises
        ------
        OutputError
            When the folder is missing or the file cannot be written; an old file stays.
        """
        return write_whole(path, self.text)

    def __repr__(self) -> str:
        return f"Program({len(self.lines)} lines, {self.size} bytes, sha256 {self.sha256[:12]})"
