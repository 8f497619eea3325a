"""Sheet page: a set-up sheet as one HTML file that needs nothing else.

In: the sheet's content. Out: HTML text with its styles, drawings, pictures (as data) and script
inside; it asks no network for anything. It prints on A4 and letter paper upright: all widths
follow the paper, tables and figures are not cut. Every word from outside is escaped.
"""

from __future__ import annotations

import base64
import html
from collections.abc import Iterable
from importlib.resources import files

from outline2path.picture.sheet_content import ProgramPage, SetUpPage, SheetContent, Tool
from outline2path.picture.sheet_drawings import cutter_drawing, turn_drawing, zero_drawing
from outline2path.picture.sheet_replay import replay_data
from outline2path.picture.sheet_words import (
    CAUTIONS,
    FIRST,
    checklist,
    clock,
    feed_words,
    length,
    room_words,
    tool_checks,
    turn_words,
)

__all__ = ["sheet_page"]

_SIGNS = {"info": "i", "warning": "!", "error": "\u2715"}
_FACE = {"ok": "\u2713", "no": "\u2715"}


def sheet_page(content: SheetContent) -> str:
    """Return the whole file.

    Examples
    --------
    >>> page = sheet_page(SheetContent(title="a <b> job", units="mm", machine="", set_ups=()))
    >>> "a &lt;b&gt; job" in page, page.count("http")
    (True, 0)
    """
    style = _part("sheet.css")
    body = (
        _head(content),
        _overview(content),
        _cautions(),
        *(_set_up(set_up, content) for set_up in content.set_ups),
        _script("replay.js") if any(program.text for program in content.programs) else "",
        _script("turning.js") if any(one.turning for one in content.finished) else "",
    )
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>Set-up sheet: {_safe(content.title)}</title><style>{style}</style></head>\n"
        f"<body>\n{chr(10).join(body)}\n</body></html>\n"
    )


def _part(name: str) -> str:
    """Return a file that is set into the page as it is."""
    return files("outline2path.picture").joinpath(name).read_text(encoding="utf-8")


def _script(name: str) -> str:
    return f"<script>{_part(name)}</script>"


def _safe(words: str) -> str:
    return html.escape(words)


def _image(png: bytes, words: str) -> str:
    data = base64.b64encode(png).decode("ascii")
    return f'<img alt="{_safe(words)}" src="data:image/png;base64,{data}">'


def _figures(pairs: Iterable[tuple[str, str]]) -> str:
    rows = "".join(f"<div><dt>{_safe(a)}</dt><dd>{_safe(b)}</dd></div>" for a, b in pairs)
    return f'<dl class="figures">{rows}</dl>'


def _verdict(sound: bool, *, good: str, bad: str) -> str:
    words, name = (good, "pass") if sound else (bad, "fail")
    return f'<p class="verdict {name}">{words}</p>'


def _head(content: SheetContent) -> str:
    pairs = [
        ("Set-ups", str(len(content.set_ups))),
        ("Programs", str(len(content.programs))),
        ("Machine time", f"about {clock(content.time_s)}"),
    ]
    if content.machine:
        pairs.append(("Machine", content.machine))
    units = content.program_units or content.units
    pairs.append(("Programs written in", "millimetres" if units == "mm" else "inches"))
    return (
        f'<header class="head"><p class="over">Set-up sheet</p><h1>{_safe(content.title)}</h1>'
        f"{_figures(pairs)}</header>"
        f'<p class="first">{_safe(FIRST)}</p>'
        + _verdict(
            content.sound,
            good="Every program\u2019s text was replayed and passed all checks.",
            bad="Do not run these programs: at least one check failed. See below.",
        )
    )


def _overview(content: SheetContent) -> str:
    """All programs in the order they are run, beside the finished piece."""
    rows = "".join(
        f"<tr><td>{set_up.number}</td><td class='words'><code>{_safe(program.file)}</code></td>"
        f"<td class='words'>{'; '.join(_safe(_tool_name(tool)) for tool in program.tools)}</td>"
        f"<td>{clock(program.time_s)}</td>"
        f"<td class='{'pass' if program.sound else 'fail'}'>"
        f"{'passed' if program.sound else 'failed'}</td></tr>"
        for set_up in content.set_ups
        for program in set_up.programs
    )
    table = (
        '<div class="scroll keep"><h4>In this order</h4><table><thead><tr><th>Set-up</th>'
        "<th class='words'>Program</th><th class='words'>Cutter</th><th>Time</th><th>Proof</th>"
        f"</tr></thead><tbody>{rows}</tbody></table></div>"
    )
    if not content.finished:
        return f"<section>{table}</section>"
    name = "overview one" if len(content.finished) == 1 else "overview"
    caption = "What it will look like, replayed from the programs\u2019 text."
    figures = "".join(
        f'<figure class="lit">{_image(one.picture, caption)}'
        f"<figcaption>{_safe(f'{one.name}. ' if one.name else '')}{caption}</figcaption>"
        + (
            f'<script type="application/json" class="turning">{one.turning}</script>'
            if one.turning
            else ""
        )
        + "</figure>"
        for one in content.finished
    )
    return f'<section class="{name}"><div class="finished">{figures}</div>{table}</section>'


def _cautions() -> str:
    rows = "".join(f"<div><dt>{_safe(a)}</dt><dd>{_safe(b)}</dd></div>" for a, b in CAUTIONS)
    return (
        f'<section class="cautions keep"><h4>Mind at all times</h4><dl>{rows}</dl>'
        '<p class="foot small-print">Made by outline2path from the job and from replaying the '
        "programs\u2019 own text. Times leave out the cutter changes between programs, and "
        "measuring.</p></section>"
    )


def _set_up(set_up: SetUpPage, content: SheetContent) -> str:
    units = content.units
    solid = (
        f'<figure class="lit">{_image(set_up.solid, "the blank after this set-up")}'
        "<figcaption>The blank after this set-up; waste is pale.</figcaption></figure>"
        if set_up.solid
        else ""
    )
    ticks = checklist(set_up, units, program_units=content.program_units or units)
    return (
        f'<section class="set-up" id="set-up-{set_up.number}"><header>'
        f'<span class="number">{set_up.number}</span><h2>Set-up {set_up.number}: '
        f"{_safe(set_up.name)}</h2></header>"
        f'<div class="two"><div>{solid}'
        f'<div class="block"><h4>Before the spindle turns</h4>{_ticks(ticks)}</div></div>'
        f"{_facts(set_up, units)}</div>"
        + "".join(_program(program, set_up, units) for program in set_up.programs)
        + "</section>"
    )


def _ticks(items: Iterable[str]) -> str:
    rows = "".join(f"<li>{_safe(item)}</li>" for item in items)
    return f'<ul class="checklist">{rows}</ul>'


def _facts(set_up: SetUpPage, units: str) -> str:
    """Stock, work zero, how the blank lies and is held."""
    size = " \u00d7 ".join(length(side, units).split("\u00a0")[0] for side in set_up.size_mm)
    unit = "mm" if units == "mm" else "in"
    assumed = " Width and height were not given: at least this." if set_up.size_assumed else ""
    zero = set_up.zero
    holding = "".join(f"<li>{_safe(words)}</li>" for words in set_up.holding)
    turn = f'<div class="drawn">{turn_drawing(set_up)}<p>{_safe(turn_words(set_up))}</p></div>'
    drawing = f'<div class="drawn">{zero_drawing(set_up)}</div>'
    rows = (
        (
            "Blank",
            f"<b>{_safe(set_up.material)}, {size}&nbsp;{unit}</b> "
            f"<small>width, front to back, thickness.{assumed}</small>",
        ),
        ("How it lies", turn),
        ("Work zero", f"x and y: {_safe(zero.xy)}<br>z: {_safe(zero.z)}{drawing}"),
        ("Held by", f"<ul>{holding}</ul>"),
        (
            "Rapids cross at",
            f"{length(set_up.clearance_mm, units)} above the blank; everything else that stands "
            "on the bed must stay below that, or out of the way.",
        ),
    )
    inner = "".join(f"<div><dt>{name}</dt><dd>{words}</dd></div>" for name, words in rows)
    return f'<dl class="facts">{inner}</dl>'


def _program(program: ProgramPage, set_up: SetUpPage, units: str) -> str:
    picture = (
        f'<figure class="plan block">{_image(program.picture, f"plan of {program.name}")}</figure>'
        if program.picture
        else ""
    )
    return (
        f'<article class="program"><header><h3>Program <code>{_safe(program.file)}</code></h3>'
        + _verdict(program.sound, good="Proof passed", bad="Proof failed: do not run this program")
        + f"</header>{_tools(program, units)}"
        f"{_ticks(tool_checks(program, units))}{_notes(program)}{picture}"
        f'<div class="block">{_passes(program, units)}{_room(program, units)}</div>'
        f"{_proof(program)}{_replay(program, set_up, units)}</article>"
    )


def _tool_name(tool: Tool) -> str:
    return tool.name if tool.number is None else f"{tool.number}: {tool.name}"


def _tools(program: ProgramPage, units: str) -> str:
    """Show every cutter with its speeds, in the order they are put in."""
    shown = []
    for tool in program.tools:
        long = tool.stick_out_mm
        pairs = [
            ("Cutter", _tool_name(tool)),
            ("Stick-out", length(long, units) if long is not None else "not given"),
            ("Reaches below the top", length(tool.reach_mm, units)),
            ("Speed", f"{tool.rpm:.0f} rpm"),
            ("Feed", feed_words(tool.feed, units)),
            ("Plunge", feed_words(tool.plunge, units)),
            ("Chip a tooth", length(tool.chip_mm, units, decimals=3)),
        ]
        if tool is program.tools[0]:
            pairs.append(("Time", f"about {clock(program.time_s)}"))
        shown.append(f'<div class="tool">{cutter_drawing(tool)}{_figures(pairs)}</div>')
    return "".join(shown)


def _passes(program: ProgramPage, units: str) -> str:
    rows = "".join(
        f"<tr><td>{_safe(one.operation)}</td><td>{length(one.z_mm, units, trim=False)}</td>"
        f"<td>{one.contours}</td>"
        f"<td>{length(one.cut_mm, units, decimals=0)}</td>"
        f"<td>{feed_words(one.feed, units)}</td><td>{clock(one.time_s)}</td></tr>"
        for one in program.passes
    )
    cut = sum(one.cut_mm for one in program.passes)
    total = (
        f"<tr><td>In all</td><td></td><td></td><td>{length(cut, units, decimals=0)}</td>"
        f"<td></td><td>{clock(program.time_s)}</td></tr>"
    )
    return (
        '<div class="scroll"><h4>Passes</h4><table><thead><tr><th>Pass</th><th>Down to z</th>'
        f"<th>Contours</th><th>Cut</th><th>Feed</th><th>Time</th></tr></thead><tbody>{rows}</tbody>"
        f"<tfoot>{total}</tfoot></table></div>"
    )


def _room(program: ProgramPage, units: str) -> str:
    tight = program.tightest
    rows = "".join(
        f"<tr{' class=tight' if room is tight else ''}><td>{_safe(room.what)}</td>"
        + "".join(
            f"<td>{length(mm, units, trim=False)}</td>"
            for mm in (room.needed_mm, room.there_mm, room.spare_mm)
        )
        + "</tr>"
        for room in program.room
    )
    table = (
        "<table><thead><tr><th>Of</th><th>Needed</th><th>There</th><th>To spare</th></tr></thead>"
        f"<tbody>{rows}</tbody></table>"
        if rows
        else ""
    )
    name = "squeeze fail" if tight is not None and tight.spare_mm < 0 else "squeeze"
    return (
        f'<div class="scroll keep"><h4>Room to spare</h4><p class="{name}">'
        f"{_safe(room_words(program, units))}</p>{table}</div>"
    )


def _proof(program: ProgramPage) -> str:
    rows = "".join(
        f"<li class='{'pass' if check.ok else 'fail'}'><b>{_FACE['ok' if check.ok else 'no']}</b>"
        f"<span style='color:var(--ink)'>{_safe(check.name)}: {_safe(check.detail)}</span></li>"
        for check in program.checks
    )
    mark = f"{program.sha256[:16]}" if program.sha256 else ""
    stamp = (
        f'<p class="small-print">{program.lines} blocks; the text\u2019s SHA-256 begins {mark}</p>'
        if mark
        else ""
    )
    return (
        f'<div class="block"><h4>What the replay of this text found</h4>'
        f'<ul class="checks">{rows}</ul>{stamp}</div>'
    )


def _notes(program: ProgramPage) -> str:
    if not program.notes:
        return ""
    rows = "".join(
        f"<li class='{severity}'><b>{_SIGNS.get(severity, 'i')}</b>{_safe(words)}</li>"
        for severity, words in program.notes
    )
    return f'<div class="block"><h4>To know</h4><ul class="notes">{rows}</ul></div>'


def _replay(program: ProgramPage, set_up: SetUpPage, units: str) -> str:
    """Set the data of the picture that moves, and a place for its script to fill."""
    if not program.text:
        return ""
    data = replay_data(program, set_up, units=units)
    return (
        f'<div class="replay screen"><h4>Move by move</h4>'
        f'<script type="application/json">{data}</script></div>'
    )
