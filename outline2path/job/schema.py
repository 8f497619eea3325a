"""Schema: the JSON Schema of a job's file, for editors that complete and check TOML.

In: nothing. Out: plain JSON values, made from the same tables of keys as the reader's. The package
ships them as `job.schema.json`, so that no Python is needed to use them; a test holds the two
together. Draft 2020-12 (json-schema.org, from memory).
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from outline2path.job.keys import Key, Kind
from outline2path.job.tables import SOURCES, file_keys, step_keys

__all__ = ["job_schema", "schema_text"]

_TYPES: dict[str, dict[str, Any]] = {
    "quantity": {"type": ["number", "string"]},
    "number": {"type": "number"},
    "integer": {"type": "integer"},
    "boolean": {"type": "boolean"},
    "text": {"type": "string"},
    "drawing": {"type": "string"},
    "cutter": {"type": "string"},
}


def job_schema() -> dict[str, Any]:
    """Return the schema of a job's file.

    Examples
    --------
    >>> sorted(job_schema()["required"])
    ['set_up', 'stock']
    """
    schema = _table(file_keys())
    drawing = schema["properties"]["drawings"]["additionalProperties"]
    drawing["oneOf"] = [{"required": [source]} for source in SOURCES]
    step = schema["properties"]["set_up"]["items"]["properties"]["step"]
    step["items"] = {
        "type": "object",
        "required": ["do"],
        "properties": {"do": {"enum": list(step_keys()), "description": "The operation."}},
        "oneOf": [_step(name, keys) for name, keys in step_keys().items()],
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A job for outline2path",
        "description": 'Lengths carry a unit, as "6 mm" or "1/8 in"; a bare number is in mm.',
        **schema,
    }


def schema_text() -> str:
    """Return the schema as the file that ships.

    Examples
    --------
    >>> schema_text().startswith("{")
    True
    """
    return json.dumps(job_schema(), indent=2) + "\n"


def _step(name: str, keys: Mapping[str, Key]) -> dict[str, Any]:
    table = _table(keys)
    table["properties"] = {"do": {"const": name}, **table["properties"]}
    table["required"] = ["do", *table.get("required", [])]
    return table


def _table(keys: Mapping[str, Key]) -> dict[str, Any]:
    found: dict[str, Any] = {
        "type": "object",
        "additionalProperties": False,
        "properties": {name: _key(key) for name, key in keys.items()},
    }
    required = [name for name, key in keys.items() if key.required]
    return {**found, "required": required} if required else found


def _key(key: Key) -> dict[str, Any]:
    kinds = [_kind(kind) for kind in key.kinds]
    found: dict[str, Any] = dict(kinds[0]) if len(kinds) == 1 else {"anyOf": kinds}
    if key.words:
        found["description"] = key.words
    if not key.required and key.default is not None:
        found["default"] = list(key.default) if isinstance(key.default, tuple) else key.default
    return found


def _kind(kind: Kind) -> dict[str, Any]:
    match kind.name:
        case "choice":
            return {"enum": list(kind.choices)}
        case "list":
            items = [_kind(item) for item in kind.items]
            found: dict[str, Any] = {
                "type": "array",
                "items": items[0] if len(items) == 1 else {"anyOf": items},
            }
            return found | (
                {} if kind.length is None else {"minItems": kind.length, "maxItems": kind.length}
            )
        case "table":
            return _table(kind.keys or {})
        case "named":
            return {"type": "object", "additionalProperties": _table(kind.keys or {})}
        case "tables":
            return {"type": "array", "items": _table(kind.keys or {})}
    return dict(_TYPES[kind.name])
