"""Where lean drives it against the heading that is shown: off by one angle, or turned by the current."""

from __future__ import annotations

import numpy as np
import pytest
from tests.assess.record_makers import Made, flat, make_record

from turnback.assess.signs_motion import motion_signs
from turnback.assess.signs_place_field import heading_turned, turns_with_current
from turnback.assess.signs_place_home import stops_short
from turnback.assess.signs_place_seen import place_seen
from turnback.assess.signs_volts_told import Saw
from turnback.base.constants import GRAVITY_MPS2
from turnback.records.channel import Quantity
from turnback.records.debrief import Looked
from turnback.records.happened import Flown, PhaseKind, RecordAnswer

STEP_S, M_PER_DEG, END_S = 0.1, 111_195.0, 80.0
DRAG_PER_S = 0.25
WIND_MPS = complex(2.0, -1.5)


def flown(off_rad: float, by_current_rad: float = 0.0, whirls_s: float = 0.0, *, armed: bool = True) -> Looked:
    """Leans this way and that for a minute; the heading shown is off by an angle, more at high current.

    `whirls_s` long it spins, and what the receiver tells of its way is off by metres a second.
    """
    rng = np.random.default_rng(4)
    t_s = np.arange(0.0, END_S, STEP_S)
    knots_s = np.arange(0.0, END_S + 4.0, 3.0)
    yaw = np.interp(t_s, knots_s, np.cumsum(rng.uniform(-1.0, 1.2, knots_s.size)))
    pitch, roll = (np.interp(t_s, knots_s, rng.uniform(-0.35, 0.35, knots_s.size)) for _ in range(2))
    amps = 15.0 + np.interp(t_s, knots_s, rng.uniform(-6.0, 6.0, knots_s.size))
    whirls = (t_s > 60.0) & (t_s < 60.0 + whirls_s)
    ahead, right = -np.tan(pitch), np.tan(roll) / np.cos(pitch)
    pull = GRAVITY_MPS2 * (ahead + 1j * right) * np.exp(1j * yaw)  # north is the real axis, east the other one
    way = np.zeros(t_s.size, np.complex128)
    for k in range(1, t_s.size):
        way[k] = way[k - 1] + STEP_S * (pull[k - 1] - DRAG_PER_S * (way[k - 1] - WIND_MPS))
    place = np.cumsum(way) * STEP_S
    told = way + np.where(whirls, 9.0 * np.exp(2.5j * t_s), 0.0)
    shown = yaw + off_rad + by_current_rad * (amps - 15.0) / 12.0 + 0.02 * rng.standard_normal(t_s.size)
    record = make_record({
        Quantity.LATITUDE: (t_s, place.real / M_PER_DEG), Quantity.LONGITUDE: (t_s, place.imag / M_PER_DEG),
        Quantity.GROUND_SPEED: (t_s, np.abs(told)), Quantity.COURSE: (t_s, np.angle(told)),
        Quantity.HEADING: (t_s, shown), Quantity.ROLL: (t_s, roll), Quantity.PITCH: (t_s, pitch),
        Quantity.CURRENT: (t_s, amps), Quantity.HEIGHT_LAUNCH: (t_s, np.full(t_s.size, 20.0)),
        Quantity.ARMED: (t_s, (t_s < END_S - (0.0 if armed else 0.5)).astype(float)),
    })  # fmt: skip
    phases = (flat(PhaseKind.CRUISE, 0.0, END_S),)
    return Looked(RecordAnswer(Flown(record, phases, 4, "LiPo"), (), (), ()), END_S)


@pytest.mark.parametrize("off_rad", [0.0, 0.8, -1.6])
def test_the_angle_is_found_whatever_wind_there_is(off_rad: float) -> None:
    found = heading_turned(place_seen(flown(off_rad)))
    assert found is not None
    assert found.off_rad == pytest.approx(-off_rad, abs=0.08)  # what turns it back
    assert found.sd_rad < 0.1


def test_some_seconds_of_whirling_do_not_hide_it() -> None:
    found = heading_turned(place_seen(flown(0.8, whirls_s=8.0)))
    assert found is not None
    assert found.off_rad == pytest.approx(-0.8, abs=0.12)
    assert found.sd_rad < 0.12


@pytest.mark.parametrize(("by_rad", "seen"), [(0.0, False), (0.6, True)])
def test_a_heading_that_turns_with_the_current(by_rad: float, seen: bool) -> None:
    looked = flown(0.3, by_rad)
    found = turns_with_current(place_seen(looked))
    assert found is not None
    assert (found[1] > 0.5) is seen
    told = {each.sign: each for each in motion_signs(looked).signs}["heading-error-with-current"]
    assert told.seen is seen
    assert told.sure < 0.9


def test_without_a_current_it_says_nothing() -> None:
    looked = flown(0.3)
    series = dict(looked.answer.flown.record.series)
    kept: Made = {key: (each.t_s, each.values) for key, each in series.items() if key.quantity is not Quantity.CURRENT}
    bare = Flown(make_record(kept), looked.answer.flown.phases, 4, "LiPo")
    assert turns_with_current(place_seen(Looked(RecordAnswer(bare, (), (), ()), END_S))) is None


@pytest.mark.parametrize("armed", [True, False])
def test_switched_off_where_it_stopped_the_return_is_over(armed: bool) -> None:
    """Home by itself to 100 m out, where it hangs for a second; the record ends as it is switched off, or does not."""
    t_s = np.arange(0.0, 41.0, STEP_S)
    north_m = np.interp(t_s, [5.0, 30.0, 40.0], [0.0, 180.0, 100.0])
    speed_mps = np.abs(np.gradient(north_m, STEP_S))
    record = make_record({
        Quantity.LATITUDE: (t_s, north_m / M_PER_DEG), Quantity.LONGITUDE: (t_s, np.zeros(t_s.size)),
        Quantity.GROUND_SPEED: (t_s, speed_mps), Quantity.COURSE: (t_s, np.where(t_s > 30.0, np.pi, 0.0)),
        Quantity.HEIGHT_LAUNCH: (t_s, np.full(t_s.size, 12.0)), Quantity.CLIMB_RATE: (t_s, np.zeros(t_s.size)),
        Quantity.RETURN_ACTIVE: (t_s, (t_s > 30.0).astype(float)),
        Quantity.ARMED: (t_s, np.where(t_s > 40.6, float(armed), 1.0)),
    })  # fmt: skip
    phases = (flat(PhaseKind.CRUISE, 0.0, 30.0), flat(PhaseKind.RETURN, 30.0, 41.0))
    found = stops_short(place_seen(Looked(RecordAnswer(Flown(record, phases, 4, "LiPo"), (), (), ()), 40.9)))
    assert isinstance(found, Saw)
    assert (found.beyond > 0.0) is not armed
