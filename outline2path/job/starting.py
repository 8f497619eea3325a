"""Starting: the text of a new job's file, full of comments, that is itself a valid job.

In: nothing. Out: text. The job needs no other file: its drawings are made of path data, a slot
and a line of text. Below it, every operation and table is listed with its keys and defaults, as
comments made from the functions themselves.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from outline2path.job.keys import Key

__all__ = ["new_job_text"]

_START = """\
# A job for outline2path: change it, then run
#     outline2path job THIS_FILE.toml -o FOLDER
# Lengths carry a unit ("6 mm", "1/8 in"); a bare number is millimetres.
#
# The figures are starting points. The manual of your machine, local codes and trained supervision
# come first: eye and ear protection, dust extraction, work held fast, never leave a running mill.

[job]
name = "tag with a slot"
zero = "stock-corner"      # where x 0, y 0 is: or "lower-left", "centre" of the parts
placed = "as-drawn"        # drawings lie where `at` says, from the stock's lower left corner

[stock]
size = "160 x 100 x 9 mm"  # width x height x thickness; measure the thickness
material = "birch plywood"

[machine]
travel = "280 x 200 x 60 mm"

[cutters.small]
diameter = "1/8 in"
flutes = 2
flute_length = "12 mm"

# A drawing can come from an SVG file beside this one:
#     [drawings.heron]
#     file = "heron.svg"
#     width = "140 mm"
#     at = ["15 mm", "15 mm"]
#     fit = { drawn = "6 mm", thickness = "5.8 mm", clearance = "0.1 mm" }

[drawings.tag]
path = { d = "M0 0 H80 A15 15 0 0 1 95 15 V45 A15 15 0 0 1 80 60 H0 Z" }  # path data in mm
at = ["30 mm", "20 mm"]

[drawings.mortise]         # takes a tenon 24 mm long, measured 5.8 mm thick, with 0.1 mm of play
slot = { length = "24 mm", thickness = "5.8 mm", clearance = "0.1 mm" }
at = ["45 mm", "32 mm"]
relief = { cutter = "small", side = "inside" }  # so that the tenon's square corners seat

[drawings.hole]
path = { d = "M0 3 A3 3 0 0 0 6 3 A3 3 0 0 0 0 3 Z" }
at = ["110 mm", "47 mm"]

[[set_up]]

[[set_up.step]]
do = "pocket"
drawing = "mortise"
cutter = "small"
depth = "4 mm"

[[set_up.step]]
do = "drill"
holes = "hole"
cutter = "small"           # wider than the cutter: bored in a helix

[[set_up.step]]
do = "profile"
drawing = "tag"
cutter = "small"
tabs = 4

# The same blank turned over would go on like this:
#     [[set_up]]
#     turn_over = "y"
#     [[set_up.step]]
#     do = "pocket"
# and another blank like this:
#     [[set_up]]
#     new_blank = { size = "160 x 100 x 6 mm", material = "birch plywood" }
"""


def new_job_text() -> str:
    """Return a commented starting file for a job.

    Examples
    --------
    >>> new_job_text().startswith("# A job for outline2path")
    True
    """
    from outline2path.job.tables import file_keys, step_keys  # loaded when needed

    lines = ["", "# What each table may say, with its default:"]
    for name, key in file_keys().items():
        kind = key.kinds[0]
        if kind.name != "tables":
            lines += ["#", f"# [{name}.NAME]" if kind.name == "named" else f"# [{name}]"]
            lines += _listed(kind.keys or {})
    for name, keys in step_keys().items():
        lines += ["#", "# [[set_up.step]]", f'# do = "{name}"', *_listed(keys)]
    return _START + "\n".join(lines) + "\n"


def _listed(keys: Mapping[str, Key]) -> Iterator[str]:
    """Write keys as comments."""
    for key in keys.values():
        choices = [c for kind in key.kinds for c in kind.choices]
        said = f"  # {', '.join(choices)}" if choices else ""
        yield f"#   {key.name} = {_default(key)}{said}"


def _default(key: Key) -> str:
    if key.required:
        return "..."
    if key.default is None:
        return f"({key.kinds[0].name}, may be left out)"
    return _toml(key.default)


def _toml(value: Any) -> str:
    """Write a value as TOML does."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, tuple | list):
        return f"[{', '.join(map(_toml, value))}]"
    return f'"{value}"' if isinstance(value, str) else f"{value:g}"
