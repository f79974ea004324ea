"""A pack that runs empty: its resistance from what lies before the bend, and whether it was on its way by its lean."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.assess.record_makers import flat, make_record

from turnback.assess.signs_place import place_signs
from turnback.assess.signs_volts import volt_signs
from turnback.assess.signs_volts_ohm import runs_empty_at
from turnback.assess.signs_volts_pack import pack_seen
from turnback.records.channel import Channel, Quantity
from turnback.records.debrief import AgainstPlan, Looked, RecordSign
from turnback.records.finding import Spread
from turnback.records.happened import Event, EventKind, Flown, PhaseKind, RecordAnswer
from turnback.rules.chemistry import chemistry

OHM = 0.006
OUT_S, TURN_S, HOME_S, END_S = 20.0, 40.0, 60.0, 80.0
Floats = NDArray[np.float64]
Made = dict[Channel | Quantity, tuple[Floats, Floats]]


def _emptied(
    empty_s: float, lean_mps2: float = 2.5, wind_mps2: float = 0.6, ohm: float = OHM, idle_a: float = 0.3
) -> Looked:
    """Hovers, flies out, turns, flies back, brakes, hovers; the pack falls off from a time on."""
    t_s = np.arange(0.0, END_S, 0.05)
    aloft = t_s >= 4.0
    amps = np.where(aloft, 10.0 + 3.0 * np.sin(t_s), idle_a)
    lag, now = np.zeros((2, t_s.size)), [0.0, 0.0]
    for row, value in enumerate(amps):
        for k, tau_s in enumerate((3.0, 40.0)):
            now[k] += (value - now[k]) * (1.0 - np.exp(-0.05 / tau_s))
            lag[k, row] = now[k]
    rest = 4.15 - 0.45 * np.clip(t_s / empty_s, 0.0, 1.0) - 0.25 * np.clip(t_s - empty_s, 0.0, 6.0)
    pack = 4.0 * (rest - ohm * (amps + 0.5 * lag[0] + 0.667 * lag[1]))
    ahead = np.select([t_s < OUT_S, t_s < TURN_S, t_s < HOME_S, t_s < HOME_S + 2.0],
                      [0.0, lean_mps2, -lean_mps2, 2.0 * lean_mps2], 0.0) + np.where(aloft, wind_mps2, 0.0)  # fmt: skip
    zero = np.zeros(t_s.size)
    made: Made = {
        Quantity.PACK_VOLTS: (t_s, pack), Quantity.CURRENT: (t_s, amps), Quantity.ROLL: (t_s, zero),
        Quantity.PITCH: (t_s, -np.arctan2(ahead, 9.80665)), Quantity.YAW_RATE: (t_s, zero),
    }  # fmt: skip
    phases = (flat(PhaseKind.GROUND, 0.0, 4.0), flat(PhaseKind.ALOFT, 4.0, END_S))
    return Looked(RecordAnswer(Flown(make_record(made), phases, 4, "LiPo"), (), (), ()), END_S)


def _late(looked: Looked) -> RecordSign:
    return next(each for each in place_signs(looked).signs if each.sign == "turned-back-late")


def test_a_bend_at_the_end_is_found_and_a_burst_is_none() -> None:
    """Four volts, then falling to two from the fiftieth second; a sag of two seconds that comes back; low all along."""
    t_s = np.arange(0.0, 60.0, 0.1)
    limits, aloft = chemistry("LiPo"), t_s >= 2.0
    fell = np.where(t_s < 50.0, 3.8, 3.8 - 0.3 * (t_s - 50.0))
    row = runs_empty_at(t_s, fell, aloft, limits)
    assert row is not None
    assert t_s[row] == pytest.approx(50.0 + (3.8 - 3.4) / 0.3, abs=0.3)  # 3.4 V: a tenth above the chemistry's 3.3 V
    assert runs_empty_at(t_s, np.where((t_s > 30.0) & (t_s < 32.0), 2.8, 3.7), aloft, limits) is None
    assert runs_empty_at(t_s, np.full(t_s.size, 2.9), aloft, limits) is None


def test_resistance_is_that_before_the_bend() -> None:
    """The made cell's own resistance, though a third of the flight lies past the bend."""
    ohm = pack_seen(_emptied(55.0)).ohm
    assert ohm is not None
    assert ohm.ohm == pytest.approx(OHM, rel=0.25)


@pytest.mark.parametrize(("empty_s", "late"), [(46.0, True), (52.0, True), (59.5, False), (62.0, False)])
def test_without_positions_lean_tells_whether_it_was_home(empty_s: float, late: bool) -> None:
    """Low (3.5 V at rest, 0.8 s after the fall begins) on the way back, against low while it brakes or hovers."""
    sign = _late(_emptied(empty_s))
    assert sign.seen is late
    assert sign.sure > 0.8


def test_a_hover_that_leans_into_the_wind_is_no_way_home() -> None:
    """The same lean before, during and after is the wind's; nothing was flown, nothing is told."""
    assert not [each for each in place_signs(_emptied(50.0, lean_mps2=0.0, wind_mps2=2.0)).signs
                if each.sign == "turned-back-late"]  # fmt: skip


def test_a_load_that_takes_a_sound_cell_low_is_hardly_harm() -> None:
    """Both packs are below 3.0 V under load; only the one that is so low also rested says surely that it was harmed."""
    sags = _emptied(200.0, ohm=0.075)
    signs = {each.sign: each for each in volt_signs(sags).signs}
    assert signs["volts-below-damage"].seen
    assert signs["volts-below-damage"].sure < 0.7
    empty = {each.sign: each for each in volt_signs(_emptied(60.0)).signs}
    assert empty["volts-below-damage"].seen
    assert empty["volts-below-damage"].sure > 0.9


def test_idling_motors_leave_a_rest_to_be_read() -> None:
    """Drawing a quarter of the hover's current before take-off, 4.15 V a cell rested are told within hundredths."""
    seen = pack_seen(_emptied(200.0, idle_a=2.5))
    assert seen.rest_seen
    assert seen.rest_v == pytest.approx(4.15, abs=0.02)


def test_only_a_pack_that_was_low_rested_too_ran_empty() -> None:
    """A fall to 2.2 V at rest; a load that sags a sound cell of 3.7 V; a pack that ends at 3.45 V at rest."""
    for looked, empty in ((_emptied(60.0), True), (_emptied(200.0, ohm=0.075), False), (_emptied(79.0), False)):
        sign = next(each for each in volt_signs(looked).signs if each.sign == "runs-empty-in-flight")
        assert sign.seen is empty
        assert sign.sure > 0.9


def test_charge_used_or_volts_rested_say_that_little_is_left() -> None:
    """Ten amperes for 76 s are 0.21 Ah: nearly all of 0.22 Ah, a fifth of 1 Ah; rested 3.7 V is not yet a tenth."""
    keys = []
    for looked, label_ah in ((_emptied(200.0), 0.22), (_emptied(200.0), 1.0), (_emptied(60.0), 1.0)):
        planned = replace(looked, against=AgainstPlan(expected={"capacity_ah": Spread(label_ah, label_ah, label_ah)}))
        sign = next(each for each in volt_signs(planned).signs if each.sign == "little-left-at-end")
        keys.append(sign.seen)
    assert keys == [True, False, True]


def test_an_empty_packs_fall_is_no_contact_that_moves() -> None:
    """A step of the volts counts where the pack is sound, and no longer once it runs empty."""
    looked = _emptied(60.0)
    for at_s, jumps in ((30.0, True), (63.0, False)):
        step = Event(
            EventKind.VOLT_STEP, at_s, at_s + 0.2, (), "record.power.step_share", {"step_v": 2.0, "limit_v": 0.5}
        )
        answer = replace(looked.answer, events=(step,))
        sign = next(e for e in volt_signs(replace(looked, answer=answer)).signs if e.sign == "volts-jump-when-moved")
        assert sign.seen is jumps


def test_by_lean_alone_a_limit_passed_a_moment_before_home_tells_neither() -> None:
    """At its limit while it leans on for home, short (3.2 V) two seconds later, while it brakes."""
    signs = place_signs(_emptied(57.0))
    assert not [each for each in signs.signs if each.sign == "turned-back-late"]
    assert "turned-back-late" in {each.sign for each in signs.not_looked_for}


@pytest.mark.parametrize(("empty_s", "late"), [(46.0, True), (52.0, True), (57.2, False), (62.0, False)])
def test_who_reaches_the_limit_a_moment_before_home_turned_in_time(empty_s: float, late: bool) -> None:
    """North to two hundred metres and back by the sixtieth second: 3.5 V at rest just before is not short of home."""
    looked = _emptied(empty_s)
    t_s = np.arange(0.0, END_S, 0.1)
    north_m = np.interp(t_s, [OUT_S, TURN_S, HOME_S], [0.0, 200.0, 0.0])
    record = looked.answer.flown.record
    made: Made = {key: (each.t_s, each.values.astype(np.float64)) for key, each in record.series.items()} | {
        Quantity.LATITUDE: (t_s, north_m / 111_195.0), Quantity.LONGITUDE: (t_s, np.zeros(t_s.size)),
    }  # fmt: skip
    flown = replace(looked.answer.flown, record=make_record(made))
    assert _late(Looked(replace(looked.answer, flown=flown), END_S)).seen is late
