"""Schemas: a JSON Schema as tables people can read, one row for each key."""

from __future__ import annotations

import json
from html import escape
from typing import Any

from docs.making.running import ROOT

__all__ = ["schema_page"]

Schema = dict[str, Any]
_DEEPEST = 2


def schema_page(name: str) -> str:
    """Return the tables of `outline2path/job/NAME.schema.json` as Markdown."""
    place = ROOT / "outline2path" / "job" / f"{name}.schema.json"
    schema = json.loads(place.read_text(encoding="utf-8"))
    return "\n\n".join(_section(schema, schema, name, ()))


def _section(node: Schema, whole: Schema, name: str, path: tuple[str, ...]) -> list[str]:
    """Return a heading and a table for an object, and the same for the objects in it."""
    title = f"`{'.'.join(path)}`" if path else f"The {name}"
    words = escape(node.get("description", ""))
    parts = [part for part in (f"## {title}", words, _table(node, whole)) if part]
    for key, value in node.get("properties", {}).items():
        inner, many = _object_of(value, whole)
        if inner is not None and len(path) < _DEEPEST:
            parts += _section(inner, whole, name, (*path, key + ("[ ]" if many else "")))
    return parts


def _table(node: Schema, whole: Schema) -> str:
    needed = set(node.get("required", ()))
    left_out = " <small>may be left out</small>"
    rows = "".join(
        f"<tr><td><code>{escape(key)}</code>{'' if key in needed else left_out}</td>"
        f"<td>{_kind(value, whole)}</td><td>{_words(value, whole)}</td></tr>"
        for key, value in node.get("properties", {}).items()
    )
    if not rows:
        return ""
    head = "<tr><th>key</th><th>value</th><th>what it is</th></tr>"
    return f'<table class="schema"><thead>{head}</thead><tbody>{rows}</tbody></table>'


def _resolved(node: Schema, whole: Schema) -> Schema:
    """Follow a reference into the schema's own definitions."""
    while "$ref" in node:
        target: Any = whole
        for step in node["$ref"].removeprefix("#/").split("/"):
            target = target[step]
        node = {**target, **{k: v for k, v in node.items() if k != "$ref"}}
    return node


def _object_of(node: Schema, whole: Schema) -> tuple[Schema | None, bool]:
    """Return the object a key holds, itself, in a list or as one of several, if it has keys."""
    node = _resolved(node, whole)
    many = "items" in node
    if many:
        node = _resolved(node["items"], whole)
    for one in [node, *node.get("anyOf", ()), *node.get("oneOf", ())]:
        found = _resolved(one, whole)
        if found.get("properties"):
            return found, many
    return None, many


def _kind(node: Schema, whole: Schema) -> str:
    """Return the kind of a value in words."""
    node = _resolved(node, whole)
    if "const" in node:
        return f"<code>{escape(json.dumps(node['const']))}</code>"
    if "enum" in node:
        return " or ".join(f"<code>{escape(str(v))}</code>" for v in node["enum"])
    for several in ("anyOf", "oneOf"):
        if several in node:
            return " or ".join(dict.fromkeys(_kind(one, whole) for one in node[several]))
    if "items" in node:
        inner = _kind(node["items"], whole)
        least, most = node.get("minItems"), node.get("maxItems")
        return f"list of {most}: {inner}" if least == most and most else f"list of {inner}"
    kinds = node.get("type", "anything")
    named = [kinds] if isinstance(kinds, str) else kinds
    return " or ".join({"null": "nothing", "string": "text"}.get(kind, kind) for kind in named)


def _words(node: Schema, whole: Schema) -> str:
    node = _resolved(node, whole)
    words = escape(node.get("description", ""))
    if "default" in node and node["default"] not in (None, ""):
        words += f" <small>Usually <code>{escape(json.dumps(node['default']))}</code>.</small>"
    return words.strip()
