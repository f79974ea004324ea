"""A blow out of quiet flight: at height, over ground, or told by what comes after it; a landing, a fall, a bounce."""

from __future__ import annotations

from typing import Any

import numpy as np
from tests.assess.record_makers import flat, make_record

from turnback.assess.signs_motion_stops import STOPS, stops
from turnback.assess.signs_outputs_flight import seen_of
from turnback.assess.signs_outputs_tell import Telling
from turnback.records.bench import At
from turnback.records.channel import ACCELERATIONS, RATES, Channel, Quantity
from turnback.records.debrief import Looked
from turnback.records.happened import Event, EventKind, Flown, Phase, PhaseKind, RecordAnswer

HZ, END_S, BLOW_S = 200.0, 20.0, 12.0


def blow(start_s: float, peak_mps2: float) -> Event:
    """A blow as it is found without any speed."""
    return Event(EventKind.IMPACT, start_s, start_s + 0.02, (), "record.motion.made", {"peak_mps2": peak_mps2})


def seen(*blows: Event, height_m: float | None = None, falls: Phase | None = None, swings: float | None = None) -> bool:
    """Tell it of a quiet flight up to a blow; without a height as a board without a place records it."""
    t_s = np.arange(0.0, END_S, 1.0 / HZ)
    made: dict[Channel | Quantity, tuple[Any, Any]] = dict.fromkeys((*RATES, *ACCELERATIONS), (t_s, 0.05))
    if height_m is not None:
        made[Quantity.HEIGHT_LAUNCH] = (t_s, height_m)
    if swings is not None:
        made |= {Channel(Quantity.OUTPUT, at=at): (t_s, 0.4 + swings * np.sin(2.0 * np.pi * 25.0 * t_s)) for at in At}
    phases = [flat(PhaseKind.GROUND, 0.0, 3.0), flat(PhaseKind.CRUISE, 3.0, BLOW_S)]
    phases += [] if falls is None else [falls]
    phases.append(flat(PhaseKind.GROUND, BLOW_S + 3.0, END_S))
    tell = Telling()
    stops(seen_of(Looked(RecordAnswer(Flown(make_record(made), tuple(phases)), blows, (), ()), BLOW_S)), tell)
    return {each.sign: each for each in tell.all().signs}[STOPS].seen


def test_a_blow_high_up_and_one_by_the_ground() -> None:
    assert seen(blow(BLOW_S, 180.0), height_m=12.0)
    assert not seen(blow(BLOW_S, 180.0), height_m=0.5)
    assert not seen(height_m=12.0)


def test_the_ground_that_follows_tells_that_it_was_high() -> None:
    assert seen(blow(BLOW_S, 150.0), blow(BLOW_S + 1.8, 240.0))
    assert not seen(blow(BLOW_S, 150.0))
    assert not seen(blow(BLOW_S, 240.0), blow(BLOW_S + 1.8, 150.0))  # a bounce
    assert not seen(blow(BLOW_S, 150.0), blow(BLOW_S + 0.4, 240.0))  # from no height


def test_who_falls_strikes_the_ground_and_who_caught_it_flies_again() -> None:
    assert not seen(blow(BLOW_S, 180.0), height_m=12.0, falls=flat(PhaseKind.FALL, 11.0, BLOW_S))
    assert seen(blow(BLOW_S, 180.0), height_m=12.0, falls=flat(PhaseKind.FALL, 11.0, BLOW_S - 0.2))


def test_what_swings_by_itself_flies_into_something_too() -> None:
    assert seen(blow(BLOW_S, 180.0), height_m=12.0, swings=0.05)
    assert not seen(blow(BLOW_S, 180.0), height_m=12.0, swings=0.3)
