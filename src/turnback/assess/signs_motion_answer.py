"""Whether it turns as it is told: to the end, and past it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.motion_axes import Axis
from turnback.assess.motion_events_demand import follows
from turnback.assess.signals import rows_between
from turnback.assess.signs_motion_calm import calmed
from turnback.assess.signs_motion_end import last_stretch
from turnback.assess.signs_motion_hard import follows_hard
from turnback.assess.signs_motion_late import swings_late
from turnback.assess.signs_motion_slow import follows_slow
from turnback.assess.signs_motion_spun import before_spin, spins_s
from turnback.assess.signs_motion_stops import stops
from turnback.assess.signs_outputs_flight import STEADY, Seen
from turnback.assess.signs_outputs_ring import ringing_of
from turnback.assess.signs_outputs_tell import Telling, needing
from turnback.records.channel import RATE_DEMANDS, RATES
from turnback.records.happened import Event, EventKind, WhyNot
from turnback.rules.record_motion import RATE_LEAST
from turnback.rules.record_signs_motion import ANSWERS_LATE, OVERSHOOT, SWINGS_LATE

Floats = NDArray[np.float64]
FOLLOWS, OVERSHOOTS, LATE = "follows-its-pilot-to-the-end", "rates-overshoot", "rates-answer-late"
HALF: Final = 0.5
NEVER_S: Final = 0.5
FIT_HZ: Final = 200.0
LEAST_HZ: Final = 80.0
SEGMENT_S: Final = 2.0
LEAST_SEGMENTS: Final = 10
FEW_SEGMENTS: Final = 4
LITTLE_RAD_S: Final = 0.1
SETTLES_AT: Final = 0.85
LITTLE_TIMES: Final = 1.25
RESPONSE_S: Final = 0.5
SETTLED_S: Final = (0.3, 0.5)
ASKS_RAD_S: Final = 0.25
NOISE: Final = 0.01
TOP_HZ: Final = 30.0
END_S: Final = 0.1  # of the end itself: the blow may already be in it
HARD_SURE: Final = 0.88
SOME_SHARE, SHAKES_RAD_S = 0.3, 0.5
LIFT_S: Final = 0.3
AGREES: Final = 0.85
RINGING_SURE: Final = 0.55  # what rings faster than `TOP_HZ` hides whether it runs past


def to_the_end(seen: Seen, tell: Telling) -> None:
    """Tell how it answers."""
    _follows(seen, tell)
    stops(seen, tell)
    _overshoots(before_spin(seen), tell)


def _follows(seen: Seen, tell: Telling) -> None:
    """Tell whether it turned as asked until the flight ended."""
    told = tuple(axis for axis in seen.axes.values() if axis.demand is not None)
    if not told:
        follows_slow(seen, tell)
        return
    if min(axis.fresh_hz for axis in told) < 0.99 * RATE_LEAST.value:
        tell.missed(WhyNot.TOO_SLOW, FOLLOWS)
        return
    stretch = last_stretch(seen)
    if stretch is None:
        tell.missed(WhyNot.NOT_ALOFT, FOLLOWS)
        return
    flown = stretch.flown(seen)
    long_enough = stretch.end_s - stretch.start_s >= SEGMENT_S
    found = follows(told, flown) if stretch.sound and long_enough else []
    if not found and stretch.sound:  # to the end of a whole span, fall or not
        found = [each for each in seen.events(EventKind.FOLLOWS_DEMAND) if each.end_s >= stretch.end_s]
    found = [each for each in found if _as_asked(each)]
    if not found and stretch.sound and long_enough:  # a sound aircraft may shake, and follow all the same
        found = [each for each in follows(calmed(told), flown) if _as_asked(each)]
    hard = None
    if not found and stretch.caught and long_enough:
        hard = follows_hard(told, flown, stretch.end_s - END_S)
    if not found and hard is None and not long_enough:
        tell.missed(WhyNot.TOO_SHORT, FOLLOWS)
        return
    values = dict(found[0].values) if found else {}
    if hard is not None:
        values = {"explained_share": hard}
    sure = HARD_SURE if hard is not None else 0.93 if found else 0.9
    tell.told(
        FOLLOWS, "rates in flight", bool(found) or hard is not None, sure, span=(stretch.start_s, stretch.end_s),
        values=values, channels=tuple(axis.rate.channel for axis in told),
    )  # fmt: skip


def _as_asked(followed: Event) -> bool:
    """Tell whether it turned as asked all along: who turns much, and little of it so, only ends in quiet."""
    values = followed.values
    return values["explained_share"] >= SOME_SHARE or values["error_rad_s"] < SHAKES_RAD_S


def _overshoots(seen: Seen, tell: Telling) -> None:
    """Tell whether the rates run past what is asked and come back."""
    axes = [axis for name in ("roll", "pitch") for axis in (seen.axes.get(name),)
            if axis is not None and axis.demand is not None]  # fmt: skip
    if not axes:
        tell.missed(WhyNot.NO_CHANNEL, OVERSHOOTS, LATE, needs=needing(*RATES[:2], *RATE_DEMANDS[:2]))
        return
    if min(axis.fresh_hz for axis in axes) < LEAST_HZ:
        tell.missed(WhyNot.TOO_SLOW, OVERSHOOTS, LATE)
        return
    swings = _swings(seen, axes, tell)
    spans = [span for span in seen.steady(*STEADY) if span[1] - span[0] >= SEGMENT_S]
    answers = [each for each in (step_answer(axis, spans) for axis in axes) if each is not None]
    if not answers:
        flown = seen.looked.answer.flown
        tell.missed(WhyNot.LOAD_TOO_STEADY if flown.aloft() else WhyNot.NOT_ALOFT, OVERSHOOTS, LATE)
        return
    span = (spans[0][0], spans[-1][1])
    channels = tuple(axis.rate.channel for axis in axes)
    late_s = min(each.half_s for each in answers)
    score = max(late_s, 0.01) / ANSWERS_LATE.value
    if score > swings or score < AGREES:  # a whole flight of quick answers outweighs a few seconds
        tell.scored(
            LATE, "rates in flight", score, most=0.95, span=span, channels=channels,
            values={"late_s": late_s, "limit_s": ANSWERS_LATE.value},
        )  # fmt: skip
    found = [(each.overshoot, each.limit) for each in answers if each.overshoot is not None]
    if not found:
        tell.missed(WhyNot.LOAD_TOO_STEADY, OVERSHOOTS)
        return
    most, limit = max(found, key=lambda each: each[0] / each[1])
    rings = None if most >= limit or seen.outputs is None else ringing_of(seen.outputs, spans, seen.speeds)
    sure = RINGING_SURE if rings is not None and rings.drowns else 0.93
    tell.scored(
        OVERSHOOTS, "rates in flight", max(most, 0.01) / limit, most=sure, span=span, channels=channels,
        values={"overshoot_share": most, "limit_share": limit},
    )  # fmt: skip


def _swings(seen: Seen, axes: list[Axis], tell: Telling) -> float:
    """Tell that it answers late where it swings, also after it ran away; return how far beyond the limit, or 0."""
    spans = seen.looked.answer.flown.aloft()
    span = (spans[0][0] + LIFT_S, min(seen.ended_s - END_S, spins_s(seen))) if spans else (0.0, 0.0)
    late_s = swings_late(axes, *span)
    if late_s is None or late_s < SWINGS_LATE.value:
        return 0.0
    tell.scored(
        LATE, "rates in flight", late_s / SWINGS_LATE.value, most=0.95, span=span,
        values={"late_s": late_s, "limit_s": SWINGS_LATE.value}, channels=tuple(axis.rate.channel for axis in axes),
    )  # fmt: skip
    return late_s / SWINGS_LATE.value


@dataclass(frozen=True, slots=True)
class StepAnswer:
    """How an axis answers a step of its demand.

    Parameters
    ----------
    half_s : float
        Until half of what is asked is flown; `NEVER_S` where it is not within that.
    overshoot : float or None
        By what share it runs past where it settles; None where little is asked, or it hardly answers.
    asked_rad_s : float
        Root mean square of the demand.
    """

    half_s: float
    overshoot: float | None
    asked_rad_s: float

    @property
    def limit(self) -> float:
        """How far past is too far; more where little was asked."""
        return OVERSHOOT.value * (1.0 if self.asked_rad_s >= ASKS_RAD_S else LITTLE_TIMES)


def step_answer(axis: Axis, spans: list[tuple[float, float]]) -> StepAnswer | None:
    """Return how an axis answers a step of its demand; None where too little is asked to say.

    Notes
    -----
    The answer to a step is the sum of the impulse response, which is the cross spectrum of rate and demand over the
    demand's own, averaged over half-overlapping segments (Bendat and Piersol, Random Data, section 6.1: from memory),
    with a share of the highest demand added below and frequencies above `TOP_HZ` faded out.
    """
    few = max(1, round(axis.rate.rate_hz / FIT_HZ))
    rate_hz = axis.rate.rate_hz / few
    size = round(SEGMENT_S * rate_hz)
    window = np.hanning(size)
    asked: list[NDArray[np.complex128]] = []
    turned: list[NDArray[np.complex128]] = []
    for span in spans:
        rows = rows_between(axis.t_s, *span)
        parts = [_thinned(each[rows], few) for each in (np.asarray(axis.demand), axis.rate.values)]
        if parts[0].size < size:
            continue
        for kept, part in zip((asked, turned), parts, strict=True):
            segments = np.lib.stride_tricks.sliding_window_view(part, size)[:: size // 2]
            kept.append(np.fft.rfft((segments - segments.mean(axis=1, keepdims=True)) * window, axis=1))
    if not asked:
        return None
    x, y = np.concatenate(asked), np.concatenate(turned)
    each_rms = np.sqrt(2.0 * (np.abs(x) ** 2).sum(axis=1) / (size * float(window @ window)))
    rms = float(np.sqrt(np.mean(each_rms**2)))
    if len(x) < FEW_SEGMENTS or rms < LITTLE_RAD_S:
        return None
    lead = round(0.05 * rate_hz)
    step = _step(x, y, size, rate_hz)
    settled = float(step[lead + round(SETTLED_S[0] * rate_hz) : lead + round(SETTLED_S[1] * rate_hz)].mean())
    # each segment counts alike: else a moment without a rotor, when much is asked, would stand for the flight
    some = each_rms >= LITTLE_RAD_S
    if int(some.sum()) >= FEW_SEGMENTS:
        x, y = x[some] / each_rms[some, None], y[some] / each_rms[some, None]
    up = np.flatnonzero(_step(x, y, size, rate_hz)[lead:] >= HALF)
    enough = len(each_rms) >= LEAST_SEGMENTS and settled >= (HALF if rms >= ASKS_RAD_S else SETTLES_AT)
    return StepAnswer(
        float(up[0]) / rate_hz if up.size else NEVER_S, float(step.max()) / settled - 1.0 if enough else None, rms
    )


def _step(x: NDArray[Any], y: NDArray[Any], size: int, rate_hz: float) -> Floats:
    """Return the answer to a step from a twentieth of a second before it, of spectra by segment."""
    power = (np.abs(x) ** 2).mean(axis=0)
    fade = np.exp(-((np.fft.rfftfreq(size, 1.0 / rate_hz) / TOP_HZ) ** 2))
    response = np.fft.irfft((np.conj(x) * y).mean(axis=0) / (power + NOISE * power.max()) * fade, size)
    return np.asarray(np.cumsum(np.r_[response[-round(0.05 * rate_hz) :], response[: round(RESPONSE_S * rate_hz)]]))


def overshoot(axis: Axis, spans: list[tuple[float, float]]) -> float | None:
    """Return by what share the answer to a step runs past where it settles; None where little is asked."""
    found = step_answer(axis, spans)
    return None if found is None else found.overshoot


def _thinned(values: NDArray[Any], few: int) -> Floats:
    """Return means of a few rows."""
    count = values.size // few
    return np.asarray(values[: count * few].reshape(count, few).mean(axis=1), np.float64)
