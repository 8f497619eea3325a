"""The one error tree.

    OutlinePathError                 root of everything this package raises on purpose
    |-- UnitError                    a length, feed, speed or angle that cannot be read
    |-- DrawingError                 a drawing that cannot be read or holds nothing to cut
    |-- SettingError                 settings that are impossible, alone or together
    |-- ProgramError                 RS-274 text that breaks the standard
    |-- RefusedError                 a sound request whose result must not be written
    `-- OutputError                  a file or folder that cannot be written

Each error carries the place (mm), the value, the limit and the remedy as fields, so that a
notebook can mark the place and a command can print one paragraph. Each class also derives from
the built-in it resembles. Everything leaves the command with exit code 2, a refusal with 1.
"""

from __future__ import annotations

__all__ = [
    "DrawingError",
    "OutlinePathError",
    "OutputError",
    "ProgramError",
    "RefusedError",
    "SettingError",
    "UnitError",
]


class OutlinePathError(Exception):
    """Anything outline2path raises on purpose.

    Parameters
    ----------
    message : str
        What is wrong, in one sentence, naming the value.
    at_mm : tuple of float, optional
        Place in millimetres, y up, in the coordinates of the outline concerned.
    value, limit : object, optional
        The offending value and the limit it passed, in the units the message states.
    remedy : str, optional
        What to change, in words.
    element : str, optional
        The drawing's element or the program's line concerned.

    Examples
    --------
    >>> error = SettingError("the cutter is 0 mm wide", value=0, remedy="give its diameter")
    >>> print(error)
    the cutter is 0 mm wide; give its diameter
    """

    exit_code = 2

    def __init__(
        self,
        message: str,
        *,
        at_mm: tuple[float, float] | None = None,
        value: object = None,
        limit: object = None,
        remedy: str | None = None,
        element: str | None = None,
    ) -> None:
        super().__init__(message)
        self.message = message
        self.at_mm = at_mm
        self.value = value
        self.limit = limit
        self.remedy = remedy
        self.element = element

    def __str__(self) -> str:
        where = f"{self.element}: " if self.element else ""
        place = f" at x {self.at_mm[0]:.3f}, y {self.at_mm[1]:.3f} mm" if self.at_mm else ""
        remedy = f"; {self.remedy}" if self.remedy else ""
        return f"{where}{self.message}{place}{remedy}"


class UnitError(OutlinePathError, ValueError):
    """A length, feed, speed or angle that cannot be read."""


class DrawingError(OutlinePathError, ValueError):
    """A drawing that cannot be read, or that holds nothing to cut."""


class SettingError(OutlinePathError, ValueError):
    """A setting that is impossible, alone or together with another."""


class ProgramError(OutlinePathError, ValueError):
    """RS-274 text that breaks the standard; `element` names the line."""


class RefusedError(OutlinePathError, RuntimeError):
    """A sound request whose result must not be written, because of an error finding."""

    exit_code = 1


class OutputError(OutlinePathError, OSError):
    """A file or folder that cannot be written."""
