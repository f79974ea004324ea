"""Words on pilot and pack care: every key has some, numbers are those of the record, volts say how they are meant."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from tests.assess.cases import case_of, plain

from turnback.assess.pack_care import care_rows
from turnback.assess.world import fill
from turnback.records.aircraft import AircraftClass
from turnback.records.care import CareResult, CareRow
from turnback.records.finding import Finding, Severity, Spread
from turnback.records.pilot_result import CrashCost, Demand, PilotResult, Step, StepState, Trials
from turnback.records.plan import FlightMode, Skill
from turnback.report import words
from turnback.report.numbers import Units
from turnback.report.words_care import ROW_NAMES, care_lines, care_table, rough_time
from turnback.report.words_pilot import crash_line, pilot_lines, pilot_tables
from turnback.report.words_skills import CLASS_NAMES, CRITERION_WORDS, DEMAND_NAMES, SKILL_NAMES
from turnback.rules import pilot
from turnback.rules.chemistry import chemistry

FIVE, TWENTY = Trials(5, 5, 0.5493), Trials(20, 20, 0.8609)
CRASH = CrashCost(0.68, 13.0, 57.5, "3-inch", 0.22, 9.0, 9.0, 6.39, "ducted micro", 197.0)
BROKEN = re.compile(r"[{}]|\bnan\b|\bNone\b|\bchecks?\b|_")


def result(said: bool = True, missing: tuple[Skill, ...] = (Skill.GOGGLES_WITH_OBSERVER,)) -> PilotResult:
    """Return a pilot who has shown three steps of four that a flight asks for; made by hand."""
    needed = list(Skill)[:4]
    steps = tuple(
        Step(
            skill,
            StepState.NEXT if skill in missing[:1] else StepState.LATER if skill in missing else StepState.SHOWN,
            skill in needed,
            TWENTY if skill is Skill.SIMULATOR else FIVE,
            ("pilot.demand_thrust",) if skill in needed else (),
            3.0,
        )
        for skill in Skill
    )
    demands = tuple(Demand(key, Spread(8.1, 6.7, 9.7), "", 5.0, Skill.SELF_LEVEL_IN_SIGHT) for key in DEMAND_NAMES)
    return PilotResult(
        said, 140.0, 12.0, steps, missing, missing[0] if missing else None, demands, (FIVE, TWENTY), CRASH,
        FlightMode.SELF_LEVEL,
    )  # fmt: skip


def care(**changes: object) -> CareResult:
    """Return the care of a pack of four cells; made by hand."""
    rows = tuple(
        CareRow(key, 3.5, "V", per, "rest", 600.0, "common-practice")
        for key in ("care.full", "care.storage", "care.land_by_rest", "care.spread_watch")
        for per in ("cell", "pack")
    )
    loaded = CareRow("care.land_by_loaded", 3.3, "V", "cell", "loaded", 5.0, "our-choice")
    damage = CareRow("care.damage", 3.0, "V", "cell", "loaded", 0.0, "common-practice")
    amperes = CareRow("care.charge_a", 1.58, "A", "pack", "", None, "common-practice")
    share = CareRow("care.plan_share", 0.8, "", "pack", "", None, "common-practice")
    made = CareResult(
        "LiPo", 4, (*rows, loaded, damage, amperes, share), 4.12, True, 0.07, 3, Spread(5.0, 1.0, 9.0),
        Spread(1.7, 1.5, 2.0), 8.0, 40.0, Spread(1.2, 0.9, 1.6), 1.58, Spread(3400.0, 2500.0, 4700.0),
        Spread(910.0, 760.0, 1100.0), Spread(900.0, 0.0, 2400.0), Spread(1.45, 1.3, 1.5), Spread(1.4, 1.36, 1.44),
        Spread(9.0, 6.0, 13.0), Spread(11.0, 9.0, 13.0), True,
    )  # fmt: skip
    return replace(made, **changes)  # type: ignore[arg-type]


def said(lines: tuple[str, ...]) -> str:
    """Return lines as one text, and see that each is a sentence."""
    assert all((line[0].isupper() or line[0].isdigit()) and line.endswith((".", ")")) for line in lines), lines
    assert not any(BROKEN.search(line) for line in lines), lines
    return " ".join(lines)


def test_every_step_class_demand_and_row_has_words() -> None:
    assert set(SKILL_NAMES) == set(CRITERION_WORDS) == set(Skill)
    assert set(CLASS_NAMES) == set(AircraftClass)
    assert set(DEMAND_NAMES) == {rule.key for rule in pilot.RULES if rule.key.startswith("pilot.demand_")}
    assert all("{of}" in text and "{within}" in text for text in CRITERION_WORDS.values())
    assert set(pilot.SMALLER_CLASS) == {name.value for name in AircraftClass}
    rows = care_rows(fill(case_of(plain())), chemistry("LiPo"), Spread(1.2, 1.1, 1.3), 1.3)
    assert {row.key for row in rows} == set(ROW_NAMES)


@pytest.mark.parametrize("units", Units)
def test_a_pilot_one_step_short_reads_as_sentences(units: Units) -> None:
    text = said(pilot_lines(result(), units))
    assert "Not shown yet: goggles with observer." in text
    assert "The next step: goggles with observer." in text
    within = "3.0 m" if units is Units.METRIC else "9 ft"
    assert f"5 flights of 5: out and back with the observer's calls, then down within {within}" in text
    assert "5 of 5 proves less than it seems: it may still fail in up to 45 % of tries." in text
    assert "20 of 20 proves less than it seems: it may still fail in up to 14 % of tries." in text


def test_what_nobody_said_is_said_so() -> None:
    text = said(pilot_lines(result(said=False, missing=tuple(Skill)[:4])))
    assert "Nobody said what the pilot has shown." in text
    assert "If nothing was shown, it begins with: simulator." in text
    all_shown = said(pilot_lines(result(missing=())))
    assert "All of it was shown." in all_shown
    assert "next step" not in all_shown


def test_a_crash_is_set_beside_smaller_aircraft() -> None:
    assert crash_line(CRASH) == (
        "At 13.0 m/s it hits with 58 J: 6.4 times the energy of a 3-inch aircraft, 200 times that of a ducted micro."
    )
    small = replace(CRASH, smaller_class="ducted micro", ratio=31.0, smallest_ratio=31.0)
    assert crash_line(small).endswith(": 31 times the energy of a ducted micro.")
    nan = float("nan")
    least = replace(CRASH, smaller_class="", ratio=nan, smallest_ratio=nan)
    assert crash_line(least).endswith(": it is of the smallest class.")


def test_the_tables_name_each_step_once_with_what_it_proves() -> None:
    way, show, asks, crash = pilot_tables(result())
    assert [row.name.lower() for row in way.rows] == [row.name.lower() for row in show.rows]
    assert len(way.rows) == len(Skill)
    assert way.rows[3].value == "not shown: the next step; asked for by: Full thrust over weight"
    assert way.rows[6].value == "shown"
    assert "(That shows at least 55 %, with 95 % confidence.)" in show.rows[3].value
    assert "(That shows at least 86 %, with 95 % confidence.)" in show.rows[0].value
    assert len(asks.rows) == len(DEMAND_NAMES)
    assert all("8.10 (6.70 to 9.70), held against 5.00: self-level in sight" in row.value for row in asks.rows)
    assert [row.value for row in crash.rows][2] == "58 J"
    assert not any(BROKEN.search(row.value) for table in (way, show, asks, crash) for row in table.rows)


def test_a_finding_names_the_next_step() -> None:
    found = Finding(
        "pilot.too_strong", Severity.STOP, 2.0, "", 2.0, None, None, "our-choice", "smaller_steps",
        {"skill": "self-level in sight", "missing": 2.0},
    )  # fmt: skip
    assert words.sentence(found).endswith("The next step: self-level in sight.")


@pytest.mark.parametrize("units", Units)
def test_care_reads_as_sentences(units: Units) -> None:
    text = said(care_lines(care(), units))
    assert "ground that does not burn" in text
    assert "dented, swollen" in text
    assert "cell 3 is the weakest, counted from 1" in text
    assert "0.07 V apart" in text
    assert "910 mAh (760 mAh to 1100 mAh)" in text
    assert "1.5 A at most" in text, "rounded down: a charge current is never rounded up"
    assert "about 55 min (40 min to 80 min)" in text
    assert "It was charged 40 times." in text
    assert ("25 °C" if units is Units.METRIC else "77 °F") in text
    assert "11.0 A (9.0 A to 13.0 A) on average, where 9.0 A (6.0 A to 13.0 A) was thought before" in text


def test_care_says_what_is_not_known() -> None:
    text = said(
        care_lines(care(spread_v=None, lowest_cell=None, cycles=None, age_months=None, learned_from_last_flight=False))
    )
    assert "Measure every cell at rest" in text
    assert "Its age and how often it was charged were not said." in text
    assert "Enter the last flight's minutes" in text
    assert "The cells are alike (0.00 V apart)." in said(care_lines(care(spread_v=0.0, lowest_cell=None)))


def test_every_volt_of_the_table_says_how_it_is_meant() -> None:
    rows = {row.name: row.value for row in care_table(care()).rows}
    assert rows["Full"] == "3.50 V a cell, 3.50 V the pack; at rest, 10 min after load"
    assert rows["Land now, under load"] == "3.30 V; under load, for longer than 5 s"
    assert rows["Harmed below"] == "3.00 V; at rest or under load, even for a moment"
    assert rows["Share of the pack to plan on"] == "80 %"
    assert care_table(care()).title == "Pack care: LiPo, 4 cells"
    assert care_table(care(cells=1)).title == "Pack care: LiPo, one cell"


def test_a_rough_time_is_rough() -> None:
    assert [rough_time(s) for s in (70.0, 590.0, 640.0, 3400.0)] == ["1 min", "10 min", "10 min", "55 min"]
