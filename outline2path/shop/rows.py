"""Rows: a worksheet as values, as text and as a table for a notebook.

In: figures with their formula, source and usual range. Out: the same, and a warning for each one
outside its range. Units are those each row names.
"""

from __future__ import annotations

from dataclasses import dataclass

from outline2path.findings import Finding
from outline2path.notebook import html_table
from outline2path.shop.feeds import Feeds

__all__ = ["Row", "Worksheet"]

_SLACK = 0.05
"""Share by which a figure may pass a rule of thumb before it is told."""


@dataclass(frozen=True, kw_only=True)
class Row:
    """One figure of a worksheet.

    Attributes
    ----------
    name : str
        What it is.
    value : float
        In `unit`.
    unit : str
        Short.
    formula : str
        How it follows from the others; empty where it was asked for.
    source : str
        Where the formula comes from.
    usual : (float or None, float or None)
        Least and greatest usual value; None where there is no limit.
    usual_source : str
        Where the range comes from.
    reason, better : str
        What is wrong outside the range, and a better value, in words; empty inside it.

    Examples
    --------
    >>> row = Row(name="feed", value=3000, unit="mm/min", usual=(None, 2500),
    ...           usual_source="the mill", reason="too fast", better="at most 2500 mm/min")
    >>> row.ok, row.usual_words
    (False, 'up to 2500')
    >>> print(row.finding().message)
    feed 3000 mm/min: too fast; usual up to 2500 mm/min (the mill)
    """

    name: str
    value: float
    unit: str
    formula: str = ""
    source: str = ""
    usual: tuple[float | None, float | None] = (None, None)
    usual_source: str = ""
    reason: str = ""
    better: str = ""

    @property
    def ok(self) -> bool:
        """Whether it lies in its usual range, to within a twentieth."""
        low, high = self.usual
        return (low is None or self.value >= low * (1 - _SLACK)) and (
            high is None or self.value <= high * (1 + _SLACK)
        )

    @property
    def usual_words(self) -> str:
        """The usual range as people write it."""
        low, high = self.usual
        if low is None and high is None:
            return ""
        if low is None:
            return f"up to {high:.4g}"
        return f"from {low:.4g}" if high is None else f"{low:.4g} to {high:.4g}"

    def finding(self) -> Finding:
        """Return the warning for a row outside its range."""
        low, high = self.usual
        beyond = high if high is not None and self.value > high else low
        return Finding(
            code=f"sheet-{self.name.replace(' ', '-')}",
            severity="warning",
            message=f"{self.name} {self.value:.4g} {self.unit}: {self.reason}; usual "
            f"{self.usual_words} {self.unit} ({self.usual_source})",
            value=self.value,
            limit=beyond,
            unit=self.unit,
            remedy=f"{self.better}, or keep your own figure if your machine's manual gives it",
        )


@dataclass(frozen=True, eq=False)
class Worksheet:
    """All figures of one cut.

    Attributes
    ----------
    rows : tuple of Row
        In the order in which they follow from one another.
    feeds : Feeds
        Speed, feed and plunge as asked for.

    Examples
    --------
    >>> row = Row(name="force", value=5.4, unit="N", formula="kc ap h")
    >>> sheet = Worksheet((row,), Feeds(rpm=9000, feed=900, plunge=300))
    >>> sheet["force"], sheet.findings
    (5.4, ())
    """

    rows: tuple[Row, ...]
    feeds: Feeds

    def __getitem__(self, name: str) -> float:
        return {row.name: row.value for row in self.rows}[name]

    @property
    def findings(self) -> tuple[Finding, ...]:
        """A warning for each figure outside its usual range."""
        return tuple(row.finding() for row in self.rows if not row.ok)

    def __str__(self) -> str:
        lines = [
            f"{row.name:<18}{row.value:>10.4g} {row.unit:<9}{row.formula:<26}"
            f"{row.usual_words}{'' if row.ok else '  <- look at this'}".rstrip()
            for row in self.rows
        ]
        return "\n".join([*lines, *map(str, self.findings)])

    def _repr_html_(self) -> str:
        heads = ("figure", "value", "unit", "formula", "usual", "", "source")
        cells = [
            (
                row.name,
                f"{row.value:.4g}",
                row.unit,
                row.formula,
                row.usual_words,
                "" if row.ok else "look at this",
                "; ".join(filter(None, (row.source, row.usual_source))),
            )
            for row in self.rows
        ]
        return html_table(heads, cells, below=[str(finding) for finding in self.findings])
