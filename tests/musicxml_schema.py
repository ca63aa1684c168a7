"""Validate MusicXML against the official 4.0 schema (W3C), offline."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import Any

from lxml import etree

SCHEMA = Path(__file__).parent / "schema"


class _Local(etree.Resolver):
    """Resolve the schema's imports to the files beside it."""

    def resolve(self, url: str, public_id: str, context: Any) -> Any:
        return self.resolve_filename(str(SCHEMA / url.rsplit("/", 1)[-1]), context)


@lru_cache(maxsize=1)
def _schema() -> etree.XMLSchema:
    parser = etree.XMLParser(no_network=True)
    parser.resolvers.add(_Local())
    return etree.XMLSchema(etree.parse(str(SCHEMA / "musicxml_4_0.xsd"), parser))


def problems(data: bytes) -> list[str]:
    """Return what the schema finds wrong with a document, nothing when it is valid."""
    parser = etree.XMLParser(load_dtd=False, no_network=True)
    schema = _schema()
    schema.validate(etree.fromstring(data, parser))
    return [f"line {error.line}: {error.message}" for error in schema.error_log]
