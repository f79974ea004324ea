"""The examples: four verdicts one value apart, a plan of ten lines, a demo on a real hillside."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

from turnback.flows.brief import brief
from turnback.readers.case import read_case
from turnback.records.finding import Severity, Verdict
from turnback.records.world import Origin

EXAMPLES = Path(__file__).parents[2] / "examples"
VERDICTS = {
    "go": Verdict.GO,
    "go-with-limits": Verdict.GO_WITH_LIMITS,
    "no-go": Verdict.NO_GO,
    "cannot-say": Verdict.CANNOT_SAY,
}


def leaves(table: dict[str, Any], place: str = "") -> dict[str, Any]:
    """Return every value of a plan by its place, the note left out."""
    found: dict[str, Any] = {}
    for key, value in table.items():
        here = f"{place}.{key}".lstrip(".")
        if isinstance(value, dict):
            found.update(leaves(value, here))
        elif here != "note":
            found[here] = value
    return found


@pytest.mark.parametrize("name", VERDICTS)
def test_the_four_examples_give_the_four_verdicts(name: str) -> None:
    """Each by its own file."""
    assert brief(read_case(EXAMPLES / f"{name}.toml")).verdict is VERDICTS[name]


@pytest.mark.parametrize("name", [name for name in VERDICTS if name != "go"])
def test_each_is_one_value_apart_from_the_go(name: str) -> None:
    """Nothing else differs."""
    base, other = (leaves(tomllib.loads((EXAMPLES / f"{each}.toml").read_text())) for each in ("go", name))
    assert base.keys() == other.keys()
    assert len([key for key in base if base[key] != other[key]]) == 1


def test_a_plan_of_ten_lines_works() -> None:
    """Class, label, radio class, place, how far and high, radio-loss action, five answers: the rest is filled."""
    path = EXAMPLES / "ten-lines.toml"
    written = [line for line in path.read_text().splitlines() if line.strip() and not line.startswith("#")]
    assert len(written) <= 14
    assert sum(not line.startswith("[") for line in written) <= 12
    result = brief(read_case(path))
    assert result.verdict is not Verdict.GO, "much is open: no observer was named, no limits were looked up"
    open_rules = {finding.rule for finding in result.findings if finding.severity is Severity.UNKNOWN}
    assert {"observer.unknown", "law.not_looked_up", "return.height_unknown"} <= open_rules
    assert result.deciding is not None
    keys = {row.key for row in result.assumed}
    assert {"aircraft.mass_kg", "pack.resistance_ohm", "control.interference_rise_db", "site.wind_mps"} <= keys
    for row in result.assumed:
        assert row.origin in (Origin.TYPICAL, Origin.ASSUMED)
        assert row.low <= row.value <= row.high
        assert row.source
    assert any(row.share_fraction > 0.1 and row.of for row in result.assumed), "what knowing it would change is said"


def test_unknown_wind_tells_the_largest_that_comes_home() -> None:
    """The plan of ten lines knows no wind."""
    result = brief(read_case(EXAMPLES / "ten-lines.toml"))
    finding = next(finding for finding in result.findings if finding.rule == "weather.unknown")
    assert finding.evidence["largest_wind_mps"] == result.back.largest_wind_mps
    assert 0.0 < result.back.largest_wind_mps < 25.0


def test_the_demo_names_the_ridge_and_what_to_mend() -> None:
    """On the real ground: the link is lost behind it, and the return at its set height would meet it."""
    result = brief(read_case(EXAMPLES / "demo.toml"))
    assert result.verdict is Verdict.NO_GO
    stops = {finding.rule for finding in result.findings if finding.severity is Severity.STOP}
    assert {"link.control_chance", "return.clearance"} <= stops
    assert not result.terrain_assumed
    assert result.back.turn_back_m.high < result.back.planned_m


@pytest.mark.parametrize("path", sorted(EXAMPLES.glob("*.toml")), ids=lambda path: path.stem)
def test_every_example_says_that_it_is_invented(path: Path) -> None:
    """In its note, which the answer carries as its title, and its volts and distances are in order."""
    case = read_case(path)
    assert re.search("invented", case.title, re.IGNORECASE)
    result = brief(case)
    energy = result.energy
    assert energy.land_by_loaded_v.mid < energy.land_by_rest_v
    assert energy.land_by_loaded_v.high <= energy.turn_back_loaded_v.high <= 4.2
    assert result.draws == 10_000


def test_turn_back_volts_rise_with_the_way_home() -> None:
    """Farther out, more has to be left."""
    volts = [brief(read_case(EXAMPLES / f"{name}.toml")).energy.turn_back_loaded_v.high for name in ("go", "no-go")]
    assert volts[1] > volts[0]
