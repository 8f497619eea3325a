"""Shown: jobs, plans and programs as a notebook shows them.

In: a job, a plan, a program with its picture. Out: HTML with tables, units in their heads, and the
picture where there is one. Lengths in mm, times in minutes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from outline2path.notebook import html_picture, html_table

if TYPE_CHECKING:
    from outline2path.job.job import Job
    from outline2path.job.plan import Plan
    from outline2path.job.planned import PlannedProgram
    from outline2path.job.step import Step

__all__ = ["job_html", "plan_html", "program_html"]

_MOST_PASSES = 12
_MINUTE_S = 60.0


def job_html(job: Job) -> str:
    """Return a job's steps as asked for, one a row."""
    rows = [
        (
            f"{set_up.number} {set_up.name}",
            step.operation,
            _size(step),
            step.cutter.label,
            _depth(step),
            f"{getattr(step.settings, 'tabs', 0) or ''}",
        )
        for set_up in job.set_ups
        for step in set_up.steps
    ]
    heads = ("set-up", "step", "size mm", "cutter", "depth mm", "tabs")
    return html_table(heads, rows, caption=f"{job.name}, {job.set_ups[0].bench.stock!r}")


def plan_html(plan: Plan) -> str:
    """Return the programs of a plan, one a row, in the order they are run."""
    rows = [
        (
            one.set_up.name,
            one.name,
            ", ".join(dict.fromkeys(planned.step.cutter.label for planned in one.steps)),
            f"{one.feeds.rpm:.0f}",
            f"{one.feeds.feed:.0f}",
            f"{one.times.cut_mm / 1000:.2f}",
            f"{one.times.total_s / _MINUTE_S:.1f}",
            one.proof.verdict,
        )
        for one in plan.programs
    ]
    heads = ("set-up", "program", "cutter", "rpm", "feed mm/min", "cut m", "time min", "proof")
    return html_table(heads, rows, caption=plan.summary().splitlines()[0])


def program_html(program: PlannedProgram, shown: tuple[bytes, dict[str, int]]) -> str:
    """Return a program's picture and its passes, those of one depth in a row."""
    passes: dict[tuple[str, float], list[tuple[float, float]]] = {}
    for section, cut, seconds in zip(
        program.toolpath.sections,
        program.times.section_cut_mm,
        program.times.section_s,
        strict=True,
    ):
        key = (section.operation, round(section.z_mm, 4))
        passes.setdefault(key, []).append((cut, seconds))
    rows = [
        (
            operation,
            f"{z:.2f}",
            f"{len(found)}",
            f"{sum(cut for cut, _ in found):.0f}",
            f"{sum(seconds for _, seconds in found) / _MINUTE_S:.1f}",
        )
        for (operation, z), found in passes.items()
    ]
    feeds = program.feeds
    caption = (
        f"{program.cutter.label}; {feeds.rpm:.0f} rpm, feed {feeds.feed:.0f} mm/min, "
        f"plunge {feeds.plunge:.0f} mm/min"
    )
    heads = ("step", "z mm", "passes", "cut mm", "time min")
    return html_picture(*shown, words=repr(program)) + html_table(
        heads, rows, caption=caption, most=_MOST_PASSES
    )


def _size(step: Step) -> str:
    if step.outline is None:
        return "the whole blank"
    wide, high = step.outline.size_mm
    return f"{wide:.1f} \u00d7 {high:.1f}"


def _depth(step: Step) -> str:
    if step.left_mm is not None:
        return f"down to {step.left_mm:g}"
    through = "through" if step.operation in ("profile", "pocket", "drill") else ""
    return through if step.depth_mm is None else f"{step.depth_mm:g}"
