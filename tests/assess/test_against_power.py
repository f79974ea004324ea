"""Recorded power beside the plan's model."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy import stats
from tests.assess.against_made import Made, answer_of, t_of
from tests.assess.cases import case_of, plain

from turnback.assess.against_power import (
    airspeeds_mps,
    chance_z,
    compared_power,
    marched,
    power_seen,
    recorded_power_w,
)
from turnback.assess.against_track import Stations, stations_of
from turnback.assess.flight_energy import Craft
from turnback.assess.learn_flight import Lesson
from turnback.assess.power_events_volts import volts_of
from turnback.records.channel import Quantity
from turnback.records.happened import Flown

CALM: dict[str, Any] = {"weather__wind_mps": {"value": 0.1, "low": 0.05, "high": 0.2}}


def parts(made: Made, **more: Any) -> tuple[Flown, Craft, Stations]:
    """Return record, plan and stations."""
    lesson = Lesson(answer_of(made, **more), case_of(plain(), **CALM))
    assert lesson.at is not None
    return lesson.answer.flown, lesson.craft, lesson.at


def test_chance_is_normal() -> None:
    """Outside value: scipy's quantiles, at the middles of equal chances."""
    z = chance_z(200, "a test")
    assert np.sort(z) == pytest.approx(stats.norm.ppf((np.arange(200) + 0.5) / 200), abs=1e-6)
    assert (z != np.sort(z)).any()


def test_power_is_volts_times_amperes_unless_it_was_recorded() -> None:
    """The flight was made with 130 W in hover and 150 W at cruise at 3.8 V a cell: amperes times the pack's volts."""
    answer = answer_of(Made(steady=True))
    at_s = np.arange(30.0, 340.0, 1.0)
    found = recorded_power_w(answer.flown.record, volts_of(answer.flown), at_s)
    assert found is not None
    volts = answer.flown.record.get(Quantity.PACK_VOLTS)
    assert volts is not None
    watts = np.where(at_s < 70.0, 130.0, 150.0)
    by_hand = np.interp(at_s, volts.t_s, volts.values) * watts / (6 * 3.8)
    away = np.abs(at_s - 70.0) > 1.0  # one station holds both
    assert found[away] == pytest.approx(by_hand[away], rel=0.01)
    t_s = t_of(Made())
    told = answer_of(Made(), power=(t_s, np.full(t_s.size, 222.0)))
    assert recorded_power_w(told.flown.record, None, at_s) == pytest.approx(np.full(at_s.size, 222.0))
    bare = answer_of(Made(), without=(Quantity.CURRENT,))
    assert recorded_power_w(bare.flown.record, volts_of(bare.flown), at_s) is None


def test_airspeed_is_that_over_ground_in_a_calm_and_as_recorded_where_it_was() -> None:
    """The flight was made at 13 m/s."""
    _, craft, at = parts(Made())
    cruising = (at.t_s > 75.0) & (at.t_s < 98.0)
    assert airspeeds_mps(craft, at)[:, cruising] == pytest.approx(13.0, abs=0.6)
    t_s = t_of(Made())
    _, craft, at = parts(Made(), airspeed=(t_s, np.full(t_s.size, 17.0)))
    assert airspeeds_mps(craft, at)[:, cruising] == pytest.approx(17.0)


def test_what_is_drawn_beyond_the_model_is_the_residual() -> None:
    """Fifty watts more in all are fifty watts more beyond the model."""
    off = []
    for more_w in (0.0, 50.0):
        t_s = t_of(Made())
        flown, craft, at = parts(Made(), power=(t_s, np.full(t_s.size, 150.0 + more_w)))
        found = compared_power(power_seen(flown, craft, at), craft, at)
        assert found is not None
        known = np.isfinite(found.predicted)
        assert (found.low[known] < found.predicted[known]).all()
        off.append(found.residual)
    assert off[1].mid - off[0].mid == pytest.approx(50.0, abs=0.5)
    assert off[0].low < off[0].mid < off[0].high


def test_the_pack_is_marched_by_what_was_drawn() -> None:
    """Outside value: charge counted by hand over the plan's capacity, in the middle world."""
    flown, craft, at = parts(Made(steady=True))
    march = marched(power_seen(flown, craft, at), craft, at)
    assert march is not None
    left = float(np.median(march.soc[:, int(np.searchsorted(at.t_s, 360.0))]))
    begun = float(np.median(march.soc[:, 0]))
    used_ah = (60.0 * 130.0 + 270.0 * 150.0 + 20.0 * 130.0) / (6 * 3.8) / 3600.0
    assert begun - left == pytest.approx(used_ah / float(np.median(craft.draws["pack.capacity_ah"])), rel=0.06)


def test_without_speed_or_place_there_is_no_model() -> None:
    """And without the model no comparison."""
    gone = (Quantity.VELOCITY_EAST, Quantity.VELOCITY_NORTH, Quantity.LATITUDE, Quantity.LONGITUDE)
    answer = answer_of(Made(), without=gone)
    craft = Lesson(answer, case_of(plain(), **CALM)).craft
    at = stations_of(answer.flown, None)
    assert at is not None
    seen = power_seen(answer.flown, craft, at)
    assert np.isnan(seen.modelled_w).all()
    assert compared_power(seen, craft, at) is None
