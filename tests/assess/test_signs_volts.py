"""Signs of a record's volts and current, on small made records whose pack is known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats
from tests.assess.record_makers import flat, make_record

from turnback.assess.signs_volts import TELLERS, volt_signs
from turnback.assess.signs_volts_pack import pack_seen
from turnback.assess.signs_volts_told import sure_of
from turnback.knowledge.book import Channel as BookChannel
from turnback.knowledge.reading import read_book
from turnback.records.channel import Channel, Quantity
from turnback.records.debrief import AgainstPlan, Looked, RecordSign
from turnback.records.finding import Spread
from turnback.records.happened import Event, EventKind, Flown, PhaseKind, RecordAnswer, WhyNot

CELLS, AH = 4, 1.5
USUAL_OHM = 0.009 / AH  # rules/chemistry.toml: ohm times ampere-hours of a cell of LiPo
Floats = NDArray[np.float64]


def _lag(values: Floats, tau_s: float, step_s: float) -> Floats:
    """First-order lag, step by step (apart from the product's transform)."""
    out, now = np.empty(values.size), 0.0
    for row, value in enumerate(values):
        now += (value - now) * (1.0 - np.exp(-step_s / tau_s))
        out[row] = now
    return out


def _flight(
    *, rest_v: float = 4.17, times: float = 1.0, lead_ohm: float = 0.0, slope_v: float = 0.05, seconds: float = 70.0,
    gap_v: float = 0.0, weak_v: float = 0.0, ground: bool = True, current: bool = True, noise_v: float = 0.004,
    shown: float = 1.0,
) -> dict[Channel | Quantity, tuple[Floats, Floats]]:  # fmt: skip
    """Four seconds of ground, a flight at about 12 A with climbs, three seconds of ground."""
    rng = np.random.default_rng(5)
    t_s = np.arange(0.0 if ground else 4.0, seconds + 3.0, 0.02)
    aloft = (t_s >= 4.0) & (t_s < seconds)
    amps = np.where(aloft, 12.0 + 2.0 * np.sin(t_s * 0.7) + 8.0 * (np.mod(t_s, 17.0) < 2.0), 0.3)
    ohm = USUAL_OHM * times
    sag = ohm * amps + 0.5 * ohm * _lag(amps, 3.0, 0.02) + 0.667 * ohm * _lag(amps, 40.0, 0.02)
    gone = np.cumsum(np.where(aloft, 1.0, 0.0))
    cell = rest_v - slope_v * gone / max(gone[-1], 1.0) - sag
    low = gap_v + weak_v * amps / 12.0
    made: dict[Channel | Quantity, tuple[Floats, Floats]] = {}
    cells = [cell + rng.normal(0.0, noise_v, t_s.size) - (low if k == 1 else 0.0) for k in range(CELLS)]
    for k, values in enumerate(cells):
        made[Channel(Quantity.CELL_VOLTS, number=k + 1)] = (t_s, values)
    made[Quantity.PACK_VOLTS] = (t_s, (np.sum(cells, axis=0) - CELLS * lead_ohm * amps) * shown)
    if current:
        made[Quantity.CURRENT] = (t_s, amps + rng.normal(0.0, 0.1, t_s.size))
    return made


def _looked(
    made: dict[Channel | Quantity, tuple[Floats, Floats]], *events: Event, ended_s: float | None = None,
    cells: int | None = CELLS, aloft: tuple[float, float] = (4.0, 70.0), **expected: float,
) -> Looked:  # fmt: skip
    record = make_record(made)
    end_s = record.clock.length_s
    phases = [flat(PhaseKind.GROUND, 0.0, aloft[0]), flat(PhaseKind.HOVER, *aloft)]
    if aloft[1] < end_s:
        phases.append(flat(PhaseKind.GROUND, aloft[1], end_s))
    flown = Flown(record, tuple(phases), cells, "LiPo")
    spreads = {key: Spread(value, value * 0.95, value * 1.05) for key, value in expected.items()}
    against = AgainstPlan(expected=spreads, cells=cells, chemistry="LiPo")
    return Looked(RecordAnswer(flown, events, (), ()), aloft[1] if ended_s is None else ended_s, against)


def _signs(looked: Looked) -> dict[str, RecordSign]:
    return {each.sign: each for each in volt_signs(looked).signs}


def test_every_sign_of_the_channel_is_told_or_said_not_to_be_looked_for() -> None:
    """Exactly once each, whatever the record holds."""
    keys = {each.key for each in read_book().signs if each.channel is BookChannel.VOLTS}
    assert set(TELLERS) == keys
    t_s = np.arange(0.0, 20.0, 0.1)
    bare: dict[Channel | Quantity, tuple[Floats, Floats]] = {Quantity.LATITUDE: (t_s, t_s)}
    for made in (_flight(), _flight(current=False), _flight(ground=False), bare):
        told = volt_signs(_looked(made, capacity_ah=AH))
        every = [each.sign for each in told.signs] + [each.sign for each in told.not_looked_for]
        assert sorted(every) == sorted(keys)
        assert all(0.5 <= each.sure <= 0.98 for each in told.signs)


def test_a_sound_full_pack_shows_nothing() -> None:
    """None of the signs, and most of them told."""
    found = _signs(_looked(_flight(), capacity_ah=AH, hover_current_a=12.0, rated_current_a=60.0))
    assert [each.sign for each in found.values() if each.seen] == []
    assert len(found) >= 17


def test_how_sure_is_the_normal_distribution() -> None:
    """Outside value: scipy's normal distribution; never surer than the cap."""
    for beyond in (0.0, 0.3, -1.0, 1.7):
        assert sure_of(beyond) == pytest.approx(float(stats.norm.cdf(abs(beyond))), abs=1e-12)
    assert sure_of(9.0) == 0.98
    assert sure_of(9.0, 0.7) == 0.7


@pytest.mark.parametrize("times", [0.7, 1.0, 3.0, 4.0])
def test_resistance_comes_out_as_it_was_put_in(times: float) -> None:
    """The cell's ohmic part, with its slower shares apart, from take-off and climbs."""
    seen = pack_seen(_looked(_flight(times=times, noise_v=0.002)))
    assert seen.ohm is not None
    assert seen.ohm.ohm == pytest.approx(USUAL_OHM * times, rel=0.15)
    assert abs(seen.ohm.ohm - USUAL_OHM * times) < 2.0 * seen.ohm.sd_ohm


def test_a_worn_pack_has_a_high_resistance_and_sags_slowly_too() -> None:
    """Three and a half times the usual: high, no instant drop; a lead of the same size: an instant drop."""
    worn = _signs(_looked(_flight(times=3.5), capacity_ah=AH))
    assert worn["resistance-high"].seen
    assert worn["resistance-high"].sure > 0.85
    assert not worn["instant-drop-with-current"].seen
    lead = _signs(_looked(_flight(lead_ohm=3.0 * USUAL_OHM), capacity_ah=AH))
    assert lead["instant-drop-with-current"].seen
    assert lead["instant-drop-with-current"].sure > 0.85


def test_without_size_plan_or_earlier_flights_no_resistance_is_called_high() -> None:
    """Against nothing it cannot be judged; an earlier flight of the same aircraft judges it."""
    looked = _looked(_flight(times=3.5))
    alone = {each.sign: each.why for each in volt_signs(looked).not_looked_for}
    assert alone["resistance-high"] is WhyNot.NO_CHANNEL
    earlier = _looked(_flight()).answer
    assert _signs(replace(looked, earlier=(earlier,)))["resistance-high"].seen


def test_large_sag_is_volts_not_ohms() -> None:
    """Eight times the usual at 12 A takes more than 0.4 V off a cell; the usual pack does not."""
    assert _signs(_looked(_flight(times=4.5, rest_v=4.18), capacity_ah=AH))["sag-large"].seen
    assert not _signs(_looked(_flight(), capacity_ah=AH))["sag-large"].seen


@pytest.mark.parametrize(("rest_v", "seen"), [(3.85, True), (3.98, True), (4.17, False)])
def test_a_pack_that_was_not_full(rest_v: float, seen: bool) -> None:
    """Rest before take-off against full."""
    found = _signs(_looked(_flight(rest_v=rest_v)))["starts-not-full"]
    assert found.seen is seen
    assert found.sure > 0.9
    assert found.values["rest_v"] == pytest.approx(rest_v, abs=0.01)


def test_a_full_pack_above_full_reads_off_and_was_charged_too_far() -> None:
    """4.29 V of a chemistry of 4.20 V; a part-used pack leaves open whether the reading is off."""
    high = _signs(_looked(_flight(rest_v=4.29)))
    assert high["full-pack-reads-off"].seen
    assert high["charged-above-full"].seen
    told = volt_signs(_looked(_flight(rest_v=4.0)))
    assert "full-pack-reads-off" in {each.sign for each in told.not_looked_for}


def test_volts_that_run_low_are_rested_volts() -> None:
    """A worn pack sags below the loaded limit and is not empty; an empty one is."""
    empty = _signs(_looked(_flight(rest_v=3.7, slope_v=0.4), capacity_ah=AH))
    assert empty["volts-below-land-by"].seen
    assert empty["rests-low-after-landing"].seen
    weak = _signs(_looked(_flight(rest_v=4.1, times=5.0, slope_v=0.2), capacity_ah=AH))
    assert not weak["volts-below-land-by"].seen
    assert not weak["rests-low-after-landing"].seen


def test_one_weak_cell_collapses_and_one_low_cell_is_apart() -> None:
    """A gap at rest, a gap that grows with the load, and none."""
    low = _signs(_looked(_flight(gap_v=0.16)))
    assert low["cells-apart"].seen
    assert not low["one-cell-collapses"].seen
    weak = _signs(_looked(_flight(weak_v=0.25)))
    assert weak["one-cell-collapses"].seen
    assert weak["one-cell-collapses"].values["number"] == 2.0


@pytest.mark.parametrize(("told", "seen"), [(4, False), (3, True), (6, True), (5, True)])
def test_volts_fit_the_cells_that_are_declared(told: int, seen: bool) -> None:
    """Four full cells declared as another number; what hangs on the number is not told then."""
    looked = _looked(_flight(), cells=told)
    made: dict[Channel | Quantity, tuple[Floats, Floats]] = {
        key: value for key, value in _flight().items() if key in (Quantity.PACK_VOLTS, Quantity.CURRENT)
    }
    record = make_record(made)
    looked = replace(looked, answer=replace(looked.answer, flown=replace(looked.answer.flown, record=record)))
    found = _signs(looked)
    assert found["volts-do-not-fit-cells"].seen is seen
    assert ("starts-not-full" in found) is not seen


def test_steady_until_a_record_ends_aloft() -> None:
    """Steady counts only where it ends aloft, and not where the volts decline; a last collapse is the contact's."""
    made = {key: (t[t < 50.0], v[t < 50.0]) for key, (t, v) in _flight().items()}
    end = Event(EventKind.ENDS_ALOFT, 49.98, 49.98, (), "record.end.aloft", {})
    steady = _signs(_looked(made, end, aloft=(4.0, 50.0), ended_s=49.98))["volts-steady-until-end"]
    assert steady.seen
    assert steady.sure > 0.9
    t_s, volts = made[Quantity.PACK_VOLTS]
    declines = made | {Quantity.PACK_VOLTS: (t_s, volts - 2.0 * np.clip(t_s - 48.5, 0.0, 2.0))}
    assert not _signs(_looked(declines, end, aloft=(4.0, 50.0), ended_s=49.98))["volts-steady-until-end"].seen
    opens = made | {Quantity.PACK_VOLTS: (t_s, np.where(t_s > 49.9, 2.0, volts))}
    assert _signs(_looked(opens, end, aloft=(4.0, 50.0), ended_s=49.98))["volts-steady-until-end"].seen
    assert not _signs(_looked(_flight()))["volts-steady-until-end"].seen


def test_cells_beside_the_pack() -> None:
    """Leads of three usual resistances, a reading five hundredths high, and a pack worked out from its cells."""
    lead = _signs(_looked(_flight(lead_ohm=3.0 * USUAL_OHM), capacity_ah=AH))
    assert lead["cells-above-pack-with-current"].seen
    assert lead["cells-above-pack-with-current"].values["drop_v"] == pytest.approx(3.0 * USUAL_OHM * 12.0, rel=0.15)
    assert not lead["cells-do-not-add-up"].seen
    high = _signs(_looked(_flight(shown=1.05)))
    assert high["cells-do-not-add-up"].seen
    assert high["cells-do-not-add-up"].values["off_share"] == pytest.approx(1.0 / 1.05 - 1.0, abs=0.004)
    assert not high["cells-above-pack-with-current"].seen
    assert "cells-do-not-add-up" not in _signs(_looked(_flight()))


def test_ripple_that_grows_with_the_load() -> None:
    """Three in a hundred from reading to reading aloft; noise of the sensor is always there."""
    made = _flight()
    t_s, volts = made[Quantity.PACK_VOLTS]
    rng = np.random.default_rng(2)
    rough = rng.normal(0.0, 0.5, t_s.size) * ((t_s > 4.0) & (t_s < 70.0))
    found = _signs(_looked(made | {Quantity.PACK_VOLTS: (t_s, volts + rough)}))["supply-ripple"]
    assert found.seen
    assert found.sure > 0.9
    always = rng.normal(0.0, 0.5, t_s.size)
    other = _signs(_looked(made | {Quantity.PACK_VOLTS: (t_s, volts + always)}))["supply-ripple"]
    assert not other.seen
    # motors that swing draw a current that swings: 50 milliohm of pack explain the volts
    amps = np.interp(t_s, *made[Quantity.CURRENT])
    swings = made | {Quantity.PACK_VOLTS: (t_s, volts + rough), Quantity.CURRENT: (t_s, amps - rough / 0.05)}
    assert not _signs(_looked(swings))["supply-ripple"].seen


def test_current_in_hover_and_no_rating_of_the_speed_controls() -> None:
    """Against the plan's hover current; the rating that a plan has is the pack's, so nothing is said of the other."""
    looked = _looked(_flight(), hover_current_a=8.0, rated_current_a=15.0)
    found = _signs(looked)
    assert found["current-high-in-hover"].seen
    assert "current-above-rating" not in found
    assert found["current-high-in-hover"].values["times"] == pytest.approx(1.5, abs=0.12)
    calm = _signs(_looked(_flight(), hover_current_a=12.5, rated_current_a=60.0))
    assert not calm["current-high-in-hover"].seen


def test_capacity_from_charge_used_and_rest_volts() -> None:
    """2.4 Ah declared; volts at rest fell from full to 3.80 V, 55 % of a LiPo's charge, for a third of an Ah."""
    made = _flight(rest_v=4.19, slope_v=0.40, seconds=100.0)
    looked = _looked(made, aloft=(4.0, 100.0), capacity_ah=AH)
    found = _signs(looked)["capacity-low"]
    assert found.seen
    # 96 s at about 13 A are 0.34 Ah; the trade's table of rest volts has 55 to 60 % gone at 3.80 V
    assert found.values["capacity_ah"] == pytest.approx(0.34 / 0.58, rel=0.25)
