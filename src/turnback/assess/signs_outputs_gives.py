"""A corner that gives way: its output runs to the end, or far up, while it turns toward it, though nobody asks."""

from __future__ import annotations

from typing import Any, Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from turnback.assess.motion_axes import Axis, highest_lately
from turnback.assess.output_events_balance import ONE
from turnback.assess.signals import rows_between, spans_where
from turnback.assess.signs_motion_end import struck_s
from turnback.assess.signs_motion_spun import spins_s
from turnback.assess.signs_outputs_before import HARD, OPENS, asked_before, spins_up
from turnback.assess.signs_outputs_flight import Seen, smoothed
from turnback.assess.signs_outputs_tell import Telling, needing
from turnback.records.channel import RATE_DEMANDS, RATES, Quantity
from turnback.records.happened import Event, EventKind, WhyNot
from turnback.rules.record_motion import LATELY
from turnback.rules.record_signs_gives import GIVES_ABOVE_LOW, GIVES_FAR, GIVES_FAST, GIVES_TIMES
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


class Gives(NamedTuple):
    """By how much it turns toward a corner that should lift it there, and when."""

    turned_rad: float
    place: int
    first_s: float
    last_s: float


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
    found, limit_rad = _most_of(seen, axes, spans), GIVES_WAY.value
    if found.turned_rad < limit_rad:
        stepped = _stepped(seen, spans[0][0], end_s)
        if stepped is not None:
            _for_good(seen, stepped, tell)
            return
        spun_s = spins_s(seen)  # a turning body swings across its axis by itself, and the loop fights that
        far = _most_of(seen, axes, [(a, min(b, spun_s)) for a, b in spans], full=False)
        if far.turned_rad / GIVES_FAR.value > found.turned_rad / limit_rad:
            found, limit_rad = far, GIVES_FAR.value
    channels = (outputs.channels[found.place],)
    values = {"turned_rad": found.turned_rad, "limit_rad": limit_rad, "duration_s": found.last_s - found.first_s}
    span = (found.first_s, found.last_s)
    if not tell.scored(GIVES, GROUP, max(found.turned_rad, 0.02) / limit_rad, most=0.97, span=span, values=values,
                       channels=channels):  # fmt: skip
        tell.missed(WhyNot.LOAD_TOO_STEADY, AGAIN, OPENS, HARD)
        return
    _again(seen, found.place, found.last_s, tell)
    asked_before(seen, found.first_s, GROUP, tell)
    spins_up(seen, found.place, span, tell)


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


def _most_of(seen: Seen, axes: list[Axis], spans: list[tuple[float, float]], *, full: bool = True) -> Gives:
    """Return what turns it most toward a corner."""
    return max((_most(seen, axes, span, full=full) for span in spans), key=lambda each: each.turned_rad)


def _most(seen: Seen, axes: list[Axis], span: tuple[float, float], *, full: bool) -> Gives:
    """Return by how much it turns toward a corner that gives all it has, which corner that is, from when to when.

    Notes
    -----
    Not `full`: toward a corner that gives far more than the others, and fast. The loop does not drive every corner to
    its end before that answers again.
    """
    outputs = seen.outputs
    best = Gives(0.0, 0, span[0], span[0])
    if outputs is None:
        return best
    rows = rows_between(outputs.t_s, *span)
    t_s = outputs.t_s[rows]
    if t_s.size < 3:
        return best
    step_s = np.gradient(t_s)
    width = max(1, round(SMOOTH_S / float(np.median(step_s))))
    gives = _apart(np.stack([smoothed(values[rows], width) for values in outputs.values]), full)
    if not gives.any():
        return best
    turns = np.stack([_at(axis, axis.rate.values, t_s) for axis in axes])
    asked = np.stack([_at(axis, np.asarray(axis.demand), t_s) for axis in axes])
    lately = round(LATELY.value / float(np.median(step_s)))
    for place in np.flatnonzero(gives.any(axis=1)):
        toward = SIDES[place] @ turns
        wanted = highest_lately(SIDES[place] @ asked, lately)  # a hard reversal still turns as it was asked before
        untold = np.maximum(np.minimum(toward, toward - np.maximum(wanted, 0.0)), 0.0) * step_s
        for first, after in spans_where(gives[place], t_s, least_s=LEAST_S, bridge_s=BRIDGE_S):
            turned = float(untold[first:after].sum())
            slow = turned < GIVES_FAST.value * float(step_s[first:after].sum())
            if turned > best.turned_rad and (full or not slow):
                best = Gives(turned, int(place), float(t_s[first]), float(t_s[min(after, t_s.size - 1)]))
    return best


def _apart(out: Floats, full: bool) -> NDArray[np.bool_]:
    """Return where each corner gives all it has, or else far more than the others, shape (4, n).

    Notes
    -----
    Where all are asked for much, a corner that gives way shows by the one opposite it, which is taken back alone.
    """
    order = np.sort(out, axis=0)
    second = order[-2]
    above = out - (out.sum(axis=0) - out) / (len(out) - 1)
    alone = out - second >= GIVES_ALONE.value  # two corners at their ends hold a side up: that is no corner's fault
    far = (above >= GIVES_ABOVE.value) & alone
    if full:
        return np.asarray(far & (out >= GIVES_FULL.value))
    low = (above <= -GIVES_ABOVE.value) & (order[1] - out >= GIVES_ALONE.value)
    most = out >= np.maximum(second, GIVES_FULL.value)
    far |= low[::-1] & most  # the corners at the two ends of a diagonal mirror in their order
    return np.asarray(far | ((above >= GIVES_ABOVE_LOW.value) & (out >= GIVES_TIMES.value * second)))


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
    rows = rows_between(outputs.t_s, last_s + 0.5, seen.ended_s)
    later = [float(np.median(values[rows])) for values in outputs.values] if rows.stop > rows.start else []
    others = [each for k, each in enumerate(later) if k != place]
    again = bool(later) and later[place] < min(FALLS_BACK, float(np.mean(others)) + GIVES_ABOVE.value)
    tell.told(
        AGAIN, GROUP, again, NOT_SEEN, span=(last_s, seen.ended_s), values={"flown_s": left_s},
        channels=(outputs.channels[place],),
    )  # fmt: skip
