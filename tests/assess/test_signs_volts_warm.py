"""The resistance at landing over that at take-off, on made flights whose resistance is known."""

from __future__ import annotations

import numpy as np
import pytest
from tests.assess.test_signs_volts import AH, CELLS, USUAL_OHM, Floats, _looked, _signs

from turnback.records.channel import Channel, Quantity
from turnback.records.debrief import RecordSign

Made = dict[Channel | Quantity, tuple[Floats, Floats]]


def _flown(first: float, last: float, *, end_v: float = 4.0, landing: bool = True, steady: bool = False) -> Made:
    """Hundred seconds at about 12 A; the ohmic part of a cell goes from so many usual ones to so many."""
    t_s = np.arange(0.0, 108.0 if landing else 103.9, 0.05)
    aloft = (t_s > 4.0) & (t_s < 104.0)
    amps = np.where(aloft, 12.0 + (0.0 if steady else 5.0) * np.sin(t_s * 1.1), 0.3)
    ohm = USUAL_OHM * np.interp(t_s, [4.0, 104.0], [first, last])
    rest = np.interp(t_s, [4.0, 104.0], [4.15, end_v])
    noise = np.random.default_rng(3).normal(0.0, 0.01, t_s.size)
    return {Quantity.PACK_VOLTS: (t_s, CELLS * (rest - ohm * amps) + noise), Quantity.CURRENT: (t_s, amps)}


def _told(made: Made, plan: bool = False) -> RecordSign | None:
    aloft = (4.0, min(104.0, float(made[Quantity.CURRENT][0][-1])))
    looked = _looked(made, aloft=aloft)
    if plan:
        looked = _looked(made, aloft=aloft, resistance_mohm_per_cell=1e3 * USUAL_OHM, capacity_ah=AH)
    return _signs(looked).get("resistance-falls-as-it-warms")


@pytest.mark.parametrize("landing", [True, False])
def test_a_cold_pack_loses_resistance_as_it_warms(landing: bool) -> None:
    """The ohmic part falls to a quarter, or stays; with the landing in the record and without."""
    cold = _told(_flown(3.6, 0.9, landing=landing))
    assert cold is not None
    assert cold.seen
    assert cold.values["fell_share"] == pytest.approx(0.7, abs=0.08)
    stays = _told(_flown(3.0, 3.0, landing=landing))
    assert stays is not None
    assert not stays.seen
    assert stays.sure > 0.9


def test_the_step_at_take_off_and_landing_is_enough() -> None:
    """A hover that never changes its load."""
    cold = _told(_flown(3.6, 0.9, steady=True))
    assert cold is not None
    assert cold.seen


def test_between_warm_and_steady_nothing_is_said() -> None:
    """Every pack that is flown warms a little: a fall by a quarter alone is no cold pack's, and not none."""
    assert _told(_flown(1.2, 0.85)) is None


def test_a_plan_tells_a_cold_pack_from_a_worn_one() -> None:
    """Both lose two fifths; the cold one ends near what a new one has, the worn one far above, a hot one began near."""
    cold = _told(_flown(2.4, 1.2), plan=True)
    assert cold is not None
    assert cold.seen
    assert 1.7 < cold.values["start_times"] < 2.4
    for first, last in ((5.0, 2.9), (1.2, 0.6)):
        assert _told(_flown(first, last), plan=True) is None


def test_an_empty_pack_tells_nothing() -> None:
    """Past the bend of the curve volts fall off whatever the load."""
    assert _told(_flown(3.0, 1.0, end_v=3.6)) is None


def test_a_noisy_supply_is_no_weak_cell() -> None:
    """Noise of each cell's reading, while much is drawn, leaves every cell low for moments."""
    t_s = np.arange(0.0, 74.0, 0.02)
    aloft = (t_s > 4.0) & (t_s < 70.0)
    amps = np.where(aloft, 12.0 + 4.0 * np.sin(t_s), 0.3)
    rng = np.random.default_rng(8)
    cells = [4.1 - 0.006 * amps + aloft * rng.normal(0.0, 0.45, t_s.size) for _ in range(CELLS)]
    made: Made = {Channel(Quantity.CELL_VOLTS, number=k + 1): (t_s, each) for k, each in enumerate(cells)}
    made |= {Quantity.PACK_VOLTS: (t_s, np.sum(cells, axis=0)), Quantity.CURRENT: (t_s, amps)}
    assert not _signs(_looked(made))["one-cell-collapses"].seen
    weak = made | {Channel(Quantity.CELL_VOLTS, number=2): (t_s, cells[1] - 0.02 * amps)}
    assert _signs(_looked(weak))["one-cell-collapses"].seen


def test_a_short_flight_that_empties_a_small_pack_was_not_low_all_along() -> None:
    """Half a minute takes the pack from full to half empty: its first fifth was well above; a worn one's was not."""
    t_s = np.arange(0.0, 48.0, 0.05)
    aloft = (t_s > 4.0) & (t_s < 44.0)
    amps = np.where(aloft, 12.0 + np.sin(t_s), 0.3)
    rest = np.interp(t_s, [4.0, 44.0], [4.18, 3.5])
    for ohm, seen in ((0.008, False), (0.04, True)):
        made: Made = {Quantity.PACK_VOLTS: (t_s, CELLS * (rest - ohm * amps)), Quantity.CURRENT: (t_s, amps)}
        assert _signs(_looked(made, aloft=(4.0, 44.0)))["volts-low-all-along"].seen is seen


def test_where_the_charge_is_spent_nobody_knows_whether_a_warning_came() -> None:
    """Nine tenths of the label used at volts that look well: no warning is claimed to be absent or flown through."""
    spent = _signs(_looked(_flown(1.0, 1.0, end_v=3.8), aloft=(4.0, 104.0), capacity_ah=0.36))
    assert spent["little-left-at-end"].seen
    assert not spent["volts-below-land-by"].seen
    calm = _signs(_looked(_flown(1.0, 1.0, end_v=3.95), aloft=(4.0, 104.0), capacity_ah=AH))
    for sign in ("no-warning-in-record", "warning-flown-through"):
        assert sign not in spent
        assert not calm[sign].seen


@pytest.mark.parametrize(
    ("rest_v", "not_full", "part_empty"), [(4.17, False, False), (4.03, True, False), (3.9, True, True)]
)
def test_a_pack_that_was_part_empty(rest_v: float, not_full: bool, part_empty: bool) -> None:
    """4.03 V is not full, and above the 3.98 V that the trade's table gives three quarters of a LiPo's charge."""
    t_s = np.arange(0.0, 74.0, 0.05)
    amps = np.where((t_s > 4.0) & (t_s < 70.0), 12.0 + np.sin(t_s), 0.0)
    made: Made = {Quantity.PACK_VOLTS: (t_s, CELLS * (rest_v - 0.006 * amps)), Quantity.CURRENT: (t_s, amps)}
    found = _signs(_looked(made))
    assert found["starts-not-full"].seen is not_full
    assert found["starts-part-empty"].seen is part_empty
    assert found["starts-part-empty"].sure > 0.9


def test_a_weak_pack_that_stands_well_again_was_not_empty() -> None:
    """Its volts sag slowly, by more than what the load explains; what it rests at after landing is what was in it."""
    t_s = np.arange(0.0, 78.0, 0.05)
    aloft = (t_s > 4.0) & (t_s < 70.0)
    amps = np.where(aloft, 12.0 + 4.0 * np.sin(t_s), 0.1)
    tired = np.interp(t_s, [4.0, 60.0, 70.0, 70.3], [0.0, 0.45, 0.45, 0.0])
    for back_v, seen in ((1.0, False), (0.0, True)):
        rest = 4.05 - tired - (1.0 - back_v) * np.interp(t_s, [70.0, 70.3], [0.0, 0.45])
        made: Made = {Quantity.PACK_VOLTS: (t_s, CELLS * (rest - 0.012 * amps)), Quantity.CURRENT: (t_s, amps)}
        assert _signs(_looked(made))["little-left-at-end"].seen is seen


def test_what_sags_at_first_sags_though_it_came_good() -> None:
    """Of a pack whose resistance falls to a third the middle one takes a third of a volt off; the first one half."""
    made = _flown(3.6, 1.0)
    found = _signs(_looked(made, aloft=(4.0, 104.0)))["sag-large"]
    assert found.seen
    steady = _signs(_looked(_flown(2.0, 2.0), aloft=(4.0, 104.0)))["sag-large"]
    assert not steady.seen
    assert found.values["sag_v"] > 1.4 * steady.values["sag_v"]


@pytest.mark.parametrize(("lead_ohm", "seen"), [(0.03, True), (0.008, False)])
def test_without_a_size_a_lead_must_take_much(lead_ohm: float, seen: bool) -> None:
    """All of the drop at once, 0.36 V in the hover and 0.1 V: the latter a large sound pack gives, too."""
    t_s = np.arange(0.0, 74.0, 0.05)
    aloft = (t_s > 4.0) & (t_s < 70.0)
    amps = np.where(aloft, 12.0 + 4.0 * np.sin(t_s) + 6.0 * (np.mod(t_s, 17.0) < 2.0), 0.3)
    noise = np.random.default_rng(4).normal(0.0, 0.01, t_s.size)
    volts = CELLS * (4.17 - 0.001 * np.clip(t_s - 4.0, 0.0, 66.0) - lead_ohm * amps) + noise
    found = _signs(_looked({Quantity.PACK_VOLTS: (t_s, volts), Quantity.CURRENT: (t_s, amps)}))
    assert found["instant-drop-with-current"].seen is seen
    assert found["instant-drop-with-current"].sure > 0.6


def test_a_high_resistance_that_is_hardly_drawn_from_speaks_for_nobody() -> None:
    """A worn pack, flown gently: that it hardly sags is no sign of a sound one; of a new one it is."""
    for times, told in ((2.7, False), (1.0, True)):
        looked = _looked(_flown(times, times), aloft=(4.0, 104.0), resistance_mohm_per_cell=1e3 * USUAL_OHM)
        found = _signs(looked)
        assert found["resistance-high"].seen is not told
        for sign in ("sag-large", "volts-low-all-along"):
            assert (sign in found) is told


def test_a_cold_pack_begins_above_twice_a_new_ones_resistance() -> None:
    """Though over the whole flight it has less than twice as much."""
    looked = _looked(_flown(4.2, 1.2), aloft=(4.0, 104.0), resistance_mohm_per_cell=1e3 * USUAL_OHM)
    high = _signs(looked)["resistance-high"]
    assert high.seen
    assert high.values["times"] > 2.5


@pytest.mark.parametrize(("degrees", "told"), [(2.0, True), (24.0, False)])
def test_on_a_mild_day_a_pack_that_warms_is_drawn_hard(degrees: float, told: bool) -> None:
    """Where the temperature is recorded it says whether the pack began cold; to stay says the same on any day."""
    made = _flown(3.6, 0.9)
    t_s = made[Quantity.CURRENT][0]
    made[Quantity.PACK_TEMPERATURE] = (t_s, np.full(t_s.size, degrees))
    assert (_told(made) is not None) is told
    stays = _flown(3.0, 3.0)
    stays[Quantity.PACK_TEMPERATURE] = made[Quantity.PACK_TEMPERATURE]
    assert _told(stays) is not None
