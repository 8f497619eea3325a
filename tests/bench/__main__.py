"""Figures that are measured rather than tested: `python -m tests.bench NAME [options]`."""

import sys

from tests.bench import corpora, fuzz, mutants, reading
from tests.proof import tampering

FIGURES = {
    "corpora": corpora.main,
    "fuzz": fuzz.main,
    "mutants": mutants.main,
    "reading": reading.main,
    "tamper": tampering.report,
}


def main(arguments: list[str]) -> int:
    if not arguments or arguments[0] not in FIGURES:
        print(f"usage: python -m tests.bench [{' | '.join(FIGURES)}]", file=sys.stderr)
        return 2
    return FIGURES[arguments[0]](arguments[1:]) or 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
