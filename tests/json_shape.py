"""Check an answer against the few words of JSON Schema that the published schemas use."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

SCHEMAS = Path(__file__).parents[1] / "docs" / "schemas"
TYPES: dict[str, type | tuple[type, ...]] = {
    "object": dict, "array": list, "string": str, "integer": int, "number": (int, float),
    "boolean": bool, "null": type(None),
}  # fmt: skip


def faults(answer: Any, name: str) -> list[str]:
    """Return where an answer departs from the schema of that name."""
    schema = json.loads((SCHEMAS / f"{name}.json").read_text(encoding="utf-8"))
    return list(_faults(answer, schema, schema, "answer"))


def _faults(value: Any, schema: dict[str, Any], root: dict[str, Any], at: str) -> list[str]:
    if "$ref" in schema:
        return _faults(value, root["$defs"][schema["$ref"].rsplit("/", 1)[1]], root, at)
    found = []
    kinds = schema.get("type", [])
    kinds = [kinds] if isinstance(kinds, str) else kinds
    if kinds and not any(
        isinstance(value, TYPES[k]) and (k == "boolean" or not isinstance(value, bool))
        for k in kinds
    ):
        return [f"{at} is {value!r}, not {' or '.join(kinds)}"]
    if "const" in schema and value != schema["const"]:
        found.append(f"{at} is {value!r}, not {schema['const']!r}")
    if "enum" in schema and value not in schema["enum"]:
        found.append(f"{at} is {value!r}, not one of {schema['enum']}")
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    if is_number and not schema.get("minimum", value) <= value <= schema.get("maximum", value):
        found.append(f"{at} is {value!r}, out of range")
    if isinstance(value, dict):
        found += [f"{at} lacks {key}" for key in schema.get("required", []) if key not in value]
        for key, inner in schema.get("properties", {}).items():
            if key in value:
                found += _faults(value[key], inner, root, f"{at}.{key}")
    if isinstance(value, list) and "items" in schema:
        for index, item in enumerate(value):
            found += _faults(item, schema["items"], root, f"{at}[{index}]")
    return found
