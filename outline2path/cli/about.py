"""`outline2path about`: versions, and a drawing's figures without its content.

What it prints can go with a report of a fault: it names no file, no folder, no text and no
coordinate of the drawing.
"""

from __future__ import annotations

import argparse
import platform
import sys
from collections import Counter
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from outline2path.errors import DrawingError

__all__ = ["run"]

_PACKAGES = (
    "outline2path",
    "numpy",
    "shapely",
    "pyclipper",
    "tinycss2",
    "cssselect2",
    "matplotlib",
)
_SHOWN = 20


def run(args: argparse.Namespace) -> int:
    """Print versions and, for a drawing, counts; return 0."""
    print(f"{'Python':14s} {platform.python_version()} ({sys.platform}, {platform.machine()})")
    for name in _PACKAGES:
        print(f"{name:14s} {_version(name)}")
    if args.drawing:
        _tell_drawing(args.drawing)
    return 0


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return "not installed"


def _tell_drawing(name: str) -> None:
    """Print how large a drawing is and what kinds of things it holds."""
    from outline2path.drawing.document import parse_document, unpack

    try:
        data = unpack(Path(name).read_bytes())
    except OSError as fault:
        raise DrawingError(
            f"cannot read {name}: {fault.strerror}", value=name, remedy="check the name"
        ) from fault
    print(f"{'bytes':14s} {len(data)}")
    root = parse_document(data).root
    tags: Counter[str] = Counter()
    attributes: Counter[str] = Counter()
    longest = deepest = 0
    waiting = [(root, 1)]
    while waiting:
        element, depth = waiting.pop()
        deepest = max(deepest, depth)
        tags[element.name] += 1
        attributes.update(element.attrib.keys())
        longest = max([longest, *(len(text) for text in element.attrib.values())])
        waiting += [(child, depth + 1) for child in element.children]
    print(f"{'elements':14s} {sum(tags.values())}, {deepest} deep")
    print(f"{'longest value':14s} {longest} letters")
    for what, counted in (("elements", tags), ("attributes", attributes)):
        shown = ", ".join(f"{number} {name}" for name, number in counted.most_common(_SHOWN))
        print(f"{what:14s} {shown}")
