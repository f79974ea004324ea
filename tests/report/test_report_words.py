"""Every key that the floors below can hand up has words: rules, actions, parameters, units, enums."""

from __future__ import annotations

import ast
import re
from pathlib import Path
from typing import Any

import pytest

from turnback.assess.fill_aircraft import fill_aircraft, fill_pack
from turnback.assess.fill_radio import fill_control, fill_video
from turnback.assess.fill_site import fill_site, trusted
from turnback.records.aircraft import RadioLossAction
from turnback.records.common import Answer
from turnback.records.finding import Finding, Severity, Verdict
from turnback.records.plan import People, PlanFile
from turnback.records.radio import ControlClass, VideoClass
from turnback.records.world import AntennaWorld, Band, Origin
from turnback.report import words
from turnback.report.rule_words import Kind
from turnback.report.words_actions import ACTION_WORDS
from turnback.report.words_evidence import TURN_BACK_SENTENCES
from turnback.report.words_parameters import (
    LINK_NAMES,
    LINK_WORDS,
    MEASURE_LINK_WORDS,
    MEASURE_WORDS,
    ORIGIN_WORDS,
    PARAMETER_WORDS,
    SHARE_OF_WORDS,
)
from turnback.report.words_rules import RULE_WORDS
from turnback.rules import care, chance, falling, flight, hearing, people, pilot, range_walk, walk
from turnback.rules.chemistry import chemistry
from turnback.rules.rule import Rule

ROOT = Path(__file__).resolve().parents[2]
ASSESS = ROOT / "src" / "turnback" / "assess"
RULES: tuple[Rule, ...] = (
    *flight.RULES, *people.RULES, *chance.RULES, *falling.RULES, *pilot.RULES, *care.RULES,
    *range_walk.RULES, *walk.RULES, *hearing.RULES,
)  # fmt: skip
# The vocabulary of the project: a pilot must not think of one program on reading an answer.
BANNED = re.compile(r"\bchecks?\b|\bmotor [1-4]\b|\bRTH\b|\bleft-hand prop|\bangle mode\b|\bacro\b", re.IGNORECASE)


def plan(**parts: Any) -> PlanFile:
    """Return the least plan, with some parts of another class or with values that are rarely given."""
    table: dict[str, Any] = {
        "schema": 1,
        "aircraft": {
            "class": "5-inch, 4 cells",
            "hover_current_a": 9.0,
            "cruise_current_a": 12.0,
            "automatic_return": {"height_m": 60.0},
        },
        "pack": {"label": "4S 1500 mAh 95C", "cells": 4, "capacity_mah": 1500},
        "radio": {
            "control": {"class": "2.4 GHz, 100 mW"},
            "video": {"class": "analogue 5.8 GHz, 200 mW", "ground_power_mw": 25},
        },
        "site": {},
        "route": {"distance_m": 400, "bearing_deg": 10, "height_m": 40},
        **parts,
    }
    return PlanFile.model_validate(table)


def bands_of(part: object) -> list[Band]:
    """Return every band of a part of the world."""
    found: list[Band] = []
    for name in part.__slots__:  # type: ignore[attr-defined]
        value = getattr(part, name)
        if isinstance(value, Band):
            found.append(value)
        elif isinstance(value, AntennaWorld):
            found += bands_of(value)
    return found


def all_bands() -> list[Band]:
    """Return the bands of every part that the fill rooms make, with every class of radio."""
    one = plan()
    parts: list[object] = [
        fill_aircraft(one.aircraft, {}, Answer.UNKNOWN),
        fill_pack(one.pack, None, {}, chemistry("LiPo")),
        fill_site(one.site, trusted(one.weather, None), 100.0),
    ]
    for control in ControlClass:
        parts.append(fill_control(one.radio.control.model_copy(update={"class_": control})))
    for video in VideoClass:
        filled = fill_video(one.radio.video.model_copy(update={"class_": video}))
        parts += [filled] if filled is not None else []
    found = {band.key: band for part in parts for band in bands_of(part)}
    found["route.speed_mps"] = Band("route.speed_mps", 12.0, 10.0, 14.0, "m/s", Origin.DECLARED, "user")
    return list(found.values())


def keys_named_in_assess() -> set[str]:
    """Return every text of the form ``part.name_unit`` in the modules that fill gaps, read as source."""
    shape = re.compile(r"(?:aircraft|pack|site|route)\.[a-z_0-9]+")
    found: set[str] = set()
    for path in [*ASSESS.glob("fill_*.py"), ASSESS / "world.py"]:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and shape.fullmatch(node.value):
                found.add(node.value)
    return found


def test_every_rule_has_words_and_no_words_are_left_over() -> None:
    assert {rule.key for rule in RULES} - {"return.success"} == set(RULE_WORDS)


@pytest.mark.parametrize("rule", [rule for rule in RULES if rule.key != "return.success"], ids=lambda rule: rule.key)
def test_a_rule_reads_as_sentences_with_and_without_numbers(rule: Rule) -> None:
    ends = {"low": None, "high": None} if rule.value == 1 and not rule.unit else {"low": 0.4, "high": 0.9}
    fact = Finding(rule.key, Severity.LIMIT, None, "", None, None, None, rule.source, rule.do)
    measured = Finding(rule.key, Severity.LIMIT, 0.7, rule.unit, rule.value, **ends, source=rule.source, do=rule.do)
    for finding in (fact, measured):
        said = words.say(finding)
        for text in (said.title, said.sentence, said.do):
            assert text and text[0].isupper(), text
            assert "{" not in text and "None" not in text and "nan" not in text, text
            assert not BANNED.search(text), text
        assert said.sentence.endswith(".")
        assert said.do.endswith(".")
    assert words.say(measured).value in words.sentence(measured) or not RULE_WORDS[rule.key].measured


def test_every_action_of_a_rule_has_words() -> None:
    for rule in RULES:
        assert rule.do in ACTION_WORDS, rule.key


def test_every_literal_action_in_assess_has_words() -> None:
    """``do=`` keys that a judge writes itself, found in the source."""
    for path in ASSESS.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.keyword) and node.arg == "do" and isinstance(node.value, ast.Constant):
                assert node.value.value is None or node.value.value in ACTION_WORDS, (path.name, node.value.value)


@pytest.mark.parametrize("band", all_bands(), ids=lambda band: band.key)
def test_every_band_has_a_name_a_measurement_and_a_unit(band: Band) -> None:
    part, _, rest = band.key.partition(".")
    assert band.key in PARAMETER_WORDS or (part in LINK_NAMES and rest in LINK_WORDS)
    assert band.key in MEASURE_WORDS or (part in LINK_NAMES and rest in MEASURE_LINK_WORDS[part])
    said = words.action(f"measure:{band.key}")
    assert said[0].isupper()
    assert said.endswith(".")
    assert "{" not in said
    assert "_" not in said
    assert not BANNED.search(said)
    assert not BANNED.search(words.parameter(band.key))


def test_the_bands_above_are_all_that_assess_makes() -> None:
    assert keys_named_in_assess() <= {band.key for band in all_bands()} | {"aircraft.motor_resistance_mohm"}


def test_every_kind_of_answer_has_words() -> None:
    assert set(words.VERDICT_WORDS) == set(words.VERDICT_MEANING) == set(Verdict)
    assert set(words.SEVERITY_WORDS) == set(Severity)
    assert set(words.ACTION_ON_RADIO_LOSS) == set(RadioLossAction)
    assert set(ORIGIN_WORDS) == set(Origin)
    # Figures that gaps are ranked by: flows/brief.py `_figures`, and none.
    assert set(SHARE_OF_WORDS) == {"energy", "control", "video", "thrust", ""}
    # records/result.py, ReturnResult.turn_back_reason.
    assert set(words.TURN_BACK_REASONS) == {"energy", "control", "video", "route"}
    assert set(TURN_BACK_SENTENCES) == set(words.TURN_BACK_REASONS)


def test_every_answer_about_people_that_matters_has_a_rule_with_words() -> None:
    rules = {People.UNKNOWN: "people.unknown", People.OTHERS: "people.others", People.INVOLVED: "people.involved"}
    assert set(People) - {People.NOBODY} == set(rules)
    assert set(rules.values()) <= set(RULE_WORDS)


def chance_finding(severity: Severity, limit: float) -> Finding:
    return Finding("link.control_chance", severity, 0.975, "", limit, 0.96, 0.985, "our-choice", "shorten_or_climb")


def test_a_chance_names_the_limit_it_was_held_against() -> None:
    go, limited = chance_finding(Severity.LIMIT, 0.99), chance_finding(Severity.STOP, 0.95)
    assert "a go allows 1 flight in 100" in words.sentence(go)
    assert "a go with limits allows 1 flight in 20" in words.sentence(limited)


def test_chances_are_said_as_how_often_it_fails() -> None:
    assert RULE_WORDS["link.control_chance"].kind is Kind.HOLDS
    assert "about 1 flight in 40" in words.sentence(chance_finding(Severity.LIMIT, 0.99))  # 1 - 0.975 = 1/40


@pytest.mark.parametrize(
    ("rule", "evidence", "said"),
    [
        ("return.clearance", {"obstacle_m": 880.0, "obstacle_height_m": 48.0}, "880 m from launch, 48 m above launch."),
        ("link.clearance", {"obstacle_m": 90.0, "obstacle_height_m": 431.0, "link": "video"}, "about the video link."),
        ("link.clearance", {"obstacle_m": 90.0, "obstacle_height_m": 431.0}, "430 m above sea level."),
        ("weather.unknown", {"largest_wind_mps": 5.87, "stale": "yes"}, "too old or comes from too far away"),
        ("weather.unknown", {"largest_wind_mps": 5.87, "stale": "no"}, "wind that still brings it home is 5.8 m"),
        ("return.headwind", {"headwind_mps": 5.0, "beatable_mps": 9.0}, "It meets 5.0 m/s and can beat 9.0 m/s."),
        ("return.turn_back", {"reason": "video"}, "Beyond that the picture may break."),
        ("propellers.mismatch", {"corner": "front-left"}, "It is the front-left corner."),
        ("people.area", {"areas": 2.0, "first": "school"}, "It crosses 2 areas, first: school."),
    ],
)  # fmt: skip
def test_evidence_is_said(rule: str, evidence: dict[str, float | str], said: str) -> None:
    finding = Finding(rule, Severity.LIMIT, None, "", None, None, None, "our-choice", "none", evidence)
    assert said in words.sentence(finding)


def test_a_place_that_is_not_known_is_not_said() -> None:
    """Where the ground hides nothing, the records hold NaN."""
    evidence = {"obstacle_m": float("nan"), "obstacle_height_m": float("nan"), "largest_wind_mps": float("nan")}
    for rule in ("link.control_chance", "weather.unknown", "return.clearance"):
        finding = Finding(rule, Severity.NOTE, None, "", None, None, None, "our-choice", "none", evidence)
        assert words.sentence(finding) == RULE_WORDS[rule].fact
