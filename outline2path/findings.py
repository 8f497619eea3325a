"""A finding: something a person must know about a drawing, a plan or a program.

Every room may add findings; nothing is dropped on the way to the report, the picture and the
set-up sheet. `code` is a short stable word pair for machines ("narrow-gap"), `message` and
`remedy` are for people.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass, replace
from typing import Any, Literal

__all__ = ["Finding", "Severity", "gathered", "worst"]

Severity = Literal["info", "warning", "error"]
_RANK: dict[str, int] = {"info": 0, "warning": 1, "error": 2}


@dataclass(frozen=True, kw_only=True)
class Finding:
    """One thing to know, with its place, figure, limit and remedy.

    Attributes
    ----------
    code : str
        Stable, lower case, hyphenated.
    severity : "info", "warning" or "error"
        An error finding stops a program from being written.
    message : str
        One sentence for people.
    at_mm : tuple of float or None
        Place in mm, y up, in the coordinates of the outline or program concerned.
    value, limit : float or None
        Figure found and figure allowed, in `unit`.
    unit : str or None
        "mm", "mm2", "mm/min", "rpm", "deg" or another short unit.
    remedy : str or None
        What to change.

    Examples
    --------
    >>> print(Finding(code="narrow-gap", severity="warning", message="gap of 2.1 mm",
    ...               value=2.1, limit=3.175, unit="mm", remedy="use a 2 mm cutter"))
    warning: gap of 2.1 mm; use a 2 mm cutter
    """

    code: str
    severity: Severity
    message: str
    at_mm: tuple[float, float] | None = None
    value: float | None = None
    limit: float | None = None
    unit: str | None = None
    remedy: str | None = None

    def __str__(self) -> str:
        return self.words()

    def words(self, *, places: int = 1) -> str:
        """Return the finding in one line; `places` tells how often it is found alike."""
        place = f" at x {self.at_mm[0]:.2f}, y {self.at_mm[1]:.2f}" if self.at_mm else ""
        more = f" and {places - 1} more like it" if places > 1 else ""
        remedy = f"; {self.remedy}" if self.remedy else ""
        return f"{self.severity}: {self.message}{place}{more}{remedy}"

    def moved(self, at_mm: tuple[float, float] | None) -> Finding:
        """Return the same finding at another place (mm), as when its outline moves."""
        return replace(self, at_mm=at_mm)

    def as_dict(self) -> dict[str, Any]:
        """Return the finding as the report writes it."""
        return asdict(self)


def gathered(findings: Iterable[Finding]) -> list[tuple[Finding, int]]:
    """Return findings gravest first, those with the same words once, with their number.

    Examples
    --------
    >>> shallow = Finding(code="a", severity="info", message="x", at_mm=(0, 0))
    >>> grave = Finding(code="b", severity="error", message="y")
    >>> [(f.code, count) for f, count in gathered([shallow, grave, shallow.moved((5, 0))])]
    [('b', 1), ('a', 2)]
    """
    alike: dict[Finding, list[Finding]] = {}
    for finding in sorted(findings, key=lambda f: -_RANK[f.severity]):
        alike.setdefault(finding.moved(None), []).append(finding)
    return [(found[0], len(found)) for found in alike.values()]


def worst(findings: tuple[Finding, ...]) -> Severity | None:
    """Return the gravest severity among the findings, or None where there are none.

    Examples
    --------
    >>> worst((Finding(code="a", severity="info", message="x"),))
    'info'
    """
    return max((f.severity for f in findings), key=_RANK.__getitem__, default=None)
