"""Filling gaps: what the plan says goes before what records taught, and that before what is typical."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np
import pytest
from tests.assess.cases import case_of, plain

from turnback.assess.assumed import shares_of
from turnback.assess.draw_set import draw_set
from turnback.assess.draws import draw_unknowns, spread_over
from turnback.assess.last_flight import craft_of, last_flight_findings
from turnback.assess.spreads import spread
from turnback.assess.world import chemistry_of, fill
from turnback.records.learned import Learned, LearnedAbout, LearnedEntry
from turnback.records.plan import LastFlight
from turnback.records.weather import WeatherReport
from turnback.records.world import Band, Origin

TAUGHT = Learned(
    (
        LearnedEntry(of=LearnedAbout.PACK, id="six-one", on=date(2026, 5, 1), quantity="resistance_mohm_per_cell",
                     value=7.0, low=6.0, high=8.0, from_record="an invented record"),
        LearnedEntry(of=LearnedAbout.AIRCRAFT, id="five-a", on=date(2026, 5, 1), quantity="hover_current_a",
                     value=9.0, low=8.5, high=9.5, from_record="an invented record"),
    )
)  # fmt: skip


def report(**changes: Any) -> WeatherReport:
    """Return a fresh report from near by."""
    fields: dict[str, Any] = {
        "wind_mps": 7.0, "gust_mps": 11.0, "wind_from_deg": 200.0, "temperature_c": 9.0, "qnh_hpa": 1003.0,
        "age_h": 0.5, "distance_km": 8.0, "station": "ZZZZ",
    }  # fmt: skip
    return WeatherReport(**{**fields, **changes})


def test_a_gap_is_filled_by_what_is_typical_and_says_so() -> None:
    """Nothing said of mass: the class's value, with the class's band."""
    band = fill(case_of()).aircraft.mass_kg
    assert (band.origin, band.known) == (Origin.TYPICAL, False)
    assert band.value == pytest.approx(0.46)
    assert band.low == pytest.approx(0.39)


def test_the_plan_goes_before_what_was_learned_and_that_before_the_class() -> None:
    """In this order, each with its origin."""
    ids: dict[str, Any] = {"pack__id": "six-one", "aircraft__id": "five-a"}
    said = fill(case_of(learned=TAUGHT, **ids)).pack.resistance_ohm
    taught = fill(case_of(learned=TAUGHT, **ids, pack__resistance_mohm_per_cell=None)).pack.resistance_ohm
    typical = fill(case_of(pack__resistance_mohm_per_cell=None)).pack.resistance_ohm
    assert [row.origin for row in (said, taught, typical)] == [Origin.DECLARED, Origin.LEARNED, Origin.TYPICAL]
    assert [said.value, taught.value, taught.high] == pytest.approx([0.005, 0.007, 0.008])
    hover = fill(case_of(learned=TAUGHT, **ids)).aircraft.hover_current_a
    assert hover is not None
    assert hover.value == 9.0


def test_what_was_learned_of_another_pack_is_not_used() -> None:
    """Keyed by id."""
    other = fill(case_of(learned=TAUGHT, pack__id="six-two", pack__resistance_mohm_per_cell=None))
    assert other.pack.resistance_ohm.origin is Origin.TYPICAL


def test_a_fresh_report_gives_wind_and_air() -> None:
    """Where the plan says nothing."""
    gone: dict[str, Any] = {
        f"weather__{key}": None for key in ("wind_mps", "wind_from_deg", "temperature_c", "qnh_hpa")
    }
    site = fill(case_of(report=report(), **gone)).site
    assert (site.wind_mps.value, site.wind_from_deg.value, site.temperature_c.value) == (7.0, 200.0, 9.0)
    assert site.qnh_pa.value == pytest.approx(100_300.0)
    assert site.gust_factor.value == pytest.approx(11.0 / 7.0)
    assert site.wind_known


@pytest.mark.parametrize("stale", [{"age_h": 2.0}, {"age_h": None}, {"age_h": -1.0}, {"distance_km": 60.0},
                                   {"distance_km": None}])  # fmt: skip
def test_an_old_or_far_report_counts_as_unknown_wind(stale: dict[str, Any]) -> None:
    """The issue; temperature and pressure change slowly and are still taken."""
    gone: dict[str, Any] = {
        f"weather__{key}": None for key in ("wind_mps", "wind_from_deg", "temperature_c", "qnh_hpa")
    }
    site = fill(case_of(report=report(**stale), **gone)).site
    assert not site.wind_known
    assert site.weather_stale
    assert site.wind_mps.origin is Origin.ASSUMED
    assert site.wind_from_deg.high - site.wind_from_deg.low == 360.0
    assert site.temperature_c.value == 9.0


def test_typed_wind_goes_before_a_report() -> None:
    """A measurement on the field."""
    assert fill(case_of(report=report())).site.wind_mps.value == 3.0


def test_draws_keep_to_their_band() -> None:
    """5 %, 50 % and 95 % of the draws are low, value and high; each parameter has its own stream."""
    bands = (
        Band("pack.resistance_ohm", 0.006, 0.004, 0.010, "ohm", Origin.TYPICAL, "our-choice"),
        Band("site.temperature_c", 15.0, 0.0, 30.0, "°C", Origin.TYPICAL, "our-choice"),
    )
    draws = draw_unknowns(bands, 4000, 7)
    for band in bands:
        ends = np.quantile(draws[band.key], [0.05, 0.5, 0.95])
        assert ends == pytest.approx([band.low, band.value, band.high], rel=0.01, abs=0.05)
    alone = draw_unknowns(bands[1:], 4000, 7)
    assert (alone["site.temperature_c"] == draws["site.temperature_c"]).all(), "a stream hangs on its name alone"
    assert abs(np.corrcoef(draws["pack.resistance_ohm"], draws["site.temperature_c"])[0, 1]) < 0.05


def test_an_unknown_direction_is_any_direction() -> None:
    """Uniform round the circle."""
    band = Band("site.wind_from_deg", 0.0, -180.0, 180.0, "°", Origin.ASSUMED, "our-choice")
    spread_deg = spread_over(band, np.array([0.0, 0.25, 0.5, 1.0]))
    assert spread_deg == pytest.approx([-180.0, -90.0, 0.0, 180.0])


def test_shares_of_a_sum_are_shares_of_its_variance() -> None:
    """Two gaps, one twice the other's spread: 4/5 and 1/5 (Pythagoras for independent terms), others none."""
    draws = draw_set(fill(case_of(plain())), 1000, 1)
    one, two = (draws[key] for key in ("site.tree_depth_fraction", "aircraft.mass_kg"))
    assert one.std() == 0.0
    figure = 2.0 * (two - two.mean()) / two.std()
    other = draws["aircraft.auxiliary_w"]
    figure = figure + (other - other.mean()) / other.std()
    shares = shares_of(draws, {"sum": figure}).by_figure["sum"]
    assert shares["aircraft.mass_kg"] == pytest.approx(0.8, abs=0.06)
    assert shares["aircraft.auxiliary_w"] == pytest.approx(0.2, abs=0.06)
    assert set(shares) == {"aircraft.mass_kg", "aircraft.auxiliary_w"}


def test_the_last_flight_narrows_what_it_measured() -> None:
    """Minutes and the charger's mAh move hover power toward what was used, and narrow it."""
    case = case_of(plain())
    world, law = fill(case), chemistry_of(case)
    before = craft_of(world, law, None, 1)
    last = LastFlight(minutes=5.0, charger_mah=800.0)
    after = craft_of(world, law, last, 1)
    merit = [spread(craft.draws["aircraft.figure_of_merit"]) for craft in (before, after)]
    assert merit[1].mid < merit[0].mid, "more used than the model expects: worse propellers are likelier"
    assert merit[1].high - merit[1].low < merit[0].high - merit[0].low
    assert last_flight_findings(after, last) == []


def test_a_last_flight_that_nothing_explains_is_said() -> None:
    """Three times what any world would use."""
    case = case_of(plain())
    last = LastFlight(minutes=2.0, charger_mah=1290.0)
    craft = craft_of(fill(case), chemistry_of(case), last, 1)
    found = last_flight_findings(craft, last)
    assert [row.rule for row in found] == ["energy.last_flight"]
    assert found[0].value is not None
    assert found[0].value > 1.35


def test_a_last_flight_that_nothing_explains_narrows_nothing() -> None:
    """A few far draws would feign knowledge: the bands stay as they were."""
    case = case_of(plain())
    before = craft_of(fill(case), chemistry_of(case), None, 1)
    after = craft_of(fill(case), chemistry_of(case), LastFlight(minutes=0.01, charger_mah=1200.0), 1)
    for key in ("aircraft.figure_of_merit", "aircraft.mass_kg"):
        widths = [spread(craft.draws[key]).high - spread(craft.draws[key]).low for craft in (before, after)]
        assert widths[1] == pytest.approx(widths[0], rel=0.15)


def test_a_guess_is_wide_and_stays_among_what_is_to_be_found_out() -> None:
    """Four times the width of a reading, assumed by origin, yet said by the plan; its own ends go before ours."""
    read = fill(case_of(aircraft__mass_g={"value": 500, "how": "measured"})).aircraft.mass_kg
    guessed = fill(case_of(aircraft__mass_g={"value": 500, "how": "guess"})).aircraft.mass_kg
    ended = fill(case_of(aircraft__mass_g={"value": 500, "low": 495, "high": 520, "how": "guess"})).aircraft.mass_kg
    assert guessed.high - guessed.low == pytest.approx(4.0 * (read.high - read.low))
    assert (read.known, guessed.known, guessed.said) == (True, False, True)
    assert [ended.low, ended.high] == pytest.approx([0.495, 0.520])


def test_an_entered_value_with_a_wide_band_can_be_the_one_to_measure() -> None:
    """What moves the answer is named, whoever said it."""
    case = case_of(plain(), aircraft__cruise_mps={"value": 12, "low": 5, "high": 24})
    draws = draw_set(fill(case), 1000, 1)
    shares = shares_of(draws, {"figure": draws["aircraft.cruise_mps"] ** 3})
    assert shares.greatest("figure") == "aircraft.cruise_mps"
