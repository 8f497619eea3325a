"""Expected program: everything one program was to make, and what it must not touch.

In: features, the cutter that will be mounted, stock, machine, clamps, and the programs run before
it on the same blank in the same set-up. Out: a frozen value that the judge reads. Lengths in mm,
z in work coordinates, up. `Expected` is the short way to say it for one profile.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

from outline2path.errors import SettingError
from outline2path.proof.expected import Expected
from outline2path.proof.feature import ExpectedTab, Feature
from outline2path.shop.cutter import Cutter

__all__ = ["Earlier", "ExpectedProgram", "KeepOut", "as_program"]


@dataclass(frozen=True, kw_only=True)
class KeepOut:
    """A clamp or a screw: nothing may enter this box.

    Attributes
    ----------
    box_mm : tuple of 4 floats
        x, y least and greatest.
    top_mm : float
        z of its top; it reaches down to the bed.
    name : str
        For people.
    """

    box_mm: tuple[float, float, float, float]
    top_mm: float
    name: str = "a clamp"


@dataclass(frozen=True, kw_only=True, eq=False)
class Earlier:
    """A program that was run before on the same blank in the same set-up.

    Attributes
    ----------
    text : str or bytes
        Its whole text; what it swept is gone.
    cutter : Cutter
        What it was cut with.
    features : tuple of Feature
        What it was allowed to take: a later cutter may enter there too.
    """

    text: str | bytes
    cutter: Cutter
    features: tuple[Feature, ...] = ()


@dataclass(frozen=True, kw_only=True, eq=False)
class ExpectedProgram:
    """What one program was to make.

    Attributes
    ----------
    features : tuple of Feature
        One at least.
    cutter : Cutter
        The cutter that will be mounted.
    top_mm, bottom_mm : float
        z of the highest ground when the program begins, and of the stock's underside.
    clearance_mm : float
        z at or above which the tool may travel sideways by rapid.
    hop_mm : float or None
        Lower z at which it may do so over the stock, away from all clamps.
    depth_per_pass_mm : float or None
        Most that one pass may go deeper.
    travel_mm : tuple of 6 floats or None
        x, y, z least, then greatest, that the machine reaches, in work coordinates.
    stock_mm : tuple of 4 floats or None
        x, y least and greatest of the stock.
    most_feed_mm_min : float, tuple of 3 floats, or None
        What the machine can do along every move, or what its axes x, y and z can do.
    most_rpm : float or None
        Fastest its spindle turns.
    start_mm : tuple of 3 floats or None
        Where the tool stands before, if that is known.
    largest_loose_mm2 : float
        Where tabs hold the part, pieces up to this area may come free (common practice, no
        source: small slugs are left without tabs).
    keep_out : tuple of KeepOut
        Clamps and screws.
    waste_board_mm : float or None
        Lowest z that anything may reach.
    widest_cut_mm : float or None
        Most that may be cut across the way at once.
    most_chip_mm : float or None
        Thickest chip that a tooth may take.
    usual_chip_mm : tuple of 2 floats or None
        The material's usual range of chip load for this cutter: told, never a limit.
    before : tuple of Earlier
        The programs run before this one in the same set-up, in order.
    drawing_sha256, job_sha256 : str
        Hashes of what was asked for, repeated in the proof; empty where unknown.

    Raises
    ------
    SettingError
        When there is no feature, or heights are out of order.

    Examples
    --------
    >>> import shapely
    >>> slot = Feature(kind="pocket", region_fine=shapely.box(0, 0, 40, 6), bottom_mm=-3.0)
    >>> wanted = ExpectedProgram(features=(slot,), cutter=Cutter(3.0), top_mm=0.0, bottom_mm=-6.0,
    ...                          clearance_mm=5.0)
    >>> wanted.deepest_mm, wanted.radius_mm
    (-3.0, 1.5)
    """

    features: tuple[Feature, ...]
    cutter: Cutter
    top_mm: float
    bottom_mm: float
    clearance_mm: float
    depth_per_pass_mm: float | None = None
    travel_mm: tuple[float, float, float, float, float, float] | None = None
    stock_mm: tuple[float, float, float, float] | None = None
    most_feed_mm_min: float | tuple[float, ...] | None = None
    most_rpm: float | None = None
    start_mm: tuple[float, float, float] | None = None
    largest_loose_mm2: float = 150.0
    keep_out: tuple[KeepOut, ...] = ()
    waste_board_mm: float | None = None
    widest_cut_mm: float | None = None
    most_chip_mm: float | None = None
    usual_chip_mm: tuple[float, float] | None = None
    before: tuple[Earlier, ...] = field(default=())
    drawing_sha256: str = ""
    job_sha256: str = ""
    hop_mm: float | None = None

    def __post_init__(self) -> None:
        if not self.features:
            raise SettingError(f"a program of {len(self.features)} features makes nothing")
        if not self.bottom_mm < self.top_mm <= self.clearance_mm:
            raise SettingError(
                f"underside {self.bottom_mm:g}, top {self.top_mm:g} and clearance "
                f"{self.clearance_mm:g} mm are not in this order",
                value=(self.bottom_mm, self.top_mm, self.clearance_mm),
            )

    @property
    def cutter_mm(self) -> float:
        """The cutter's diameter, mm."""
        return self.cutter.diameter_mm

    @property
    def radius_mm(self) -> float:
        """Half the cutter's diameter, mm."""
        return self.cutter.radius_mm

    @property
    def tolerance_mm(self) -> float:
        """The finest tolerance of its features, mm."""
        return min(feature.tolerance_mm for feature in self.features)

    @cached_property
    def deepest_mm(self) -> float:
        """Lowest z that the tip was to reach, mm."""
        return min(feature.tip_mm(self.cutter) for feature in self.features)

    @property
    def tabs(self) -> tuple[ExpectedTab, ...]:
        """All bridges to be left."""
        return tuple(tab for feature in self.features for tab in feature.tabs)

    @property
    def standing(self) -> tuple[ExpectedTab, ...]:
        """All bridges that earlier programs have left and this one must not cut into."""
        return tuple(tab for feature in self.features for tab in feature.standing)


def as_program(expected: Expected | ExpectedProgram) -> ExpectedProgram:
    """Return what was expected in the long form; one profile becomes one feature.

    Examples
    --------
    >>> import shapely
    >>> wanted = Expected(region_fine=shapely.box(0, 0, 9, 9), side="outside", cutter_mm=2.0,
    ...                   top_mm=0.0, bottom_mm=-2.0, clearance_mm=5.0)
    >>> [feature.kind for feature in as_program(wanted).features]
    ['profile']
    """
    if isinstance(expected, ExpectedProgram):
        return expected
    return ExpectedProgram(
        features=(expected.feature,),
        cutter=Cutter(expected.cutter_mm, flute_length=expected.flute_length_mm),
        top_mm=expected.top_mm,
        bottom_mm=expected.bottom_mm,
        clearance_mm=expected.clearance_mm,
        depth_per_pass_mm=expected.depth_per_pass_mm,
        travel_mm=expected.travel_mm,
        stock_mm=expected.stock_mm,
        most_feed_mm_min=expected.most_feed_mm_min,
        most_rpm=expected.most_rpm,
        start_mm=expected.start_mm,
        largest_loose_mm2=expected.largest_loose_mm2,
    )
