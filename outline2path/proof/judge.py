"""The judge: does this text make exactly this part, and safely?

In: the program's text alone, and what it was to make. Out: a `Proof`. The text is read back by
the standard and replayed; the judge knows nothing of how the program was planned or written.
Each question is answered by its own module of this room; here they are only put in order.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

from outline2path.errors import ProgramError
from outline2path.proof.body import Body
from outline2path.proof.bridges import tabs
from outline2path.proof.claims import Claim, claims_of
from outline2path.proof.clear import rapids
from outline2path.proof.conduct import conduct
from outline2path.proof.depths import depths, per_pass
from outline2path.proof.engagement import chip_load, width_of_cut
from outline2path.proof.expected import Expected
from outline2path.proof.expected_program import ExpectedProgram, as_program
from outline2path.proof.gouge import Worst
from outline2path.proof.ground import Ground
from outline2path.proof.in_turn import checks_together, turns_of
from outline2path.proof.loose import loose, loose_pieces
from outline2path.proof.mountings import ExpectedMountings
from outline2path.proof.remains import holes, remains
from outline2path.proof.replay import Replay, lowered, ran_before, replay
from outline2path.proof.rim import rim_along
from outline2path.proof.room import bounds_of, room
from outline2path.proof.sweep import Ran
from outline2path.proof.taken import taken
from outline2path.proof.touch import clamps, plunges, shank
from outline2path.proof.verdict import Check, Proof
from outline2path.rs274.mark import mark_of
from outline2path.rs274.motion import Motions
from outline2path.rs274.reader import read_program
from outline2path.tolerance import GOUGE_LIMIT_MM

__all__ = ["judge"]

_UNKNOWN = float("nan")


def judge(text: str | bytes, expected: Expected | ExpectedProgram | ExpectedMountings) -> Proof:
    r"""Judge a program.

    Parameters
    ----------
    text : str or bytes
        The whole program.
    expected : Expected, ExpectedProgram or ExpectedMountings
        What it was to make, with which cutter or cutters, in which stock.

    Returns
    -------
    Proof
        Every check, and the figures; a program that cannot be read fails.

    Raises
    ------
    SettingError
        When an expected region holds no area.

    Examples
    --------
    >>> import shapely
    >>> wanted = Expected(region_fine=shapely.box(0, 0, 9, 9), side="outside", cutter_mm=2.0,
    ...                   top_mm=0.0, bottom_mm=-2.0, clearance_mm=5.0)
    >>> text = ("G21 G17 G90\nM3 S9000\nG0 Z5\nX-1.005 Y-1.005\nG1 Z-2 F300\nY10.005\nX10.005\n"
    ...         "Y-1.005\nX-1.005\nG0 Z5\nM30")
    >>> judge(text, wanted)
    Proof(pass: gouge 0.000 mm, leftover 0.007 mm, 29 of 29 checks hold)
    """
    wanted = expected if isinstance(expected, ExpectedMountings) else as_program(expected)
    motions, reads = _read(text, wanted)
    if motions is None:
        return _proof(text, wanted, (reads,))
    if isinstance(wanted, ExpectedMountings):
        return _in_turn(text, wanted, motions, reads)
    one = _judged(motions, wanted, ran_before(wanted.before, top_mm=wanted.top_mm))
    return _proof(text, wanted, (reads, *one.checks), judged=[one])


@dataclass(frozen=True, kw_only=True, eq=False)
class _Judged:
    """What one cutter did: the checks, and what the figures are taken from."""

    checks: tuple[Check, ...]
    run: Replay
    deep: Check
    left: Check
    loose: int


def _in_turn(
    text: str | bytes, expected: ExpectedMountings, motions: Motions, reads: Check
) -> Proof:
    """Judge every turn of a cutter; what those before it took is gone."""
    found = turns_of(motions, expected)
    ran = ran_before(expected.before, top_mm=expected.top_mm)
    judged = []
    for turn in found.turns:
        before = [lowered(one, top_mm=turn.wanted.top_mm) for one in ran]
        one = _judged(turn.motions, turn.wanted, before)
        judged.append(one)
        level = turn.wanted.top_mm == expected.top_mm
        run = one.run if level else replay(turn.motions, top_mm=expected.top_mm)
        ran = [*ran, run.as_earlier(Body(turn.wanted.cutter))]
    each = [(turn.number, one.checks) for turn, one in zip(found.turns, judged, strict=True)]
    together = checks_together(each, in_order=found.in_order)
    checks = (reads, *found.checks, *together)
    return _proof(text, expected, checks, judged=judged, finished=found.in_order)


def _judged(motions: Motions, wanted: ExpectedProgram, before: list[tuple[Ran, Ran]]) -> _Judged:
    """Judge the motions of one cutter; `before` is what ran earlier, fine and coarse."""
    body = Body(wanted.cutter)
    own = claims_of(wanted.features, body)
    others = [
        claim
        for earlier in wanted.before
        for claim in claims_of(earlier.features, Body(earlier.cutter))
    ]
    run = replay(motions, top_mm=wanted.top_mm)
    fine: list[Ran] = [(run.feeds, body), *(one for one, _ in before)]
    coarse: list[Ran] = [(run.coarse, body), *(one for _, one in before)]
    ground = Ground(own, others, top_mm=wanted.top_mm, body=body)
    found = taken(run.low, ground)
    deep = _gouge(run, found.gouge, ground)
    left = _leftover(run, own, others, fine)
    pieces = loose_pieces(coarse, bottom_mm=wanted.bottom_mm)
    lines = run.lines
    rim = rim_along(
        run.coarse, body, top_mm=wanted.top_mm, stock_mm=wanted.stock_mm, before=coarse[1:]
    )
    checks = (
        *conduct(motions, run.table, wanted),
        *room(run.everywhere, run.low, lines, wanted, claims=own),
        rapids(run.table, run.feeds, wanted, before=fine[1:]),
        clamps(run.everywhere, lines, wanted),
        *depths(run.coarse, lines, wanted, claims=own, too_deep=found.too_deep),
        per_pass(run.coarse, lines, wanted, claims=own, before=coarse[1:]),
        plunges(run.feeds, lines, wanted, before=fine[1:]),
        width_of_cut(rim, lines, wanted),
        chip_load(run.table, run.feeds, rim, expected=wanted),
        shank(run.low, lines, wanted, ground=ground),
        deep,
        left,
        holes(own, fine),
        tabs(run.feeds, lines, wanted),
        loose(pieces, lines, wanted),
    )
    return _Judged(checks=checks, run=run, deep=deep, left=left, loose=len(pieces))


def _proof(
    text: str | bytes,
    wanted: ExpectedProgram | ExpectedMountings,
    checks: tuple[Check, ...],
    *,
    judged: Sequence[_Judged] = (),
    finished: bool = True,
) -> Proof:
    """Put a proof together; without figures where the program could not be read."""
    lows = [float(one.run.low.low.min()) for one in judged if len(one.run.low)]
    last = judged[-1] if judged and finished else None
    data = text if isinstance(text, bytes) else text.encode("utf-8", "surrogatepass")
    return Proof(
        checks=checks,
        gouge_mm=max((one.deep.value or 0.0 for one in judged), default=None),
        leftover_mm=max((one.left.value or 0.0 for one in judged), default=None) if last else None,
        deepest_mm=min(lows, default=None),
        bounds_mm=_bounds([one.run for one in judged]),
        loose_pieces=last.loose if last else None,
        program_sha256=hashlib.sha256(data).hexdigest(),
        drawing_sha256=wanted.drawing_sha256,
        job_sha256=wanted.job_sha256,
        header=mark_of(text),
    )


def _bounds(runs: Sequence[Replay]) -> tuple[float, ...] | None:
    """Return least x, y, z and greatest x, y, z of all turns."""
    known = [b for b in (bounds_of(run.everywhere) for run in runs) if b is not None]
    if not known:
        return None
    return (
        *(min(low) for low in zip(*(b[:3] for b in known), strict=True)),
        *(max(high) for high in zip(*(b[3:] for b in known), strict=True)),
    )


def _read(
    text: str | bytes, expected: ExpectedProgram | ExpectedMountings
) -> tuple[Motions | None, Check]:
    """Read strictly; where that fails say why, and go on with what lenient reading makes of it."""
    start = expected.start_mm or (_UNKNOWN, _UNKNOWN, _UNKNOWN)
    name = "reads cleanly"
    try:
        motions = read_program(text, start_mm=start)
    except ProgramError as fault:
        line = int(str(fault.element).rpartition(" ")[2])
        check = Check(name=name, ok=False, detail=f"{fault.message}", line=line)
    else:
        return motions, Check(name=name, ok=True, detail=f"{motions.lines} lines by the standard")
    try:
        return read_program(text, strict=False, start_mm=start), check
    except ProgramError:
        return None, check


def _gouge(run: Replay, worst: Worst, ground: Ground) -> Check:
    limit, what = GOUGE_LIMIT_MM, "cuts into the part by"
    if ground.only_lines:
        limit = min(claim.feature.tolerance_mm for claim in ground.own)
        what = "strays from the line by"
    ok = worst.value <= limit
    detail = f"nowhere {what} more than {limit:g} mm" if ok else f"{what} {worst.value:.4f} mm"
    return _figure("gouge", ok, detail, worst, (limit, run))


def _leftover(run: Replay, own: list[Claim], others: list[Claim], ran: list[Ran]) -> Check:
    found = remains(own, others, ran)
    worst = found.worst
    limit = (found.claim or own[0]).feature.tolerance_mm
    ok = worst.value <= limit
    detail = f"at most {worst.value:.4f} mm stays where the cutter reaches"
    if not ok and found.claim:
        name = f" of {found.claim.feature.label}" if len(own) > 1 else ""
        detail = f"{worst.value:.4f} mm or more {found.what}{name}"
    return _figure("leftover", ok, detail, worst, (limit, run))


def _figure(name: str, ok: bool, detail: str, worst: Worst, about: tuple[float, Replay]) -> Check:
    limit, run = about
    return Check(
        name=name,
        ok=ok,
        detail=detail,
        at_mm=worst.at_mm,
        line=None if worst.row is None or worst.row < 0 else int(run.lines[worst.row]),
        value=worst.value,
        limit=limit,
    )
