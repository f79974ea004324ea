"""Thresholds and typical values are data that someone can question: each has a source and a reason, and they fit."""

from __future__ import annotations

import ast
import importlib
import pkgutil
import re
import tomllib
from collections.abc import Iterator
from enum import Enum
from importlib import resources
from itertools import pairwise
from pathlib import Path
from typing import Any, Final

import pytest

from turnback import rules
from turnback.base.sources import SOURCES, Standing
from turnback.records.aircraft import AircraftClass
from turnback.records.pack import ChemistryName
from turnback.records.radio import ControlClass, VideoClass
from turnback.records.site import Canopy
from turnback.report.words_actions import ACTION_WORDS, MEASURE_PREFIX
from turnback.rules.chance import (
    BAND_HIGH,
    BAND_LOW,
    CONTROL_CHANCE,
    GO_CHANCE,
    LANDING_CHANCE,
    LIMIT_CHANCE,
    VIDEO_CHANCE,
)
from turnback.rules.chemistry import Chemistry, chemistry, chemistry_names
from turnback.rules.flight import (
    PACK_SPREAD_STOP,
    PACK_SPREAD_WATCH,
    THRUST_LEAST,
    THRUST_MARGIN,
    USED_NEVER,
    USED_PLAN,
)
from turnback.rules.people import FRESNEL, ORIENTATION, ORIENTATION_OFFSET
from turnback.rules.rule import Rule, Threshold
from turnback.rules.typical import typical

SOURCE_FOLDER: Final = Path(__file__).resolve().parent.parent / "src" / "turnback"
ROOMS: Final = [
    importlib.import_module(f"turnback.rules.{found.name}") for found in pkgutil.iter_modules(rules.__path__)
]
LISTED: Final[list[Rule | Threshold]] = [row for room in ROOMS for row in getattr(room, "RULES", ())]
ALL_RULES: Final[list[Rule]] = [row for row in LISTED if isinstance(row, Rule)]
THRESHOLDS: Final[list[Threshold]] = [row for row in LISTED if isinstance(row, Threshold)]


def table(name: str) -> dict[str, Any]:
    """Return a TOML table of the rules room as it stands in its file."""
    return tomllib.loads(resources.files("turnback.rules").joinpath(name).read_text(encoding="utf-8"))


def rows(node: dict[str, Any], where: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Return every row (a table with a value) below a table, with its place."""
    for key, child in node.items():
        place = f"{where}.{key}" if where else key
        assert isinstance(child, dict), f"{place} is a bare value: it has no source"
        if "value" in child:
            yield place, child
        else:
            yield from rows(child, place)


def is_sentence(text: str) -> bool:
    """True for a reason that someone wrote out."""
    return len(text) > 4 and text[0].isupper() | text[0].isdigit() | (text[0] == "±") and text.endswith(".")


@pytest.mark.parametrize("rule", ALL_RULES, ids=lambda rule: rule.key)
def test_every_rule_says_where_it_is_from_why_and_what_to_do(rule: Rule) -> None:
    assert rule.source in SOURCES
    assert is_sentence(rule.why)
    assert rule.do in ACTION_WORDS or rule.do.startswith(MEASURE_PREFIX)
    room, _, name = rule.key.partition(".")
    assert room.islower()
    assert name.replace("_", "").isalnum()


@pytest.mark.parametrize("row", THRESHOLDS, ids=lambda row: row.key)
def test_every_threshold_of_reading_says_where_it_is_from_and_why(row: Threshold) -> None:
    assert row.source in SOURCES
    assert is_sentence(row.why)
    assert re.fullmatch(r"(record\.[a-z_]+|told)\.[a-z0-9_]+", row.key)


def test_every_rule_of_a_room_is_in_its_list_and_has_a_key_of_its_own() -> None:
    written = [value for room in ROOMS for value in vars(room).values() if isinstance(value, Rule | Threshold)]
    assert len(ALL_RULES) > 50
    assert len(THRESHOLDS) > 100
    assert {row.key for row in written} == {row.key for row in LISTED}
    assert len({row.key for row in LISTED}) == len(LISTED)


@pytest.mark.parametrize("file", ["typical.toml", "chemistry.toml"])
def test_every_row_says_where_it_is_from_and_why(file: str) -> None:
    seen = 0
    for place, row in rows(table(file)):
        seen += 1
        assert row["source"] in SOURCES, place
        assert is_sentence(row["why"]), place
        assert set(row) <= {"value", "low", "high", "unit", "at", "source", "why"}, place
    assert seen > 60


def test_what_nobody_traced_says_so() -> None:
    for key, source in SOURCES.items():
        said = "from memory" in source.text or "second-hand" in source.text or "Recalled" in source.text
        if source.standing is Standing.MEMORY:
            assert said, key


def test_bands_of_typical_values_hold_their_value() -> None:
    for place, row in rows(table("typical.toml")):
        assert row.get("low", row["value"]) <= row["value"] <= row.get("high", row["value"]), place
        assert ("low" in row) == ("high" in row), place


@pytest.mark.parametrize(
    ("group", "names"),
    [
        ("aircraft", AircraftClass),
        ("control", ControlClass),
        ("video", [name for name in VideoClass if name is not VideoClass.NONE]),
        ("canopy", Canopy),
    ],
)
def test_every_class_that_a_plan_may_name_has_the_same_typical_values(group: str, names: Any) -> None:
    written = table("typical.toml")[group]
    assert set(written) == {name.value for name in names}
    first = set(next(iter(written.values())))
    assert all(set(row) == first for row in written.values())


@pytest.mark.parametrize("name", [name.value for name in AircraftClass])
def test_typical_aircraft_can_fly_and_are_what_their_class_says(name: str) -> None:
    craft = typical("aircraft", name)
    pack_g = 0.35 * craft["mass_g"].value  # packs weigh a quarter to a half of the rest: common practice
    ratio = 4.0 * craft["static_thrust_g"].value / (craft["mass_g"].value + pack_g)
    assert 2.0 < ratio < 12.0  # two is the trade's least; racing builds reach about ten to twelve: common practice
    diameter_in = craft["propeller_diameter_in"].value
    if name[0].isdigit():
        assert diameter_in == pytest.approx(float(name[0]), abs=0.15)  # the class is named after its propeller
    assert craft["span_m"].value > 2.0 * diameter_in * 0.0254
    # Mean and 10 to 90 % of wind-tunnel propellers of 2.2 to 7 in (University propeller database, summary figures).
    assert craft["figure_of_merit"].low + 0.03 >= 0.35
    assert craft["figure_of_merit"].high <= 0.67


@pytest.mark.parametrize("name", [name.value for name in ChemistryName])
def test_a_chemistry_hangs_together(name: str) -> None:
    law = chemistry(name)
    assert law.damage_v < law.land_by_loaded_v < law.land_by_rest_v < law.storage_v < law.full_v
    assert law.land_by_rest_v < law.nominal_v < law.full_v
    assert law.spread_watch_v < law.spread_stop_v
    for nodes in (law.ocv_soc, law.ocv_v, law.resistance_soc):
        assert all(before < after for before, after in pairwise(nodes))
    assert (law.ocv_soc[0], law.ocv_soc[-1]) == (0.0, 1.0)
    assert law.ocv_v[-1] == law.full_v
    assert len(law.ocv_soc) == len(law.ocv_v)
    assert len(law.resistance_soc) == len(law.resistance_ratio)


def test_every_volt_says_at_rest_or_loaded() -> None:
    names = {field for field in Chemistry.__dataclass_fields__ if field.endswith("_v")}
    for place, row in rows(table("chemistry.toml")):
        field = place.rsplit(".", 1)[-1]
        if field in names:
            assert row["at"] in {"rest", "loaded"}, place
            assert row["unit"] == "V", place
            assert ("rest" in field) <= (row["at"] == "rest"), place
            assert ("loaded" in field) <= (row["at"] == "loaded"), place
    assert set(chemistry_names()) == {name.value for name in ChemistryName}


def test_care_values_are_those_of_the_trade() -> None:
    # Common practice: a LiPo cell is full at 4.2 V, 3.7 V by its label, stored at 3.8 V, harmed below 3.0 V; down above
    # 3.5 V at rest. The high-voltage kind is full at 4.35 V. Cylindrical Li-ion goes lower.
    lipo, high, li_ion = chemistry("LiPo"), chemistry("high-voltage LiPo"), chemistry("Li-ion")
    assert (lipo.full_v, lipo.nominal_v, lipo.storage_v) == (4.2, 3.7, 3.8)
    assert (lipo.damage_v, lipo.land_by_rest_v) == (3.0, 3.5)
    assert high.full_v == 4.35
    assert li_ion.full_v == 4.2
    assert li_ion.damage_v < lipo.damage_v
    # Plan on 80 % of capacity, never use more than 90 %; cells apart by 0.05 V: watch, 0.1 V: stop.
    assert (lipo.usable_plan_fraction, lipo.usable_never_fraction) == (USED_PLAN.value, USED_NEVER.value) == (0.8, 0.9)
    assert (lipo.spread_watch_v, lipo.spread_stop_v) == (PACK_SPREAD_WATCH.value, PACK_SPREAD_STOP.value) == (0.05, 0.1)


def test_chances_are_those_the_project_was_asked_for() -> None:
    assert (GO_CHANCE.value, LIMIT_CHANCE.value) == (0.99, 0.95)
    assert {LANDING_CHANCE.value, CONTROL_CHANCE.value, VIDEO_CHANCE.value} == {GO_CHANCE.value}
    assert BAND_LOW.value == pytest.approx(1.0 - BAND_HIGH.value)
    assert THRUST_LEAST.value < THRUST_MARGIN.value == 2.0


def test_published_thresholds_are_as_published() -> None:
    assert FRESNEL.value == 0.6  # ITU-R P.530: clearance of 0.6 first Fresnel radii
    assert (ORIENTATION.value, ORIENTATION_OFFSET.value) == (327.0, 20.0)  # EASA, SORA guidance (from memory)


def names_read(folder: str) -> set[str]:
    """Return every name and attribute that a room's modules read."""
    found = set()
    for path in (SOURCE_FOLDER / folder).glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
                found.add(node.id)
            elif isinstance(node, ast.Attribute):
                found.add(node.attr)
    return found


def test_no_rule_is_written_and_never_held() -> None:
    read = names_read("assess") | names_read("readers") | names_read("flows")
    idle = [
        name
        for room in ROOMS
        for name, value in vars(room).items()
        if isinstance(value, Rule | Threshold) and name not in read
    ]
    assert idle == []


def test_enums_of_classes_are_not_empty() -> None:
    kinds: tuple[type[Enum], ...] = (AircraftClass, ControlClass, VideoClass, Canopy, ChemistryName)
    assert all(len(kind) >= 3 for kind in kinds)
