"""What a flight teaches of its pack: resistance under a changing load, capacity between a full start and a rest."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.against_power import cells_of_plan, chance_z, marched
from turnback.assess.draws import Z_BAND
from turnback.assess.learn_flight import (
    BENDS_CHARGE,
    BENDS_VOLTS,
    Lesson,
    number,
    spread_of,
    thought_of,
    volts_slack_v,
)
from turnback.assess.learn_fuse import Measured, band_of, deviation, fused
from turnback.assess.link_events_parts import spans_looked_at
from turnback.assess.power_events_fit import Load, even_means, fit_rest, lagged, load_of, why_no_fit
from turnback.assess.power_events_volts import Volts
from turnback.physics.cell import resistance_ohm
from turnback.records.debrief import LearnedNumber, NotLearned
from turnback.records.happened import EventKind, WhyNot
from turnback.records.learned import LearnedAbout
from turnback.rules.record_learn import (
    DRAINED_LEAST,
    FULL_V,
    RESISTANCE_CLAIM,
    REST_END_S,
    REST_LOAD,
    REST_START_S,
)
from turnback.rules.record_power import RESISTANCE_SHARE
from turnback.rules.typical import typical

Floats = NDArray[np.float64]

WORLDS: Final = 2000
LAST_S: Final = 5.0
GRID_S: Final = 0.2
SMOOTH_S: Final = 1.0
LEAST_READINGS: Final = 3
SLOW_MID, SLOW_SD = 0.6, 0.3
"""Of the table's slow shares, what packs have: some have hardly any."""
Z95: Final = 1.96
CURVE_OWN: Final = 0.1
"""Of the variance of the charge left, what is another one each flight: where on the curve it lands."""
CHARGER_OWN: Final = 0.5
"""Likewise of a charger's reading; the rest is its meter's."""
LEAST_DRAINED: Final = 0.05


def learn_resistance(lesson: Lesson) -> LearnedNumber | NotLearned:
    """Return the resistance of one cell at the reference temperature, half full.

    Least squares of volts on filtered current plus a polynomial in the charge used (`fit_rest`), before anything went
    wrong; the cells' temperature in flight is the plan's, warmed by the load.
    """
    volts, craft = lesson.volts, lesson.craft
    if volts is None:
        return NotLearned.NO_CHANNEL
    cells = cells_of_plan(volts, craft)
    if cells is None or not craft.draws.world.pack.cells:
        return NotLearned.NO_CELLS
    load = load_of(lesson.answer.flown.record, volts)
    if load is None or not load.amperes:
        return NotLearned.NO_CHANNEL
    until_s = lesson.sound_until_s({*BENDS_VOLTS, EventKind.VOLT_STEP})
    looked = spans_looked_at(lesson.answer.flown)
    fit = fit_rest(volts, load, looked, craft.draws.world.pack.chemistry.value, until_s)
    if fit is None:
        if np.isfinite(until_s):
            return NotLearned.FAULTY_FLIGHT
        steady = why_no_fit(volts, load, looked, until_s) is WhyNot.LOAD_TOO_STEADY
        return NotLearned.TOO_STEADY if steady else NotLearned.TOO_SHORT
    warm = _warm_ratio(lesson, until_s)
    scale, off = lesson.sensor
    ohm = fit.resistance_ohm / cells
    width = np.sqrt(max(fit.half_width_ohm**2 - (RESISTANCE_SHARE.value * fit.resistance_ohm) ** 2, 0.0)) / Z95
    claim = deviation(RESISTANCE_CLAIM.value)
    measured = Measured(
        float(np.log(ohm * 1e3)) - scale - float(np.mean(np.log(warm))),
        float((width / fit.resistance_ohm) ** 2 + np.var(np.log(warm))),
        max(claim**2, off**2),
    )
    before, plain = (spread_of(each.draws.world.pack.resistance_ohm, 1e3) for each in (craft, lesson.plain))
    found = band_of(fused(thought_of(before, plain), measured))
    return number(LearnedAbout.PACK, "resistance_mohm_per_cell", found, before, "resistance-fit")


def _warm_ratio(lesson: Lesson, until_s: float) -> Floats:
    """Return resistance in flight over that at the reference temperature, shape ``(j,)``."""
    craft, at = lesson.plain, lesson.at
    celsius = craft.draws["pack.temperature_c"]
    march = None if at is None or lesson.power is None else marched(lesson.power, craft, at)
    if march is not None and at is not None:
        rows = at.flying & (at.t_s < until_s)
        if rows.any():
            seen = np.nanmean(np.where(np.isfinite(march.temperature_c), march.temperature_c, np.nan)[:, rows], axis=1)
            celsius = np.where(np.isfinite(seen), seen, celsius)
    law = craft.chemistry
    return np.asarray(resistance_ohm(0.01, 0.5, celsius, law) / resistance_ohm(0.01, 0.5, law.reference_c, law))


def learn_capacity(lesson: Lesson) -> LearnedNumber | NotLearned:
    """Return the capacity: charge that left the pack over the part of it that went, from full to a rest at the end.

    Volts are held against the full start, so that a board that reads a little high does so at both ends.
    """
    volts, used_ah = lesson.volts, lesson.used_ah
    if volts is None or used_ah is None or used_ah <= 0.0:
        return NotLearned.NO_CHANNEL
    drained = _drained(lesson, volts)
    if isinstance(drained, NotLearned):
        return drained
    logs = -np.log(drained)
    scale, off = lesson.sensor
    meter = 0.0 if lesson.put_back_ah is None else CHARGER_OWN * off**2
    # what the curve is off is this pack's own, and comes back with every flight
    measured = Measured(
        float(np.log(used_ah * 1e3)) + scale + float(np.median(logs)),
        CURVE_OWN * float(np.var(logs)) + meter,
        (1.0 - CURVE_OWN) * float(np.var(logs)) + off**2 - meter,
    )
    before, plain = (spread_of(each.draws.world.pack.capacity_ah, 1e3) for each in (lesson.craft, lesson.plain))
    found = band_of(fused(thought_of(before, plain), measured))
    method = "capacity-counted" if lesson.put_back_ah is None else "capacity-charger"
    return number(LearnedAbout.PACK, "capacity_mah", found, before, method)


def _drained(lesson: Lesson, volts: Volts) -> Floats | NotLearned:
    """Return the share of the pack that left it, in equal chances, shape ``(k,)``; or why nothing tells it."""
    law, cells = lesson.craft.chemistry, cells_of_plan(volts, lesson.craft)
    if cells is None or not lesson.craft.draws.world.pack.cells:
        return NotLearned.NO_CELLS
    begun_v, ended = _rest_before(lesson, volts), _rest_after(lesson, volts)
    if begun_v is None or begun_v / cells < law.full_v - FULL_V.value:
        return NotLearned.NOT_FULL_AT_START
    if np.isfinite(lesson.sound_until_s(BENDS_CHARGE)):
        return NotLearned.FAULTY_FLIGHT
    if ended is None:
        return NotLearned.NO_REST_AT_END
    full, z = typical("care")["charged_share"], chance_z(WORLDS, "learn.full") / Z_BAND
    full_soc = np.clip(full.value + z * np.where(z > 0, full.high - full.value, full.value - full.low), 0.0, 1.0)
    scale = np.interp(full_soc, law.ocv_soc, law.ocv_v) / (begun_v / cells)
    slow = np.clip(SLOW_MID + SLOW_SD * chance_z(WORLDS, "learn.slow"), 0.0, 1.2)
    rest_v = ended[0] / cells * scale + slow * lesson.craft.draws.world.pack.resistance_ohm.value * ended[1]
    off_v = np.hypot(typical("care")["rest_curve_v"].value, volts_slack_v())
    rest_v = rest_v + off_v * chance_z(WORLDS, "learn.curve")
    drained = full_soc - np.interp(rest_v, law.ocv_v, law.ocv_soc)
    if float(np.median(drained)) < DRAINED_LEAST.value or float(drained.min()) <= LEAST_DRAINED:
        return NotLearned.TOO_SHORT
    return np.asarray(drained)


def _rest_before(lesson: Lesson, volts: Volts) -> float | None:
    """Return volts before the first take-off, hardly loaded; None where there is no such time."""
    spans = lesson.answer.flown.aloft()
    if not spans:
        return None
    rows = (volts.t_s < spans[0][0]) & _idle(lesson, volts)
    if rows.sum() < LEAST_READINGS or np.ptp(volts.t_s[rows]) < REST_START_S.value:
        return None
    return float(np.median(volts.volts[rows]))


def _rest_after(lesson: Lesson, volts: Volts) -> tuple[float, float] | None:
    """Return volts at the end of a rest after the last landing, and the lagging current (A) times the slow ratios."""
    spans = lesson.answer.flown.aloft()
    if not spans:
        return None
    idle = _idle(lesson, volts) & (volts.t_s > spans[-1][1])
    busy = np.flatnonzero(~idle)
    rest = slice(int(busy[-1]) + 1 if busy.size else 0, None)
    t_s = volts.t_s[rest]
    if t_s.size < LEAST_READINGS or float(t_s[-1] - t_s[0]) < REST_END_S.value:
        return None
    return float(np.median(volts.volts[rest][t_s >= t_s[-1] - LAST_S])), _lagging_a(lesson, volts, float(t_s[-1]))


def _lagging_a(lesson: Lesson, volts: Volts, at_s: float) -> float:
    load, law = load_of(lesson.answer.flown.record, volts), lesson.craft.chemistry
    if load is None or not load.amperes:
        return 0.0
    grid_s = np.arange(float(load.t_s[0]), at_s, GRID_S)
    amperes = even_means(load.t_s, load.amount, grid_s)
    lags: list[float] = [float(lagged(amperes, tau_s, GRID_S)[-1]) for tau_s in (law.tau1_s, law.tau2_s)]
    return law.r1_ratio * lags[0] + law.r2_ratio * lags[1]


def _idle(lesson: Lesson, volts: Volts) -> NDArray[np.bool_]:
    """Return where the pack hardly gives anything: by its current, else wherever it stands on the ground."""
    load: Load | None = load_of(lesson.answer.flown.record, volts)
    if load is None:
        return np.ones(volts.t_s.size, np.bool_)
    grid_s = np.arange(float(load.t_s[0]), float(load.t_s[-1]) + SMOOTH_S, SMOOTH_S)
    if grid_s.size < LEAST_READINGS:
        return np.zeros(volts.t_s.size, np.bool_)
    amount = even_means(load.t_s, load.amount, grid_s)  # single readings are noise where the load is small
    flown = np.zeros(grid_s.size, np.bool_)
    for start_s, end_s in lesson.answer.flown.aloft():
        flown |= (grid_s >= start_s) & (grid_s < end_s)
    mean = float(np.mean(amount[flown])) if flown.any() else 0.0
    return np.asarray(np.interp(volts.t_s, grid_s, amount) <= REST_LOAD.value * max(mean, 1e-6))
