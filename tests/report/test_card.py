"""The field card: one page, in order, large where it counts, and nothing to fly by where the flight may not go."""

from __future__ import annotations

import dataclasses
import math
import re
from datetime import UTC, datetime
from itertools import product
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.report import card_sample, pdf_reading, sample

from turnback.records.aircraft import RadioLossAction
from turnback.records.finding import Finding, Severity, Spread, Verdict
from turnback.report import card_drills, card_list, card_rose, keep_to, numbers, tables
from turnback.report.card import SIZES_MM, Made, Paper, card_data, card_pdf
from turnback.report.numbers import Toward, Units
from turnback.report.words_actions import ACTION_WORDS

METRIC = Units.METRIC
ALL_CARDS = list(product(Verdict, Paper, Units))
MAY_FLY = (Verdict.GO, Verdict.GO_WITH_LIMITS)
HOSTILE = {
    "markup": "<script>alert(1)</script><b>bold</b>&amp;",
    "typesetting": '#eval("1+1") #read("card.typ") $x^2$ *bold* _low_ = Heading `raw` @ref <tag> \\u{41}',
    "a quote and an end": '") ; "}]} \\" \'',
    "long": "endless " * 63,
    "one word": "w" * 500,
    "from the right": "\u05e9\u05dc\u05d5\u05dd \u0645\u0631\u062d\u0628\u0627",
    "turned around": "safe\u202egnihton\u202c",
    "control": "bell\x07 null\x00 escape\x1b[31m \ud800",
    "no font has it": "\u65e5\u672c\u8a9e \U0001f600 \u0e01 ridge",
}


def one(verdict: Verdict = Verdict.GO, **changed: Any) -> bytes:
    """Return a card on A6 in metric units."""
    return card_pdf(card_sample.brief(verdict, **changed), card_sample.NOON)


@pytest.mark.parametrize(("verdict", "paper", "units"), ALL_CARDS)
def test_one_page_of_the_size_asked_for(verdict: Verdict, paper: Paper, units: Units) -> None:
    printed = card_pdf(card_sample.brief(verdict), card_sample.NOON, paper, units)
    (page,) = pdf_reading.reader(printed).pages
    # ISO 216: A6 is 105 mm by 148 mm; ANSI letter is 8.5 in by 11 in, and a quarter of it half of that each way.
    wanted_mm = {Paper.A6: (105.0, 148.0), Paper.QUARTER_LETTER: (8.5 / 2 * 25.4, 11.0 / 2 * 25.4)}[paper]
    assert (page.mediabox.width, page.mediabox.height) == pytest.approx(
        [side * pdf_reading.POINTS_PER_MM for side in wanted_mm], abs=0.05
    )
    assert "This does not know your local law." in pdf_reading.words(printed)
    assert "An estimate, not a permission." in pdf_reading.words(printed)


@pytest.mark.parametrize(("verdict", "paper", "units"), ALL_CARDS)
def test_type_is_large_enough_for_the_sun(verdict: Verdict, paper: Paper, units: Units) -> None:
    result = card_sample.brief(verdict)
    sizes = pdf_reading.sizes_pt(card_pdf(result, card_sample.NOON, paper, units))
    assert min(sizes) >= 6.5
    large = " ".join(text for size, text in sizes.items() if size >= 14.0).replace("\u00a0", " ")
    keys = [keep_to.land_by(result, units)]
    if verdict in MAY_FLY:
        keys.append(keep_to.turn_back(result, units))
        assert numbers.minutes(keep_to.turn_for_home_s(result), Toward.DOWN) in large
    for volts in keys:
        assert volts.cell in large
        assert volts.pack in large
    assert max(sizes) >= 20.0  # the verdict


def test_nothing_runs_out_of_the_page() -> None:
    """A margin of ink-free paper is left on every side, so that a printer cuts nothing off."""
    for verdict, paper in product(Verdict, Paper):
        drawn = pdf_reading.picture(card_pdf(card_sample.brief(verdict), card_sample.NOON, paper), dots_per_inch=100)
        grey = np.asarray(drawn.convert("L"))
        inked = np.argwhere(grey < 200)
        edge_px = 3.5 / 25.4 * 100
        assert inked.min() >= edge_px
        assert (np.array(grey.shape) - inked.max(axis=0)).min() >= edge_px


@pytest.mark.parametrize("verdict", Verdict)
def test_black_on_white_without_a_colour(verdict: Verdict) -> None:
    pixels = np.asarray(pdf_reading.picture(one(verdict)), dtype=np.int16)
    assert int(np.ptp(pixels, axis=2).max()) <= 2
    assert float((pixels > 250).mean()) > 0.6  # paper


def test_a_card_that_may_not_fly_looks_unlike_one_that_may() -> None:
    """In grey, from far away: the band is white on black where the answer is not a go."""
    dark = {}
    for verdict in Verdict:
        grey = np.asarray(pdf_reading.picture(one(verdict)).convert("L"))
        dark[verdict] = float((grey[: grey.shape[0] // 9] < 128).mean())
    assert min(dark[Verdict.NO_GO], dark[Verdict.CANNOT_SAY]) > 2.0 * max(dark[each] for each in MAY_FLY)


@pytest.mark.parametrize("verdict", [Verdict.NO_GO, Verdict.CANNOT_SAY])
@pytest.mark.parametrize("units", Units)
def test_a_flight_that_may_not_go_gets_nothing_to_fly_by(verdict: Verdict, units: Units) -> None:
    result = card_sample.brief(verdict)
    said = pdf_reading.words(card_pdf(result, card_sample.NOON, Paper.A6, units))
    assert "Do not fly" in said
    turn, land = keep_to.turn_back(result, units), keep_to.land_by(result, units)
    distance = card_rose.distance(keep_to.farthest_m(result), units, result.back.planned_m)
    timer = numbers.minutes(keep_to.turn_for_home_s(result), Toward.DOWN)
    for told in (turn.cell, turn.pack, distance, timer, "Turn back", "Timer", "Valid", "Propellers on"):
        assert told not in said
    assert land.cell in said
    assert land.pack in said
    assert "Measure the interference on the control link's channel" in said  # the deciding finding
    assert "PICTURE LOST" in said
    assert "CONTROL LOST" in said


def test_what_to_mend_comes_first_once_and_the_rest_is_counted() -> None:
    stops = tuple(
        Finding(rule, Severity.STOP, None, "", None, None, None, "our-choice", do)
        for rule, do in [("a", "shorten"), ("b", "charge_pack"), ("c", "shorten"), ("d", "bring_observer"),
                         ("e", "fly_lower"), ("f", "other_route"), ("g", "look_up_limits"), ("h", "other_place")]
    )  # fmt: skip
    limit = Finding("i", Severity.LIMIT, None, "", None, None, None, "our-choice", "fly_higher")
    stay = card_data(
        card_sample.brief(Verdict.NO_GO, findings=(*stops, limit)), card_sample.NOON, Paper.A6, METRIC
    )["stay"]  # fmt: skip
    assert stay["mend"][:2] == ["Plan a shorter way out.", "Charge the pack, or enter why it flies part full."]
    assert len(stay["mend"]) == len(set(stay["mend"])) == 5
    assert stay["more"] == "2 more stand in the report."


# The numbers


@given(cell_v=st.floats(2.5, 4.4), cells=st.integers(1, 14))
def test_volts_are_only_ever_shown_higher(cell_v: float, cells: int) -> None:
    shown = keep_to.at_goggles(cell_v, cells, METRIC)
    cell, pack = (float(text.removesuffix(" V")) for text in (shown.cell, shown.pack))
    assert cell_v - 1e-9 <= cell < cell_v + 0.01
    if cells == 1:
        assert shown.pack == shown.cell
    else:
        assert cell * cells - 1e-6 <= pack < cell * cells + 0.1


def test_volts_by_hand() -> None:
    # 3.402 V is shown as 3.41; six times 3.41 is 20.46, shown as 20.5.
    assert keep_to.at_goggles(3.402, 6, METRIC) == keep_to.Volts("3.41 V", "20.5 V")
    assert keep_to.at_goggles(3.70, 4, METRIC) == keep_to.Volts("3.70 V", "14.8 V")
    assert keep_to.at_goggles(3.70, None, METRIC) == keep_to.Volts("3.70 V", "")


def test_volts_are_those_of_the_unfavourable_end() -> None:
    result = card_sample.brief()
    band = Spread(3.5, 3.4, 3.61)
    result = dataclasses.replace(
        result, energy=dataclasses.replace(result.energy, land_by_loaded_v=band, turn_back_loaded_v=band)
    )
    assert keep_to.land_by(result, METRIC).cell == keep_to.turn_back(result, METRIC).cell == "3.61 V"


def test_the_timer_is_the_shortest_time_less_the_longest_way_home() -> None:
    result = card_sample.brief()
    # 231 s to the land-by volts at least, 190 s home at most.
    assert keep_to.turn_for_home_s(result) == pytest.approx(41.0)
    data = card_data(result, card_sample.NOON, Paper.A6, METRIC)["fly"]["timer"]
    assert data["home"] == "41 s"
    assert data["ground"] == "landed: 3 min 50 s"
    held_off = dataclasses.replace(result.back, seconds_home_s=Spread(131.0, 104.0, 36_000.0))
    assert math.isnan(keep_to.turn_for_home_s(dataclasses.replace(result, back=held_off)))


@pytest.mark.parametrize("units", Units)
@pytest.mark.parametrize("verdict", MAY_FLY)
def test_card_and_report_show_the_same_numbers(verdict: Verdict, units: Units) -> None:
    result = card_sample.brief(verdict)
    said = pdf_reading.words(card_pdf(result, card_sample.NOON, Paper.A6, units))
    rows = {row.name: row.value for row in tables.limits(result, units).rows}
    for name in (
        "Land by, one cell as goggles show it at cruise",
        "Land by, whole pack as goggles show it at cruise",
        "Turn back, one cell as goggles show it at cruise",
        "Turn back, whole pack as goggles show it at cruise",
        "Be turning for home, after launch",
        "Be on the ground, after launch",
    ):
        assert rows[name] in said, name


def test_no_distance_beyond_plan_limit_or_observer() -> None:
    result = card_sample.without(card_sample.brief(Verdict.GO_WITH_LIMITS), "observer.orientation")
    assert keep_to.farthest_m(result) == 643.0  # the unfavourable end of the turn-back distance
    far = dataclasses.replace(result.back, turn_back_m=Spread(2000.0, 1900.0, 2100.0))
    result = dataclasses.replace(result, back=far)
    assert keep_to.farthest_m(result) == 1200.0  # the plan
    entered = Finding("law.distance", Severity.STOP, 1200.0, "m", 500.0, None, None, "user", "shorten")
    result = dataclasses.replace(result, findings=(*result.findings, entered))
    assert keep_to.farthest_m(result) == 500.0
    tells = next(each for each in sample.findings() if each.rule == "observer.orientation")
    result = dataclasses.replace(result, findings=(*result.findings, tells))
    assert keep_to.farthest_m(result) == 137.7
    for row in card_rose.eight(result, card_sample.rose()):
        assert row.turn_back_m <= 137.7


def test_nowhere_and_over_launch() -> None:
    result = card_sample.brief()
    nowhere = dataclasses.replace(result.back, turn_back_m=Spread(math.nan, math.nan, math.nan))
    assert keep_to.farthest_m(dataclasses.replace(result, back=nowhere)) == 0.0
    hover = dataclasses.replace(result, back=dataclasses.replace(result.back, planned_m=0.0))
    hover = dataclasses.replace(hover, rose=card_sample.rose(plan_bearing_deg=math.nan))
    plan = card_data(hover, card_sample.NOON, Paper.A6, METRIC)["fly"]["rose"]
    assert plan["plan"]["distance"] == "over launch"
    assert plan["plan"]["name"] == "Plan"
    assert plan["outline"]["arrow"] is None
    assert len(pdf_reading.reader(card_pdf(hover, card_sample.NOON)).pages) == 1


# The rose


def test_each_eighth_takes_the_worst_that_lies_in_it() -> None:
    rows = {row.name: row for row in card_rose.eight(card_sample.brief(), card_sample.rose())}
    assert list(rows) == ["N", "NE", "E", "SE", "S", "SW", "W", "NW"]
    # NE reaches from 22.5 to 67.5 degrees and meets the gap at 50; E from 67.5 meets its last bearing, 70.
    assert [name for name, row in rows.items() if row.turn_back_m == 0.0] == ["NE", "E"]
    assert rows["S"].turn_back_m == 407.0
    assert rows["W"].lowest_return_m == 52.3
    assert rows["N"].turn_back_m == 1000.0
    assert rows["N"].lowest_return_m == 31.2
    assert math.isnan(rows["NE"].lowest_return_m)


def test_an_edge_belongs_to_both_eighths_and_an_empty_one_asks_its_neighbours() -> None:
    edge = card_sample.rose(
        bearing_deg=np.array([0.0, 22.5, 180.0]), turn_back_m=np.array([900.0, 300.0, 700.0]),
        lowest_return_m=np.array([20.0, 30.0, 40.0]),
    )  # fmt: skip
    rows = {row.name: row.turn_back_m for row in card_rose.eight(card_sample.brief(), edge)}
    assert rows["N"] == rows["NE"] == 300.0
    assert rows["S"] == 700.0
    assert rows["E"] == 300.0  # between 22.5 and 180 degrees
    assert rows["W"] == 700.0  # between 180 and 360 degrees


def test_no_bearing_on_which_the_return_would_have_to_be_higher_than_it_is_set() -> None:
    height = np.full(36, 31.2)
    height[27] = 70.1  # at 270 degrees; the return is set to 70 m
    high = card_sample.rose(lowest_return_m=height)
    rows = {row.name: row for row in card_rose.eight(card_sample.brief(), high)}
    assert rows["W"].turn_back_m == 0.0
    assert rows["NW"].turn_back_m == 1000.0
    by_hand = dataclasses.replace(card_sample.brief().back, action=RadioLossAction.MOTORS_STOP)
    rows = {row.name: row for row in card_rose.eight(card_sample.brief(back=by_hand), high)}
    assert rows["W"].turn_back_m == 1000.0
    assert rows["W"].lowest_return_m == 70.1


def test_the_outline_is_drawn_to_scale_north_up() -> None:
    drawn = card_rose.outline(card_sample.brief(), card_sample.rose(), METRIC)
    assert drawn.outer == "1000 m"
    assert drawn.points[0] == pytest.approx((0.0, -1.0), abs=1e-4)
    assert drawn.points[9] == pytest.approx((1.0, 0.0), abs=1e-4)  # 90 degrees is east, on the right
    assert drawn.points[18] == pytest.approx((0.0, 0.407), abs=1e-4)
    assert drawn.points[6] == (0.0, 0.0)
    assert drawn.arrow == pytest.approx((math.sin(math.radians(280.0)), -math.cos(math.radians(280.0))), abs=1e-4)


def test_the_rose_is_read_out_and_stands_in_numbers() -> None:
    printed = one()
    alts = [alt for tag, alt in pdf_reading.tags(printed) if tag == "Figure" or alt]
    assert alts == [
        "Turn-back distance by bearing, north up: N 1000 m; NE stay out; E stay out; SE 1000 m; S 405 m; SW 1000 m; "
        "W 1000 m; NW 1000 m."
    ]
    assert "Plan, 280° 640 m 76 m" in pdf_reading.words(printed)


def test_a_brief_without_a_rose_shows_the_plan_alone() -> None:
    said = pdf_reading.words(one(rose=None))
    assert "Plan 640 m 76 m" in said
    assert "NE" not in said


# Drills and list


@pytest.mark.parametrize("action", RadioLossAction)
@pytest.mark.parametrize("paper", Paper)
def test_every_action_has_its_own_drill_and_fits(action: RadioLossAction, paper: Paper) -> None:
    back = dataclasses.replace(card_sample.brief().back, action=action)
    result = card_sample.brief(Verdict.GO_WITH_LIMITS, back=back)
    printed = card_pdf(result, card_sample.NOON, paper)
    assert len(pdf_reading.reader(printed).pages) == 1
    said = pdf_reading.words(printed)
    for drill in card_drills.drills(result, METRIC):
        assert drill.happens in said
        for step in drill.steps:
            assert step in said, step


def test_the_two_drills_differ_and_no_step_switches_the_transmitter_off() -> None:
    told = set()
    for action in RadioLossAction:
        back = dataclasses.replace(card_sample.brief().back, action=action)
        picture, control = card_drills.drills(card_sample.brief(back=back), METRIC)
        assert not set(picture.steps) & set(control.steps)
        assert any("ransmitter" in step and (" on" in step) for step in control.steps), action
        assert not any("ransmitter off" in step for step in (*picture.steps, *control.steps))
        told.add((control.happens, control.steps))
    assert len(told) == len(RadioLossAction)


@pytest.mark.parametrize(
    "doubt",
    [
        "return.untested", "return.clearance", "return.headwind", "law.return_height",
        "terrain.assumed", "terrain.uncovered",
    ],
)  # fmt: skip
def test_the_return_is_a_way_out_only_where_nothing_speaks_against_it(doubt: str) -> None:
    sure = card_sample.brief()
    assert card_drills.PICTURE_BY_RETURN in card_drills.drills(sure, METRIC)[0].steps
    found = Finding(doubt, Severity.LIMIT, None, "", None, None, None, "our-choice", "test_return")
    unsure = dataclasses.replace(sure, findings=(*sure.findings, found))
    picture, control = card_drills.drills(unsure, METRIC)
    assert card_drills.PICTURE_BY_RETURN not in picture.steps
    assert card_drills.PICTURE_BY_OBSERVER in picture.steps
    assert ("never tested" in control.happens) == (doubt == "return.untested")
    assert ("close to the ground" in control.happens) == (doubt == "return.clearance")
    assert ("if the wind lets it" in control.happens) == (doubt == "return.headwind")
    assert ("ground not known" in control.happens) == doubt.startswith("terrain.")


def test_a_return_into_the_hill_is_said_even_where_it_may_not_fly() -> None:
    low = Finding("return.clearance", Severity.STOP, -88.0, "m", 15.0, None, None, "our-choice", "raise_return_height")
    result = card_sample.brief(Verdict.NO_GO, findings=(low,))
    assert card_drills.drills(result, METRIC)[1].happens == "It may fly home at 70 m: into higher ground."


def test_the_list_runs_from_bench_to_people() -> None:
    titles = [group.title for group in card_list.groups(card_sample.brief(), METRIC)]
    assert titles == [
        "Bench, propellers off", "Propellers on, pack off", "Site", "Radio", "Weather, measured here", "Battery",
        "People and law, said aloud",
    ]  # fmt: skip
    tagged = [tag for tag, _ in pdf_reading.tags(one())]
    assert tagged.count("L") == len(titles) + 2  # and the two drills
    items = sum(len(group.items) for group in card_list.groups(card_sample.brief(), METRIC))
    assert tagged.count("LI") == items + 10


# How long it holds


def valid(made: Made, verdict: Verdict = Verdict.GO, **changed: Any) -> str:
    """Return what the card says of its hours and weather."""
    said = " ".join(card_data(card_sample.brief(verdict, **changed), made, Paper.A6, METRIC)["valid"])
    assert not re.search(r"\d (m/s|°C|min)", said)  # a number keeps its unit on its line
    return said.replace("\u00a0", " ")


def test_it_holds_an_hour_and_a_half_from_the_weather() -> None:
    # weather.report_age: 1.5 h
    assert "Valid 2026-06-01 12:05 to 13:35 (UTC+02:00)." in valid(card_sample.NOON)
    old = Made(card_sample.NOON.at, weather_age_h=0.75)
    assert "to 12:50 (UTC+02:00)." in valid(old)
    assert "to 11:30 (UTC)." in valid(Made(datetime(2026, 6, 1, 10, 0, tzinfo=UTC)))
    assert "Valid for 90 min after it was made." in valid(Made())


def test_the_weather_is_that_of_the_brief_and_never_more_than_comes_home() -> None:
    # The brief's wind ends at 9 m/s with gusts to 14; the largest wind that comes home is 5.8: 14 * 5.8 / 9 = 9.02.
    said = valid(card_sample.NOON)
    assert "Wind to 5.8 m/s, gusts to 9.0 m/s, from about 290°; air about 18 °C." in said
    calm = dataclasses.replace(card_sample.brief().back, largest_wind_mps=15.0)
    assert "Wind to 9.0 m/s, gusts to 14.0 m/s" in valid(card_sample.NOON, back=calm)
    none = dataclasses.replace(card_sample.brief().back, largest_wind_mps=math.nan)
    assert "Wind to 0.0 m/s, gusts to 0.0 m/s" in valid(card_sample.NOON, back=none)


def test_an_unknown_wind_holds_for_no_hours() -> None:
    said = valid(card_sample.NOON, Verdict.GO_WITH_LIMITS)  # the sample's wind is not known
    assert "measure it here before every launch" in said
    assert "Valid" not in said


# Print


@pytest.mark.parametrize("verdict", Verdict)
def test_tagged_titled_and_without_anything_that_acts(verdict: Verdict) -> None:
    printed = one(verdict)
    root = pdf_reading.reader(printed).trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"] is True or root["/MarkInfo"]["/Marked"] == True  # noqa: E712 - pypdf's own type
    assert root["/Lang"] == "en"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    title = pdf_reading.reader(printed).metadata
    assert title is not None
    assert str(title.title).endswith(": Along the hedge")
    assert b"<pdfuaid:part>1</pdfuaid:part>" in root["/Metadata"].get_object().get_data()
    tagged = [tag for tag, _ in pdf_reading.tags(printed)]
    assert tagged.count("H1") == 1
    assert "H2" in tagged
    assert pdf_reading.actions(printed) == set()


@pytest.mark.parametrize("verdict", Verdict)
def test_every_font_is_embedded_and_is_the_one_of_print(verdict: Verdict) -> None:
    found = pdf_reading.fonts(one(verdict))
    assert found
    for name, embedded in found:
        assert embedded
        assert name[1:7].isupper() and name[7] == "+", name  # a subset (ISO 32000-1, 9.6.4)
        assert "SourceSansPro" in name


def test_no_path_of_a_machine_and_no_day_is_kept() -> None:
    printed = one()
    for stream in pdf_reading.streams(printed):
        assert not any(told in stream for told in pdf_reading.MACHINE)
    about = pdf_reading.reader(printed).metadata
    assert about is not None
    assert set(about) <= {"/Title", "/Creator"}


def test_the_same_brief_gives_the_same_card() -> None:
    assert one() == one()
    assert one() != card_pdf(card_sample.brief(), Made(datetime(2026, 6, 1, 12, 6, tzinfo=UTC)))


@pytest.mark.parametrize("title", HOSTILE.values(), ids=HOSTILE.keys())
@pytest.mark.parametrize("verdict", Verdict)
def test_hostile_text_stays_text_on_one_page(title: str, verdict: Verdict) -> None:
    printed = one(verdict, title=title)
    assert len(pdf_reading.reader(printed).pages) == 1
    assert pdf_reading.actions(printed) == set()
    said = pdf_reading.words(printed).replace(" ", "").replace("\u200b", "")
    plain = title[:40].replace(" ", "")
    if title.isascii() and title.isprintable():
        assert plain in said


def test_letters_that_no_font_has_become_boxes_and_the_rest_stays() -> None:
    said = pdf_reading.words(one(title=HOSTILE["no font has it"]))
    assert "\u2610\u2610\u2610" in said
    assert "ridge" in said
    assert "\u05e9\u05dc\u05d5\u05dd" in pdf_reading.words(one(title=HOSTILE["from the right"]))
    turned = pdf_reading.words(one(title=HOSTILE["turned around"]))
    assert "\u202e" not in turned


@pytest.mark.parametrize(("paper", "verdict"), list(product(Paper, Verdict)))
def test_the_longest_words_still_fit(paper: Paper, verdict: Verdict) -> None:
    """Twelve limits with the longest actions, far distances and a long title."""
    severity = {Verdict.NO_GO: Severity.STOP, Verdict.CANNOT_SAY: Severity.UNKNOWN}.get(verdict, Severity.LIMIT)
    longest = actions_by_length()[-12:]
    found = tuple(Finding(f"x.{key}", severity, None, "", None, None, None, "our-choice", key) for key in longest)
    back = dataclasses.replace(
        card_sample.brief().back, turn_back_m=Spread(9000.0, 9000.0, 9000.0), planned_m=9999.0, lowest_height_m=1234.0
    )
    result = card_sample.brief(verdict, title="A very long title of a plan " * 5, findings=found, back=back)
    for units in Units:
        assert len(pdf_reading.reader(card_pdf(result, card_sample.NOON, paper, units)).pages) == 1


def actions_by_length() -> list[str]:
    """Return the keys of all actions, by the length of their words."""
    return [key for key, _ in sorted(ACTION_WORDS.items(), key=lambda pair: len(pair[1]))]


def test_sizes_are_those_of_the_papers() -> None:
    assert set(SIZES_MM) == set(Paper)
