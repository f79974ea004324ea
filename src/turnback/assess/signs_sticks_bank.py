"""Rate mode flown as one flies self-level: let go of in a bank that stays, or held part-way until it lies over."""

from __future__ import annotations

import re
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from turnback.assess.link_events_parts import Floats, inside, spans_looked_at, thinned
from turnback.assess.signals import spans_where
from turnback.assess.signs_link_parts import Teller, first_upset_s, lost_links
from turnback.assess.signs_sticks_return import returns_of
from turnback.records.channel import Quantity
from turnback.records.debrief import Looked
from turnback.records.flight_record import Series
from turnback.records.happened import EventKind, PhaseKind, WhyNot
from turnback.rules.record_signs_sticks import (
    BANK_DEG,
    HELD_OVER_DEG,
    HELD_OVER_S,
    HELD_STEADY,
    LET_GO,
    LET_GO_S,
    REACTION_STICK,
    WORSE_OVER_DEG,
)

SIGN: Final = "bank-stays-with-sticks-let-go"
NAMES: Final = (Quantity.ROLL_STICK, Quantity.PITCH_STICK, Quantity.ROLL, Quantity.PITCH)
FRAME_HZ: Final = 20.0
LET_GO_FROM: Final = 0.25
LAY_OVER_S: Final = 1.0
BANK_LATE_S: Final = 4.0
AFTER_S: Final = 1.2
"""What lies over is soon taken for lying on the ground: looked at a moment longer."""
UPSET_S: Final = 0.3
LEAD_ROWS: Final = 4
LEANS_DEG: Final = 55.0
TURNS_DEG: Final = 45.0
CATCHES_S: Final = 6.0
ELSEWHERE: Final = 0.01
"""Share of the rest of the flight in which it lies as far over: who flies like that means it."""
RATE_WORDS: Final = frozenset({"rate", "rates", "manual", "drehrate", "drehraten", "manuell", "manuel", "tasa"})
LEVEL_PARTS: Final = ("level", "ausgleich", "stabil", "angle", "neigung", "winkel")


class _Flown(NamedTuple):
    """Sticks and angles at `FRAME_HZ`: `stick` and `angle`, rad, have a row for roll and one for pitch."""

    t_s: Floats
    stick: Floats
    angle: Floats
    tilt_deg: Floats
    by_hand: NDArray[np.bool_]
    aloft: NDArray[np.bool_]
    upset_s: float


class _Seen(NamedTuple):
    """How far beyond the limit, when, for how long, and how far over it was."""

    beyond: float
    span: tuple[float, float] | None
    held_s: float
    tilt_deg: float


def named_modes(mode: Series | None) -> tuple[list[int], list[int]]:
    """Return the places of mode names that say rate mode, and that say a self-level one.

    Parameters
    ----------
    mode : Series or None
    """
    labels = () if mode is None else mode.labels
    rate = [place for place, label in enumerate(labels) if RATE_WORDS & set(re.findall(r"[^\W\d_]+", label.lower()))]
    level = [place for place, label in enumerate(labels) if any(part in label.lower() for part in LEVEL_PARTS)]
    return rate, [each for each in level if each not in rate]


def tell_bank(looked: Looked, teller: Teller) -> None:
    """Tell whether it is flown in rate mode as if it levelled itself.

    Either roll and pitch sticks are let go in a bank, further over than it flies else, and the bank stays; or a stick
    is held part-way, as one holds a lean with self-level, and it turns right over under it.

    Parameters
    ----------
    looked : Looked
    teller : Teller
    """
    record = looked.answer.flown.record
    known = [each for each in map(record.get, NAMES) if each is not None and each.t_s.size > 20]
    if len(known) < len(NAMES):
        teller.cannot(SIGN, WhyNot.NO_CHANNEL, *NAMES)
        return
    if min(each.rate_hz for each in known) < 4.0:
        teller.cannot(SIGN, WhyNot.TOO_SLOW, *NAMES[:2])
        return
    flown = _flown(looked, known)
    if np.count_nonzero(flown.aloft) < 20:
        teller.cannot(SIGN, WhyNot.TOO_SHORT)
        return
    trouble_s = began_s(looked)
    best = max(_let_go(flown, trouble_s), _held_over(looked, flown), key=lambda each: each.beyond)
    beyond = best.beyond
    mode = record.get(Quantity.MODE)
    level = named_modes(mode)[1]
    if beyond > 0.0 and best.span is not None and mode is not None and level:
        rows = slice(*np.searchsorted(mode.t_s, best.span))
        if rows.stop > rows.start and float(np.isin(mode.values[rows], level).mean()) > 0.5:
            beyond = -0.8  # in self-level a bank that stays is another fault
    teller.by(SIGN, beyond, "sticks", span=best.span, most=0.96, channels=NAMES, held_s=best.held_s,
              tilt_deg=best.tilt_deg)  # fmt: skip


def _flown(looked: Looked, known: list[Series]) -> _Flown:
    t_s, roll_stick = thinned(known[0], FRAME_HZ)
    pitch_stick = np.interp(t_s, *thinned(known[1], FRAME_HZ))
    roll, pitch = (np.interp(t_s, each.t_s, np.unwrap(each.values)) for each in known[2:])
    upset_s = first_upset_s(looked, frozenset({EventKind.FREE_FALL, EventKind.IMPACT}))
    by_hand = ~inside(t_s, [(each.start_s - 1.0, each.end_s) for each in lost_links(looked)])
    by_hand &= ~inside(t_s, returns_of(looked) or [])
    aloft = inside(t_s, spans_looked_at(looked.answer.flown)) & (t_s <= min(looked.ended_s, upset_s)) & by_hand
    tilt_deg = np.degrees(np.arccos(np.clip(np.cos(roll) * np.cos(pitch), -1.0, 1.0)))
    return _Flown(t_s, np.stack([roll_stick, pitch_stick]), np.stack([roll, pitch]), tilt_deg, by_hand, aloft, upset_s)


def _let_go(flown: _Flown, trouble_s: float | None) -> _Seen:
    """Return the longest bank that stays with both sticks let go, just before the trouble or further over than else.

    Who flies in rate mode lets go with a bank all the time: only what leaves the flight's own usual tilt counts. Far
    over, as nowhere else in the flight, it counts also where it was caught and flown on.
    """
    t_s, tilt_deg = flown.t_s, flown.tilt_deg
    out = np.abs(flown.stick).max(axis=0)
    usual_deg = float(np.percentile(tilt_deg[flown.aloft], 75.0))
    free = flown.aloft & (out < LET_GO.value)
    held_s, span, least_deg = 0.0, None, 0.0
    for first, after in spans_where(free & (tilt_deg > max(BANK_DEG.value, 1.3 * usual_deg)), t_s, bridge_s=0.1):
        start_s, end_s = float(t_s[first]), float(t_s[after - 1])
        seen = tilt_deg[first:after]
        late = trouble_s is not None and trouble_s - end_s <= BANK_LATE_S
        if not late and not _nowhere_else(flown, start_s, float(np.median(seen))):
            continue
        came = out[max(0, int(first) - round(LET_GO_S.value * FRAME_HZ)) : int(first) + 1]
        # what comes upright by itself gets less by the moment; who cruises has let go long before, and a stick that
        # was thrown to its stop was no lean
        leant = LET_GO_FROM < float(came.max()) < REACTION_STICK.value
        if end_s - start_s > held_s and seen[-1] > 0.75 * seen[0] and leant:
            held_s, span, least_deg = end_s - start_s, (start_s, end_s), float(seen.min())
    return _Seen((held_s - LET_GO_S.value) / 0.25, span, held_s, least_deg)


def _nowhere_else(flown: _Flown, at_s: float, leans_deg: float) -> bool:
    """Tell whether it lies so far over, as nobody flies who has self-level in mind, and not elsewhere in the flight."""
    rest = flown.aloft & ((flown.t_s < at_s - 1.0) | (flown.t_s > at_s + CATCHES_S))
    over = flown.tilt_deg > WORSE_OVER_DEG.value
    return leans_deg > WORSE_OVER_DEG.value and float(np.mean(over[rest])) <= ELSEWHERE if rest.any() else False


def _held_over(looked: Looked, flown: _Flown) -> _Seen:
    """Return the longest that a stick is held part-way while it turns right over that way, just before the end.

    Only in a mode that is named a rate mode: elsewhere it did not turn as asked. Who rolls on purpose comes round and
    flies on.
    """
    mode = looked.answer.flown.record.get(Quantity.MODE)
    rate = named_modes(mode)[0]
    spans = spans_looked_at(looked.answer.flown)
    if mode is None or not rate or not spans:
        return _Seen(-2.0, None, 0.0, 0.0)
    t_s = flown.t_s
    in_rate = np.isin(mode.values[np.clip(np.searchsorted(mode.t_s, t_s, side="right") - 1, 0, None)], rate)
    looked_at = in_rate & flown.by_hand & (t_s > spans[0][0] + 1.0)
    looked_at &= t_s <= min(looked.ended_s + AFTER_S, flown.upset_s + UPSET_S)
    best = _Seen(-2.0, None, 0.0, 0.0)
    for axis in (0, 1):
        for way in (1.0, -1.0):
            out = way * flown.stick[axis]
            for a, b in spans_where(looked_at & (out > LET_GO_FROM) & (out < HELD_STEADY.value), t_s):
                steady = spans_where(np.abs(out[a:b] - float(np.median(out[a:b]))) < 0.1, t_s[a:b])
                if not len(steady):
                    continue
                first, after = max(((int(a + c), int(a + d)) for c, d in steady), key=lambda each: each[1] - each[0])
                held_s, over_deg = float(t_s[after - 1] - t_s[first]), _turned_over(flown, axis, way, first, after)
                if over_deg is None or looked.ended_s - float(t_s[after - 1]) > BANK_LATE_S or held_s <= best.held_s:
                    continue
                beyond = min((held_s - HELD_OVER_S.value) / 0.12, (over_deg - HELD_OVER_DEG.value) / 12.0)
                best = _Seen(beyond, (float(t_s[first]), float(t_s[after - 1])), held_s, over_deg)
    return best


def _turned_over(flown: _Flown, axis: int, way: float, first: int, after: int) -> float | None:
    """Return how far over it came under a stick that is held; None where it did not turn over the way of the stick."""
    lead = max(0, first - LEAD_ROWS)
    over_deg = flown.tilt_deg[lead : min(after + LEAD_ROWS, flown.t_s.size)]
    far = np.flatnonzero(over_deg > HELD_OVER_DEG.value)
    if over_deg[0] > LEANS_DEG or not far.size:
        return None
    steps = way * np.degrees(np.diff(flown.angle[axis, lead : lead + int(far[0]) + 1]))
    return float(over_deg.max()) if float(steps.sum()) > TURNS_DEG else None


def began_s(looked: Looked) -> float | None:
    """Return when the trouble began; None where the flight ended with a quiet landing.

    Parameters
    ----------
    looked : Looked
    """
    upset_s = first_upset_s(looked)
    if upset_s <= looked.ended_s:
        return upset_s
    phases = looked.answer.flown.phases
    rests = [each for each in phases if each.kind in {PhaseKind.GROUND, PhaseKind.ARMED_ON_GROUND}
             and abs(each.start_s - looked.ended_s) < 1.0]  # fmt: skip
    blows = [each for each in looked.answer.events if each.kind in {EventKind.IMPACT, EventKind.FREE_FALL}
             and each.start_s <= looked.ended_s + 0.5]  # fmt: skip
    return None if rests and not blows and not _lay_over(looked) else looked.ended_s


def _lay_over(looked: Looked) -> bool:
    """Tell whether it lay over a moment before it came to rest: nobody lands like that."""
    record = looked.answer.flown.record
    roll, pitch = record.get(Quantity.ROLL), record.get(Quantity.PITCH)
    if roll is None or pitch is None or min(roll.t_s.size, pitch.t_s.size) < 2:
        return False
    t_s = np.arange(looked.ended_s - LAY_OVER_S, looked.ended_s, 1.0 / FRAME_HZ)
    upright = np.cos(np.interp(t_s, roll.t_s, roll.values)) * np.cos(np.interp(t_s, pitch.t_s, pitch.values))
    return bool(upright.min() < np.cos(np.radians(WORSE_OVER_DEG.value)))
