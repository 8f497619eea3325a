"""Notes: what a reader must tell about a drawing, gathered while it reads.

One line of a drawing can be wrong in ten thousand places. The first few of each kind are told one
by one, with the element concerned; the rest are counted. Nothing is dropped without a word.
"""

from __future__ import annotations

from collections import Counter

from outline2path.findings import Finding, Severity

__all__ = ["Notes"]

_EACH = 5


class Notes:
    """Gathers findings.

    Examples
    --------
    >>> notes = Notes()
    >>> for line in range(7):
    ...     notes.add("bad-path", "warning", f"line {line} is odd")
    >>> [f.message for f in notes.findings()][-2:]
    ['line 4 is odd', 'and 2 more like that (bad-path)']
    """

    def __init__(self) -> None:
        self._found: dict[str, list[Finding]] = {}
        self._counts: Counter[str] = Counter()

    def add(
        self,
        code: str,
        severity: Severity,
        message: str,
        *,
        remedy: str | None = None,
        at_mm: tuple[float, float] | None = None,
        value: float | None = None,
        unit: str | None = None,
    ) -> None:
        """Add one finding; see `Finding` for the fields."""
        self._counts[code] += 1
        known = self._found.setdefault(code, [])
        if len(known) < _EACH:
            known.append(
                Finding(
                    code=code,
                    severity=severity,
                    message=message,
                    remedy=remedy,
                    at_mm=at_mm,
                    value=value,
                    unit=unit,
                )
            )

    def count(self, code: str) -> int:
        """Return how many findings of one code there are."""
        return self._counts[code]

    def findings(self) -> tuple[Finding, ...]:
        """Return what was gathered, kind by kind in the order of first appearance."""
        result: list[Finding] = []
        for code, known in self._found.items():
            result.extend(known)
            more = self._counts[code] - len(known)
            if more:
                result.append(
                    Finding(
                        code=code,
                        severity=known[0].severity,
                        message=f"and {more} more like that ({code})",
                        remedy=known[0].remedy,
                    )
                )
        return tuple(result)
