"""Properties of cell, worlds and pack: energy is conserved, more load sags more, steps converge, worlds do not meet."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numba
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from turnback.base.errors import InputError
from turnback.physics.cell import (
    STEP_S,
    CellMarch,
    Failure,
    Load,
    Traits,
    constant_power_current_a,
    march_cell,
    open_circuit_v,
    resistance_ohm,
    soc_at_rest_v,
)
from turnback.physics.cell_march import WorldsMarch, march_worlds
from turnback.physics.pack import greatest_power_w, march_pack, stored_energy_wh

Array = NDArray[np.float64]

SMOOTH = Traits(
    (0.0, 1.0), (3.3, 4.2), (0.0, 1.0), (1.4, 0.9), 0.5, 4.0, 0.6, 45.0, 20_000.0, 25.0, 1000.0, 2.5
)  # fmt: skip
BENT = replace(
    SMOOTH, ocv_soc=(0.0, 0.1, 0.5, 0.8, 1.0), ocv_v=(3.2, 3.62, 3.8, 4.0, 4.2), resistance_soc=(0.0, 0.15, 0.4, 1.0),
    resistance_ratio=(1.9, 1.25, 1.0, 1.05),
)  # fmt: skip
EVEN = replace(SMOOTH, resistance_ratio=(1.0, 1.0), arrhenius_j_per_mol=0.0)

traits = st.sampled_from([SMOOTH, BENT, EVEN])
ohms = st.floats(0.002, 0.012)
charges = st.floats(0.7, 1.0)
celsius = st.floats(0.0, 40.0)
flights = st.lists(st.tuples(st.floats(0.0, 25.0), st.floats(0.5, 30.0)), min_size=1, max_size=8)
"""Amperes of a cell of 1.5 Ah, and seconds: at most 1.7 Ah is asked; some of them run empty."""


def march(
    kind: Traits, flight: list[tuple[float, float]], r0: float, soc: float, warmth: float, *,
    load: Load = Load.CURRENT, scale: float = 1.0, step_s: float = STEP_S,
) -> CellMarch:  # fmt: skip
    """March a cell of 1.5 Ah and 40 g."""
    amount, seconds = np.array(flight).T
    return march_cell(load, scale * amount, seconds, kind, r0, 1.5, soc, warmth, warmth, 0.04, step_s)


# --- energy -------------------------------------------------------------------------------------------------------


@given(traits, flights, ohms, charges, celsius, st.sampled_from(Load))
def test_what_charge_gives_is_delivered_or_becomes_heat(
    kind: Traits, flight: list[tuple[float, float]], r0: float, soc: float, warmth: float, load: Load
) -> None:
    sealed = replace(kind, heat_loss_w_per_kg_k=0.0)
    found = march(sealed, flight, r0, soc, warmth, load=load, scale=1.0 if load is Load.CURRENT else 3.5, step_s=0.05)
    done = int(np.isfinite(found.soc).sum())
    if done == 0:
        assert found.failure is not Failure.NONE
        return
    given_up = 3600.0 * float(stored_energy_wh(soc, found.soc[done - 1], 1.5, 1, sealed))
    heat = 0.04 * sealed.heat_capacity_j_per_kg_k * (found.temperature_c[done - 1] - warmth)
    delivered = float(found.energy_j[:done].sum())
    assert delivered + heat == pytest.approx(given_up, rel=2e-3, abs=1e-3)
    assert heat >= -1e-9


@given(flights, ohms, charges, celsius)
def test_power_times_time_is_what_is_delivered(
    flight: list[tuple[float, float]], r0: float, soc: float, warmth: float
) -> None:
    found = march(BENT, flight, r0, soc, warmth, load=Load.POWER, scale=3.5)
    asked = np.array([3.5 * amount * seconds for amount, seconds in flight])
    carried = np.isfinite(found.energy_j)
    assert found.energy_j[carried] == pytest.approx(asked[carried], rel=1e-9, abs=1e-9)


# --- monotone -----------------------------------------------------------------------------------------------------


@given(traits, flights, ohms, charges, celsius, st.floats(1.001, 1.5))
def test_more_current_leaves_less(
    kind: Traits, flight: list[tuple[float, float]], r0: float, soc: float, warmth: float, more: float
) -> None:
    flown = [(max(amps, 0.1), seconds) for amps, seconds in flight]
    less, greater = (march(kind, flown, r0, soc, warmth, scale=scale) for scale in (1.0, more))
    done = np.isfinite(greater.soc)
    assert (np.isfinite(less.soc) | ~done).all()  # the harder flight never lasts longer
    assert (greater.soc[done] < less.soc[done]).all()
    assert (greater.rest_v[done] < less.rest_v[done]).all()
    assert (greater.temperature_c[done] > less.temperature_c[done]).all()
    even = [march(EVEN, flown, r0, soc, warmth, scale=scale) for scale in (1.0, more)]
    both = np.isfinite(even[1].volts_v)
    assert (even[1].volts_v[both] < even[0].volts_v[both]).all()
    assert (even[1].loaded_low_v[both] < even[0].loaded_low_v[both]).all()


@given(st.sampled_from([SMOOTH, BENT]), flights, ohms, charges, st.floats(0.0, 30.0), st.floats(0.5, 20.0))
def test_a_warmer_pack_sags_less_and_keeps_more(
    kind: Traits, flight: list[tuple[float, float]], r0: float, soc: float, warmth: float, warmer: float
) -> None:
    flown = [(max(amps, 0.5), seconds) for amps, seconds in flight]
    cold, warm = (
        march(kind, flown, r0, soc, at, load=Load.POWER, scale=3.5, step_s=1.0) for at in (warmth, warmth + warmer)
    )
    both = np.isfinite(cold.volts_v)
    assert (np.isfinite(warm.volts_v) | ~both).all()
    assert (warm.volts_v[both] > cold.volts_v[both]).all()
    assert (warm.current_a[both] < cold.current_a[both]).all()
    assert (warm.soc[both] > cold.soc[both]).all()


@given(ohms, st.floats(1.01, 3.0), flights, charges)
def test_a_tired_pack_sags_more(r0: float, more: float, flight: list[tuple[float, float]], soc: float) -> None:
    flown = [(max(amps, 0.5), seconds) for amps, seconds in flight]
    fresh, tired = (
        march(EVEN, flown, ohm, soc, 25.0, load=Load.POWER, scale=3.5, step_s=1.0) for ohm in (r0, more * r0)
    )
    both = np.isfinite(tired.volts_v)
    assert (np.isfinite(fresh.volts_v) | ~both).all()
    assert (tired.volts_v[both] < fresh.volts_v[both]).all()


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0), traits)
def test_rest_volts_and_charge_undo_each_other(one: float, other: float, kind: Traits) -> None:
    assert float(soc_at_rest_v(open_circuit_v(one, kind), kind)) == pytest.approx(one, abs=1e-12)
    low, high = sorted((one, other))
    assert float(open_circuit_v(low, kind)) <= float(open_circuit_v(high, kind))
    assert float(stored_energy_wh(high, low, 1.5, 4, kind)) >= 0.0
    assert float(stored_energy_wh(high, low, 1.5, 4, kind)) == pytest.approx(
        -float(stored_energy_wh(low, high, 1.5, 4, kind)), abs=1e-12
    )


@given(st.floats(3.0, 4.2), ohms, st.integers(1, 12), st.floats(0.0, 1.0))
def test_a_current_delivers_the_power_it_was_asked_for(volts: float, ohm: float, cells: int, share: float) -> None:
    most = float(greatest_power_w(volts, ohm, cells)) / cells
    asked = 0.999999 * share * most
    amps = float(constant_power_current_a(volts, ohm, asked))
    assert amps * (volts - amps * ohm) == pytest.approx(asked, rel=1e-9, abs=1e-12)
    assert amps <= volts / (2.0 * ohm)  # the root on the side of the higher volts
    assert np.isnan(constant_power_current_a(volts, ohm, most * 1.000001))


@given(ohms, st.floats(-20.0, 60.0), st.floats(0.1, 30.0))
def test_cold_raises_resistance(r0: float, warmth: float, colder: float) -> None:
    assert float(resistance_ohm(r0, 0.5, warmth - colder / 2.0, SMOOTH)) > float(
        resistance_ohm(r0, 0.5, warmth, SMOOTH)
    )


# --- steps --------------------------------------------------------------------------------------------------------


@given(flights, ohms, charges, celsius, st.sampled_from(Load))
def test_halving_the_step_brings_the_answer_closer(
    flight: list[tuple[float, float]], r0: float, soc: float, warmth: float, load: Load
) -> None:
    scale = 1.0 if load is Load.CURRENT else 3.5
    flown = [(amps, 4.0 * np.ceil(seconds / 4.0)) for amps, seconds in flight]  # so that every step is halved
    exact, *coarser = (
        march(SMOOTH, flown, r0, soc, warmth, load=load, scale=scale, step_s=step) for step in (0.02, 4.0, 2.0, 1.0)
    )
    done = np.isfinite(exact.volts_v) & np.isfinite(np.stack([each.volts_v for each in coarser])).all(axis=0)
    apart = [float(np.abs(each.volts_v - exact.volts_v)[done].max(initial=0.0)) for each in coarser]
    assert apart[1] <= 0.5 * apart[0] + 2e-6  # volts: below this, which node of a table is met decides
    assert apart[2] <= 0.5 * apart[1] + 2e-6


@given(flights, ohms, st.floats(0.9, 1.0), st.floats(1e-3, 300.0))
def test_a_constant_current_is_exact_whatever_the_step(
    flight: list[tuple[float, float]], r0: float, soc: float, step_s: float
) -> None:
    one, other = (march(EVEN, flight, r0, soc, 25.0, step_s=step) for step in (max(step_s, 0.01), 600.0))
    both = np.isfinite(one.volts_v) & np.isfinite(other.volts_v)
    assert one.volts_v[both] == pytest.approx(other.volts_v[both], abs=1e-9)
    assert one.soc[both] == pytest.approx(other.soc[both], abs=1e-9)


# --- failure ------------------------------------------------------------------------------------------------------


@given(traits, flights, flights, ohms, st.floats(0.05, 0.4), celsius, st.sampled_from(Load))
def test_nothing_is_said_from_a_failed_row_on_and_all_before_it_stands(
    kind: Traits, first: list[tuple[float, float]], then: list[tuple[float, float]], r0: float, soc: float,
    warmth: float, load: Load,
) -> None:  # fmt: skip
    scale = 1.5 if load is Load.CURRENT else 5.0
    whole = march(kind, [*first, (2000.0 / scale, 50.0), *then], r0, soc, warmth, load=load, scale=scale)
    assert whole.failure is not Failure.NONE
    row = whole.failed_row
    assert row is not None
    assert row <= len(first)
    columns = (whole.volts_v, whole.loaded_low_v, whole.rest_v, whole.soc, whole.temperature_c, whole.current_a,
               whole.current_high_a, whole.lag_v, whole.energy_j)  # fmt: skip
    for column in columns:
        assert np.isnan(column).tolist() == [False] * row + [True] * (column.size - row)
    if row:
        part = march(kind, first[:row], r0, soc, warmth, load=load, scale=scale)
        assert part.volts_v.tobytes() == whole.volts_v[:row].tobytes()
        assert part.failed_row is None


# --- worlds -------------------------------------------------------------------------------------------------------


def some_worlds(seed: int, worlds: int = 24, segments: int = 9) -> tuple[Array, Array, dict[str, Any]]:
    """Return powers, durations and packs, some of which cannot be carried to the end."""
    generator = np.random.default_rng(seed)
    power = generator.uniform(0.0, 700.0, (worlds, segments))
    seconds = generator.uniform(0.0, 60.0, (worlds, segments))
    power[worlds // 2, 3], seconds[worlds // 3, 4] = np.nan, np.inf
    columns = {
        "r0_ohm": generator.uniform(0.003, 0.02, worlds), "capacity_ah": generator.uniform(1.0, 2.5, worlds),
        "start_soc": generator.uniform(0.3, 1.0, worlds), "temperature_c": generator.uniform(-5.0, 40.0, worlds),
        "ambient_c": generator.uniform(-5.0, 40.0, worlds), "cell_mass_kg": generator.uniform(0.02, 0.06, worlds),
    }  # fmt: skip
    return power, seconds, columns


def marched(power: Array, seconds: Array, columns: dict[str, Any]) -> WorldsMarch:
    """March four cells in series through every world."""
    return march_worlds(power, seconds, cells_in_series=4, traits=BENT, **columns)


def said(worlds: WorldsMarch) -> list[bytes]:
    """Return every byte of an answer."""
    return [getattr(worlds, name).tobytes() for name in WorldsMarch.__slots__]


@given(st.integers(0, 10_000))
@settings(max_examples=20)
def test_worlds_are_what_single_packs_are(seed: int) -> None:
    power, seconds, columns = some_worlds(seed)
    together = marched(power, seconds, columns)
    assert not together.deliverable.all()
    for world in range(power.shape[0]):
        flyable = np.isfinite(power[world]) & np.isfinite(seconds[world])
        rows = int(flyable.size if flyable.all() else np.argmin(flyable))
        pack = {name: float(column[world]) for name, column in columns.items()}
        alone = march_pack(
            Load.POWER, power[world, :rows], seconds[world, :rows], 4, BENT, pack["r0_ohm"], pack["capacity_ah"],
            pack["start_soc"], pack["temperature_c"], pack["ambient_c"], pack["cell_mass_kg"],
        ).cell  # fmt: skip
        for ours, theirs in (
            (together.rest_v, alone.rest_v), (together.loaded_low_v, alone.loaded_low_v), (together.soc, alone.soc),
            (together.current_a, alone.current_high_a), (together.temperature_c, alone.temperature_c),
        ):  # fmt: skip
            np.testing.assert_allclose(ours[world, :rows], theirs, rtol=1e-12)
            assert np.isnan(ours[world, rows:]).all()
        assert bool(together.deliverable[world]) == (rows == flyable.size and alone.failure is Failure.NONE)


@pytest.fixture
def two_threads() -> Iterator[None]:
    """Give numba back what it had."""
    before = numba.get_num_threads()
    yield
    numba.set_num_threads(before)


@pytest.mark.usefixtures("two_threads")
def test_the_number_of_threads_changes_no_byte() -> None:
    power, seconds, columns = some_worlds(7, worlds=400)
    most = numba.config.NUMBA_NUM_THREADS
    answers = []
    for threads in (1, most, 1, most):
        numba.set_num_threads(threads)
        answers.append(said(marched(power, seconds, columns)))
    assert answers[0] == answers[1] == answers[2] == answers[3]


@given(st.integers(0, 10_000), st.randoms(use_true_random=False))
@settings(max_examples=20)
def test_worlds_do_not_meet(seed: int, random: object) -> None:
    power, seconds, columns = some_worlds(seed)
    order = list(range(power.shape[0]))
    random.shuffle(order)  # type: ignore[attr-defined]
    straight = marched(power, seconds, columns)
    shuffled = marched(power[order], seconds[order], {name: column[order] for name, column in columns.items()})
    for name in WorldsMarch.__slots__:
        assert getattr(straight, name)[order].tobytes() == getattr(shuffled, name).tobytes()


# --- what is refused ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"r0_ohm": 6.0}, "r0_ohm"), ({"capacity_ah": 1500.0}, "capacity_ah"), ({"start_soc": 98.0}, "start_soc"),
        ({"temperature_c": 298.0}, "temperature_c"), ({"ambient_c": np.nan}, "ambient_c"),
        ({"mass_kg": 40.0}, "mass_kg"), ({"step_s": 0.0}, "step_s"), ({"amount": [-5.0]}, "amount"),
        ({"duration_s": [1.0, 2.0]}, "duration_s"),
    ],
)  # fmt: skip
def test_a_value_out_of_range_is_told_by_name(changed: dict[str, object], field: str) -> None:
    good: dict[str, object] = {
        "load": Load.CURRENT, "amount": [10.0], "duration_s": [5.0], "traits": SMOOTH, "r0_ohm": 0.006,
        "capacity_ah": 1.5, "start_soc": 0.98, "temperature_c": 25.0, "ambient_c": 25.0, "mass_kg": 0.04,
    }  # fmt: skip
    assert march_cell(**good).failure is Failure.NONE  # type: ignore[arg-type]
    with pytest.raises(InputError, match=field):
        march_cell(**{**good, **changed})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"power_w": [[-1.0]]}, "power_w"), ({"power_w": [100.0]}, "power_w"), ({"duration_s": [[-1.0]]}, "duration_s"),
        ({"r0_ohm": 6.0}, "r0_ohm"), ({"cells_in_series": 0}, "cells_in_series"), ({"start_soc": 1.2}, "start_soc"),
        ({"cell_mass_kg": 40.0}, "cell_mass_kg"),
    ],
)  # fmt: skip
def test_a_worlds_value_out_of_range_is_told_by_name(changed: dict[str, object], field: str) -> None:
    good: dict[str, object] = {
        "power_w": [[100.0]], "duration_s": [[5.0]], "cells_in_series": 4, "traits": SMOOTH, "r0_ohm": 0.006,
        "capacity_ah": 1.5, "start_soc": 0.98, "temperature_c": 25.0, "ambient_c": 25.0, "cell_mass_kg": 0.04,
    }  # fmt: skip
    assert march_worlds(**good).deliverable.all()  # type: ignore[arg-type]
    with pytest.raises(InputError, match=field):
        march_worlds(**{**good, **changed})  # type: ignore[arg-type]
