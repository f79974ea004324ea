"""What would make it a go: every change told is written into a plan, and the whole brief asked again.

The changed plans are made here from tables, key by key, not by the code that found the changes.
"""

from __future__ import annotations

import math
import shutil
import tomllib
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any, cast

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.assess.cases import case_of, plain, ridge, valley

from turnback.assess.changing import with_larger_pack, with_wind
from turnback.assess.changing_measured import can_be_measured, place_of, with_measured
from turnback.assess.world import fill
from turnback.flows.brief import brief
from turnback.flows.changes import smallest, what_would_help
from turnback.flows.changes_moves import holds_back, kinds_that_move
from turnback.flows.changes_options import clear_return_m, ladders
from turnback.flows.flight import RANK, Flight
from turnback.readers.case import read_case
from turnback.records.changes import ChangeKind, ChangesResult
from turnback.records.common import How, Reading
from turnback.records.finding import Severity, Verdict
from turnback.records.result import BriefResult
from turnback.records.route import HeightReference, Route
from turnback.records.terrain import Terrain
from turnback.records.weather import WeatherReport

EXAMPLES = Path(__file__).parents[2] / "examples"
NAMES = ("demo", "no-go", "go-with-limits", "cannot-say", "ten-lines", "go")


# --- examples, by file ---------------------------------------------------------------------------------------------


@cache
def answer(name: str) -> BriefResult:
    """Return an example's brief, its changes with it."""
    return brief(read_case(EXAMPLES / f"{name}.toml"), changes=True)


def told(name: str) -> ChangesResult:
    """Return what is told about an example."""
    changes = answer(name).changes
    assert changes is not None
    return changes


def toml(value: Any) -> str:
    """Return a value as TOML, tables inline."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key} = {toml(each)}" for key, each in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(toml(each) for each in value) + "]"
    if isinstance(value, bool):
        return "true" if value else "false"
    return f'"{value}"' if isinstance(value, str) else repr(value)


def table_of(name: str) -> dict[str, Any]:
    """Return an example as one table, its parts read in, their paths as seen from the plan."""
    table = tomllib.loads((EXAMPLES / f"{name}.toml").read_text(encoding="utf-8"))
    for part in ("aircraft", "pack", "site"):
        if isinstance(table[part], str):
            table[part] = tomllib.loads((EXAMPLES / table[part]).read_text(encoding="utf-8"))
            table[part].pop("schema")
            for key in ("terrain", "people_areas"):
                if key in table[part]:
                    table[part][key] = (Path("parts") / table[part][key]).as_posix()
    return table


@pytest.fixture
def asked(tmp_path: Path) -> Callable[[dict[str, Any]], BriefResult]:
    """Return what writes a plan to a file and asks the whole brief about it."""
    shutil.copytree(EXAMPLES, tmp_path, dirs_exist_ok=True)

    def ask(table: dict[str, Any]) -> BriefResult:
        path = tmp_path / "plan.toml"
        path.write_text("\n".join(f"{key} = {toml(value)}" for key, value in table.items()), encoding="utf-8")
        return brief(read_case(path))

    return ask


@pytest.mark.parametrize("name", ["demo", "go-with-limits"])
def test_a_shorter_way_told_is_what_the_brief_answers_about_that_plan(
    name: str, asked: Callable[[dict[str, Any]], BriefResult]
) -> None:
    changes = told(name)
    assert changes.changes
    assert {row.kind for row in changes.changes} == {ChangeKind.DISTANCE}
    for row in changes.changes:
        table = table_of(name)
        assert table["route"]["distance_m"] == row.now
        table["route"]["distance_m"] = row.value
        again = asked(table)
        assert again.verdict is row.verdict
        # a nearer plan reads a smaller circle of ground: its heights are interpolated in another order
        assert (again.home.mid, again.home.low) == pytest.approx((row.home.mid, row.home.low), rel=1e-9)
        assert RANK[again.verdict] > RANK[answer(name).verdict]


@pytest.mark.parametrize("name", ["demo", "go-with-limits"])
def test_a_step_less_than_told_does_not_do(name: str, asked: Callable[[dict[str, Any]], BriefResult]) -> None:
    for row in told(name).changes:
        table = table_of(name)
        assert row.value is not None
        more_m = table["route"]["distance_m"] = row.value + (5.0 if row.value < 300.0 else 10.0)
        # no distance is told beyond the turn-back distance that the brief itself tells
        assert more_m > answer(name).back.turn_back_m.low or RANK[asked(table).verdict] < RANK[row.verdict]
        assert row.value <= answer(name).back.turn_back_m.low


def test_the_demo_is_told_how_near_is_a_go_and_how_near_a_go_with_limits() -> None:
    changes = told("demo")
    assert changes.verdict is Verdict.NO_GO
    assert changes.answered is Verdict.NO_GO
    assert not changes.open_answers
    assert [row.verdict for row in changes.changes] == [Verdict.GO, Verdict.GO_WITH_LIMITS]
    near, far = (row.value for row in changes.changes)
    assert near is not None
    assert far is not None
    # an observer tells its direction up to 327 spans and 20 m (EASA, from memory): 138 m; on the step below
    assert near == 135.0
    assert near < far < 919.0, "beyond the turn-back point nothing comes home"
    assert not {ChangeKind.GROUND_ANTENNA_HEIGHT, ChangeKind.WIND, ChangeKind.PACK_LARGER} & set(changes.looked_at)


def test_the_no_go_is_told_the_same_as_the_demo() -> None:
    assert told("no-go") == told("demo")


def test_a_go_is_told_nothing() -> None:
    changes = told("go")
    assert changes == ChangesResult(Verdict.GO, (), Verdict.GO, (), (), None, 0)


def test_an_open_question_is_told_first(asked: Callable[[dict[str, Any]], BriefResult]) -> None:
    changes = told("cannot-say")
    assert changes.verdict is Verdict.CANNOT_SAY
    assert changes.open_answers == ("propellers.unknown",)
    assert changes.answered is Verdict.GO
    assert [row.kind for row in changes.changes] == [ChangeKind.ANSWERS]
    table = table_of("cannot-say")
    table["answers"]["propellers_verified_today"] = "yes"
    again = asked(table)
    assert (again.verdict, again.home) == (Verdict.GO, changes.changes[0].home)


def test_the_ten_lines_are_told_every_open_question_and_that_one_change_is_not_enough(
    asked: Callable[[dict[str, Any]], BriefResult],
) -> None:
    changes = told("ten-lines")
    open_questions = {
        "law.not_looked_up", "observer.unknown", "pilot.unknown", "return.height_unknown", "return.untested"
    }  # fmt: skip
    assert set(changes.open_answers) == open_questions
    table = table_of("ten-lines")
    table["site"]["local_limits"] = {"looked_up": "yes"}
    table["observer"] = "yes"
    table["answers"]["return_tested_on_this_build"] = "yes"
    table["pilot"] = {"shown": ["simulator", "ducted in self-level", "self-level in sight", "goggles with observer",
                                "radio-loss drill", "rate mode", "obstacles"]}  # fmt: skip
    table["aircraft"]["automatic_return"] = {"height_m": 60.0}
    again = asked(table)
    assert again.verdict is changes.answered is Verdict.CANNOT_SAY
    severe = {finding.rule for finding in again.findings if finding.severity is Severity.UNKNOWN}
    assert len(severe) > 1, "more than one thing has to change"
    assert not changes.changes
    assert changes.costs_most is not None


@pytest.mark.slow
def test_the_same_question_gets_the_same_answer() -> None:
    for name in ("demo", "ten-lines"):
        assert brief(read_case(EXAMPLES / f"{name}.toml"), changes=True).changes == told(name)


def test_a_brief_looks_for_changes_only_where_it_is_asked_to() -> None:
    assert brief(read_case(EXAMPLES / "cannot-say.toml")).changes is None


# --- each kind of change, by cases changed value by value ----------------------------------------------------------


@dataclass(frozen=True)
class Held:
    """A plan that something holds back, and how the kind of change that lifts it is written."""

    name: str
    kind: ChangeKind
    plan: dict[str, Any]
    write: Callable[[float], dict[str, Any]]
    step: float
    """What is less of a change: added to the value it holds back again; not a number where there is no less."""
    best: Verdict = Verdict.GO
    ground: Callable[[], Terrain] = valley


def blown(wind_mps: float) -> dict[str, Any]:
    """Return a wind with its gusts in proportion."""
    return {"weather__wind_mps": wind_mps, "weather__gust_mps": wind_mps * 18.0 / 13.0}


def larger(capacity_ah: float) -> dict[str, Any]:
    """Return a pack of another size and the same make; its mass is typical of its capacity."""
    made = {"cells": 6, "capacity_mah": {"value": capacity_ah * 1e3, "how": "label"}, "c_rating": 100.0}
    return {"pack": {**made, "resistance_mohm_per_cell": 5.0 * 1.3 / capacity_ah}}


def low_ridge() -> Terrain:
    """Return a plain with a ridge of 20 m all round, 150 m away."""
    return ridge(150.0, 20.0)


WEAK: dict[str, Any] = {
    "radio__control": {"class": "2.4 GHz, 100 mW"}, "radio__video": {"class": "digital 5.8 GHz, 500 mW"},
    "route__distance_m": 135,
}  # fmt: skip
NAN = float("nan")
HELD = [
    Held("too far", ChangeKind.DISTANCE, {"route__distance_m": 350}, lambda m: {"route__distance_m": m}, 5.0),
    Held("half charged", ChangeKind.PACK_CHARGED, {"answers__rest_v_per_cell": 3.95},
         lambda volts: {"answers__rest_v_per_cell": volts}, NAN),
    Held("cold pack", ChangeKind.PACK_WARM, {"pack__temperature_c": 5},
         lambda celsius: {"pack__temperature_c": {"value": celsius, "how": "measured"}}, -11.0),
    Held("windy", ChangeKind.WIND, blown(13.0), blown, 0.5),
    Held("above the limit", ChangeKind.HEIGHT, {"route__height_m": 140},
         lambda height_m: {"route__height_m": height_m}, 5.0),
    Held("return above the limit", ChangeKind.RETURN_HEIGHT, {"aircraft__automatic_return": {"height_m": 150.0}},
         lambda height_m: {"aircraft__automatic_return": {"height_m": height_m}}, 10.0),
    Held("return too low", ChangeKind.RETURN_HEIGHT, {"aircraft__automatic_return": {"height_m": 10.0}},
         lambda height_m: {"aircraft__automatic_return": {"height_m": height_m}}, -5.0),
    Held("a larger pack against the wind", ChangeKind.PACK_LARGER, blown(13.0), larger, -1.69 + 1.5,
         Verdict.GO_WITH_LIMITS),
    Held("behind a low ridge", ChangeKind.GROUND_ANTENNA_HEIGHT, {"route__distance_m": 290, "route__height_m": 35},
         lambda height_m: {"site__antenna_height_m": {"value": height_m, "how": "measured"}}, -2.0,
         Verdict.GO_WITH_LIMITS, low_ridge),
    Held("weak picture", ChangeKind.GROUND_ANTENNA_GAIN, WEAK,
         lambda gain_dbi: {"radio__video": {**WEAK["radio__video"],
                           "ground_antenna": {"gain_dbi": gain_dbi, "pattern": "patch"}}}, NAN,
         Verdict.GO_WITH_LIMITS, plain),
]  # fmt: skip


@cache
def changes_of(name: str) -> tuple[Flight, ChangesResult]:
    held = next(each for each in HELD if each.name == name)
    flight = Flight(case_of(held.ground(), **held.plan), in_full=True)
    return flight, what_would_help(flight)


@pytest.mark.slow
@pytest.mark.parametrize("held", HELD, ids=lambda held: held.name)
def test_each_kind_of_change_lifts_as_it_says(held: Held) -> None:
    flight, changes = changes_of(held.name)
    rows = [row for row in changes.changes if row.kind is held.kind]
    assert rows, [(finding.rule, finding.severity) for finding in flight.findings]
    assert rows[0].verdict is held.best
    for row in rows:
        assert row.value is not None
        again = brief(case_of(held.ground(), **{**held.plan, **held.write(row.value)}))
        assert (again.verdict, again.home) == (row.verdict, row.home)
        assert RANK[again.verdict] > RANK[flight.verdict]
        if not math.isnan(held.step):
            less = brief(case_of(held.ground(), **{**held.plan, **held.write(row.value + held.step)}))
            assert RANK[less.verdict] < RANK[row.verdict]


@pytest.mark.slow
def test_the_best_verdict_comes_first_and_a_mere_question_only_alone() -> None:
    for held in HELD:
        verdicts = [RANK[row.verdict] for row in changes_of(held.name)[1].changes]
        assert verdicts == sorted(verdicts, reverse=True)
        assert len({RANK[Verdict.CANNOT_SAY], *verdicts}) == len(set(verdicts)) + (
            RANK[Verdict.CANNOT_SAY] not in verdicts
        )
        if len(set(verdicts)) > 1:
            assert RANK[Verdict.CANNOT_SAY] not in verdicts


def test_a_measurement_told_lifts_where_it_finds_what_is_assumed() -> None:
    flight = Flight(case_of(plain(), **WEAK), in_full=True)
    rows = {row.key: row for row in what_would_help(flight).changes if row.kind is ChangeKind.MEASUREMENT}
    row = rows["video.ground_sensitivity_dbm"]
    assert row.unit == "dBm"
    video = {**WEAK["radio__video"], "ground_sensitivity_dbm": {"value": row.value, "how": "measured"}}
    again = brief(case_of(plain(), **{**WEAK, "radio__video": video}))
    assert (again.verdict, again.home) == (row.verdict, row.home)
    assert RANK[again.verdict] > RANK[flight.verdict]


def test_the_unknown_that_costs_most_narrows_its_figure_as_told() -> None:
    unknown = told("demo").costs_most
    assert unknown is not None
    assert (unknown.key, unknown.of) == ("aircraft.figure_of_merit", "energy"), "read off a hover's pack current"
    case = read_case(EXAMPLES / "demo.toml")
    current = Reading(value=answer("demo").energy.hover_current_a.mid, how=How.MEASURED)
    craft = case.plan.aircraft.model_copy(update={"hover_current_a": current})
    measured = replace(case, plan=case.plan.model_copy(update={"aircraft": craft}))
    now, then = (np.ptp(np.quantile(Flight(each).figures()["energy"], (0.05, 0.95))) for each in (case, measured))
    assert unknown.band_ratio == pytest.approx(then / now, rel=1e-9)


# --- what is never told -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("limit_m", [40.0, 61.0, 120.0])
@pytest.mark.parametrize("ground", ["valley", "ridge"])
def test_nothing_is_tried_above_an_entered_limit(limit_m: float, ground: str) -> None:
    plan: dict[str, Any] = {
        "site__local_limits": {"looked_up": "yes", "height_m": limit_m},
        "route__height_m": 30, "route__distance_m": 290,
        "aircraft__automatic_return": {"height_m": 200.0 if limit_m == 61.0 else 10.0},
    }  # fmt: skip
    flight = Flight(case_of(low_ridge() if ground == "ridge" else valley(), **plan))
    tried = [option for ladder in ladders(flight, ()) for option in ladder.options]
    heights = [option for option in tried if option.kind is ChangeKind.HEIGHT]
    assert heights or limit_m == 40.0
    for option in heights:
        higher = Flight(option.make(), like=flight)
        above_m = (higher.track.height_m - higher.track.ground_m)[higher.track.planned()].max()
        assert above_m <= limit_m + 1e-9
    for option in tried:
        if option.kind is ChangeKind.RETURN_HEIGHT:
            assert option.value is not None
            assert option.value <= limit_m


def test_without_a_limit_nothing_higher_than_the_plan_is_tried() -> None:
    plan: dict[str, Any] = {
        "site__local_limits": {"looked_up": "don't know"}, "route__height_m": 15, "route__distance_m": 290,
        "aircraft__automatic_return": {"height_m": 10.0},
    }  # fmt: skip
    flight = Flight(case_of(low_ridge(), **plan))
    assert flight.ridge.lowest_height_m > 30.0, "the ridge of 20 m and the clearance of 15 m"
    assert clear_return_m(flight) is None
    kinds = {ladder.kind for ladder in ladders(flight, ())}
    assert not {ChangeKind.HEIGHT, ChangeKind.RETURN_HEIGHT} & kinds


def test_no_mast_mends_what_eyes_have_to_see() -> None:
    limits = {"looked_up": "yes", "height_m": 120, "in_sight": "yes"}
    plan: dict[str, Any] = {"route__distance_m": 290, "route__height_m": 35, "site__local_limits": limits}
    flight = Flight(case_of(low_ridge(), **plan), in_full=True)
    assert "law.in_sight" in {finding.rule for finding in flight.findings}
    changes = what_would_help(flight)
    assert ChangeKind.GROUND_ANTENNA_HEIGHT not in changes.looked_at


def test_people_underneath_are_told_and_nothing_else_is_tried() -> None:
    changes = what_would_help(Flight(case_of(answers__who_can_be_underneath="other people"), in_full=True))
    assert changes.beside == ("people.others",)
    assert (changes.changes, changes.looked_at, changes.tried) == ((), (), 0)


def test_a_harmed_cell_is_not_told_to_be_charged() -> None:
    flight = Flight(case_of(answers__rest_v_per_cell=2.9), in_full=True)
    assert "care.cell_harmed" in {finding.rule for finding in flight.findings}
    changes = what_would_help(flight)
    assert not changes.changes
    assert "care.cell_harmed" in changes.beside


def test_a_route_of_waypoints_is_neither_shortened_nor_lifted() -> None:
    route = Route(
        np.array([0.0, 200.0, 300.0]), np.array([0.0, 100.0, 0.0]), np.full(3, 40.0), HeightReference.LAUNCH, None, 0.0,
        straight=False, closes_at_launch=False,
    )  # fmt: skip
    kinds = {ladder.kind for ladder in ladders(Flight(case_of(route=route)), ())}
    assert kinds
    assert not {ChangeKind.DISTANCE, ChangeKind.HEIGHT} & kinds


# --- how it is searched -------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_no_kind_moves_what_is_held_to_be_out_of_its_reach() -> None:
    """The table that spares flights: whatever it says a change cannot move stays, at the greatest change."""
    looked_at = set()
    for held in (each for each in HELD if each.name in ("windy", "above the limit", "behind a low ridge")):
        flight, _ = changes_of(held.name)
        before = {finding.rule: finding.severity for finding in flight.findings if holds_back(finding)}
        for ladder in ladders(flight, ()):
            after = {f.rule: f.severity for f in Flight(ladder.options[-1].make(), like=flight).findings}
            for rule, severity in before.items():
                if ladder.kind not in kinds_that_move(rule):
                    looked_at.add((ladder.kind, rule))
                    assert after.get(rule) is severity, (held.name, ladder.kind, rule)
    assert len(looked_at) > 10


@pytest.mark.slow
def test_what_is_taken_from_a_like_flight_is_the_same_bytes() -> None:
    flight, _ = changes_of("behind a low ridge")
    for ladder in ladders(flight, tuple(band for band in flight.world.bands() if band.key == "video.ground.gain_dbi")):
        case = ladder.options[0].make()
        like, alone = Flight(case, like=flight), Flight(case)
        assert (like.findings, like.home) == (alone.findings, alone.home), ladder.kind


@dataclass
class Rung:
    """A flight that reaches a verdict from some rung on, at each depth."""

    reached: tuple[bool, bool, bool]
    asked: list[bool | None]

    def reaches(self, least: Verdict, *, as_far_as_energy: bool | None = None) -> bool:
        self.asked.append(as_far_as_energy)
        return all(self.reached[: {False: 1, True: 2, None: 3}[as_far_as_energy]])


@given(st.integers(1, 60), st.integers(0, 60), st.integers(0, 60), st.integers(0, 60))
def test_the_smallest_rung_is_found_whatever_denies_it(rungs: int, quick: int, pack: int, end: int) -> None:
    asked: list[bool | None] = []
    flights = [Rung((rung >= quick, rung >= pack, rung >= end), asked) for rung in range(rungs)]
    found = smallest(lambda rung: cast(Flight, flights[rung]), rungs - 1, Verdict.GO)
    least = max(quick, pack, end)
    assert found == (least if least < rungs else None)
    if quick >= rungs:
        assert asked == [False], "one quick look at the greatest change is enough to give a kind up"


def test_a_change_that_does_worse_in_the_end_is_found_between() -> None:
    flights = [Rung((3 <= rung <= 6, True, True), []) for rung in range(9)]
    assert smallest(lambda rung: cast(Flight, flights[rung]), 8, Verdict.GO, rises=False) == 3
    assert smallest(lambda rung: cast(Flight, flights[rung]), 8, Verdict.GO) is None


# --- changed plans ------------------------------------------------------------------------------------------------


def test_a_larger_pack_raises_what_was_measured_with_the_old_one() -> None:
    plan: dict[str, Any] = {
        "aircraft__hover_current_a": {"value": 10.0, "how": "measured"}, "aircraft__mass_g": 400,
        "pack__mass_g": {"value": 200, "how": "measured"}, "answers__last_flight": {"minutes": 5, "charger_mah": 800},
    }  # fmt: skip
    case = case_of(**plan)
    other = with_larger_pack(case, fill(case), 1.6).plan
    heavier = ((400.0 + 320.0) / 600.0) ** 1.5  # momentum theory of hover: P = W^1.5 / sqrt(2 rho A)
    assert other.aircraft.hover_current_a is not None
    assert other.aircraft.hover_current_a.value == pytest.approx(10.0 * heavier)
    assert other.answers.last_flight is not None
    assert other.answers.last_flight.charger_mah == pytest.approx(800.0 * heavier)
    assert other.pack.mass_g is not None
    assert other.pack.mass_g.value == pytest.approx(320.0)
    assert other.pack.resistance_mohm_per_cell is not None
    assert other.pack.resistance_mohm_per_cell.value == pytest.approx(5.0 / 1.6)
    assert other.pack.label is None, "the old label contradicts the new capacity"


def test_less_wind_than_a_report_says_is_typed_in() -> None:
    report = WeatherReport(8.0, 12.0, 250.0, 14.0, 1012.0, 0.2, 5.0, "XXXX")
    none: dict[str, Any] = dict.fromkeys(
        ("weather__wind_mps", "weather__wind_from_deg", "weather__temperature_c", "weather__qnh_hpa")
    )
    case = case_of(report=report, **none)
    calmer = with_wind(case, 4.0)
    typed: dict[str, Any] = {"weather__wind_mps": 4.0, "weather__gust_mps": 6.0, "weather__wind_from_deg": 250.0,
                             "weather__temperature_c": 14.0, "weather__qnh_hpa": 1012.0}  # fmt: skip
    assert calmer.report is None
    assert fill(calmer).site == fill(case_of(**typed)).site


def test_every_measurement_has_a_place_in_a_plan() -> None:
    """Every value that can be measured is known afterwards, at its best estimate, and no wider than before."""
    table = tomllib.loads((EXAMPLES / "ten-lines.toml").read_text(encoding="utf-8"))
    assert table["radio"]
    case = read_case(EXAMPLES / "ten-lines.toml")
    flight = Flight(case)
    bands = [band for band in flight.world.bands() if can_be_measured(band)]
    assert len(bands) > 20
    for band in bands:
        if place_of(band.key)[-1] in ("hover_current_a", "cruise_current_a"):
            continue  # read off a current: the value itself stays unknown
        measured = {each.key: each for each in fill(with_measured(case, band, flight.energy.result)).bands()}[band.key]
        assert measured.known, band.key
        if band.unit != "°":
            assert measured.value == pytest.approx(band.value, abs=1e-3), band.key
