"""Figures that are measured rather than tested: `python -m tests.bench NAME`."""

import sys

from tests.proof import tampering

FIGURES = {"tamper": tampering.report}


def main(names: list[str]) -> int:
    unknown = [n for n in names if n not in FIGURES]
    if unknown or not names:
        print(f"usage: python -m tests.bench [{' | '.join(FIGURES)}]", file=sys.stderr)
        return 2
    for name in names:
        FIGURES[name]()
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
