"""The brief for scripts: SI numbers as in the records, in a fixed order, the same bytes for the same brief."""

from __future__ import annotations

import dataclasses
import json
import math
import re
from collections.abc import Mapping
from enum import Enum
from typing import Any, Final

import numpy as np

from turnback.records.common import SCHEMA
from turnback.records.finding import Finding
from turnback.records.result import BriefResult
from turnback.report import words
from turnback.report.cautions import CAUTIONS

_STEERING: Final = re.compile("[\u007f-\u009f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u206f\ud800-\udfff\ufeff]")
"""Characters that JSON may hold as they are and that change what a person sees; they stand inside texts only."""


def brief_json(result: BriefResult) -> str:
    """Return the brief as JSON text, one object, ending in a line feed. What is not a number is null."""
    return json_text(brief_data(result))


def json_text(data: Mapping[str, Any]) -> str:
    """Return plain data as strict JSON that is safe to show in a terminal: nothing in it can steer one."""
    text = json.dumps(data, ensure_ascii=False, indent=1, allow_nan=False)
    return _STEERING.sub(lambda met: f"\\u{ord(met[0]):04x}", text) + "\n"


def brief_data(result: BriefResult) -> dict[str, Any]:
    """Return the brief as plain data."""
    links = {link.name: plain(link) for link in (result.control, result.video) if link is not None}
    return {
        "schema": SCHEMA,
        "title": result.title,
        "verdict": result.verdict.value,
        "deciding": None if result.deciding is None else finding_data(result.deciding),
        "findings": [finding_data(finding) for finding in result.findings],
        "energy": plain(result.energy),
        "links": links,
        "return": plain(result.back),
        "air": plain(result.air),
        "chance": {
            "home": plain(result.home),
            "landing": plain(result.energy.probability),
            **{name: link["probability"] for name, link in links.items()},
        },
        "assumed": [plain(row) for row in result.assumed],
        "cautions": list(CAUTIONS),
        "terrain": {
            "source": result.terrain_source,
            "assumed": result.terrain_assumed,
            "notes": plain(result.terrain_notes),
        },
        "draws": result.draws,
        "seed": result.seed,
    }


def finding_data(finding: Finding) -> dict[str, Any]:
    """Return one finding, its words beside its numbers."""
    data: dict[str, Any] = plain(finding)
    return {**data, "said": words.sentence(finding), "do_said": words.action(finding.do)}


def plain(value: Any) -> Any:  # noqa: PLR0911 - one line for each kind
    """Return a record as plain data: dataclasses as objects, enums by value, arrays as lists, no NaN."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in dataclasses.fields(value)}
    if isinstance(value, Enum):
        return plain(value.value)
    if isinstance(value, Mapping):
        return {str(key): plain(value[key]) for key in sorted(value)}
    if isinstance(value, np.ndarray):
        return plain(value.tolist())
    if isinstance(value, (list, tuple)):
        return [plain(each) for each in value]
    if isinstance(value, np.generic):
        return plain(value.item())
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    return value
