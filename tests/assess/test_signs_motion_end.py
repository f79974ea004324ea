"""Until when it was flown: a pilot who stops the motors aloft, a blow that throws it off, phases that come apart."""

from __future__ import annotations

from typing import Any

import numpy as np
from tests.assess.record_makers import flat, make_record

from turnback.assess.signs_motion import motion_signs
from turnback.assess.signs_motion_end import last_stretch, struck_s
from turnback.assess.signs_outputs_flight import seen_of
from turnback.records.bench import At
from turnback.records.channel import RATE_DEMANDS, RATES, Channel, Quantity
from turnback.records.debrief import Looked
from turnback.records.happened import Event, EventKind, Flown, PhaseKind, RecordAnswer

HZ, END_S, CLOSED_S, HITS_S = 200.0, 30.0, 24.0, 26.5
FOLLOWS = "follows-its-pilot-to-the-end"
PHASES = (flat(PhaseKind.GROUND, 0.0, 3.0), flat(PhaseKind.CRUISE, 3.0, 22.0), flat(PhaseKind.GROUND, 22.0, HITS_S),
          flat(PhaseKind.FALL, HITS_S, 27.5), flat(PhaseKind.GROUND, 27.5, END_S))  # fmt: skip
TUMBLES = Event(EventKind.RATE_RUN_AWAY, HITS_S, 27.5, (), "record.motion.run_away_rad_s", {}, (), {"axis": "roll"})


def looked(*events: Event, closes: bool = True, leaves_s: float = np.inf, ended_s: float = 27.4) -> Looked:
    """Turning as asked up to the blow, or up to `leaves_s`; motors stopped by hand, or not, in what is no phase."""
    rng = np.random.default_rng(3)
    t_s = np.arange(0.0, END_S, 1.0 / HZ)
    up = (t_s > 3.0) & (t_s < (CLOSED_S if closes else HITS_S))
    made: dict[Channel | Quantity, tuple[Any, Any]] = {Quantity.THROTTLE: (t_s, np.where(up, 0.5, 0.0))}
    made |= {Channel(Quantity.OUTPUT, at): (t_s, np.where(up, 0.4, 0.05)) for at in At}
    for demand, rate in zip(RATE_DEMANDS, RATES, strict=True):
        knots_s = np.arange(0.0, END_S + 1.0, 0.8)
        asked = np.interp(t_s, knots_s, rng.normal(0.0, 1.0, knots_s.size)) * up
        turned = np.where((t_s > min(leaves_s, HITS_S)) & (t_s < 27.5), 20.0, asked) + rng.normal(0.0, 0.05, t_s.size)
        made[demand], made[rate] = (t_s, asked), (t_s, turned)
    return Looked(RecordAnswer(Flown(make_record(made), PHASES), events, (), ()), ended_s)


def told(flight: Looked) -> bool | None:
    return next((each.seen for each in motion_signs(flight).signs if each.sign == FOLLOWS), None)


def test_who_stops_the_motors_aloft_was_followed_until_then() -> None:
    flight = looked(TUMBLES)
    stretch = last_stretch(seen_of(flight))
    assert stretch is not None
    assert stretch.sound
    assert abs(stretch.end_s - CLOSED_S) < 0.02
    assert told(flight) is True


def test_what_leaves_its_demand_before_the_motors_are_stopped_was_not() -> None:
    runs = Event(EventKind.RATE_RUN_AWAY, 22.5, 27.5, (), "record.motion.run_away_rad_s", {}, (), {"axis": "roll"})
    assert told(looked(runs, leaves_s=22.5)) is False


def test_a_blow_that_throws_it_off_ends_it_and_another_does_not() -> None:
    blow = Event(EventKind.IMPACT, HITS_S + 0.03, HITS_S + 0.05, (), "record.motion.impact_mps2", {"peak_mps2": 200.0})
    flight = looked(TUMBLES, blow, closes=False)
    assert struck_s(seen_of(flight)) == HITS_S + 0.03
    assert told(flight) is True
    early = Event(EventKind.IMPACT, 10.0, 10.05, (), "record.motion.impact_mps2", {"peak_mps2": 200.0})
    assert struck_s(seen_of(looked(TUMBLES, early, closes=False))) is None
