"""Rounding and units: exact conversions, the careful side, chances as people say them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from turnback.report import numbers
from turnback.report.numbers import Toward, Units

IMPERIAL = Units.IMPERIAL

# NIST SP 811 (2008), appendix B.8: foot 0.3048 m, mile 1609.344 m, pound 0.453 592 37 kg, ounce 28.349 523 g,
# conventional inch of mercury 3386.389 Pa, mile per hour 0.447 04 m/s; Fahrenheit t/°C = (t/°F - 32)/1.8.
CONVERTED = [
    (30.48, "m", "100 ft"),
    (304.8, "m", "1000 ft"),
    (1609.344, "m", "1.00 miles"),
    (4828.032, "m", "3.00 miles"),
    (4.4704, "m/s", "10.0 mph"),
    (100.0, "°C", "212 °F"),
    (0.0, "°C", "32 °F"),
    (-40.0, "°C", "-40 °F"),
    (1013.25, "hPa", "29.92 inHg"),
    (101325.0, "Pa", "29.92 inHg"),
    (3.7, "V", "3.70 V"),
    (12.0, "dB", "12.0 dB"),
]


@pytest.mark.published
@pytest.mark.parametrize(("value", "unit", "said"), CONVERTED)
def test_conversions_of_the_handbook(value: float, unit: str, said: str) -> None:
    assert numbers.words(value, unit, IMPERIAL) == said


@pytest.mark.published
def test_masses_of_the_handbook() -> None:
    """One avoirdupois ounce is 28.349 523 g (NIST SP 811)."""
    shown = numbers.quantity(0.028349523 * 10.0, "kg", IMPERIAL)
    assert (float(shown.number), shown.symbol) == (10.0, "oz")


METRIC = [
    (7.04, "m", "7.0 m"), (42.4, "m", "42 m"), (643.0, "m", "645 m"), (1204.0, "m", "1200 m"),
    (12_340.0, "m", "12.3 km"), (3.4567, "V", "3.46 V"), (0.0052, "ohm", "5.2 mΩ"), (0.074, "ohm", "74 mΩ"),
    (1.5, "Ah", "1500 mAh"),
    (21.6, "°C", "22 °C"), (-0.2, "°C", "0 °C"), (0.44, "kg", "440 g"), (290.0, "°", "290°"),
]  # fmt: skip


@pytest.mark.parametrize(("value", "unit", "said"), METRIC)
def test_metric_words(value: float, unit: str, said: str) -> None:
    assert numbers.words(value, unit) == said


@pytest.mark.parametrize("value", [None, math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_not_known(value: float | None) -> None:
    for said in (numbers.words(value, "m"), numbers.percent(value), numbers.ratio(value), numbers.minutes(value)):
        assert said == "not known"
    assert numbers.chance_of(value) == "nobody knows how many flights"


@given(st.floats(0.0, 50_000.0), st.sampled_from(["m", "V", "m/s", "A"]))
def test_the_careful_side_is_kept(value: float, unit: str) -> None:
    """A shown distance to turn back is never farther than the computed one, a shown height never lower."""
    down = numbers.quantity(value, unit, toward=Toward.DOWN)
    up = numbers.quantity(value, unit, toward=Toward.UP)
    factor = 1000.0 if down.symbol == "km" else 1.0
    slack = 1e-6 * max(1.0, value)
    assert float(down.number) * factor <= value + slack
    assert float(up.number) * (1000.0 if up.symbol == "km" else 1.0) >= value - slack


@given(st.floats(-1e6, 1e6), st.floats(1e-3, 100.0))
def test_nearest_is_within_half_a_step(value: float, step: float) -> None:
    assert abs(numbers.rounded(value, step) - value) <= step / 2 * (1 + 1e-6) + 1e-9 * abs(value)


CHANCES = [
    (0.0, "fewer than 1 flight in 1,000"), (0.0005, "fewer than 1 flight in 1,000"), (0.01, "about 1 flight in 100"),
    (0.05, "about 1 flight in 20"), (1 / 7, "about 1 flight in 7"), (0.25, "about 1 flight in 4"),
    (0.5, "about 5 flights in 10"), (0.62, "about 6 flights in 10"), (0.97, "nearly every flight"),
    (1.0, "every flight"), (1.0000001, "every flight"), (-0.1, "fewer than 1 flight in 1,000"),
]  # fmt: skip


@pytest.mark.parametrize(("failing", "said"), CHANCES)
def test_chances_are_said_as_people_say_them(failing: float, said: str) -> None:
    assert numbers.chance_of(failing) == said


@given(st.floats(0.001, 0.3))
def test_a_chance_said_is_near_the_chance_meant(failing: float) -> None:
    count = float(numbers.chance_of(failing).rsplit(" ", 1)[1].replace(",", ""))
    assert abs(1.0 / count - failing) <= 0.17 * failing


@pytest.mark.parametrize(
    ("seconds", "said"), [(0.4, "0 s"), (59.0, "59 s"), (60.0, "1 min"), (64.0, "1 min 05 s"), (262.0, "4 min 20 s")]
)
def test_times_are_minutes_and_seconds(seconds: float, said: str) -> None:
    assert numbers.minutes(seconds) == said


def test_a_time_to_turn_back_is_rounded_down() -> None:
    assert numbers.minutes(129.9, Toward.DOWN) == "2 min 05 s"
