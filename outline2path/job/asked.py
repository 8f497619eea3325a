"""Asked: what every operation of a job has in common when a person asks for it.

Figures come with the units and names a person uses; they are read here, and nothing is computed.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypedDict

from outline2path.units import parse_feed, parse_length, parse_speed

if TYPE_CHECKING:
    from outline2path.job.step import Bench, Step

__all__ = ["Asked", "AskedFeeds", "Direction", "Entry", "Lead", "Length", "feeds", "length"]

Length = str | float
Lead = Literal["arc", "line", "none"]
Entry = Literal["plunge", "ramp", "helix"]
Direction = Literal["climb", "conventional"]


class AskedFeeds(TypedDict):
    """What was asked of feeds (mm/min) and spindle speed (rpm), as a step takes it."""

    feed: float | None
    plunge: float | None
    rpm: float | None


class Asked:
    """Whoever keeps the steps that are asked for."""

    bench: Bench

    def _add(self, step: Step) -> None:
        raise NotImplementedError(f"{self!r} keeps no steps")


def length(given: Length | None) -> float | None:
    """Read a length that may be left out, mm.

    >>> length("1/4 in"), length(None)
    (6.35, None)
    """
    return None if given is None else parse_length(given)


def feeds(feed: Length | None, plunge: Length | None, speed: Length | None) -> AskedFeeds:
    """Read what was asked of feeds (mm/min) and spindle speed (rpm).

    >>> feeds("900 mm/min", None, 12000)
    {'feed': 900.0, 'plunge': None, 'rpm': 12000.0}
    """
    return {
        "feed": None if feed is None else parse_feed(feed),
        "plunge": None if plunge is None else parse_feed(plunge),
        "rpm": None if speed is None else parse_speed(speed),
    }
