"""Proof: the judge's verdict on one program, check by check.

Each check has a name, whether it holds, a sentence for people, and where it can the worst place
(x, y in mm), the line of the program, the figure and its limit. A proof passes when every check
does. Figures that could not be measured, since the program could not be read, are None.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any, Literal

from outline2path.notebook import html_table
from outline2path.proof.advice import advice
from outline2path.rs274.mark import HeaderMark

__all__ = ["Check", "Proof"]


@dataclass(frozen=True, kw_only=True)
class Check:
    """One question put to a program.

    Attributes
    ----------
    name : str
        Short and stable.
    ok : bool
        Whether it holds.
    detail : str
        One sentence: the figure found, or what would happen at the machine.
    at_mm : tuple of float or None
        Worst place, x and y in mm.
    line : int or None
        Line of the program there.
    value, limit : float or None
        Figure found and allowed.

    Examples
    --------
    >>> print(Check(name="gouge", ok=False, detail="cuts 0.2 mm into the part", line=12))
    no  gouge: cuts 0.2 mm into the part (line 12)
    """

    name: str
    ok: bool
    detail: str
    at_mm: tuple[float, float] | None = None
    line: int | None = None
    value: float | None = None
    limit: float | None = None

    def __str__(self) -> str:
        where = f" (line {self.line})" if self.line is not None else ""
        return f"{'ok ' if self.ok else 'no '} {self.name}: {self.detail}{where}"

    @property
    def remedy(self) -> str:
        """What would happen at the machine and what to change; empty where the check holds."""
        return "" if self.ok else advice(self.name)


@dataclass(frozen=True, kw_only=True)
class Proof:
    """What the replay of a program's text found.

    Attributes
    ----------
    checks : tuple of Check
        Every question put.
    gouge_mm : float or None
        Deepest cut into the part, 0 where there is none.
    leftover_mm : float or None
        Most left on the edge where the cutter reaches.
    deepest_mm : float or None
        Lowest z.
    bounds_mm : tuple of 6 floats or None
        Least x, y, z and greatest x, y, z of the cutter's centre.
    loose_pieces : int or None
        Pieces of stock that nothing holds at the end.
    program_sha256 : str
        Hash of the text judged.
    drawing_sha256, job_sha256 : str
        Hashes of what it was judged against; empty where they were not told.
    header : "none", "matches" or "changed"
        Whether the text's header carries a verdict, and if it was given for this very text.

    Examples
    --------
    >>> proof = Proof(checks=(Check(name="depth", ok=True, detail="-6.3 mm"),), gouge_mm=0.0,
    ...     leftover_mm=0.01, deepest_mm=-6.3, bounds_mm=None, loose_pieces=1, program_sha256="")
    >>> proof
    Proof(pass: gouge 0.000 mm, leftover 0.010 mm, 1 of 1 checks hold)
    """

    checks: tuple[Check, ...]
    gouge_mm: float | None
    leftover_mm: float | None
    deepest_mm: float | None
    bounds_mm: tuple[float, ...] | None
    loose_pieces: int | None
    program_sha256: str
    drawing_sha256: str = ""
    job_sha256: str = ""
    header: HeaderMark = "none"

    @property
    def verdict(self) -> Literal["pass", "fail"]:
        """Whether every check holds, in one word."""
        return "pass" if all(check.ok for check in self.checks) else "fail"

    @property
    def failed(self) -> tuple[Check, ...]:
        """The checks that do not hold."""
        return tuple(check for check in self.checks if not check.ok)

    def as_dict(self) -> dict[str, Any]:
        """Return the proof as the report writes it."""
        return {
            "verdict": self.verdict,
            "program_sha256": self.program_sha256,
            "drawing_sha256": self.drawing_sha256 or None,
            "job_sha256": self.job_sha256 or None,
            "header": self.header,
            "gouge_mm": self.gouge_mm,
            "leftover_mm": self.leftover_mm,
            "deepest_mm": self.deepest_mm,
            "bounds_mm": None if self.bounds_mm is None else list(self.bounds_mm),
            "loose_pieces": self.loose_pieces,
            "checks": [_plain(asdict(check)) for check in self.checks],
        }

    def __repr__(self) -> str:
        figures = ", ".join(
            f"{name} {'unknown' if value is None else f'{value:.3f} mm'}"
            for name, value in (("gouge", self.gouge_mm), ("leftover", self.leftover_mm))
        )
        held = f"{len(self.checks) - len(self.failed)} of {len(self.checks)} checks hold"
        return f"Proof({self.verdict}: {figures}, {held})"

    def __str__(self) -> str:
        lines = [repr(self)]
        for check in self.checks:
            lines += [f"{check}", *([f"      {check.remedy}"] if check.remedy else [])]
        return "\n".join([*lines, *self.about_header])

    @property
    def about_header(self) -> tuple[str, ...]:
        """What became of the verdict that the text's own header carries; empty without one."""
        if self.header == "changed":
            return ("the header's verdict no longer matches: the text was changed after it",)
        return ("the header's verdict was given for this text",) * (self.header == "matches")

    def _repr_html_(self) -> str:
        ordered = sorted(self.checks, key=lambda check: check.ok)
        rows = [
            (
                "ok" if c.ok else "NO",
                c.name,
                c.detail,
                "" if c.at_mm is None or c.ok else f"{c.at_mm[0]:.2f}, {c.at_mm[1]:.2f}",
                "" if c.line is None else f"{c.line}",
            )
            for c in ordered
        ]
        heads = ("", "check", "found", "x, y mm", "line")
        return html_table(heads, rows, caption=repr(self), below=self.about_header)


def _plain(check: dict[str, Any]) -> dict[str, Any]:
    """Make a check's place a list, as JSON has no tuples."""
    place = check["at_mm"]
    return {**check, "at_mm": None if place is None else list(place)}
