"""What follows a lost link, told apart from landing: modes by words, sinking, motors off, sticks put down."""

from __future__ import annotations

import numpy as np
import pytest
from tests.assess.record_makers import make_flown, make_record
from tests.assess.test_link_events import FLIES, Made, change, freeze, healthy, lost_flight, of

from turnback.assess.link_events_rest import fell, motors_stand
from turnback.records.channel import ACCELERATIONS, RATES, Quantity
from turnback.records.happened import EventKind, Flown

G_MPS2 = 9.80665  # ISO 80000-3, standard gravity


def action(made: Made, labels: tuple[str, ...] = ()) -> str:
    """The one action that is told."""
    record = make_record(made, labels={Quantity.MODE: labels} if labels else {})
    (event,) = of(Flown(record, FLIES), EventKind.RADIO_LOSS_ACTION)
    return event.words["action"]


@pytest.mark.parametrize(
    ("name", "told"),
    [("land", "descends-in-place"), ("DESCENDING", "descends-in-place"), ("Sinkflug", "descends-in-place"),
     ("going home", "automatic-return"), ("Heimflug", "automatic-return"), ("failsafe stop", "motors-stop"),
     ("Aus", "motors-stop"), ("Selbstausgleich", "keeps-last-sticks"), ("island", "keeps-last-sticks")],
)  # fmt: skip
def test_the_mode_that_a_lost_link_brings_is_read_by_its_words(name: str, told: str) -> None:
    made = lost_flight()
    freeze(made, 120.0, 130.0)
    t_s = made[Quantity.OUTPUT][0]
    made[Quantity.MODE] = (t_s, (t_s >= 121.2).astype(float))
    assert action(made, ("rate", name)) == told


@pytest.mark.parametrize("tells", [Quantity.VELOCITY_DOWN, Quantity.HEIGHT_LAUNCH])
def test_sinking_in_place_is_told_by_any_channel_and_sinking_elsewhere_not(tells: Quantity) -> None:
    made = lost_flight()
    change(made, Quantity.LINK_QUALITY, 120.0, 160.0, 0.0)
    t_s = made[Quantity.OUTPUT][0]
    down_m = np.clip(t_s - 121.5, 0.0, 20.0)
    made[tells] = (
        t_s,
        {Quantity.VELOCITY_DOWN: np.gradient(down_m, t_s), Quantity.HEIGHT_LAUNCH: 30.0 - down_m}[tells],
    )
    made[Quantity.GROUND_SPEED] = (t_s, np.interp(t_s, [120.0, 124.0], [8.0, 0.4]))
    change(made, Quantity.OUTPUT, 142.0, 300.0, 0.0)  # down at last
    assert action(made) == "descends-in-place"
    made[Quantity.GROUND_SPEED] = (t_s, np.full(t_s.size, 8.0))
    assert action(made) != "descends-in-place"


def test_motors_off_after_the_landing_are_no_action() -> None:
    made = lost_flight()
    t_s = made[Quantity.OUTPUT][0]
    made[Quantity.ARMED] = (t_s, (t_s < 128.0).astype(float))
    change(made, Quantity.OUTPUT, 128.0, 300.0, 0.0)
    for quantity in ACCELERATIONS:
        made[quantity] = (t_s, np.full(t_s.size, -G_MPS2 if quantity is Quantity.ACCELERATION_Z else 0.0))
    assert action(made) == "none-seen"
    change(made, Quantity.ACCELERATION_Z, 128.0, 130.0, -0.2 * G_MPS2)
    assert action(made) == "motors-stop"


def test_a_loss_while_it_returns_already_brings_no_action_of_its_own() -> None:
    made = lost_flight()
    t_s = made[Quantity.OUTPUT][0]
    made[Quantity.RETURN_ACTIVE] = (t_s, (t_s >= 110.0).astype(float))
    assert not of(make_flown(made, *FLIES), EventKind.RADIO_LOSS_ACTION)


def test_a_fall_by_each_channel_that_tells_it() -> None:
    t_s = np.arange(0.0, 20.0, 0.02)
    since_s = np.clip(t_s - 10.0, 0.0, 1.5)
    told = {
        Quantity.CLIMB_RATE: -G_MPS2 * since_s,
        Quantity.VELOCITY_DOWN: G_MPS2 * since_s,
        Quantity.HEIGHT_LAUNCH: 12.0 - 0.5 * G_MPS2 * since_s**2,
        Quantity.HEIGHT_SEA_LEVEL: 412.0 - 0.5 * G_MPS2 * since_s**2,
    }
    for quantity, values in told.items():
        assert fell(make_record({quantity: (t_s, values)}), 10.0) is True
        assert fell(make_record({quantity: (t_s, np.full(t_s.size, values[0]))}), 10.0) is False
    still = make_record({quantity: (t_s, np.full(t_s.size, 0.02)) for quantity in RATES})
    assert fell(still, 10.0) is False
    turns = make_record({quantity: (t_s, np.full(t_s.size, 2.0)) for quantity in RATES})
    assert fell(turns, 10.0) is None
    assert fell(make_record({Quantity.THROTTLE: (t_s, 0.3)}), 10.0) is None


def test_sticks_put_down_or_frozen_by_a_board_without_motors_are_not_frozen_aloft() -> None:
    for seed in range(3):
        made = healthy(100.0, 60 + seed)
        freeze(made, 150.0, 154.0)
        assert of(make_flown(made, *FLIES), EventKind.CHANNELS_FROZEN)
        change(made, Quantity.OUTPUT, 149.0, 156.0, 0.0)
        assert motors_stand(make_record(made), 150.0, 154.0) is True
        assert not of(make_flown(made, *FLIES), EventKind.CHANNELS_FROZEN)
        made = healthy(100.0, 60 + seed)
        freeze(made, 150.0, 154.0)
        change(made, Quantity.THROTTLE, 150.0, 154.0, 0.0)
        assert not of(make_flown(made, *FLIES), EventKind.CHANNELS_FROZEN)


@pytest.mark.parametrize("rate_hz", [25.0, 50.0, 250.0])
def test_a_sudden_dip_stands_out_of_slow_fading(rate_hz: float) -> None:
    made = healthy(rate_hz, 70, radio_hz=25.0)
    t_s, level = made[Quantity.LINK_LEVEL]
    # a level that wanders by 12 dB over half a minute has a spread in which 20 dB is not five times as much
    made[Quantity.LINK_LEVEL] = (t_s, np.round(level + 8.0 * np.sin(2.0 * np.pi * t_s / 25.0)))
    assert not of(make_flown(made, *FLIES), EventKind.LEVEL_DIP)
    change(made, Quantity.LINK_LEVEL, 150.0, 152.0, lambda level: level - 22.0)
    (dip,) = of(make_flown(made, *FLIES), EventKind.LEVEL_DIP)
    assert dip.start_s == pytest.approx(150.0, abs=0.08)
    assert dip.end_s == pytest.approx(152.0, abs=0.3)


def test_a_deep_dip_in_whole_decibels_is_no_lost_link() -> None:
    made = healthy(50.0, 71, fading_db=20.0)
    t_s, level = made[Quantity.LINK_LEVEL]
    del made[Quantity.LINK_QUALITY]
    made[Quantity.LINK_LEVEL] = (t_s, np.where((t_s >= 150.0) & (t_s < 151.4), -88.0, level))
    assert not of(make_flown(made, *FLIES), EventKind.LINK_LOST)
    made[Quantity.LINK_LEVEL] = (t_s, np.where((t_s >= 150.0) & (t_s < 151.4), -130.0, level))
    assert of(make_flown(made, *FLIES), EventKind.LINK_LOST)
