"""Reading time beside a plain SVG parser's own parse of the same files, in one run.

    python -m tests.benchmarks.bench_read [--icons FOLDER] [--quick]

Ratio: `read_outline` with its region, so flattened, filled, united and told, nothing put off,
over svgelements' `SVG.parse`, which only parses. The mean is over the sets, each counting once.
Both take turns on the same bytes; each time is the least of a few runs. The icons are
the everyday drawings that `python -m tests.bench reading` keeps, 100 of each set; without them
the demo art is read. Then how our time grows when a drawing doubles in elements, in depth
and in the length of a path: 2 is linear.
"""

from __future__ import annotations

import argparse
import io
import math
import os
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
from svgelements import SVG

from outline2path.drawing.limits import Limits
from outline2path.drawing.reader import read_outline
from outline2path.errors import DrawingError
from tests.bench.corpora import HOME

ART = Path(__file__).parents[2] / "demo_art"
OPEN = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="500mm" height="500mm" viewBox="0 0 500 500">'
)
AMPLE = Limits(elements=200_000, drawn=200_000, segments=500_000, depth=300)
BAR = 1.5


def page(body: str) -> bytes:
    return f"{OPEN}{body}</svg>".encode()


def cubics(n: int) -> bytes:
    """One closed wavy path of n cubics, smooth where they meet."""
    t = np.linspace(0, 2 * math.pi, n + 1)
    r, turn = 200 + 20 * np.sin(40 * t), np.exp(1j * t)
    at = (250 + 250j) + r * turn
    slope = (800 * np.cos(40 * t) + 1j * r) * turn * (2 * math.pi / n / 3)
    rows = zip((at + slope)[:-1], (at - slope)[1:], at[1:], strict=True)
    points = (" ".join(f"{p.real:.5f} {p.imag:.5f}" for p in row) for row in rows)
    return page(f'<path d="M{at[0].real:.5f} {at[0].imag:.5f}C{" ".join(points)}Z"/>')


def rects(n: int) -> bytes:
    side = math.isqrt(n) + 1
    step = 480 / side
    return page(
        "".join(
            f'<rect x="{k % side * step:.3f}" y="{k // side * step:.3f}" width="{step * 0.6:.3f}" '
            f'height="{step * 0.7:.3f}"/>'
            for k in range(n)
        )
    )


def groups(depth: int, shapes: int = 200) -> bytes:
    shape = '<path d="M1 1h3v3z"/>' * shapes
    return page('<g transform="translate(.1 .1)">' * depth + shape + "</g>" * depth)


def ours(data: bytes) -> None:
    try:
        _ = read_outline(data, limits=AMPLE).region
    except DrawingError as error:
        if "nothing to cut" not in error.message:
            raise


def theirs(data: bytes) -> None:
    SVG.parse(io.BytesIO(data))


def seconds(work: Callable[[bytes], None], data: bytes) -> float:
    begin = time.process_time()
    work(data)
    return time.process_time() - begin


def least(data: bytes, runs: int = 3) -> tuple[float, float]:
    """Least processor time of ours and of the parser's, turn by turn."""
    pairs = [(seconds(ours, data), seconds(theirs, data)) for _ in range(runs)]
    return min(a for a, _ in pairs), min(b for _, b in pairs)


def everyday(folder: Path, each: int) -> Iterator[tuple[str, list[bytes]]]:
    """Sets of drawings, spread over their names."""
    sets = [s for s in sorted(folder.glob("*")) if s.is_dir()] or [ART]
    for name in sets:
        files = sorted(name.glob("*.svg"))
        yield name.name, [f.read_bytes() for f in files[:: max(len(files) // each, 1)]][:each]


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--icons", type=Path, default=Path(os.environ.get("O2P_CORPORA", HOME)))
    parser.add_argument("--each", type=int, default=100, help="drawings of each set")
    options = parser.parse_args()
    least(page('<rect width="9" height="9"/>'))  # the first run loads modules
    print(f"{'drawings':28}{'ours ms':>10}{'parser ms':>11}{'ratio':>8}   (bar: {BAR})")
    means = []
    for name, files in everyday(options.icons, options.each):
        times = [least(data) for data in files]
        means.append([sum(t) / len(times) for t in zip(*times, strict=True)])
        line(f"{name} ({len(files)})", *means[-1])
    one, two = np.mean(means, axis=0)
    line("mean of the sets", one, two, ratio=float(np.mean([a / b for a, b in means])))
    for name, data in (("100000 cubics", cubics(100_000)), ("16000 rects", rects(16_000))):
        line(name, *least(data, runs=2))
    print(f"\n{'doubled':28}{'ours n ms':>10}{'2n ms':>11}{'growth':>8}   (linear: 2)")
    for name, make, n in (
        ("elements, rects 8000", rects, 8_000),
        ("depth, groups 100", groups, 100),
        ("path length, cubics 50000", cubics, 50_000),
    ):
        one, two = (min(seconds(ours, make(k)) for _ in range(2)) for k in (n, 2 * n))
        line(name, one, two, ratio=two / one)


def line(name: str, one: float, two: float, *, ratio: float | None = None) -> None:
    share = one / two if ratio is None else ratio
    print(f"{name:28}{one * 1000:10.2f}{two * 1000:11.2f}{share:8.2f}")


if __name__ == "__main__":
    main()
