"""The JSON Schema (2020-12) of ``map.json``, made from the records that are written there."""

from __future__ import annotations

from functools import cache

from turnback.report.brief_json import json_text
from turnback.report.brief_schema import Schema, schema_of
from turnback.report.map_json import HomeMapData


def map_schema() -> Schema:
    """Return the schema as plain data: every key required, no other allowed, a number's unit in ``x-unit``."""
    return schema_of(HomeMapData, "Turnback: turn-back map")


@cache
def map_schema_json() -> str:
    """Return the schema as JSON text, the same bytes every time."""
    return json_text(map_schema())
