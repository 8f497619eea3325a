"""Telling: many findings of one kind told one by one up to a number, the rest in one sentence.

In: findings. Out: the same in the same order, at most so many of each code, and one more finding
for each code of which some were left out.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace

from outline2path.findings import Finding

__all__ = ["at_most"]


def at_most(findings: Iterable[Finding], *, most: int = 20) -> list[Finding]:
    """Return findings, at most so many of each code, with a last one that counts the rest.

    Examples
    --------
    >>> spots = [Finding(code="thin", severity="warning", message=f"spot {n}") for n in range(5)]
    >>> [finding.message for finding in at_most(spots, most=2)]
    ['spot 0', 'spot 1', '3 more places like these: spot 4, for one']
    """
    kept, seen, last = list[Finding](), Counter[str](), dict[str, Finding]()
    for finding in findings:
        seen[finding.code] += 1
        if seen[finding.code] <= most:
            kept.append(finding)
        last[finding.code] = finding
    for code, finding in last.items():
        rest = seen[code] - most
        if rest == 1:
            kept.append(finding)
        elif rest > 1:
            message = f"{rest} more places like these: {finding.message}, for one"
            kept.append(replace(finding, message=message))
    return kept
