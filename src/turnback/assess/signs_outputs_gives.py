"""A corner that gives way: its output runs to the end while the aircraft turns toward it, though nobody asks for it."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.motion_axes import Axis, highest_lately
from turnback.assess.output_events_balance import ONE
from turnback.assess.signals import rows_between, spans_where
from turnback.assess.signs_motion_end import struck_s
from turnback.assess.signs_outputs_before import HARD, OPENS, asked_before, spins_up
from turnback.assess.signs_outputs_flight import Seen, smoothed
from turnback.assess.signs_outputs_tell import Telling, needing
from turnback.records.channel import RATE_DEMANDS, RATES, Quantity
from turnback.records.happened import Event, EventKind, WhyNot
from turnback.rules.record_motion import LATELY
from turnback.rules.record_signs_outputs import GIVES_ABOVE, GIVES_ALONE, GIVES_APART, GIVES_FULL, GIVES_WAY

Floats = NDArray[np.float64]
GIVES, AGAIN = "corner-gives-way", "corner-answers-again"
OF_ALL: Final = (GIVES, AGAIN, OPENS, HARD)
GROUP: Final = "corner gives way"
AXES: Final = ("roll", "pitch")
SIDES: Final = np.array([(-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)]) / np.sqrt(2.0)
"""How roll to the right and pitch up turn toward each corner, in the order of `At`."""
SMOOTH_S: Final = 0.02
LEAST_HZ: Final = 50.0
AFTER_LIFT_S: Final = 3.0  # before that a corner may be fitted or declared wrongly
LEAST_S, BRIDGE_S = 0.03, 0.05
FLIES_ON_S: Final = 1.5
FALLS_BACK: Final = 0.8
NOT_SEEN: Final = 0.9
APART_TIMES: Final = 1.25  # the step itself stands out of the spread already


def gives_way(seen: Seen, tell: Telling) -> None:
    """Tell whether one corner gives way in flight, and whether it answers again."""
    outputs = seen.outputs
    if outputs is None or not outputs.corners_known():
        why = WhyNot.NO_CHANNEL if outputs is None else WhyNot.CORNERS_UNKNOWN
        tell.missed(why, *OF_ALL, needs=needing(Quantity.OUTPUT))
        return
    axes = [seen.axes[name] for name in AXES if name in seen.axes]
    if len(axes) < len(AXES) or any(axis.demand is None or not axis.same_way for axis in axes):
        tell.missed(WhyNot.NO_CHANNEL, *OF_ALL, needs=needing(*RATES[:2], *RATE_DEMANDS[:2]))
        return
    blow_s = struck_s(seen)  # after a blow that throws it off a corner may well give all it has
    end_s = seen.ended_s if blow_s is None else min(seen.ended_s, blow_s)
    spans = [(a + AFTER_LIFT_S, min(b, end_s)) for a, b in seen.looked.answer.flown.aloft()]
    spans = [(a, b) for a, b in spans if b - a >= 1.0]
    if not spans:
        tell.missed(WhyNot.TOO_SHORT, *OF_ALL)
        return
    if min(*(axis.fresh_hz for axis in axes), 1.0 / float(np.median(np.diff(outputs.t_s)))) < LEAST_HZ:
        tell.missed(WhyNot.TOO_SLOW, *OF_ALL)
        return
    most, place, first_s, last_s = max((_most(seen, axes, span) for span in spans), key=lambda each: each[0])
    stepped = _stepped(seen, spans[0][0], end_s)
    if most < GIVES_WAY.value and stepped is not None:
        _for_good(seen, stepped, tell)
        return
    channels = (outputs.channels[place],)
    values = {"turned_rad": most, "limit_rad": GIVES_WAY.value, "duration_s": last_s - first_s}
    span = (first_s, last_s)
    if not tell.scored(GIVES, GROUP, max(most, 0.02) / GIVES_WAY.value, most=0.97, span=span, values=values,
                       channels=channels):  # fmt: skip
        tell.missed(WhyNot.LOAD_TOO_STEADY, AGAIN, OPENS, HARD)
        return
    _again(seen, place, last_s, tell)
    asked_before(seen, first_s, GROUP, tell)
    spins_up(seen, place, (first_s, last_s), tell)


def _stepped(seen: Seen, after_s: float, until_s: float) -> Event | None:
    """Return the step after which one corner's output lies apart for good; None without one."""
    return next((each for each in seen.events(EventKind.IMBALANCE_STEP, until_s=until_s)
                 if each.start_s > after_s and each.words.get("pattern") == ONE
                 and each.values["most_share"] >= GIVES_APART.value), None)  # fmt: skip


def _for_good(seen: Seen, event: Event, tell: Telling) -> None:
    """Tell of a corner that lifts little from one moment on, and of which the others hold the level.

    Notes
    -----
    Which corner it is stays open: with no turn left to hold against, the opposite one may be what gives less.
    """
    share = event.values["most_share"]
    span = (event.start_s, event.end_s)
    tell.scored(
        GIVES, GROUP, share / GIVES_APART.value * APART_TIMES, most=0.95, span=span, channels=event.channels,
        values={"most_share": share, "limit_share": GIVES_APART.value},
    )  # fmt: skip
    tell.told(AGAIN, GROUP, False, NOT_SEEN, channels=event.channels)
    asked_before(seen, event.start_s, GROUP, tell)


def _most(seen: Seen, axes: list[Axis], span: tuple[float, float]) -> tuple[float, int, float, float]:
    """Return by how much it turns toward a corner that gives all it has, which corner that is, from when to when."""
    outputs = seen.outputs
    best = (0.0, 0, span[0], span[0])
    if outputs is None:
        return best
    rows = rows_between(outputs.t_s, *span)
    t_s = outputs.t_s[rows]
    if t_s.size < 3:
        return best
    step_s = np.gradient(t_s)
    width = max(1, round(SMOOTH_S / float(np.median(step_s))))
    out = np.stack([smoothed(values[rows], width) for values in outputs.values])
    order = np.sort(out, axis=0)
    above = out - (out.sum(axis=0) - out) / (len(out) - 1)
    alone = out - order[-2] >= GIVES_ALONE.value  # two corners at their ends hold a side up: that is no corner's fault
    lately = round(LATELY.value / float(np.median(step_s)))
    full = (out >= GIVES_FULL.value) & (above >= GIVES_ABOVE.value) & alone
    if not full.any():
        return best
    turns = np.stack([_at(axis, axis.rate.values, t_s) for axis in axes])
    asked = np.stack([_at(axis, np.asarray(axis.demand), t_s) for axis in axes])
    for place in np.flatnonzero(full.any(axis=1)):
        toward = SIDES[place] @ turns
        wanted = highest_lately(SIDES[place] @ asked, lately)  # a hard reversal still turns as it was asked before
        untold = np.maximum(np.minimum(toward, toward - np.maximum(wanted, 0.0)), 0.0) * step_s
        for first, after in spans_where(full[place], t_s, least_s=LEAST_S, bridge_s=BRIDGE_S):
            turned = float(untold[first:after].sum())
            if turned > best[0]:
                best = (turned, int(place), float(t_s[first]), float(t_s[min(after, t_s.size - 1)]))
    return best


def _at(axis: Axis, values: NDArray[Any], t_s: Floats) -> Floats:
    return np.asarray(np.interp(t_s, axis.t_s, values))


def _again(seen: Seen, place: int, last_s: float, tell: Telling) -> None:
    """Tell whether the corner gives less again while it flies on; only a while of flight can show it."""
    outputs = seen.outputs
    if outputs is None:
        return
    left_s = seen.ended_s - last_s
    if left_s < FLIES_ON_S:
        tell.told(AGAIN, GROUP, False, 0.8, channels=(outputs.channels[place],))
        return
    later = outputs.values[place][rows_between(outputs.t_s, last_s + 0.5, seen.ended_s)]
    again = later.size > 0 and float(np.median(later)) < FALLS_BACK
    tell.told(
        AGAIN, GROUP, again, NOT_SEEN, span=(last_s, seen.ended_s), values={"flown_s": left_s},
        channels=(outputs.channels[place],),
    )  # fmt: skip
