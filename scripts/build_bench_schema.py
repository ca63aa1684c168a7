"""Write docs/schemas/bench.json, the schema of the bench's API, from the types of the wire.

Run when a call, intent or event changes: ``python scripts/build_bench_schema.py``; a test checks
that the file is as it says.
"""

from __future__ import annotations

import json
from pathlib import Path

from gripwright.bench.schema import api_schema

OUT = Path(__file__).parents[1] / "docs" / "schemas" / "bench.json"


def text() -> str:
    """Return what the file holds."""
    return json.dumps(api_schema(), indent=1, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    OUT.write_text(text(), encoding="utf-8")
