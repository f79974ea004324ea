"""Pack care: what to keep to, at rest or loaded; how it is charged; what the last flight teaches of its capacity."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest
from tests.assess.cases import case_of, plain

from turnback.assess.consumption import mean_current_a
from turnback.assess.draw_set import draw_set
from turnback.assess.energy import assess_energy
from turnback.assess.last_capacity import capacity_score, measured_spread
from turnback.assess.last_flight import MOST_COPIES, Taught, craft_of, taught_by
from turnback.assess.pack_care import broken_rows, care_findings, care_rows, charger_mah, pack_care, storage_spread_s
from turnback.assess.spreads import spread
from turnback.assess.track import lay_track
from turnback.assess.world import chemistry_of, fill
from turnback.physics.cell import open_circuit_v, soc_at_rest_v
from turnback.records.care import CareResult, CareRow
from turnback.records.finding import Severity, Spread
from turnback.records.pack import ChemistryName
from turnback.records.plan import LastFlight
from turnback.rules.chemistry import chemistry
from turnback.rules.typical import typical

LIPO = chemistry("LiPo")


def taught(**changes: Any) -> Taught:
    """Return the worlds of the careful plan before and after its last flight."""
    case = case_of(plain(), **changes)
    return taught_by(fill(case), chemistry_of(case), case.plan.answers.last_flight, 1)


@cache
def cared(name: str = "", value: Any = None) -> CareResult:
    """Return the care of the careful plan's pack, one value changed."""
    case = case_of(plain(), **({name: value} if name else {}))
    craft = craft_of(fill(case), chemistry_of(case), None, 1)
    energy = assess_energy(craft, lay_track(case.route, case.terrain, case.launch_height_m)).result
    return pack_care(case, Taught(craft, craft, learned=False), energy)


def rows_of(name: ChemistryName) -> tuple[CareRow, ...]:
    """Return the rows of a chemistry for a pack of four cells."""
    world = fill(case_of(plain(), pack={"label": "4S 1500 mAh 95C", "chemistry": name.value}))
    return care_rows(world, chemistry(name.value), Spread(1.45, 1.3, 1.5), 1.5)


def cell(name: ChemistryName) -> dict[str, CareRow]:
    """Return the rows of one cell, by key."""
    return {row.key: row for row in rows_of(name) if row.per == "cell"}


# --- what to keep to ----------------------------------------------------------------------------------------------


def test_care_volts_are_those_of_the_trade_by_chemistry() -> None:
    """Common practice: 4.2/3.7/3.8/3.5/3.0 V for LiPo; high-voltage full at 4.35 V; Li-ion lower down."""
    lipo, high, ion = (cell(name) for name in ChemistryName)
    keys = ("care.full", "care.nominal", "care.storage", "care.land_by_rest", "care.damage")
    assert [lipo[key].value for key in keys] == [4.2, 3.7, 3.8, 3.5, 3.0]
    assert (lipo["care.spread_watch"].value, lipo["care.spread_stop"].value) == (0.05, 0.1)
    assert high["care.full"].value == 4.35
    assert all(ion[key].value < lipo[key].value for key in ("care.land_by_rest", "care.land_by_loaded", "care.damage"))


@pytest.mark.parametrize("name", ChemistryName)
def test_every_volt_says_rest_or_loaded_and_for_how_long(name: ChemistryName) -> None:
    """Ten minutes of rest; five seconds under load; damage needs no time. The pack's volts are its cells'."""
    by_key = cell(name)
    for row in rows_of(name):
        assert (row.at in ("rest", "loaded")) == (row.unit == "V"), row.key
        assert (row.duration_s is None) == (row.unit != "V"), row.key
        if row.per == "pack" and row.unit == "V":
            assert row.value == pytest.approx(4.0 * by_key[row.key].value)
            assert (row.at, row.duration_s) == (by_key[row.key].at, by_key[row.key].duration_s)
    assert (by_key["care.full"].at, by_key["care.full"].duration_s) == ("rest", 600.0)
    assert (by_key["care.land_by_loaded"].at, by_key["care.land_by_loaded"].duration_s) == ("loaded", 5.0)
    assert (by_key["care.damage"].at, by_key["care.damage"].duration_s) == ("loaded", 0.0)


@pytest.mark.parametrize(
    ("volts", "at", "lasted_s", "broken"),
    [
        (3.2, "loaded", 2.0, ()),  # a hard throttle: below every rest rule, for two seconds
        (3.2, "loaded", 8.0, ("care.land_by_loaded",)),
        (3.4, "loaded", 60.0, ()),  # 3.4 V under load is no 3.4 V at rest
        (3.4, "rest", 900.0, ("care.land_by_rest",)),
        (3.4, "rest", 20.0, ()),  # not rested long enough to say
        (2.9, "loaded", 0.1, ("care.damage",)),
        (2.9, "rest", 900.0, ("care.land_by_rest", "care.damage")),
        (4.24, "rest", 900.0, ("care.full",)),
        (4.205, "rest", 900.0, ()),  # a meter reads a hundredth high
    ],
)
def test_a_hard_throttle_trips_no_rest_rule(volts: float, at: str, lasted_s: float, broken: tuple[str, ...]) -> None:
    """A rule at rest is held against rested volts only, a loaded one against volts that lasted."""
    assert broken_rows(rows_of(ChemistryName.LIPO), volts, at, lasted_s) == broken


def test_the_weakest_cell_is_counted_from_one_as_the_balance_lead_counts() -> None:
    """The third of six; none where all are alike."""
    care = cared("pack__cell_rest_v", (4.19, 4.18, 4.12, 4.19, 4.19, 4.18))
    assert (care.lowest_cell, care.now_rest_v, care.now_known) == (3, 4.12, True)
    assert care.spread_v == pytest.approx(0.07)
    assert care.broken == ("care.spread_watch",)
    alike = cared("pack__cell_rest_v", (4.18,) * 6)
    assert (alike.lowest_cell, alike.spread_v, alike.broken) == (None, 0.0, ())
    assert (cared().lowest_cell, cared().spread_v) == (None, None)


def test_a_cell_below_its_damage_volts_stops_the_flight() -> None:
    """2.9 V at rest for LiPo; for Li-ion, harmed below 2.5 V, it is not."""
    harmed = {"pack__cell_rest_v": (4.0, 2.9, 4.0, 4.0, 4.0, 4.0), "answers__rest_v_per_cell": None}
    found = care_findings(taught(**harmed), None)
    assert [(row.rule, row.severity, row.limit) for row in found] == [("care.cell_harmed", Severity.STOP, 3.0)]
    assert care_findings(taught(**harmed, pack__chemistry="Li-ion"), None) == []
    assert care_findings(taught(), None) == []


def test_cold_doubles_the_resistance_by_arrhenius() -> None:
    """20 kJ/mol from 25 °C to 0 °C: 2.09 (models' value, from memory); exactly 1 at 25 °C."""
    cold = cared("pack__temperature_c", 0.0).cold_resistance_ratio
    assert cold.mid == pytest.approx(2.09, abs=0.03)
    assert cared("pack__temperature_c", 25.0).cold_resistance_ratio.mid == pytest.approx(1.0, abs=0.01)


def test_worn_is_measured_against_a_typical_new_pack() -> None:
    """9 mΩ Ah for LiPo: 6.92 mΩ a cell at 1.3 Ah; 13.85 mΩ is twice that."""
    assert cared("pack__resistance_mohm_per_cell", 13.846).worn_resistance_ratio.mid == pytest.approx(2.0, rel=0.02)


# --- charging -----------------------------------------------------------------------------------------------------


def test_charge_current_and_time() -> None:
    """1 C of 1.3 Ah; this flight takes a tenth to a fifth of the pack: minutes, and balancing on top."""
    care = cared()
    assert care.charge_a == pytest.approx(1.3)
    assert 60.0 < care.charge_s.low < care.charge_s.mid < care.charge_s.high < 3600.0
    longer = cared("route__distance_m", 900)
    assert longer.charge_s.mid > care.charge_s.mid
    assert longer.charge_mah.mid > care.charge_mah.mid


def test_the_charger_puts_back_what_the_flight_took_and_a_little_more() -> None:
    """A flight that lands at 40 % of 1.3 Ah took 780 mAh; the charger says 2 % more (ours), 780 inside the band."""
    case = case_of(plain())
    craft = craft_of(fill(case), chemistry_of(case), None, 1)
    energy = assess_energy(craft, lay_track(case.route, case.terrain, case.launch_height_m)).result
    object.__setattr__(energy, "used_fraction", Spread(0.6, 0.6, 0.6))
    object.__setattr__(energy, "capacity_ah", Spread(1.3, 1.3, 1.3))
    back = charger_mah(energy)
    assert back.mid == pytest.approx(780.0 / 0.98)
    assert back.low < 780.0 < back.high
    # The hand alone, 8 % (ours), is 13 % at 5 and 95 %; the charger's meter adds its few in squares.
    assert back.high / back.mid == pytest.approx(np.exp(np.hypot(1.645 * 0.08, np.log(0.98 / 0.93))), rel=1e-3)


def test_storage_is_down_after_a_short_flight_and_up_after_a_long_one() -> None:
    """3.8 V is 40 % of a LiPo: down from 85 %, slowly; up from 20 %, at the charge current."""
    near, far = cared(), cared("route__distance_m", 2500)
    assert not near.storage_up
    assert near.storage_s.mid > 1800.0
    assert far.storage_up
    assert far.storage_s.mid < near.storage_s.mid


def test_the_time_to_storage_is_charge_over_current() -> None:
    """3.8 V is 40 % of a LiPo, by hand: 0.2 of 1.3 Ah at 1.3 A are 720 s up; down, 0.45 of it by watts over volts."""
    case = case_of(plain())
    craft = craft_of(fill(case), chemistry_of(case), None, 1)
    energy = assess_energy(craft, lay_track(case.route, case.terrain, case.launch_height_m)).result
    object.__setattr__(energy, "capacity_ah", Spread(1.3, 1.3, 1.3))
    soc = float(soc_at_rest_v(3.8, LIPO))
    assert soc == pytest.approx(0.4, abs=0.02)
    object.__setattr__(energy, "used_fraction", Spread(0.8, 0.8, 0.8))
    up = storage_spread_s(craft, energy, 1.3)
    assert up.low == up.mid == up.high == pytest.approx((soc - 0.2) * 3600.0)
    object.__setattr__(energy, "used_fraction", Spread(0.15, 0.15, 0.15))
    down, drain = storage_spread_s(craft, energy, 1.3), typical("care")["storage_discharge_w"]
    volts = 3.8 * craft.draws.world.pack.cells
    assert down.mid == pytest.approx((0.85 - soc) * 1.3 * volts / drain.value * 3600.0)
    assert (down.low, down.high) == pytest.approx(
        tuple((0.85 - soc) * 1.3 * volts / watts * 3600.0 for watts in (drain.high, drain.low))
    )


def test_each_end_of_what_the_charger_says_comes_from_its_own_end_of_the_flight() -> None:
    case = case_of(plain())
    craft = craft_of(fill(case), chemistry_of(case), None, 1)
    energy = assess_energy(craft, lay_track(case.route, case.terrain, case.launch_height_m)).result
    object.__setattr__(energy, "used_fraction", Spread(0.6, 0.3, 0.62))
    back = charger_mah(energy)
    assert back.low / back.mid < 0.52  # the flight's low end alone halves it
    assert back.high / back.mid < 1.2


# --- what the last flight teaches ---------------------------------------------------------------------------------


def flown(true_ah: float, to_soc: float, rng: np.random.Generator) -> LastFlight:
    """Return what a pilot would write down of a flight of a pack of known capacity, errors of meter and curve in it."""
    charged = 1.0 - abs(rng.normal(0.0, 0.01))
    charger = rng.normal(0.98, 0.03)
    volts = float(open_circuit_v(to_soc, LIPO)) + rng.normal(0.0, 0.02)
    put_back = true_ah * (charged - to_soc) / charger
    return LastFlight(minutes=5.0, charger_mah=put_back * 1e3, rest_v_after_per_cell=round(volts, 3))


def test_the_capacity_of_a_simulated_pack_is_found() -> None:
    """The simulator's own errors: 40 flights of known packs down to a fifth; the truth inside nine bands of ten."""
    rng = np.random.default_rng(7)
    held, off = 0, []
    for _ in range(40):
        true_ah = 1.3 * rng.uniform(0.7, 1.05)
        found = measured_spread(flown(true_ah, rng.uniform(0.08, 0.3), rng), LIPO)
        assert found is not None
        held += found.low <= true_ah <= found.high
        off.append(found.mid / true_ah)
    assert held >= 34, "nine in ten, by the band's own words; one standard deviation less is chance"
    assert np.median(off) == pytest.approx(1.0, abs=0.03)


def test_bands_narrow_and_never_lose_the_truth() -> None:
    """Packs drawn from what label and age promise: the taught band is narrower, and holds the truth as often."""
    world = fill(case_of(plain()))
    truths = draw_set(world, 20, 3)["pack.capacity_ah"]
    rng = np.random.default_rng(11)
    held, widths = 0, []
    for true_ah in truths:
        learned = taught_by(world, LIPO, flown(float(true_ah), 0.12, rng), 1)
        before, after = (spread(craft.draws["pack.capacity_ah"]) for craft in (learned.before, learned.after))
        widths.append((after.high - after.low) / (before.high - before.low))
        held += after.low - 0.02 <= true_ah <= after.high + 0.02
    assert held >= 17
    assert np.mean(widths) < 0.95
    assert max(widths) < 1.25


def test_a_worn_pack_that_its_label_hides_is_found_out() -> None:
    """Half a pack: outside all that label and age promise. What was measured goes first, and it is said."""
    last = LastFlight(minutes=4.0, charger_mah=560.0, rest_v_after_per_cell=3.70)
    learned = taught(answers__last_flight=last.model_dump())
    capacity = spread(learned.after.draws["pack.capacity_ah"])
    assert learned.learned
    assert capacity.low < 0.56 / 0.9 < capacity.high
    assert capacity.high < spread(learned.before.draws["pack.capacity_ah"]).low
    found = care_findings(learned, last)
    assert [(row.rule, row.severity) for row in found] == [("care.capacity_last_flight", Severity.LIMIT)]
    assert found[0].value is not None
    assert found[0].value < 0.6
    assert np.unique(learned.after.draws["pack.capacity_ah"]).size > 100, "no few draws feign knowledge"


def test_a_reading_above_the_label_makes_no_pack_larger() -> None:
    """By hand: 700 mAh from 97 to 60 per cent are 1.9 Ah in a pack labelled 1.3. It is said, and not planned on."""
    last = LastFlight(minutes=4.0, charger_mah=700.0, rest_v_after_per_cell=float(open_circuit_v(0.6, LIPO)))
    learned = taught(answers__last_flight=last.model_dump())
    before, after = (craft.draws["pack.capacity_ah"] for craft in (learned.before, learned.after))
    assert after.max() <= before.max()
    assert [row.rule for row in care_findings(learned, last)] == ["care.capacity_last_flight"]


def test_a_pack_holds_what_was_put_back_into_it() -> None:
    """1260 mAh into a pack of 1300 by its label: worlds with less are left out, none with more is."""
    before = taught().after.draws["pack.capacity_ah"]
    full = taught(answers__last_flight={"minutes": 9.0, "charger_mah": 1260.0}).after.draws["pack.capacity_ah"]
    assert spread(before).low < 1.13
    assert spread(full).low > 1.17
    assert spread(full).high >= spread(before).high - 0.01
    score = capacity_score(np.array([0.9, 1.1, 1.3, 1.4]), LastFlight(minutes=9.0, charger_mah=1260.0), LIPO)
    assert score[0] < -20.0
    assert (np.diff(score) >= 0.0).all()
    assert score[-1] == pytest.approx(0.0, abs=1e-6)


def test_a_small_charge_bounds_nothing_and_changes_nothing() -> None:
    """800 mAh says nothing on the capacity: the same worlds are kept as by the consumption alone."""
    last = LastFlight(minutes=5.0, charger_mah=800.0)
    assert (capacity_score(np.linspace(1.1, 1.35, 9), last, LIPO) == 0.0).all()


def test_rest_volts_of_a_full_pack_teach_nothing() -> None:
    """Hardly flown: the drained share is too small to divide by."""
    assert measured_spread(LastFlight(minutes=0.2, charger_mah=10.0, rest_v_after_per_cell=4.19), LIPO) is None
    assert measured_spread(None, LIPO) is None


def test_consumption_and_capacity_are_told_before_and_after() -> None:
    """More used than the model expects: the band moves up and narrows; nothing is learned without a last flight."""
    case = case_of(plain(), answers__last_flight={"minutes": 5.0, "charger_mah": 1000.0})
    learned = taught_by(fill(case), LIPO, case.plan.answers.last_flight, 1)
    energy = assess_energy(learned.after, lay_track(case.route, case.terrain, case.launch_height_m)).result
    care = pack_care(case, learned, energy)
    assert care.learned_from_last_flight
    before, after = care.consumption_before_a, care.consumption_after_a
    assert before.mid < after.mid < 12.0, "toward the 12 A that were measured"
    assert np.log(after.high / after.low) < np.log(before.high / before.low)
    assert care.capacity_least_ah == pytest.approx(1.0 * 0.93, abs=0.01)
    alone = cared()
    assert not alone.learned_from_last_flight
    assert alone.consumption_before_a == alone.consumption_after_a
    assert alone.capacity_measured_ah is None


def test_a_flight_that_nothing_explains_teaches_nothing() -> None:
    """A thousand times too much in a minute: no world fits, and none is favoured."""
    learned = taught(answers__last_flight={"minutes": 0.01, "charger_mah": 1000.0})
    assert not learned.learned
    used = mean_current_a(learned.after.draws, learned.after.thrust, learned.after.scale, LIPO)
    assert np.unique(used, return_counts=True)[1].max() <= MOST_COPIES
