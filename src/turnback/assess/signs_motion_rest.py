"""What acceleration and turning rates tell of it on the ground: gravity, and hands that carry it while it is armed."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.signals import held_at, rows_between, spans_where
from turnback.assess.signs_outputs_flight import Seen, leaning_rate
from turnback.assess.signs_outputs_tell import Telling, needing, sure_of
from turnback.records.channel import ACCELERATIONS, RATES, Quantity
from turnback.records.flight_record import SenseBy, Series
from turnback.records.happened import PhaseKind, WhyNot
from turnback.rules.record_signs_motion import AT_REST_LEAN, AT_REST_WRONG, HANDLED, LIFT_QUIET, LIFT_RATE

GRAVITY, LEANS, CARRIED = "gravity-wrong-at-rest", "leans-at-rest", "carried-while-armed"
OF_REST = (GRAVITY, LEANS)
G_MPS2: Final = 9.80665
G_OFF: Final = 0.15
LEAST_S: Final = 0.3
REST_S: Final = 0.1
STILL_MPS2: Final = 1.5
MENDED: Final = 0.7
AFTER_FLIGHT_S: Final = 3.0
HANDLED_S: Final = 1.5
FAST_RAD_S: Final = 9.0
RUNS: Final = 0.01
GROUND: Final = (PhaseKind.GROUND, PhaseKind.ARMED_ON_GROUND, PhaseKind.CARRIED, PhaseKind.BENCH, PhaseKind.UNKNOWN)


def at_rest(seen: Seen, tell: Telling) -> None:
    """Tell what it shows on the ground."""
    _gravity(seen, tell)
    _carried(seen, tell)


def _rest(seen: Seen) -> list[tuple[float, float]]:
    """Return spans on the ground before the first run-up, or before it tumbles; the whole record where it never flew.

    How it lies after a tumble says nothing about how it stood, also where the record begins with motors run up.
    """
    first = [each for each in seen.looked.answer.flown.phases
             if each.kind in (PhaseKind.GROUND, PhaseKind.ARMED_ON_GROUND)]  # fmt: skip
    spans = seen.looked.answer.flown.aloft()
    up_s = seen.lift.up_s if seen.lift is not None else min(spans[0][0] if spans else np.inf, _tumbles_s(seen))
    return [(each.start_s, min(each.end_s, up_s - REST_S)) for each in first if each.start_s < up_s - REST_S]


def _tumbles_s(seen: Seen) -> float:
    """Return when it was last quiet before it first turned fast; infinity where it never did."""
    found = leaning_rate(seen.axes, 0.0, seen.ended_s)
    fast = np.empty(0, np.intp) if found is None else np.flatnonzero(found[1] >= LIFT_RATE.value)
    if found is None or not fast.size:
        return np.inf
    quiet = np.flatnonzero(found[1][: fast[0]] < LIFT_QUIET.value)
    return float(found[0][quiet[-1] if quiet.size else 0])


def _gravity(seen: Seen, tell: Telling) -> None:
    """Tell whether the measured acceleration points straight up as it stands."""
    axes = [each for each in map(seen.record.get, ACCELERATIONS) if each is not None]
    spans = _rest(seen)
    if len(axes) < len(ACCELERATIONS):
        _by_angles(seen, spans, tell)
        return
    if sum(b - a for a, b in spans) < LEAST_S:
        tell.missed(WhyNot.TOO_SHORT, *OF_REST)
        return
    parts = [np.concatenate([each.values[rows_between(each.t_s, *span)] for span in spans]) for each in axes]
    if min(part.size for part in parts) < 3:
        tell.missed(WhyNot.TOO_SHORT, *OF_REST)
        return
    force = np.array([float(np.median(part)) for part in parts])
    size = float(np.linalg.norm(force))
    restless = max(float(np.median(np.abs(part - middle))) for part, middle in zip(parts, force, strict=True))
    if abs(size / G_MPS2 - 1.0) > G_OFF or restless > STILL_MPS2:
        tell.missed(WhyNot.TOO_SHORT, *OF_REST)
        return
    lean = float(np.arccos(np.clip(-force[2] / size, -1.0, 1.0)))
    by = {each.by for each in seen.record.senses if each.channel.quantity in ACCELERATIONS}
    mended = SenseBy.GRAVITY in by or SenseBy.ASSUMED in by
    shown = _shown(seen, spans)
    values = {"lean_rad": lean, "shown_rad": shown}
    _leans(tell, max(lean, shown), MENDED if mended else 0.97, spans, axes, values)


def _leans(
    tell: Telling, lean_rad: float, most: float, spans: list[tuple[float, float]], axes: list[Series],
    values: dict[str, float],
) -> None:  # fmt: skip
    """Tell a lean of some degrees, which is a level to be set, apart from a sensor that stands wrong or on its head."""
    wrong, off = lean_rad / AT_REST_WRONG.value, lean_rad / AT_REST_LEAN.value
    span, channels = (spans[0][0], spans[-1][1]), tuple(each.channel for each in axes)
    for sign, seen, score, limit in (
        (GRAVITY, wrong >= 1.0, wrong, AT_REST_WRONG), (LEANS, off >= 1.0 > wrong, off, AT_REST_LEAN),
    ):  # fmt: skip
        sure = 0.97 if lean_rad >= AT_REST_WRONG.value else sure_of(max(score, 1e-3), 0.97 if off >= 1.0 else most)
        tell.told(
            sign, "acceleration at rest", seen, sure, span=span, channels=channels,
            values={**values, "limit_rad": limit.value},
        )  # fmt: skip


def _by_angles(seen: Seen, spans: list[tuple[float, float]], tell: Telling) -> None:
    """Tell whether the angles, which gravity is behind as it stands, are level; for records without acceleration."""
    found = [each for each in map(seen.record.get, (Quantity.ROLL, Quantity.PITCH)) if each is not None]
    if len(found) < 2:
        tell.missed(WhyNot.NO_CHANNEL, *OF_REST, needs=needing(*ACCELERATIONS))
        return
    if sum(b - a for a, b in spans) < LEAST_S or min(_rows(each, spans) for each in found) < 3:
        tell.missed(WhyNot.TOO_SHORT, *OF_REST)
        return
    shown = _shown(seen, spans)
    _leans(tell, shown, 0.95, spans, found, {"shown_rad": shown})


def _rows(series: Series, spans: list[tuple[float, float]]) -> int:
    """Return how many rows lie in some spans."""
    return sum(rows_between(series.t_s, *span).stop - rows_between(series.t_s, *span).start for span in spans)


def _shown(seen: Seen, spans: list[tuple[float, float]]) -> float:
    """Return how far its angles lean as it stands; 0 where they are not recorded."""
    found = [each for each in map(seen.record.get, (Quantity.ROLL, Quantity.PITCH)) if each is not None]
    lean = [np.concatenate([each.values[rows_between(each.t_s, *span)] for span in spans]) for each in found]
    if len(lean) < 2 or min(part.size for part in lean) < 3:
        return 0.0
    roll, pitch = (float(np.median(part)) for part in lean)
    return float(np.arccos(np.clip(np.cos(roll) * np.cos(pitch), -1.0, 1.0)))


def _carried(seen: Seen, tell: Telling) -> None:
    """Tell whether it is turned to and fro on the ground while its motors may start."""
    if not {"roll", "pitch"} <= set(seen.axes):
        tell.missed(WhyNot.NO_CHANNEL, CARRIED, needs=needing(*RATES))
        return
    armed = seen.record.get(Quantity.ARMED)
    if armed is None and seen.outputs is None:
        tell.missed(WhyNot.NO_CHANNEL, CARRIED, needs=needing(Quantity.ARMED))
        return
    flown = seen.looked.answer.flown
    tumbled_s = seen.lift.turned_s if seen.lift is not None and seen.lift.turned_s is not None else np.inf
    held_s, level, where = 0.0, 0.0, (0.0, 0.0)
    for phase in flown.phases:
        late = any(phase.start_s - AFTER_FLIGHT_S < end_s <= phase.start_s + 0.1 for _, end_s in flown.aloft())
        start_s = phase.start_s + (AFTER_FLIGHT_S if late else 0.0)
        if phase.kind not in GROUND or start_s >= min(phase.end_s, tumbled_s):
            continue
        found = leaning_rate(seen.axes, start_s, min(phase.end_s, tumbled_s - 0.5))
        if found is None:
            continue
        t_s, rate = found
        if armed is not None:
            on = held_at(armed.t_s, armed.values, t_s) > 0.5
        elif seen.outputs is not None:
            on = held_at(seen.outputs.t_s, np.max(seen.outputs.values, axis=0), t_s) > RUNS
        moving = on & (rate > HANDLED.value) & (rate < FAST_RAD_S)
        level = max(level, float(np.quantile(rate[on], 0.9)) if on.any() else 0.0)
        for first, after in spans_where(moving, t_s, bridge_s=0.4):
            length_s = float(t_s[min(after, t_s.size - 1)] - t_s[first]) * float(moving[first:after].mean() > 0.5)
            if length_s > held_s:
                held_s, where = length_s, (float(t_s[first]), float(t_s[min(after, t_s.size - 1)]))
    score = max(held_s / HANDLED_S, 0.05)
    tell.scored(
        CARRIED, "rates on the ground", score, most=0.95, span=where,
        values={"held_s": held_s, "rate_rad_s": level, "limit_rad_s": HANDLED.value},
        channels=tuple(seen.axes[name].rate.channel for name in ("roll", "pitch")),
    )  # fmt: skip
