"""Styles: attributes, style sheets and `style=` -> the properties each element sets itself.

In: the parsed document. Out: for every node, the properties that matter to a cutter and that are
set on it, strongest first: important ones, `style=`, style sheets by specificity and order (CSS
Cascading 4, from memory), presentation attributes. Values stay text. Inheritance is done while
walking, by `inherit`. Selectors are matched by cssselect2 and style sheets read by tinycss2;
a plain `style=` is read by a linear scanner of our own, being the usual case by far.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from outline2path.drawing.variables import custom_properties, substituted

if TYPE_CHECKING:
    from outline2path.drawing.document import Document, Node

__all__ = ["INHERITED", "PROPERTIES", "Properties", "apply_styles", "inherit"]

Properties = dict[str, str]

INHERITED = frozenset(
    [
        "clip-rule",
        "color",
        "fill",
        "fill-opacity",
        "fill-rule",
        "font-size",
        "marker-end",
        "marker-mid",
        "marker-start",
        "stroke",
        "stroke-dasharray",
        "stroke-dashoffset",
        "stroke-linecap",
        "stroke-linejoin",
        "stroke-miterlimit",
        "stroke-opacity",
        "stroke-width",
        "visibility",
    ]
)
"""Properties a child takes from its parent."""
PROPERTIES = INHERITED | frozenset(
    [
        "clip-path",
        "display",
        "filter",
        "mask",
        "opacity",
        "overflow",
        "stop-color",
        "stop-opacity",
        "transform",
        "transform-box",
        "transform-origin",
        "vector-effect",
    ]
)
"""Properties read from attributes, style sheets and `style=` alike."""
_GEOMETRY = frozenset({"x", "y", "width", "height", "cx", "cy", "r", "rx", "ry", "d"})
_MOVES = frozenset({"translate", "rotate", "scale"})
_UNREAD = frozenset({"offset-path", "zoom", "clip", "mask-image"})
_IDLE = frozenset({"none", "auto", "normal", "1", "100%"})
_STYLED = PROPERTIES | _GEOMETRY | _MOVES | _UNREAD | {"marker", "font"}
_PRESENTATION = PROPERTIES - {"transform"}
_INITIAL = {"fill": "black", "fill-rule": "nonzero", "clip-rule": "nonzero", "stroke": "none"}
_INITIAL |= {"visibility": "visible", "color": "black", "stroke-width": "1", "opacity": "1"}
_COMMENT = re.compile(r"/\*.*?(?:\*/|\Z)", re.S)
_IMPORTANT = re.compile(r"\s*!\s*important\s*$", re.I)
_HARD = re.compile(r"[\"'\\{}\[\]]|url\(", re.I)


def apply_styles(document: Document) -> tuple[str, ...]:
    """Work out the cascade; sets `rules` of every node that has any. Returns notes for people.

    Examples
    --------
    >>> from outline2path.drawing.document import parse_document
    >>> page = parse_document(b'<svg><style>g rect{fill:none}</style><g><rect/></g></svg>')
    >>> apply_styles(page), page.root.children[1].children[0].rules
    ((), {'fill': 'none'})
    """
    matched, notes = _match_sheets(document) if document.style_sheets else ({}, [])
    stack: list[tuple[Node, Properties]] = [(document.root, {})]
    while stack:
        node, around = stack.pop()
        rules = _own_rules(node, matched.get(id(node), ()))
        custom = {k: v for k, v in rules.items() if k[:2] == "--"}
        known = custom_properties(custom, around) if custom else around
        if rules:
            node.rules = _settled(node, rules, known, notes)
        stack.extend((child, known) for child in node.children)
    return tuple(notes)


def _settled(node: Node, rules: Properties, known: Properties, notes: list[str]) -> Properties:
    """Replace variables; tell of what has no value or is not read."""
    if not (any("var(" in v or k[:2] == "--" for k, v in rules.items()) or rules.keys() & _UNREAD):
        return rules
    settled = {}
    for key, text in rules.items():
        value = substituted(text, known.get) if "var(" in text else text
        if value is None:
            notes.append(f"{node}: {key} is {text[:40]!r}, which has no value; it was left out")
        elif key in _UNREAD:
            if value.lower() not in _IDLE:
                notes.append(f"{node}: the style property {key} ({value[:40]!r}) is not read")
        elif key[:2] != "--":
            settled[key] = value
    return settled


def inherit(parent: Properties, own: Properties | None) -> Properties:
    """Return the inherited properties of an element from its parent's and its own.

    Examples
    --------
    >>> inherit({"fill": "none"}, {"fill": "inherit", "stroke": "red"})
    {'fill': 'none', 'stroke': 'red'}
    """
    if not own:
        return parent
    result = parent
    for key, value in own.items():
        if key in INHERITED:
            word = value.strip().lower()
            if word in ("inherit", "unset", "revert", "revert-layer"):
                continue
            if result is parent:
                result = dict(parent)
            if word == "initial":
                result.pop(key, None)
                if key in _INITIAL:
                    result[key] = _INITIAL[key]
            else:
                result[key] = value
    return result


def _own_rules(node: Node, declared: Any) -> Properties:
    """Presentation attributes, sheets and `style=` of one element, in order of strength."""
    rules = {k: v for k, v in node.attrib.items() if k in _PRESENTATION}
    style = node.attrib.get("style")
    inline = declarations(style) if style else ()
    if not declared and not inline:
        return rules
    for important in (False, True):
        for block in declared:
            rules.update((k, v) for k, v, strong in block if strong == important)
        rules.update((k, v) for k, v, strong in inline if strong == important)
    return _expanded(rules)


def _expanded(rules: Properties) -> Properties:
    """Replace the shorthands `marker` and `font`."""
    marker = rules.pop("marker", None)
    if marker is not None:
        for end in ("marker-start", "marker-mid", "marker-end"):
            rules.setdefault(end, marker)
    font = rules.pop("font", None)
    size = re.search(r"(?:^|\s)([\d.]+(?:px|mm|cm|in|pt|pc|em|ex|rem|%))", font or "")
    if size and "font-size" not in rules:
        rules["font-size"] = size[1]
    return rules


@lru_cache(maxsize=4096)
def declarations(style: str) -> tuple[tuple[str, str, bool], ...]:
    """Read declarations: (property, value, important), only properties that matter here.

    Examples
    --------
    >>> declarations("fill : none; stroke:red !important; -x-y: 3")
    (('fill', 'none', False), ('stroke', 'red', True))
    """
    if _HARD.search(style):
        return _hard_declarations(style)
    if "/*" in style:
        style = _COMMENT.sub(" ", style)
    found = []
    for part in style.split(";"):
        key, colon, value = part.partition(":")
        key = key.strip()
        key = key if key[:2] == "--" else key.lower()
        if colon and (key in _STYLED or key[:2] == "--"):
            strong = bool("!" in value and _IMPORTANT.search(value))
            value = _IMPORTANT.sub("", value).strip() if strong else value.strip()
            if value and "!" not in value:
                found.append((key, value, strong))
    return tuple(found)


def _hard_declarations(style: str) -> tuple[tuple[str, str, bool], ...]:
    """Read declarations with quotes, escapes or addresses, read by the full parser."""
    import tinycss2

    return tuple(_kept(tinycss2.parse_blocks_contents(style, True, True)))


def _kept(items: Any) -> list[tuple[str, str, bool]]:
    import tinycss2

    kept = (i for i in items if i.type == "declaration" and i.value)
    named = ((i.name if i.name[:2] == "--" else i.lower_name, i) for i in kept)
    return [
        (name, tinycss2.serialize(item.value).strip(), bool(item.important))
        for name, item in named
        if name in _STYLED or name[:2] == "--"
    ]


def _match_sheets(document: Document) -> tuple[dict[int, list[Any]], list[str]]:
    """Match every rule of every sheet; blocks of each node from weakest to strongest."""
    import tinycss2
    from cssselect2 import ElementWrapper

    from outline2path.drawing.selectors import Matcher

    matcher = Matcher()
    notes: list[str] = []
    for node, text in document.style_sheets:
        kind = node.attrib.get("type", "text/css").strip().lower()
        if kind not in ("", "text/css"):
            notes.append(f"{node}: a style sheet of type {kind[:40]!r} is not read")
            continue
        sheet = tinycss2.parse_stylesheet(text, skip_comments=True, skip_whitespace=True)
        _add_rules(sheet, matcher, node, notes)
    matched: dict[int, list[Any]] = {}
    if not matcher.rules:
        return matched, notes
    for wrapper in list(ElementWrapper.from_xml_root(document.root).iter_subtree()):
        blocks = matcher.match(wrapper)
        if blocks:
            matched[id(wrapper.etree_element)] = blocks
    return matched, notes


def _add_rules(sheet: Any, matcher: Any, node: Node, notes: list[str]) -> None:
    import tinycss2
    from cssselect2 import SelectorError

    for rule in sheet:
        if rule.type == "at-rule":
            _add_at_rule(rule, matcher, node, notes)
        elif rule.type == "error":
            notes.append(f"{node}: a style rule is not read ({rule.message[:80]})")
        elif rule.type == "qualified-rule":
            block = _kept(tinycss2.parse_blocks_contents(rule.content, True, True))
            if not block:
                continue
            try:
                matcher.add(rule.prelude, block)
            except SelectorError as fault:
                shown = tinycss2.serialize(rule.prelude).strip()[:40]
                notes.append(f"{node}: the style selector {shown!r} is not read ({fault})")


def _add_at_rule(rule: Any, matcher: Any, node: Node, notes: list[str]) -> None:
    import tinycss2

    if rule.lower_at_keyword == "media" and rule.content is not None:
        media = tinycss2.serialize(rule.prelude).strip().lower()
        if media in ("", "all", "screen"):
            content = tinycss2.parse_rule_list(rule.content, True, True)
            _add_rules(content, matcher, node, notes)
        else:
            notes.append(f"{node}: the style rules for @media {media[:40]!r} are not used")
    elif rule.lower_at_keyword == "import":
        notes.append(f"{node}: the style sheet named by @import is not fetched")
