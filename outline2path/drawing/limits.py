"""Limits: how much a drawing may ask for before it is refused.

A file of two kilobytes can ask for a thousand million shapes. Each bound here is a plain number
with a default that drawings made to be cut never meet; a larger one can be given for a drawing
that truly needs it. Bytes are counted after unpacking.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

from outline2path.errors import SettingError

__all__ = ["Limits"]


@dataclass(frozen=True, kw_only=True)
class Limits:
    """What a drawing may ask for at most.

    Attributes
    ----------
    file_bytes : int
        Bytes of the file, after unpacking a compressed one.
    elements : int
        Elements in the file.
    depth : int
        Elements inside one another, copies by `use` counted too.
    drawn : int
        Elements visited while drawing, copies by `use` counted each time.
    attributes : int
        Attributes of one element.
    style_chars : int
        Characters of all style sheets together.
    segments : int
        Lines and curves of the whole drawing.

    Raises
    ------
    SettingError
        When a limit is not a whole number above 0.

    Examples
    --------
    >>> Limits().depth, Limits(depth=1000).depth
    (256, 1000)
    """

    file_bytes: int = 32_000_000
    elements: int = 60_000
    depth: int = 256
    drawn: int = 60_000
    attributes: int = 400
    style_chars: int = 500_000
    segments: int = 250_000

    def __post_init__(self) -> None:
        for field in fields(self):
            value = getattr(self, field.name)
            if isinstance(value, bool) or not isinstance(value, int) or value < 1:
                raise SettingError(
                    f"the limit {field.name} is {value!r}",
                    value=value,
                    remedy="give a whole number above 0",
                )
