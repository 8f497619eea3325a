"""Tampering with real programs: every kind of change, each on some programs in turn.

`python -m tests.bench tamper` prints the shares. Each kind of change goes to `turns` programs, the
next kind to the next ones, so that every program of every demo drawing and kind of step is
changed in many ways; `--all` tries every kind on every program.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache

from outline2path.proof.judge import judge
from tests.proof.demo_harm import HARM, Trial, trial
from tests.proof.demo_no_harm import NO_HARM
from tests.proof.demos import demo_programs

TURNS = 2


@cache
def trials() -> dict[str, Trial]:
    """Every program, spelled out."""
    return {name: trial(p.program.text, p.expected) for name, p in demo_programs().items()}


@dataclass
class Shares:
    """What was tried, and what the judge got wrong."""

    harmful: int = 0
    harmless: int = 0
    missed: list[str] = field(default_factory=list)
    alarms: list[str] = field(default_factory=list)
    kinds: set[str] = field(default_factory=set)
    programs: set[str] = field(default_factory=set)
    named: dict[str, set[str]] = field(default_factory=dict)

    def told(self) -> str:
        found = self.harmful - len(self.missed)
        return "\n".join(
            [
                f"harmful changes to demo programs found: {found} of {self.harmful} "
                f"({found / max(self.harmful, 1):.1%})",
                f"harmless ones with a false alarm: {len(self.alarms)} of {self.harmless}",
                f"kinds: {len(self.kinds & set(HARM))} harmful, "
                f"{len(self.kinds & set(NO_HARM))} harmless, on {len(self.programs)} programs",
                *(f"  missed: {name}" for name in self.missed),
                *(f"  false alarm: {name}" for name in self.alarms),
            ]
        )


def tries(*, turns: int | None = TURNS, seed: int = 1) -> Iterator[tuple[bool, str, str, Trial]]:
    """Give changes to programs in turn: harmful or not, the kind, the program, the result."""
    names = list(trials())
    at = seed
    for bad, table in ((True, HARM), (False, NO_HARM)):
        for kind, change in table.items():
            count = 0
            for step in range(len(names)):
                name = names[(at + step) % len(names)]
                chance = random.Random(f"{seed} {name} {kind}")  # noqa: S311
                changed = change(trials()[name], chance)
                if changed is not None:
                    count += 1
                    yield bad, kind, name, changed
                if turns is not None and count == turns:
                    at += step + 1
                    break


def shares(*, turns: int | None = TURNS, seed: int = 1) -> Shares:
    """Judge them all."""
    found = Shares()
    for bad, kind, name, changed in tries(turns=turns, seed=seed):
        proof = judge(changed.text, changed.expected)
        found.kinds.add(kind)
        found.programs.add(name)
        if bad:
            found.harmful += 1
            found.named.setdefault(kind, set()).update(check.name for check in proof.failed)
            found.missed += [f"{kind} ({name})"] * (proof.verdict == "pass")
        else:
            found.harmless += 1
            told = ", ".join(check.name for check in proof.failed)
            found.alarms += [f"{kind} ({name}): {told}"] * (proof.verdict != "pass")
    return found


def report(*, every: bool = False) -> None:
    """Print the shares, and every miss and false alarm by name."""
    print(shares(turns=None if every else TURNS).told(), flush=True)
