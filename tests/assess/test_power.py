"""Power and thrust: board and radios, ducts, what was measured, thin air, a pack that is not full."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from tests.assess.cases import case_of, plain

from turnback.assess.consumption import Scale, electrical_w, hover_and_cruise_w
from turnback.assess.flight_energy import Craft
from turnback.assess.last_flight import craft_of
from turnback.assess.thrust import thrust_of
from turnback.assess.world import chemistry_of, fill


def crafted(**changes: Any) -> Craft:
    """Return the drawn craft of a case over a plain."""
    case = case_of(plain(), **changes)
    return craft_of(fill(case), chemistry_of(case), None, 1)


def with_draws(craft: Craft, **values: float) -> Craft:
    """Return a craft with some unknowns set to one number (dots written as two underscores)."""
    fixed = {key.replace("__", "."): np.full(craft.draws.count, value) for key, value in values.items()}
    return replace(craft, draws=replace(craft.draws, values={**craft.draws.values, **fixed}))


def test_board_and_radios_are_added_to_the_motors() -> None:
    """Ten watts more on the board are ten watts more from the pack, in hover and at cruise."""
    craft = crafted()
    less, more = (with_draws(craft, aircraft__auxiliary_w=watts) for watts in (5.0, 15.0))
    for one, other in zip(
        hover_and_cruise_w(less.draws, less.thrust, less.scale),
        hover_and_cruise_w(more.draws, more.thrust, more.scale),
        strict=True,
    ):
        assert other - one == pytest.approx(10.0)


def test_what_was_measured_in_hover_holds_in_hover_and_at_cruise_at_cruise() -> None:
    craft = with_draws(crafted(), aircraft__auxiliary_w=0.0)
    ones = np.ones(craft.draws.count)
    still, speed = np.zeros(craft.draws.count), craft.draws["aircraft.cruise_mps"]
    for airspeed, in_hover, at_cruise in ((still, 2.0, 1.0), (speed, 1.0, 3.0), (speed / 2.0, np.sqrt(2), np.sqrt(3))):
        plain_w = electrical_w(craft.draws, craft.thrust, Scale(ones, ones), airspeed, still)
        hover_w = electrical_w(craft.draws, craft.thrust, Scale(2.0 * ones, ones), airspeed, still)
        cruise_w = electrical_w(craft.draws, craft.thrust, Scale(ones, 3.0 * ones), airspeed, still)
        assert hover_w / plain_w == pytest.approx(in_hover)
        assert cruise_w / plain_w == pytest.approx(at_cruise)


def test_a_measured_hover_current_is_the_hover_current() -> None:
    """9 A measured in still hover: at nominal volts the model gives 9 A back, whatever it thought before."""
    nine = {"value": 9.0, "low": 9.0, "high": 9.0}
    craft = crafted(aircraft__hover_current_a=nine)
    hover, _ = hover_and_cruise_w(craft.draws, craft.thrust, craft.scale)
    assert hover == pytest.approx(9.0 * 3.7 * 6)


def test_ducts_drag_in_forward_flight() -> None:
    """A duct turns the air that comes at it, so cruise costs more; what it gains in hover is in the figure of merit."""
    craft = crafted(aircraft__class="ducted micro", pack__label="1S 450 mAh 75C")
    assert craft.draws.world.aircraft.ducted
    open_world = replace(craft.draws.world, aircraft=replace(craft.draws.world.aircraft, ducted=False))
    bare = replace(craft.draws, world=open_world)
    ducted = hover_and_cruise_w(craft.draws, craft.thrust, craft.scale)
    without = hover_and_cruise_w(bare, craft.thrust, craft.scale)
    assert ducted[0] == pytest.approx(without[0])
    assert (ducted[1] > without[1] * 1.001).all()


def test_thin_air_and_a_pack_that_is_not_full_take_thrust() -> None:
    """At 0.95596 kg/m³ (1500 m at 35 °C) thrust falls, by no more than the air: the motor turns faster in it."""
    case = case_of(plain())
    craft = crafted()
    law = chemistry_of(case)
    thick = replace(craft.draws, density_kg_m3=np.full(craft.draws.count, 1.225))
    thin = replace(craft.draws, density_kg_m3=np.full(craft.draws.count, 0.95596))
    ratio = thrust_of(thin, law).most_n / thrust_of(thick, law).most_n
    assert (ratio > 0.95596 / 1.225 - 1e-9).all()
    assert (ratio < 0.97).all()
    full, half = (with_draws(craft, pack__rest_v=volts).draws for volts in (4.2, 3.75))
    share = thrust_of(half, law).most_n / thrust_of(full, law).most_n
    # thrust goes with volts to a power between one (a loaded motor) and two (an unloaded one)
    assert (share < 3.75 / 4.2).all()
    assert (share > (3.75 / 4.2) ** 2.2).all()


@pytest.mark.parametrize("cells", [1, 2, 4])
def test_a_motor_that_nobody_described_is_wound_for_its_pack(cells: int) -> None:
    """A ducted micro on one, two or four cells: the same rotor speeds and thrust, as flown; none is out of range."""
    one = crafted(aircraft__class="ducted micro", pack__label="1S 450 mAh 75C")
    many = crafted(aircraft__class="ducted micro", pack__label=f"{cells}S 450 mAh 75C")
    constant = many.draws["aircraft.speed_constant_rpm_per_v"] * cells
    assert constant == pytest.approx(one.draws["aircraft.speed_constant_rpm_per_v"])
    ratio = np.median(many.thrust.most_n) / np.median(one.thrust.most_n)
    assert 0.9 < ratio < 1.2


def test_a_class_that_names_other_cells_is_wound_for_the_pack_too() -> None:
    """Nobody can say which of the two is wrong, so the judge does (`test_brief_facts`); the numbers stay near."""
    six = crafted()
    four = crafted(pack__label="4S 1300 mAh 100C")
    key = "aircraft.speed_constant_rpm_per_v"
    assert np.median(four.draws[key]) == pytest.approx(1.5 * np.median(six.draws[key]))
    assert 0.8 < np.median(four.thrust.most_n) / np.median(six.thrust.most_n) < 1.05


def test_nothing_flies_level_beyond_its_pitch_speed() -> None:
    """Full output on today's pack: revolutions a second times the pitch, less 15 % (our choice), by hand."""
    craft = crafted()
    pitch_mps = 4.3 * 0.0254 * 30_000 / 60  # some 30,000 turns a minute on a full pack of six cells
    assert 0.5 * pitch_mps < np.median(craft.thrust.most_level_mps) < pitch_mps
