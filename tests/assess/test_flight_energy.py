"""What a flight takes from the pack: the pilot's hand, volts under load, and the readings that goggles show."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from tests.assess.cases import case_of, plain

from turnback.assess.consumption import hover_and_cruise_w
from turnback.assess.draws import Nodes
from turnback.assess.energy import assess_energy
from turnback.assess.flight_energy import (
    Craft,
    chance_above_zero,
    landing_chance,
    landing_margin,
    loaded_margin_v,
    march_flight,
)
from turnback.assess.last_flight import craft_of, rows_of
from turnback.assess.legs import planned_legs
from turnback.assess.track import Track, lay_track
from turnback.assess.world import chemistry_of, fill
from turnback.physics.cell import Load
from turnback.physics.pack import march_pack


def crafted(**changes: Any) -> tuple[Craft, Track]:
    """Return the drawn craft of a case over a plain, 25 of its draws, and its track."""
    case = case_of(plain(), **changes)
    craft = craft_of(fill(case), chemistry_of(case), None, 1)
    rows = np.linspace(0, craft.draws.count - 1, 25).astype(np.int64)
    return rows_of(craft, rows), lay_track(case.route, case.terrain, case.launch_height_m)


def test_another_hand_asks_for_more() -> None:
    """One standard deviation of the hand is 8 % of energy (ours; a lognormal spread, so exp 0.08)."""
    craft, track = crafted()
    marched = march_flight(craft, planned_legs(track), Nodes(np.zeros(1), np.array([0.0, 1.0]), np.array([0.5, 0.5])))
    assert marched.greatest_w[:, 0, 1] / marched.greatest_w[:, 0, 0] == pytest.approx(np.exp(0.08))


def test_a_pack_that_sags_below_damage_does_not_land_in_time() -> None:
    """Charge enough and volts too low under load: the chance is that of both, not of the charge alone."""
    craft, track = crafted(pack__resistance_mohm_per_cell=60, route__distance_m=600)
    marched = march_flight(craft, planned_legs(track))
    charge = chance_above_zero([landing_margin(marched, craft)], marched.nodes)
    loaded = chance_above_zero([loaded_margin_v(marched, craft)], marched.nodes)
    assert (charge - loaded).max() > 0.1, "some draw must sag too far for the test to show anything"
    assert (landing_chance(marched, craft) <= np.minimum(charge, loaded) + 1e-12).all()


def test_goggles_at_the_land_by_volts_show_what_a_pack_at_cruise_shows() -> None:
    """The pack marched at cruise power second by second until it rests at 3.5 V: loaded volts there, to 25 mV."""
    craft, track = crafted(pack__temperature_c=25, weather__temperature_c=25, pack__resistance_mohm_per_cell=3)
    law, draws = craft.chemistry, craft.draws
    said = assess_energy(craft, track).result.land_by_loaded_v
    assert said.mid > law.land_by_loaded_v + 0.01, "the least reading must not be what is shown"
    _, cruise_w = hover_and_cruise_w(draws, craft.thrust, craft.scale)
    shown = []
    for row in range(draws.count):
        march = march_pack(
            Load.POWER, np.full(900, cruise_w[row]), np.ones(900), 6, law, float(draws["pack.resistance_ohm"][row]),
            float(draws["pack.capacity_ah"][row]), 0.9, 25.0, 25.0,
            float(draws["pack.mass_kg"][row]) / 6.0,
        )  # fmt: skip
        rest = np.interp(march.cell.soc, law.ocv_soc, law.ocv_v)
        shown.append(march.volts_v[int(np.argmax(rest <= 3.5))] / 6.0)
    assert said.mid == pytest.approx(float(np.median(shown)), abs=0.025)


def test_the_reading_to_turn_back_at_holds_enough_for_the_way_home() -> None:
    """Above the land-by charge it holds the way home as flown, and more, for wind and hand of one flight in twenty."""
    craft, track = crafted(route__distance_m=1200, pack__resistance_mohm_per_cell=2, weather__wind_mps=4)
    energy, law = assess_energy(craft, track).result, craft.chemistry
    far = int(np.argmin(np.abs(energy.distance_m - 1200.0)))
    home = float(energy.used_mid_ah[-1] - energy.used_mid_ah[far]) / energy.capacity_ah.mid
    sag_v = law.land_by_rest_v - energy.land_by_loaded_v.mid
    rest_v = energy.turn_back_loaded_v.mid + sag_v
    held = float(np.interp(rest_v, law.ocv_v, law.ocv_soc) - np.interp(law.land_by_rest_v, law.ocv_v, law.ocv_soc))
    assert home > 0.1
    assert 1.0 < held / home < 2.2


def test_no_reading_to_land_by_lies_under_the_loaded_volts_of_the_chemistry() -> None:
    """3.3 V loaded is the floor for LiPo (common practice), however far a worn pack sags."""
    craft, track = crafted(pack__resistance_mohm_per_cell=30)
    energy = assess_energy(craft, track).result
    assert energy.land_by_loaded_v.low == pytest.approx(3.3)
    assert energy.turn_back_loaded_v.low >= 3.3


def test_time_to_the_land_by_volts_is_charge_over_current() -> None:
    """Coulombs: what is left above the land-by charge after the plan, at cruise current, on top of the plan's time."""
    craft, track = crafted()
    energy, law = assess_energy(craft, track).result, craft.chemistry
    floor = float(np.interp(3.5, law.ocv_v, law.ocv_soc))
    left_ah = (1.0 - energy.used_fraction.mid - floor) * energy.capacity_ah.mid
    by_hand_s = energy.flight_s.mid + left_ah * 3600.0 / energy.cruise_current_a.mid
    assert energy.time_to_land_by_s.mid == pytest.approx(by_hand_s, rel=0.05)
