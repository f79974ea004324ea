"""Files of schema version 1 read to the same records for ever.

Each golden file stands beside what it was read as, number by number. A field that a later version adds must be open (or
at the default that means "not said") when an old file is read. Golden files are never changed: a new version gets a
folder of its own and an upgrader.
"""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from turnback.readers.learned import read_learned
from turnback.readers.plan_files import read_aircraft, read_pack, read_plan
from turnback.readers.upgrade import FileKind
from turnback.records.common import SCHEMA

GOLDEN = Path(__file__).resolve().parents[1] / "golden"
FIRST = GOLDEN / "schema-1"
OPEN: tuple[object, ...] = (None, "don't know", [], {})


def plan(name: str) -> Any:
    return read_plan(FIRST / f"{name}.toml").model_dump(mode="json", by_alias=True)


READ: dict[str, Callable[[], Any]] = {
    "plan-with-everything": lambda: plan("plan-with-everything"),
    "plan-of-ten-lines": lambda: plan("plan-of-ten-lines"),
    "plan-of-files": lambda: plan("plan-of-files"),
    "parts/aircraft": lambda: read_aircraft(FIRST / "parts" / "aircraft.toml").model_dump(mode="json", by_alias=True),
    "parts/pack": lambda: read_pack(FIRST / "parts" / "pack.toml").model_dump(mode="json", by_alias=True),
    "learned": lambda: {
        "entries": [entry.model_dump(mode="json") for entry in read_learned(FIRST / "learned.toml").entries]
    },
}


def differences(stored: Any, now: Any, place: str = "") -> list[str]:
    """Return where what is read now is not what was stored; what was added since must be open."""
    found = []
    if isinstance(stored, dict) and isinstance(now, dict):
        found += [f"{place}.{key} is gone" for key in stored if key not in now]
        found += [f"{place}.{key} is new and not open" for key in now if key not in stored and now[key] not in OPEN]
        for key in stored.keys() & now.keys():
            found += differences(stored[key], now[key], f"{place}.{key}")
    elif isinstance(stored, list) and isinstance(now, list) and len(stored) == len(now):
        for number, (before, after) in enumerate(zip(stored, now, strict=True)):
            found += differences(before, after, f"{place}[{number}]")
    elif stored != now or type(stored) is not type(now):
        found += [f"{place}: stored {stored!r}, read {now!r}"]
    return found


@pytest.mark.parametrize("name", READ)
def test_a_golden_file_reads_to_the_stored_record(name: str) -> None:
    stored = json.loads((FIRST / f"{name}.json").read_text(encoding="utf-8"))
    assert differences(stored, READ[name]()) == []


def not_stored(written: Any, stored: Any, place: str = "") -> list[str]:
    """Return where a value of the file is not in its place in the stored record."""
    if written == "don't know":
        return [] if stored in (None, "don't know") else [place]
    if isinstance(written, str) and written.endswith(".toml"):
        return [] if isinstance(stored, dict) else [place]  # a part in a file of its own
    if isinstance(written, dict):
        return [line for key in written for line in not_stored(written[key], stored[key], f"{place}.{key}")]
    if isinstance(written, list):
        pairs = zip(written, stored, strict=True)
        return [line for number, pair in enumerate(pairs) for line in not_stored(*pair, f"{place}[{number}]")]
    if isinstance(stored, dict):  # a bare number is a reading's value, a bare word a link's class
        stored = stored["value" if "value" in stored else "class"]
    text = written.isoformat() if isinstance(written, date) else written
    return [] if text == stored else [place]


@pytest.mark.parametrize("name", READ)
def test_every_value_written_in_a_golden_file_stands_in_the_stored_record(name: str) -> None:
    """The stored record against `tomllib` and `json` alone: no reader of this project has a say here."""
    written = tomllib.loads((FIRST / f"{name}.toml").read_text(encoding="utf-8"))
    stored = json.loads((FIRST / f"{name}.json").read_text(encoding="utf-8"))
    assert written.pop("schema") == 1
    assert not_stored(written, stored) == []


def test_the_stored_records_hold_what_a_person_reads_in_the_files() -> None:
    everything = read_plan(FIRST / "plan-with-everything.toml")
    assert everything.pack.capacity_mah is not None
    assert (everything.pack.capacity_mah.value, everything.pack.cells, everything.pack.c_rating) == (3870, 6, 10)
    assert everything.aircraft.corners is not None
    assert everything.aircraft.corners.front_right.right_mm == 120.5
    tiny = read_plan(FIRST / "plan-of-ten-lines.toml").pack
    assert tiny.capacity_mah is not None
    assert tiny.chemistry is not None
    assert (tiny.cells, tiny.capacity_mah.value, tiny.c_rating) == (1, 450, 80)
    assert tiny.chemistry.value == "high-voltage LiPo"
    files = read_plan(FIRST / "plan-of-files.toml")
    assert files.site.terrain == "ground/hill.tif"  # from the plan's folder, though the site's file says ../ground
    assert files.pack.capacity_mah is not None
    assert files.pack.capacity_mah.value == 850  # a label's "0,85Ah"
    assert files.weather.metar_distance_km == 12.5


def test_every_version_and_every_kind_of_file_has_a_golden_file() -> None:
    assert {folder.name for folder in GOLDEN.iterdir() if folder.is_dir()} == {
        f"schema-{version}" for version in range(1, SCHEMA + 1)
    }
    for version in range(1, SCHEMA + 1):
        names = {path.stem.split("-")[0] for path in (GOLDEN / f"schema-{version}").rglob("*.toml")}
        assert names == {kind.value for kind in FileKind}


def test_the_comparison_sees_a_change() -> None:
    assert differences({"a": [1.0]}, {"a": [1.5]}) == [".a[0]: stored 1.0, read 1.5"]
    assert differences({"a": 1}, {"a": 1, "b": "yes"}) == [".b is new and not open"]
    assert differences({"a": 1}, {"a": 1, "b": None}) == []
    assert differences({"a": 1}, {}) == [".a is gone"]
