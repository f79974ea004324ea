"""What a flight teaches of its aircraft: current in hover and at cruise, and the drag of the body."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.consumption import Scale, electrical_w, hover_and_cruise_w
from turnback.assess.draw_set import DrawSet
from turnback.assess.learn_flight import BENDS_POWER, Lesson, number, spread_of, thought_of
from turnback.assess.learn_fuse import Measured, Thought, band_of, deviation, fused
from turnback.assess.spreads import spread
from turnback.records.debrief import LearnedNumber, NotLearned
from turnback.records.finding import Spread
from turnback.records.happened import PhaseKind
from turnback.records.learned import LearnedAbout
from turnback.rules.record_learn import (
    CRUISE_SHARE,
    FAST_SHARE,
    HOVER_MPS,
    LEVEL_MPS,
    MODEL_SHARE,
    SEGMENT_S,
    STEADY_MPS2,
)
from turnback.rules.typical import typical

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

BLOCK_S: Final = 5.0
"""Gusts and corrections hang together for some seconds: only so many stations are independent."""
LEAST_W: Final = 1.0
GRID: Final = np.linspace(-2.0, 2.0, 161)
"""Logarithm of a drag area over the plan's: a factor of seven either way."""


@dataclass(frozen=True, slots=True, eq=False)
class Segment:
    """Steady flight of one kind.

    Parameters
    ----------
    rows : ndarray of bool, shape (n,)
    log_scale : ndarray, shape (j,)
        Logarithm of recorded over modelled power of the rotors, in every draw.
    own : float
        Variance of that by gusts and corrections.
    """

    rows: Bools
    log_scale: Floats
    own: float


def hover_rows(lesson: Lesson) -> Bools | None:
    """Return the stations of steady hover before anything went wrong; None where nothing tells speed or phase."""
    at = lesson.at
    if at is None:
        return None
    rows = _steady(lesson)
    speed = np.hypot(at.east_mps, at.north_mps)
    if np.isfinite(speed).any():
        return np.asarray(rows & (speed < HOVER_MPS.value))
    hovers = np.zeros(at.t_s.size, np.bool_)
    for phase in lesson.answer.flown.phases:
        if phase.kind is PhaseKind.HOVER:
            hovers |= (at.t_s >= phase.start_s) & (at.t_s < phase.end_s)
    return rows & hovers


def cruise_rows(lesson: Lesson) -> Bools | None:
    """Return the stations of steady flight near the plan's cruise speed; None where no speed is known."""
    at, power = lesson.at, lesson.power
    if at is None or power is None:
        return None
    airspeed = np.median(power.airspeed_mps, axis=0)
    if not np.isfinite(airspeed).any():
        return None
    cruise = lesson.craft.draws.world.aircraft.cruise_mps.value
    return np.asarray(_steady(lesson) & (np.abs(airspeed / cruise - 1.0) < CRUISE_SHARE.value))


def _steady(lesson: Lesson) -> Bools:
    """Return where it flies level and even, its power recorded, before anything went wrong."""
    at, power = lesson.at, lesson.power
    if at is None or power is None:
        return np.zeros(0, np.bool_)
    with np.errstate(invalid="ignore"):
        change = np.hypot(np.gradient(at.east_mps, at.step_s), np.gradient(at.north_mps, at.step_s))
        even = ~(change > STEADY_MPS2.value) & ~(np.abs(at.climb_mps) > LEVEL_MPS.value)
    known = np.isfinite(power.recorded_w) & (power.recorded_w > LEAST_W)
    # the ends of a flight are not steady; and a station beside a burst of throttle holds a part of it
    inner = at.flying & even
    inner = inner & np.roll(inner, 1) & np.roll(inner, -1)
    return np.asarray(inner & known & (at.t_s < lesson.sound_until_s(BENDS_POWER)))


def segment_of(lesson: Lesson, rows: Bools | None) -> Segment | NotLearned:
    """Return recorded over modelled power of some steady stations; why not where there are too few."""
    at, power, craft = lesson.at, lesson.power, lesson.plain
    if at is None or power is None or not np.isfinite(power.recorded_w).any():
        return NotLearned.NO_CHANNEL
    if rows is None:
        return NotLearned.NO_CHANNEL
    if rows.sum() * at.step_s < SEGMENT_S.value:
        faulty = np.isfinite(lesson.sound_until_s(BENDS_POWER))
        return NotLearned.FAULTY_FLIGHT if faulty else NotLearned.NO_SUCH_SEGMENT
    modelled = _modelled_w(lesson, rows)
    auxiliary = craft.draws["aircraft.auxiliary_w"]
    mean_w = float(np.mean(power.recorded_w[rows]))
    rotors_w = np.maximum(mean_w - auxiliary, 0.1 * mean_w)
    logs = np.log(rotors_w / np.maximum(modelled.mean(axis=1) - auxiliary, LEAST_W))
    scatter = float(np.std(power.recorded_w[rows]) / max(mean_w, LEAST_W))
    blocks = max(1.0, float(rows.sum()) * at.step_s / BLOCK_S)
    return Segment(rows, np.asarray(logs), scatter**2 / blocks)


def _modelled_w(lesson: Lesson, rows: Bools) -> Floats:
    """Return the unscaled model at some stations, shape ``(j, rows)``; without a speed, as if it stood in the wind."""
    at, power, craft = lesson.seen
    draws = craft.draws
    ones = np.ones(draws.count)
    airspeed = power.airspeed_mps[:, rows]
    wind = draws["site.wind_mps"][:, None]
    airspeed = np.where(np.isfinite(airspeed), airspeed, wind)
    climb = np.broadcast_to(np.clip(np.nan_to_num(at.climb_mps[rows]), -30.0, 30.0), airspeed.shape)
    return electrical_w(draws, craft.thrust, Scale(ones, ones), airspeed, climb)


def learn_currents(lesson: Lesson) -> dict[str, LearnedNumber | NotLearned]:
    """Return the current in still hover and at cruise, as a plan names them: power over the label's volts.

    Power at the recorded speed is carried to still hover and to the plan's cruise speed by the model, in every draw.
    """
    found: dict[str, LearnedNumber | NotLearned] = {}
    for place, (quantity, rows) in enumerate(
        (("hover_current_a", hover_rows(lesson)), ("cruise_current_a", cruise_rows(lesson)))
    ):
        if not lesson.craft.draws.world.pack.cells:
            found[quantity] = NotLearned.NO_CELLS
            continue
        segment = segment_of(lesson, rows)
        found[quantity] = segment if isinstance(segment, NotLearned) else _current(lesson, segment, place)
    return found


def _current(lesson: Lesson, segment: Segment, place: int) -> LearnedNumber | NotLearned:
    quantity = ("hover_current_a", "cruise_current_a")[place]
    craft = lesson.plain
    auxiliary = craft.draws["aircraft.auxiliary_w"]
    ones = np.ones(craft.draws.count)
    unscaled_w = hover_and_cruise_w(craft.draws, craft.thrust, Scale(ones, ones))[place]
    volts = craft.chemistry.nominal_v * craft.draws.world.pack.cells
    amperes = (auxiliary + np.exp(segment.log_scale) * (unscaled_w - auxiliary)) / volts
    logs = np.log(amperes)
    scale, off = lesson.sensor
    hand = typical("chance")["handling_sd"].value
    measured = Measured(
        float(np.median(logs)) + scale,
        segment.own + 0.5 * float(np.var(logs)) + hand**2,
        off**2 + 0.5 * float(np.var(logs)),
    )
    before, plain = (spread(each[place] / volts) for each in lesson.steady_w)
    found = band_of(fused(thought_of(before, plain), measured))
    return number(LearnedAbout.AIRCRAFT, quantity, found, before, quantity[:-10] + "-power")


def learn_drag(lesson: Lesson) -> LearnedNumber | NotLearned:
    """Return the drag area, from how much more fast flight takes than slow: the sensor's scale cancels.

    Each drag area of a grid is weighed by how well the model's ratio of both powers fits the recorded one.
    """
    at, power = lesson.at, lesson.power
    slow = segment_of(lesson, hover_rows(lesson))
    if isinstance(slow, NotLearned):
        return slow
    if at is None or power is None:
        return NotLearned.NO_CHANNEL
    airspeed = np.median(power.airspeed_mps, axis=0)
    cruise = lesson.craft.draws.world.aircraft.cruise_mps.value
    with np.errstate(invalid="ignore"):
        fast = segment_of(lesson, _steady(lesson) & (airspeed > FAST_SHARE.value * cruise))
    if isinstance(fast, NotLearned):
        return fast
    apart = fast.log_scale - slow.log_scale  # of one aircraft both scales are one, but for its drag
    expected = _ratio_by_drag(lesson, fast, slow)
    own = slow.own + fast.own + 0.5 * float(np.var(apart))
    shared = deviation(MODEL_SHARE.value) ** 2 + 0.5 * float(np.var(apart))
    before, plain = (spread_of(each.draws.world.aircraft.drag_area_m2, 1e4) for each in (lesson.craft, lesson.plain))
    thought = thought_of(before, plain)
    slope = float(np.gradient(expected, GRID)[GRID.size // 2])
    if slope <= 0.0:
        return NotLearned.OUT_OF_BOUNDS
    variance = _as_new(thought, own / slope**2, shared / slope**2) * slope**2
    centre = float(np.log(plain.mid))
    score = -0.5 * (expected - expected[GRID.size // 2] - float(np.median(apart))) ** 2 / variance
    score -= 0.5 * (GRID + centre - thought.now.mean) ** 2 / thought.now.variance
    found = _quantiles(np.exp(score - score.max()), centre)
    return number(LearnedAbout.AIRCRAFT, "drag_area_cm2", found, before, "drag-ratio")


def _as_new(thought: Thought, own: float, shared: float) -> float:
    """Return the variance that an independent measurement of the same worth would have."""
    together = fused(thought, Measured(thought.now.mean, own, shared)).variance
    gained = 1.0 / together - 1.0 / thought.now.variance
    return 1.0 / max(gained, 1e-9)


def _ratio_by_drag(lesson: Lesson, fast: Segment, slow: Segment) -> Floats:
    """Return the logarithm of fast over slow power for each drag area of the grid, in the middle world; ``(grid,)``."""
    at, power, craft = lesson.seen
    draws = craft.draws
    middle = {key: np.full(GRID.size, float(np.median(values))) for key, values in draws.values.items()}
    middle["aircraft.drag_area_m2"] = draws.world.aircraft.drag_area_m2.value * np.exp(GRID)
    same = DrawSet(
        draws.world, middle, draws.nodes, np.full(GRID.size, float(np.median(draws.density_kg_m3))),
        np.full(GRID.size, float(np.median(draws.mass_kg))),
    )  # fmt: skip
    ones = np.ones(GRID.size)
    names = type(craft.thrust).__dataclass_fields__
    thrust = type(craft.thrust)(
        **{name: np.full(GRID.size, float(np.median(getattr(craft.thrust, name)))) for name in names}
    )
    watts = []
    for segment in (fast, slow):
        speed = np.median(power.airspeed_mps[:, segment.rows], axis=0)
        speed = np.where(np.isfinite(speed), speed, float(np.median(draws["site.wind_mps"])))
        wide = np.broadcast_to(speed, (GRID.size, speed.size))
        climb = np.broadcast_to(np.clip(np.nan_to_num(at.climb_mps[segment.rows]), -30.0, 30.0), wide.shape)
        rotors = electrical_w(same, thrust, Scale(ones, ones), wide, climb) - same["aircraft.auxiliary_w"][:, None]
        watts.append(np.log(rotors.mean(axis=1)))
    return np.asarray(watts[0] - watts[1])


def _quantiles(weight: Floats, centre: float) -> Spread:
    share = np.cumsum(weight) / weight.sum()
    low, mid, high = np.interp([0.05, 0.5, 0.95], share, GRID + centre)
    return Spread(float(np.exp(mid)), float(np.exp(low)), float(np.exp(high)))
