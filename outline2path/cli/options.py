"""The options of every subcommand, with units and defaults, and nothing else.

Values are read into mm, mm/min, rpm and degrees as they are parsed, so that a wrong unit is
refused with the option's name before anything is loaded.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from typing import NoReturn

from outline2path.errors import UnitError
from outline2path.tolerance import DEFAULT_TOLERANCE_MM
from outline2path.units import parse_angle, parse_feed, parse_length, parse_speed

__all__ = ["build_parser"]

_ABOUT = "From an SVG outline to a judged cutter path for a small mill."
_CARE = (
    "Lengths carry a unit (3.175mm, 1/8in); a bare number is millimetres. The machine's manual, "
    "local codes and trained supervision come first: eyes, ears, dust, and never unattended."
)


class _Parser(argparse.ArgumentParser):
    """Says what is wrong in one line, without the whole usage."""

    def error(self, message: str) -> NoReturn:
        print(f"{self.prog}: {message}; see {self.prog} --help", file=sys.stderr)
        raise SystemExit(2)


def build_parser() -> argparse.ArgumentParser:
    """Return the parser of the whole command.

    Examples
    --------
    >>> build_parser().parse_args(["check", "a.svg", "--cutter", "1/8in"]).cutter
    3.175
    """
    parser = _Parser(prog="outline2path", description=_ABOUT, epilog=_CARE)
    parser.add_argument("--version", action=_Version, nargs=0, help="tell the version and stop")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    _cut(commands.add_parser("cut", help="write a program that cuts the outline", epilog=_CARE))
    _check(
        commands.add_parser(
            "check", help="say where the cutter cannot get before wood is bought", epilog=_CARE
        )
    )
    _read(commands.add_parser("read", help="say what the drawing holds, with sizes"))
    _job(
        commands.add_parser(
            "job", help="write every program of a whole job, with its sheet", epilog=_CARE
        )
    )
    _prove(commands.add_parser("prove", help="replay a program against its drawing or its job"))
    _demo(commands.add_parser("demo", help="make a whole worked job in a folder, offline"))
    _about(commands.add_parser("about", help="versions and a drawing's figures, for a report"))
    for command in commands.choices.values():
        command.add_argument(
            "--verbose", action="store_true", help="tell each stage, its counts and its time"
        )
    return parser


class _Version(argparse.Action):
    """Tell the version where it is asked for; looking it up takes time at every start."""

    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> NoReturn:
        from importlib.metadata import version

        print(f"outline2path {version('outline2path')}")
        parser.exit()


def _unit(read: Callable[[str], float]) -> Callable[[str], float]:
    """Turn a reader of quantities into an argparse type with the reader's own words."""

    def convert(text: str) -> float:
        try:
            return read(text)
        except UnitError as error:
            raise argparse.ArgumentTypeError(str(error)) from None

    return convert


_LENGTH = _unit(parse_length)
_FEED = _unit(parse_feed)
_SPEED = _unit(parse_speed)
_ANGLE = _unit(parse_angle)


def _drawing(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("drawing", metavar="DRAWING.svg", help="- reads it from stdin")
    _size(parser)


def _size(parser: argparse.ArgumentParser) -> None:
    """Add what every command that reads a drawing shares."""
    read = parser.add_argument_group("reading the drawing")
    read.add_argument(
        "--select", metavar="WHAT", help='only these shapes: "#heron", "layer=Cut, fill=red"'
    )
    read.add_argument(
        "--strokes", choices=("ignore", "outline", "centreline"), help="what lines mean"
    )
    read.add_argument(
        "--paint", choices=("union", "visible"), default="union", help="all paint, or what shows"
    )
    read.add_argument("--ppi", type=float, default=96.0, metavar="N", help="pixels to the inch")
    size = parser.add_argument_group("size and place (turned, then mirrored, then sized)")
    one = size.add_mutually_exclusive_group()
    one.add_argument("--width", type=_LENGTH, metavar="W", help="finished width, in proportion")
    one.add_argument("--height", type=_LENGTH, metavar="H", help="finished height, in proportion")
    one.add_argument("--scale", type=float, metavar="S", help="1 is the drawing's true size")
    size.add_argument("--rotate", type=_ANGLE, default=0.0, metavar="DEG", help="to the left")
    size.add_argument("--mirror", action="store_true", help="as seen from the other face")
    parser.add_argument(
        "--tolerance",
        type=_LENGTH,
        default=DEFAULT_TOLERANCE_MM,
        metavar="T",
        help="most that may be left on the part where the cutter reaches (0.02mm)",
    )


def _outputs(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--report", metavar="REPORT.json", help="write the report; - prints it")
    parser.add_argument("--picture", metavar="PICTURE.png", help="write a picture (png, pdf, svg)")


def _cutting(parser: argparse.ArgumentParser, *, needed: bool = True) -> None:
    """Add what `cut` and `prove` share: how the part is to be cut."""
    parser.add_argument(
        "--cutter", type=_LENGTH, required=needed, metavar="D", help="cutting diameter"
    )
    parser.add_argument("--flutes", type=int, default=2, metavar="N", help="cutting edges (2)")
    parser.add_argument(
        "--thickness", type=_LENGTH, required=needed, metavar="H", help="of the stock, as measured"
    )
    parser.add_argument("--material", default="plywood", metavar="NAME", help="(plywood)")
    parser.add_argument("--side", choices=("outside", "inside", "on"), default="outside")
    parser.add_argument(
        "--allowance",
        type=_LENGTH,
        default=0.0,
        metavar="A",
        help="left on the part for good (0mm)",
    )
    depth = parser.add_argument_group("depth")
    depth.add_argument(
        "--depth-per-pass",
        type=_LENGTH,
        default=1.5,
        metavar="P",
        help="most that one pass takes (1.5mm)",
    )
    depth.add_argument(
        "--through", type=_LENGTH, default=0.3, metavar="T", help="below the stock (0.3mm)"
    )
    depth.add_argument(
        "--finish-allowance",
        type=_LENGTH,
        default=0.0,
        metavar="A",
        help="left for a last, fine pass (0mm)",
    )
    hold = parser.add_argument_group("holding the part")
    hold.add_argument("--tabs", type=int, default=0, metavar="N", help="tabs on each edge (0)")
    hold.add_argument(
        "--tab-length", type=_LENGTH, default=6.0, metavar="L", help="along the edge (6mm)"
    )
    hold.add_argument(
        "--tab-height",
        type=_LENGTH,
        default=1.5,
        metavar="H",
        help="above the stock's bottom (1.5mm)",
    )
    way = parser.add_argument_group("way of cutting")
    way.add_argument("--lead", choices=("arc", "line", "none"), default="arc")
    way.add_argument("--entry", choices=("plunge", "ramp", "helix"), default="plunge")
    way.add_argument("--direction", choices=("climb", "conventional"), default="climb")
    way.add_argument("--feed", type=_FEED, metavar="F", help="feed, mm/min or with unit: 72in/min")
    way.add_argument("--plunge", type=_FEED, metavar="F", help="feed straight down")
    way.add_argument("--speed", type=_SPEED, metavar="RPM", help="spindle speed")
    way.add_argument(
        "--clearance",
        type=_LENGTH,
        default=5.0,
        metavar="Z",
        help="of rapids above the stock (5mm)",
    )
    program = parser.add_argument_group("program")
    program.add_argument("--units", choices=("mm", "in"), default="mm")
    program.add_argument(
        "--zero", choices=("lower-left", "centre", "stock-corner"), default="lower-left"
    )
    program.add_argument("--zero-z", choices=("top", "bottom"), default="top")


def _cut(parser: argparse.ArgumentParser) -> None:
    _drawing(parser)
    parser.add_argument("-o", "--output", required=True, metavar="PROGRAM.nc")
    _outputs(parser)
    _cutting(parser)
    parser.add_argument(
        "--force", action="store_true", help="write in spite of error findings (exit code 1)"
    )


def _check(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "drawing", nargs="+", metavar="DRAWING.svg", help="one or many; - reads from stdin"
    )
    parser.add_argument("--jobs", type=int, default=1, metavar="N", help="processes for many (1)")
    _size(parser)
    _outputs(parser)
    parser.add_argument(
        "--cutter", type=_LENGTH, required=True, metavar="D", help="cutting diameter"
    )
    parser.add_argument("--flutes", type=int, default=2, metavar="N", help="cutting edges (2)")
    parser.add_argument("--side", choices=("outside", "inside", "on"), default="outside")
    parser.add_argument("--allowance", type=_LENGTH, default=0.0, metavar="A", help="(0mm)")
    parser.add_argument(
        "--thin-wall", type=_LENGTH, default=1.0, metavar="W", help="report thinner walls (1mm)"
    )


def _read(parser: argparse.ArgumentParser) -> None:
    _drawing(parser)
    parser.add_argument("--wkt", metavar="OUT.wkt", help="write the outline as one MULTIPOLYGON")
    parser.add_argument("--svg", metavar="OUT.svg", help="write the outline as a clean drawing")


def _prove(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("program", metavar="PROGRAM.nc")
    wanted = parser.add_mutually_exclusive_group(required=True)
    wanted.add_argument("--job", metavar="JOB.toml", help="the job it belongs to")
    wanted.add_argument(
        "--drawing", metavar="DRAWING.svg", help="the drawing, with the options of cut"
    )
    _size(parser)
    parser.add_argument("--report", metavar="REPORT.json", help="write the report; - prints it")
    _cutting(parser, needed=False)


def _job(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", metavar="JOB.toml")
    parser.add_argument("-o", "--output", metavar="FOLDER", help="made where it is missing")
    parser.add_argument("--new", action="store_true", help="write a commented starting file")
    parser.add_argument("--force", action="store_true", help="write in spite of errors")


def _about(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("drawing", nargs="?", metavar="DRAWING.svg")


def _demo(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("folder", nargs="?", default="outline2path-demo", metavar="FOLDER")
