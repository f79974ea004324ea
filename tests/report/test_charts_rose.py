"""The rose draws what was computed: wedges, rings, arrow and words held against a rose made by hand."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from tests.report import card_sample, ground_sample, sample

from turnback.records.aircraft import RadioLossAction
from turnback.records.finding import Spread, Verdict
from turnback.report import svg
from turnback.report.charts_rose import IN_BLACK, ON_SCREEN, rings, rose
from turnback.report.numbers import Units
from turnback.report.vega import Chart
from turnback.report.words_rose import rose_lines, rose_rows

METRIC = Units.METRIC


def shapes(chart: Chart) -> dict[str, list[list[dict[str, float]]]]:
    """Return the closed outlines of a chart by their fill."""
    found: dict[str, list[list[dict[str, float]]]] = {}
    layers: list[dict[str, Any]] = list(chart.layers)
    for layer in layers:
        if layer["mark"].get("interpolate") == "linear-closed":
            values = layer["data"]["values"]
            groups = [
                [row for row in values if row["ring"] == ring] for ring in sorted({row["ring"] for row in values})
            ]
            found.setdefault(layer["mark"].get("fill", ""), []).extend(groups)
    return found


def said(chart: Chart, *, narrow: bool = False) -> list[str]:
    layers: list[dict[str, Any]] = list(chart.narrow_layers if narrow else chart.layers)
    return [row["text"] for layer in layers if layer["mark"]["type"] == "text" for row in layer["data"]["values"]]


def test_each_wedge_points_to_its_bearing_and_ends_at_its_distance() -> None:
    found = ground_sample.rose()
    chart = rose(ground_sample.brief(), METRIC)
    wedges = [(fill, shape) for fill, group in shapes(chart).items() if fill in ON_SCREEN.fills.values()
              for shape in group]  # fmt: skip
    drawn = {}
    for fill, shape in wedges:
        tip = shape[1 + (len(shape) - 1) // 2]
        bearing = round(math.degrees(math.atan2(tip["x"], tip["y"])) % 360.0, 1)
        drawn[bearing] = (math.hypot(tip["x"], tip["y"]), fill)
        ends = [math.degrees(math.atan2(shape[i]["x"], shape[i]["y"])) for i in (1, -1)]
        assert (ends[1] - ends[0]) % 360.0 == pytest.approx(22.5, abs=0.2)
    expected = {float(b) for b, r in zip(found.bearing_deg, found.turn_back_m, strict=True) if b != 30.0 and r > 5.0}
    assert set(drawn) == expected
    for bearing, reach, reason in zip(found.bearing_deg, found.turn_back_m, found.reason, strict=True):
        if float(bearing) in drawn:
            assert drawn[float(bearing)][0] == pytest.approx(reach, abs=0.02)
            assert drawn[float(bearing)][1] == ON_SCREEN.fills[reason]


def test_the_arrow_ends_at_the_planned_distance_on_the_plans_bearing() -> None:
    """Toward 30 degrees, 1200 m out: 600 m east, 1039.23 m north."""
    heads = shapes(rose(ground_sample.brief(), METRIC))[ON_SCREEN.plan]
    assert heads[0][0]["x"] == pytest.approx(600.0, abs=0.01)
    assert heads[0][0]["y"] == pytest.approx(1039.23, abs=0.01)


def test_a_hover_has_no_arrow() -> None:
    hover = replace(ground_sample.rose(), plan_bearing_deg=float("nan"))
    chart = rose(replace(ground_sample.brief(), rose=hover), METRIC)
    assert ON_SCREEN.plan not in shapes(chart)
    assert "the plan" not in [key.label for key in chart.keys]


@pytest.mark.parametrize(
    ("most", "step", "outer"),
    [(1500.0, 500.0, 1500.0), (556.0, 200.0, 600.0), (1.0, 0.25, 1.0), (4265.0, 2000.0, 6000.0)],
)
def test_rings_are_round_and_hold_what_is_drawn(most: float, step: float, outer: float) -> None:
    found = rings(most)
    assert found[0] == pytest.approx(step)
    assert found[1] == pytest.approx(outer)


def test_distances_around_the_rim_are_rounded_down_and_nowhere_is_nothing() -> None:
    """504.9 m is said as 500 m, never 505: in steps of 5 m between 300 m and a kilometre, and down."""
    chart = rose(ground_sample.brief(), METRIC)
    words = said(chart)
    assert "500 m" in words
    assert "505 m" not in words
    assert "0" in words
    assert {"N", "E", "S", "W"} <= set(words)
    assert len(said(chart, narrow=True)) == len(words) - 8


def test_feet_are_feet() -> None:
    """0.3048 m to the foot, exact: 204.9 m are 672 ft, said as 670."""
    chart = rose(ground_sample.brief(), Units.IMPERIAL)
    assert "670 ft" in said(chart)
    assert "miles" in " ".join(said(chart))  # 1804.9 m and rings beyond a mile
    heads = shapes(chart)[ON_SCREEN.plan]
    assert heads[0][0]["x"] == pytest.approx(600.0 / 0.3048, abs=0.01)


def test_both_axes_have_one_scale_at_every_width() -> None:
    chart = rose(ground_sample.brief(), METRIC)
    for width in (270, 760):
        spec = chart.spec(width, 13)
        assert spec["width"] == spec["height"] <= width


def test_in_black_there_is_no_colour_and_no_two_reasons_look_alike() -> None:
    drawn = svg.wide(rose(ground_sample.brief(), METRIC, black=True))
    colours = set(re.findall(r"#[0-9a-fA-F]{6}\b", drawn))
    assert colours
    assert {colour for colour in colours if len({colour[1:3], colour[3:5], colour[5:7]}) > 1} == set()
    for look in (IN_BLACK, ON_SCREEN):  # luminance by ITU-R BT.709, item 3.2
        weights = np.array([0.2126, 0.7152, 0.0722])
        light = sorted(
            float(weights @ [int(fill[i : i + 2], 16) for i in (1, 3, 5)]) / 255.0 for fill in look.fills.values()
        )
        assert min(np.diff(light)) > 0.045


def test_the_drawing_is_small_and_says_what_it_shows() -> None:
    chart = rose(ground_sample.brief(), METRIC)
    drawn = svg.wide(chart)
    assert len(drawn) < 60_000
    assert "<desc" in drawn
    assert "Least toward east: nowhere" in chart.alt
    assert "The plan goes 1200 m out; it can turn back from 400 m there." in chart.alt
    assert svg.wide(chart) == drawn


def test_rows_say_each_bearing_with_reason_and_return_height_rounded_up() -> None:
    """32.2 m of return height is said as 33 m: upward."""
    rows = rose_rows(ground_sample.brief(), METRIC)
    assert len(rows) == 17
    assert (rows[0].bearing, rows[0].distance, rows[0].reason) == ("north", "204 m", "the pack")
    assert (rows[2].bearing, rows[2].distance, rows[2].plan) == ("30°, as planned", "400 m", True)
    assert rows[2].lowest_return == "33 m"
    assert (rows[5].bearing, rows[5].distance, rows[5].lowest_return) == ("east", "nowhere", "")
    assert rows[6].distance.endswith("or farther")
    assert sum(row.plan for row in rows) == 1


def test_an_aircraft_that_does_not_return_by_itself_has_no_return_heights() -> None:
    whole = ground_sample.brief()
    falls = replace(whole, back=replace(whole.back, action=RadioLossAction.MOTORS_STOP))
    assert {row.lowest_return for row in rose_rows(falls, METRIC)} == {""}


def test_lines_name_the_height_the_worst_and_what_ends_it() -> None:
    lines = rose_lines(ground_sample.brief(), METRIC)
    assert lines[0] == "Straight out and back on each bearing, at 60 m above launch."
    assert lines[1] == "On 1 bearing coming home is sure enough from nowhere."
    assert lines[2] == "Farthest: 1800 m, toward north-northwest."
    assert "On 5 bearings the pack ends it." in lines
    assert "On 2 bearings it would meet ground or trees at that height." in lines
    assert "People underneath" in lines[-1]


def test_an_even_rose_says_its_distance_and_reason_once() -> None:
    even = replace(ground_sample.rose(), turn_back_m=np.full(17, 904.0), reason=("video",) * 17)
    lines = rose_lines(replace(ground_sample.brief(), rose=even), METRIC)
    assert lines[1:3] == ("It comes home from 900 m on every bearing.", "What ends it on every bearing: the picture.")
    assert not any(line.startswith("Farthest") for line in lines)


def test_nowhere_on_any_bearing_is_said_plainly() -> None:
    none = replace(ground_sample.rose(), turn_back_m=np.zeros(17))
    lines = rose_lines(replace(ground_sample.brief(), rose=none), METRIC)
    assert lines[-1] == "On no bearing is coming home sure enough."
    assert svg.wide(rose(replace(ground_sample.brief(), rose=none), METRIC))


def test_a_brief_without_a_rose_is_refused() -> None:
    with pytest.raises(ValueError, match="no rose"):
        rose(sample.brief(), METRIC)


def test_a_flight_that_keeps_inside_less_than_the_rose_says_so_under_it() -> None:
    # The plan goes 1200 m out, the rose 1800 m, and the card's cap is the plan's, or the observer's 137.7 m.
    may_fly = replace(card_sample.brief(Verdict.GO), rose=ground_sample.brief().rose)
    far = replace(may_fly, back=replace(may_fly.back, turn_back_m=Spread(2000.0, 1900.0, 2100.0)))
    said_last = "Whatever it shows, this flight turns back at "
    assert rose_lines(far, METRIC)[0].endswith(said_last + "1200 m.")
    limited = replace(card_sample.brief(Verdict.GO_WITH_LIMITS), rose=far.rose)
    assert rose_lines(limited, METRIC)[0].endswith(said_last + "137 m.")
    assert said_last not in rose_lines(replace(far, verdict=Verdict.NO_GO), METRIC)[0]
    assert said_last not in rose_lines(replace(far, rose=card_sample.rose()), METRIC)[0], "the rose ends nearer"
