"""Made-up packs with known resistance and known faults: sag, volts below limits, steps, one cell low."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final

import numpy as np
import pytest
import thevenin
from scipy.signal import lfilter
from tests.assess.record_makers import flat, make_flown, make_record

from turnback.assess.link_events_median import running_median
from turnback.assess.power_events import OF_VOLTS, find_power
from turnback.assess.power_events_fit import RestFit, even_means, fit_rest, lagged, load_of
from turnback.assess.power_events_volts import volts_of
from turnback.records.channel import Channel, Quantity
from turnback.records.happened import Event, EventKind, Flown, Phase, PhaseKind, WhyNot
from turnback.records.record_read import FlightFacts

Array = Any
Made = dict[Channel | Quantity, tuple[Any, Any]]
LENGTH_S: Final = 240.0
FLIES: Final = (flat(PhaseKind.GROUND, 0.0, 10.0), flat(PhaseKind.CRUISE, 10.0, 230.0),
                flat(PhaseKind.GROUND, 230.0, 240.0))  # fmt: skip
REST_SOC: Final = (0.0, 0.1, 0.3, 0.5, 0.7, 0.9, 1.0)
REST_V: Final = (3.27, 3.69, 3.77, 3.84, 3.95, 4.11, 4.2)  # the trade's table of rest volts: common practice


def throttle(rng: np.random.Generator, t_s: Array, rate_hz: float) -> Array:
    """A pilot's throttle: hover with a punch every few seconds, none of it at rest."""
    rows = int(1.5 * rate_hz)
    steps = rng.uniform(0.25, 0.45, t_s.size // rows + 1)
    steps = np.where(rng.random(steps.size) < 0.15, 0.8, steps)
    wanted = np.where((t_s > 10.0) & (t_s < 230.0), np.repeat(steps, rows)[: t_s.size], 0.0)
    decay = np.exp(-1.0 / (0.2 * rate_hz))
    return lfilter([1.0 - decay], [1.0, -decay], wanted)


def pack(
    rate_hz: float,
    seed: int,
    *,
    cells: int = 4,
    capacity_ah: float = 2.2,
    cell_ohm: float = 0.006,
    full_a: float = 70.0,
    start_soc: float = 1.0,
    lag_s: float = 0.0,
) -> Made:
    """A pack of cells with an ohmic and two lagging parts, run at 100 Hz or more and recorded at a rate."""
    rng = np.random.default_rng(seed)
    base_hz = max(rate_hz, 100.0)
    t_s = np.arange(0.0, LENGTH_S, 1.0 / base_hz)
    out = throttle(rng, t_s, base_hz)
    current_a = 0.3 + full_a * out**1.6
    soc = start_soc - np.cumsum(current_a) / base_hz / 3600.0 / capacity_ah
    cell_v = np.interp(soc, REST_SOC, REST_V) - cell_ohm * current_a
    for ohm, tau_s in ((0.5 * cell_ohm, 3.0), (0.667 * cell_ohm, 40.0)):
        decay = np.exp(-1.0 / base_hz / tau_s)
        cell_v = cell_v - ohm * lfilter([1.0 - decay], [1.0, -decay], current_a)
    stride = round(base_hz / rate_hz)
    late = round(lag_s * base_hz)
    seen_a = np.concatenate([np.full(late, current_a[0]), current_a])[: t_s.size]
    volts = cells * cell_v[::stride] + rng.normal(0.0, 0.02, t_s[::stride].size)
    amperes = np.maximum(seen_a[::stride] + rng.normal(0.0, 0.3, volts.size), 0.0)
    t_s = t_s[::stride]
    return {
        Quantity.PACK_VOLTS: (t_s, np.round(volts, 2)),
        Quantity.CURRENT: (t_s, np.round(amperes, 1)),
        Quantity.THROTTLE: (t_s, out[::stride]),
    }


def found(
    made: Made, kind: EventKind, cells: int = 4, chemistry: str = "LiPo", phases: tuple[Phase, ...] = FLIES
) -> list[Event]:
    """The events of one kind."""
    return [
        one
        for one in find_power(make_flown(made, *phases, cells=cells, chemistry=chemistry)).events
        if one.kind is kind
    ]


def fitted(flown: Flown, start_s: float, end_s: float) -> RestFit:
    """The fit of volts on current over a span."""
    volts, load = volts_of(flown), load_of(flown.record)
    assert volts is not None and load is not None
    fit = fit_rest(volts, load, ((start_s, end_s),), flown.chemistry)
    assert fit is not None
    return fit


def test_lagging_parts_and_means_over_steps_against_scipy_and_numpy() -> None:
    rng = np.random.default_rng(0)
    values = rng.normal(size=3000)
    decay = np.exp(-0.05 / 3.0)
    np.testing.assert_allclose(lagged(values, 3.0, 0.05), lfilter([1.0 - decay], [1.0, -decay], values), atol=1e-3)
    t_s = np.arange(0.0, 10.0, 0.01)
    grid_s = np.arange(0.5, 9.0, 0.1)
    means = even_means(t_s + 1e-6, np.sin(t_s), grid_s)
    by_hand = [np.sin(t_s)[(t_s >= at - 0.0501) & (t_s < at + 0.0499)].mean() for at in grid_s]
    np.testing.assert_allclose(means, by_hand, atol=0.02)


@pytest.mark.parametrize("rate_hz", [5.0, 20.0, 100.0])
@pytest.mark.parametrize("lag_s", [0.0, 0.1])
def test_resistance_is_right_with_and_without_a_lag_between_volts_and_current(rate_hz: float, lag_s: float) -> None:
    ratios = []
    for seed in range(12):
        flown = make_flown(pack(rate_hz, seed, lag_s=lag_s), *FLIES, cells=4, chemistry="LiPo")
        fit = fitted(flown, 10.0, 230.0)
        ratios.append(fit.resistance_ohm / 0.024)
        assert abs(fit.resistance_ohm - 0.024) < fit.half_width_ohm
    assert np.std(ratios) < 0.02  # the design's own figure for such a fit
    assert np.mean(ratios) == pytest.approx(1.0, abs=0.05)


def test_resistance_against_a_cell_of_another_library() -> None:
    rng = np.random.default_rng(5)
    t_s = np.arange(0.0, 120.0, 0.1)
    out = throttle(rng, t_s + 8.0, 10.0)
    current_a = 0.3 + 60.0 * out**1.6
    cell = thevenin.Simulation(
        {
            "num_RC_pairs": 2, "soc0": 0.95, "capacity": 2.0, "ce": 1.0, "gamma": 0.0, "mass": 0.05, "isothermal": True,
            "Cp": 1000.0, "T_inf": 298.15, "h_therm": 1.0, "A_therm": 0.01,
            "ocv": lambda soc: float(np.interp(soc, REST_SOC, REST_V)), "M_hyst": lambda soc: 0.0,
            "R0": lambda soc, kelvin: 0.007, "R1": lambda soc, kelvin: 0.003, "C1": lambda soc, kelvin: 1000.0,
            "R2": lambda soc, kelvin: 0.004, "C2": lambda soc, kelvin: 10_000.0,
        }
    )  # fmt: skip
    run = thevenin.Experiment(rtol=1e-6, atol=1e-8)
    run.add_step("current_A", lambda at_s: float(np.interp(at_s, t_s, current_a)), t_s)
    said = cell.run(run).vars
    volts = np.interp(t_s, said["time_s"], said["voltage_V"]) * 3.0
    late_a = np.interp(t_s - 0.1, t_s, current_a)
    made: Made = {Quantity.PACK_VOLTS: (t_s, volts), Quantity.CURRENT: (t_s, late_a)}
    flown = make_flown(made, flat(PhaseKind.GROUND, 0.0, 2.0), flat(PhaseKind.CRUISE, 2.0, 120.0), cells=3)
    fit = fitted(flown, 2.0, 120.0)
    assert fit.resistance_ohm == pytest.approx(0.021, rel=0.06)
    rest_v = np.interp(fit.t_s, said["time_s"], np.interp(said["soc"], REST_SOC, REST_V)) * 3.0
    settled = fit.t_s > 10.0
    assert np.abs(fit.rest_v - rest_v)[settled].mean() < 0.06  # 20 mV a cell


def other_cell(pairs: int, cell_ohm: float, capacity_ah: float, t_s: Array, current_a: Array) -> tuple[Array, Array]:
    """Loaded and rest volts of a cell with so many lagging parts, as PyPI `thevenin` runs it."""
    traits: dict[str, Any] = {
        "num_RC_pairs": pairs, "soc0": 1.0, "capacity": capacity_ah, "ce": 1.0, "gamma": 0.0, "mass": 0.05,
        "isothermal": True, "Cp": 1000.0, "T_inf": 298.15, "h_therm": 1.0, "A_therm": 0.01,
        "ocv": lambda soc: float(np.interp(soc, REST_SOC, REST_V)), "M_hyst": lambda soc: 0.0,
        "R0": lambda soc, kelvin: cell_ohm,
    }  # fmt: skip
    lags = ((0.5 * cell_ohm, 3.0), (0.667 * cell_ohm, 40.0))
    for number, (ohm, tau_s) in enumerate(lags[:pairs], 1):
        traits[f"R{number}"] = lambda soc, kelvin, ohm=ohm: ohm
        traits[f"C{number}"] = lambda soc, kelvin, farad=tau_s / ohm: farad
    run = thevenin.Experiment(rtol=1e-4, atol=1e-6)
    run.add_step("current_A", lambda at_s: float(np.interp(at_s, t_s, current_a)), t_s)
    said = thevenin.Simulation(traits).run(run).vars
    return (
        np.interp(t_s, said["time_s"], said["voltage_V"]),
        np.interp(t_s, said["time_s"], np.interp(said["soc"], REST_SOC, REST_V)),
    )


def other_pack(pairs: int, cell_ohm: float, capacity_ah: float) -> tuple[Made, Array, Array, Array]:
    """A record at 5 Hz of six such cells; seconds, loaded and rest volts of one."""
    rng = np.random.default_rng(21)
    t_s = np.arange(0.0, 230.0, 0.2)
    current_a = 0.3 + 60.0 * throttle(rng, t_s, 5.0) ** 1.6
    loaded_v, rest_v = other_cell(pairs, cell_ohm, capacity_ah, t_s, current_a)
    made: Made = {
        Quantity.PACK_VOLTS: (t_s, np.round(6.0 * loaded_v + rng.normal(0.0, 0.015, t_s.size), 2)),
        Quantity.CURRENT: (t_s, current_a + rng.normal(0.0, 0.2, t_s.size)),
    }
    return made, t_s, loaded_v, rest_v


ALOFT: Final = (flat(PhaseKind.GROUND, 0.0, 10.0), flat(PhaseKind.CRUISE, 10.0, 230.0))


@pytest.mark.parametrize("pairs", [0, 1, 2])
@pytest.mark.parametrize("cell_ohm", [0.008, 0.02])
def test_rest_volts_and_sag_of_packs_with_no_one_and_two_lagging_parts(pairs: int, cell_ohm: float) -> None:
    made, t_s, loaded_v, rest_v = other_pack(pairs, cell_ohm, 1.6)
    fit = fitted(make_flown(made, *ALOFT, cells=6, chemistry="LiPo"), 10.0, 230.0)
    aloft = (fit.t_s > 20.0) & (fit.t_s < 228.0)
    truth_v = np.interp(fit.t_s, t_s, rest_v)
    off_v = running_median(fit.rest_v / 6.0 - truth_v, 25)[aloft]
    assert off_v.mean() > -0.05
    assert off_v.max() < 0.04
    assert np.mean(fit.rest_high_v / 6.0 - truth_v, where=aloft) > -0.02
    assert (fit.rest_high_v >= fit.rest_v).all()
    sags = found(made, EventKind.SAG, 6, phases=ALOFT)
    assert bool(sags) == (cell_ohm > 0.01)
    for sag in sags:
        during = (t_s >= sag.start_s - 0.1) & (t_s <= sag.end_s + 0.1)
        assert sag.values["cell_sag_v"] == pytest.approx((rest_v - loaded_v)[during].max(), rel=0.1)
        assert sag.values["sag_v"] == pytest.approx(6.0 * (rest_v - loaded_v)[during].max(), rel=0.1)
        assert sag.values["rest_v"] <= sag.values["rest_high_v"]


@pytest.mark.parametrize("pairs", [0, 1, 2])
@pytest.mark.parametrize("cell_ohm", [0.008, 0.02])
def test_below_land_by_at_rest_is_never_told_late(pairs: int, cell_ohm: float) -> None:
    # flown almost empty: the bend of the rest volts near the end looks like a slow share, so the lower end may be low
    made, t_s, _, rest_v = other_pack(pairs, cell_ohm, 0.98)
    low = found(made, EventKind.BELOW_LAND_BY, 6, phases=ALOFT)
    rest = next(each for each in low if each.words["state"] == "rest-equivalent")
    assert rest.start_s < t_s[np.argmax(rest_v < 3.5)] + 2.0
    assert rest.values["rest_equivalent_v"] <= rest.values["rest_high_v"]
    for each in low:
        during = (t_s >= each.start_s) & (t_s <= min(each.end_s, 228.0))
        meant_v = rest_v[during].min() if each is rest else np.median(rest_v[during])
        assert -0.25 < each.values["rest_equivalent_v"] - meant_v < 0.04


@pytest.mark.parametrize("rate_hz", [10.0, 50.0, 1000.0])
def test_sag_of_a_tired_pack(rate_hz: float) -> None:
    made = pack(rate_hz, 7, cell_ohm=0.016)
    (sag,) = found(made, EventKind.SAG)
    assert sag.values["resistance_ohm"] == pytest.approx(0.064, abs=sag.values["resistance_half_width_ohm"])
    assert sag.values["cell_resistance_ohm"] == pytest.approx(0.016, rel=0.1)
    assert sag.values["sag_v"] == pytest.approx(sag.values["rest_v"] - sag.values["loaded_v"])
    assert sag.values["cell_sag_v"] == pytest.approx((sag.values["rest_v"] - sag.values["loaded_v"]) / 4.0)
    # at the deepest point: between the ohmic share alone and all three shares of the current
    ohmic_v = 0.064 * sag.values["current_a"]
    assert ohmic_v * 0.95 < sag.values["sag_v"] < 2.2 * ohmic_v


def test_sag_without_current_is_told_from_the_throttle_and_gives_no_resistance() -> None:
    made = pack(20.0, 8, cell_ohm=0.018)
    del made[Quantity.CURRENT]
    (sag,) = found(made, EventKind.SAG)
    assert "resistance_ohm" not in sag.values
    assert sag.values["sag_v"] > 2.0


@pytest.mark.parametrize("rate_hz", [5.0, 50.0])
def test_land_by_loaded_and_at_rest_are_told_apart(rate_hz: float) -> None:
    low = pack(rate_hz, 9, start_soc=0.42, capacity_ah=1.6, full_a=50.0)
    events = found(low, EventKind.BELOW_LAND_BY)
    assert {event.words["state"] for event in events} == {"rest-equivalent", "loaded"}
    loaded = next(event for event in events if event.words["state"] == "loaded")
    assert loaded.values["limit_v"] == 3.3
    assert loaded.values["duration_s"] >= 5.0
    assert loaded.values["rest_equivalent_v"] > loaded.values["least_v"]
    rest = next(event for event in events if event.words["state"] == "rest-equivalent")
    assert rest.values["limit_v"] == 3.5


def test_the_onset_of_volts_below_a_limit_is_exact() -> None:
    t_s = np.arange(0.0, 240.0, 0.01)
    made: Made = {Quantity.PACK_VOLTS: (t_s, np.where((t_s > 100.0) & (t_s < 108.0), 12.8, 15.0))}
    (event,) = found(made, EventKind.BELOW_LAND_BY)
    assert event.start_s == pytest.approx(100.0, abs=0.02)
    assert event.values["duration_s"] == pytest.approx(8.0, abs=0.02)
    assert event.values["least_v"] == pytest.approx(3.2)
    short: Made = {Quantity.PACK_VOLTS: (t_s, np.where((t_s > 100.0) & (t_s < 104.5), 12.8, 15.0))}
    assert not found(short, EventKind.BELOW_LAND_BY)
    harmed: Made = {Quantity.PACK_VOLTS: (t_s, np.where((t_s > 100.0) & (t_s < 100.5), 11.6, 15.0))}
    (event,) = found(harmed, EventKind.BELOW_DAMAGE)
    assert event.start_s == pytest.approx(100.0, abs=0.02)
    assert event.values["limit_v"] == 3.0


def test_a_hard_throttle_trips_no_rest_rule() -> None:
    for seed in range(10):
        made = pack(20.0, 40 + seed, start_soc=0.75, capacity_ah=3.0, cell_ohm=0.012, full_a=80.0)
        assert min(made[Quantity.PACK_VOLTS][1]) < 4 * 3.3
        assert not [one for one in found(made, EventKind.BELOW_LAND_BY) if one.words["state"] == "rest-equivalent"]


@pytest.mark.parametrize("rate_hz", [5.0, 20.0, 200.0, 1000.0])
@pytest.mark.parametrize("step_v", [-1.2, 1.0])
def test_a_step_that_no_current_explains(rate_hz: float, step_v: float) -> None:
    made = pack(rate_hz, 10)
    t_s, volts = made[Quantity.PACK_VOLTS]
    made[Quantity.PACK_VOLTS] = (t_s, volts + np.where(t_s >= 121.0 - 1e-9, step_v, 0.0))
    (step,) = found(made, EventKind.VOLT_STEP)
    assert abs(step.start_s - 121.0) <= max(0.05, 2.0 / rate_hz)
    assert step.values["step_v"] == pytest.approx(step_v, abs=0.35)


def steady(rate_hz: float, step_ohm: float, *, steady_a: float = 4.0, noise_a: float = 0.15) -> Made:
    """A small pack of 0.09 ohm under a steady load, until a contact adds a resistance at 121 s."""
    rng = np.random.default_rng(30)
    t_s = np.arange(0.0, LENGTH_S, 1.0 / rate_hz)
    current_a = np.where((t_s > 10.0) & (t_s < 230.0), steady_a + 0.2 * np.sin(t_s), 0.3)
    extra_ohm = np.where(t_s >= 121.0 - 1e-9, step_ohm, 0.0)
    volts = 16.6 - 0.004 * t_s - (0.09 + extra_ohm) * current_a + rng.normal(0.0, 0.012, t_s.size)
    seen_a = np.maximum(current_a + rng.normal(0.0, noise_a, t_s.size), 0.0)
    return {Quantity.PACK_VOLTS: (t_s, np.round(volts, 2)), Quantity.CURRENT: (t_s, np.round(seen_a, 2))}


@pytest.mark.parametrize("rate_hz", [25.0, 100.0, 1000.0])
@pytest.mark.parametrize("cells", [None, 4])
def test_a_contact_that_gives_way_under_a_steady_load(rate_hz: float, cells: int | None) -> None:
    # 0.15 V of a cell: the noise of the current sensor must not explain it
    made = steady(rate_hz, 0.15)
    flown = make_flown(made, *FLIES, cells=cells)
    (step,) = [each for each in find_power(flown).events if each.kind is EventKind.VOLT_STEP]
    assert abs(step.start_s - 121.0) <= max(0.05, 2.0 / rate_hz)
    assert step.values["step_v"] == pytest.approx(-0.15 * 4.0, abs=0.1)
    assert not found(steady(rate_hz, 0.0), EventKind.VOLT_STEP)


@pytest.mark.parametrize("rate_hz", [50.0, 500.0])
def test_volts_fall_while_the_load_falls(rate_hz: float) -> None:
    # a throttle let go from 60 A lets volts rise; a contact that gives way in it makes them fall
    made = steady(rate_hz, 0.0)
    t_s, volts = made[Quantity.PACK_VOLTS]
    more_a = np.interp(t_s, [120.0, 120.3, 120.7, 121.3], [0.0, 60.0, 60.0, 0.0])
    made[Quantity.CURRENT] = (t_s, made[Quantity.CURRENT][1] + more_a)
    made[Quantity.PACK_VOLTS] = (t_s, volts - 0.09 * more_a)
    assert not found(made, EventKind.VOLT_STEP)
    made[Quantity.PACK_VOLTS] = (t_s, volts - 0.09 * more_a - np.where(t_s >= 121.0 - 1e-9, 1.2, 0.0))
    (step,) = found(made, EventKind.VOLT_STEP)
    assert abs(step.start_s - 121.0) <= max(0.05, 2.0 / rate_hz)
    assert step.values["current_change_a"] == pytest.approx(-60.0, abs=3.0)  # 0.3 s before to 0.3 s after


def test_volts_rise_while_the_load_rises() -> None:
    made = steady(100.0, 0.0)
    t_s, volts = made[Quantity.PACK_VOLTS]
    more_a = np.interp(t_s, [120.8, 121.2, 123.0, 123.3], [0.0, 30.0, 30.0, 0.0])
    made[Quantity.CURRENT] = (t_s, made[Quantity.CURRENT][1] + more_a)
    made[Quantity.PACK_VOLTS] = (t_s, volts - 0.09 * more_a + np.where(t_s >= 121.0 - 1e-9, 1.2, 0.0))
    (step,) = found(made, EventKind.VOLT_STEP)
    assert step.values["step_v"] > 0.5
    assert step.values["current_change_a"] == pytest.approx(30.0, abs=2.0)


@pytest.mark.parametrize("load", [Quantity.POWER, Quantity.ROTOR_SPEED, Quantity.THROTTLE])
def test_motors_that_stop_let_the_volts_rise_whatever_the_load_is_told_by(load: Quantity) -> None:
    made = steady(250.0, 0.0, steady_a=12.0)
    t_s, volts = made[Quantity.PACK_VOLTS]
    stopped = t_s >= 150.0
    current_a = np.where(stopped, 0.3, made.pop(Quantity.CURRENT)[1])
    volts = np.where(stopped, 16.6 - 0.004 * t_s - 0.09 * 0.3, volts)
    made[Quantity.PACK_VOLTS] = (t_s, volts)
    rotor_hz = 200.0 * np.cbrt(np.maximum(current_a - 0.3, 0.0) / 12.0)
    told = {Quantity.POWER: volts * current_a, Quantity.ROTOR_SPEED: rotor_hz,
            Quantity.THROTTLE: np.where((t_s > 10.0) & (t_s < 230.0), 0.4 + 0.01 * np.sin(t_s), 0.0)}  # fmt: skip
    made[load] = (t_s, told[load])
    assert not found(made, EventKind.VOLT_STEP)


def test_after_a_contact_gave_way_no_volts_at_rest_are_made_up() -> None:
    made = pack(50.0, 31)
    t_s, volts = made[Quantity.PACK_VOLTS]
    made[Quantity.PACK_VOLTS] = (t_s, volts - np.where(t_s >= 121.0, 0.05 * made[Quantity.CURRENT][1], 0.0))
    events = find_power(make_flown(made, *FLIES, cells=4, chemistry="LiPo")).events
    assert any(each.kind is EventKind.VOLT_STEP for each in events)
    at_rest = [each.values["rest_equivalent_v"] for each in events if "rest_equivalent_v" in each.values]
    assert all(3.4 < each < 4.2 for each in at_rest)


def test_one_odd_reading_is_no_step() -> None:
    made = pack(50.0, 11)
    made[Quantity.PACK_VOLTS][1][6000] -= 5.0
    assert not found(made, EventKind.VOLT_STEP)


def cells_made(
    rate_hz: float, seed: int, low: int, *, at_rest_v: float = 0.0, extra_ohm: float = 0.0, from_s: float = 0.0
) -> Made:
    """Four cells of which one is lower, by a fixed gap or by its own resistance."""
    made = pack(rate_hz, seed)
    t_s, volts = made.pop(Quantity.PACK_VOLTS)
    rng = np.random.default_rng(seed)
    for number in (1, 2, 3, 4):
        cell_v = 0.25 * volts + rng.normal(0.0, 0.004, t_s.size)
        if number == low:
            cell_v = cell_v - np.where(t_s >= from_s, at_rest_v + extra_ohm * made[Quantity.CURRENT][1], 0.0)
        made[Channel(Quantity.CELL_VOLTS, number=number)] = (t_s, np.round(cell_v, 3))
    return made


@pytest.mark.parametrize("rate_hz", [2.0, 10.0, 100.0])
def test_a_low_cell_at_rest_and_under_load_told_apart(rate_hz: float) -> None:
    (rest,) = found(cells_made(rate_hz, 12, 3, at_rest_v=0.09), EventKind.CELL_LOW)
    assert (rest.values["number"], rest.words["state"]) == (3.0, "rest")
    assert rest.values["typical_gap_v"] == pytest.approx(0.09, abs=0.01)
    (load,) = found(cells_made(rate_hz, 13, 2, extra_ohm=0.014), EventKind.CELL_LOW)
    assert (load.values["number"], load.words["state"]) == (2.0, "load")
    both = found(cells_made(rate_hz, 14, 1, at_rest_v=0.25), EventKind.CELL_LOW)
    assert {event.words["state"] for event in both} == {"rest", "load"}
    assert not found(cells_made(rate_hz, 15, 0), EventKind.CELL_LOW)


@pytest.mark.parametrize("rate_hz", [5.0, 100.0])
def test_the_onset_of_a_cell_that_fails(rate_hz: float) -> None:
    (event,) = found(cells_made(rate_hz, 16, 4, at_rest_v=0.4, from_s=150.0), EventKind.CELL_LOW, phases=(
        flat(PhaseKind.CRUISE, 0.0, 240.0),))  # fmt: skip
    assert abs(event.start_s - 150.0) <= max(0.05, 2.0 / rate_hz)


def test_what_cannot_be_looked_for_is_told() -> None:
    t_s = np.arange(0.0, 60.0, 0.1)
    none = find_power(make_flown({Channel(Quantity.THROTTLE): (t_s, 0.3)}))
    assert {each.kind for each in none.not_told} == {*OF_VOLTS, EventKind.CELL_LOW}
    made = pack(10.0, 17)
    untold = {each.kind: each.why for each in find_power(make_flown(made, *FLIES, cells=4)).not_told}
    assert untold[EventKind.BELOW_LAND_BY] is untold[EventKind.BELOW_DAMAGE] is WhyNot.CHEMISTRY_UNKNOWN
    uncounted = {each.kind: each.why for each in find_power(make_flown(made, *FLIES, chemistry="LiPo")).not_told}
    assert uncounted[EventKind.BELOW_LAND_BY] is WhyNot.CELLS_UNKNOWN
    assert uncounted[EventKind.CELL_LOW] is WhyNot.NO_CHANNEL
    slow = {each.kind: each.why for each in find_power(make_flown(pack(1.0, 18), *FLIES)).not_told}
    assert slow[EventKind.VOLT_STEP] is WhyNot.TOO_SLOW
    steady: Made = {Quantity.PACK_VOLTS: (t_s, 15.0), Quantity.CURRENT: (t_s, 10.0)}
    assert why(make_flown(steady), EventKind.SAG) is WhyNot.LOAD_TOO_STEADY
    brief = make_flown(pack(10.0, 19), flat(PhaseKind.CRUISE, 20.0, 35.0), flat(PhaseKind.GROUND, 35.0, 240.0))
    assert why(brief, EventKind.SAG) is WhyNot.TOO_SHORT


def why(flown: Flown, kind: EventKind) -> WhyNot | None:
    """Why one kind of event was not looked for, or None where it was."""
    return next((each.why for each in find_power(flown).not_told if each.kind is kind), None)


@pytest.mark.parametrize("amperes", [True, False])
def test_loaded_volts_are_judged_under_a_steady_load_too(amperes: bool) -> None:
    t_s = np.arange(0.0, 120.0, 0.1)
    falls_v = np.interp(t_s, [0.0, 60.0, 80.0, 100.0, 120.0], [15.2, 14.4, 13.0, 11.6, 11.6])  # 4 cells
    made: Made = {Quantity.PACK_VOLTS: (t_s, falls_v)}
    if amperes:
        made[Quantity.CURRENT] = (t_s, 10.0)
    flown = make_flown(made, cells=4, chemistry="LiPo")
    land, damage = (one for one in find_power(flown).events if one.kind is not EventKind.VOLT_STEP)
    assert (land.kind, damage.kind) == (EventKind.BELOW_LAND_BY, EventKind.BELOW_DAMAGE)
    assert land.start_s == pytest.approx(77.2, abs=0.2)  # 13.2 V: 3.3 V a cell, on the way from 14.4 to 13.0 V
    assert damage.start_s == pytest.approx(94.3, abs=0.2)  # 12.0 V: 3.0 V a cell, on the way from 13.0 to 11.6 V
    assert why(flown, EventKind.BELOW_LAND_BY) is (WhyNot.LOAD_TOO_STEADY if amperes else WhyNot.NO_CHANNEL)
    assert why(flown, EventKind.BELOW_DAMAGE) is None


def test_volts_that_stay_above_land_by_under_load_leave_nothing_open() -> None:
    t_s = np.arange(0.0, 60.0, 0.1)
    above: Made = {Quantity.PACK_VOLTS: (t_s, 14.4), Quantity.CURRENT: (t_s, 10.0)}  # 3.6 V a cell, land by 3.5 V
    assert why(make_flown(above, cells=4, chemistry="LiPo"), EventKind.BELOW_LAND_BY) is None


@pytest.mark.parametrize("volts", [3.9, 15_200.0])
def test_volts_that_no_such_pack_has_raise_no_alarm(volts: float) -> None:
    t_s = np.arange(0.0, 60.0, 0.1)
    made: Made = {Quantity.PACK_VOLTS: (t_s, volts), Quantity.CURRENT: (t_s, 10.0)}
    flown = replace(make_flown(made, cells=4, chemistry="LiPo"), record=make_record(made, facts=FlightFacts(cells=4)))
    found = find_power(flown)
    assert not found.events
    below = {each.kind: each for each in found.not_told}[EventKind.BELOW_DAMAGE]
    assert below.why is WhyNot.CELLS_UNKNOWN
    assert below.values == {"told_cells": 4.0}


def test_cells_in_millivolts_taken_for_volts_raise_no_alarm() -> None:
    made = cells_made(5.0, 20, 4, at_rest_v=0.0)
    for channel, (t_s, values) in made.items():
        if isinstance(channel, Channel):  # the numbered cells
            made[channel] = (t_s, 1000.0 * values)
    assert not find_power(make_flown(made, *FLIES, chemistry="LiPo")).events


def test_healthy_packs_raise_nothing() -> None:
    raised = []
    for seed in range(100):
        rate_hz = (2.0, 10.0, 50.0)[seed % 3]
        made = pack(rate_hz, 100 + seed, lag_s=0.1 * (seed % 2))
        flown = make_flown(made, *FLIES, cells=4, chemistry="LiPo")
        raised += [(seed, rate_hz, one.kind, dict(one.values)) for one in find_power(flown).events]
    assert raised == []
