"""The JSON Schema (2020-12) of ``bench.json``, made from the records that are written there."""

from __future__ import annotations

from functools import cache

from turnback.report.bench_json import BenchData
from turnback.report.brief_json import json_text
from turnback.report.brief_schema import Schema, schema_of


def bench_schema() -> Schema:
    """Return the schema as plain data: every key required, no other allowed."""
    return schema_of(BenchData, "bench.json")


@cache
def bench_schema_json() -> str:
    """Return the schema as JSON text, the same bytes every time."""
    return json_text(bench_schema())
