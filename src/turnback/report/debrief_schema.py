"""The JSON Schema (2020-12) of ``debrief.json``, made from the records that are written there."""

from __future__ import annotations

from functools import cache

from turnback.report.brief_json import json_text
from turnback.report.brief_schema import Schema, schema_of
from turnback.report.debrief_json import DebriefData


def debrief_schema() -> Schema:
    """Return the schema as plain data: every key required, no other allowed."""
    return schema_of(DebriefData, "debrief.json")


@cache
def debrief_schema_json() -> str:
    """Return the schema as JSON text, the same bytes every time."""
    return json_text(debrief_schema())
