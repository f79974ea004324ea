"""A pack that slides is told also shortly before the end and after a run-away; a dead rotor and a sway are no slide."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.assess.test_signs_outputs_motion import END_S, Made, sign

from turnback.assess.signs_outputs import output_signs
from turnback.records.happened import Event, EventKind

SIGN = "halves-step-in-flight"
FRONT = np.array([1.0, 1.0, -1.0, -1.0])
ONE = np.array([3.0, -1.0, -1.0, -1.0])


@pytest.mark.parametrize(
    "from_s, to_s, apart, seen",
    [
        (15.0, END_S, 0.1 * FRONT, True),
        (END_S - 2.5, END_S, 0.1 * FRONT, True),
        (15.0, 17.0, 0.1 * FRONT, False),  # it comes back: a turn, or a gust
        (15.0, END_S, 0.05 * ONE, False),  # one corner's own
        (END_S - 2.5, END_S, 0.3 * FRONT, False),  # no weight is so far off
    ],
)
def test_a_step_that_stays_is_a_weight_that_moved(from_s: float, to_s: float, apart: list[float], seen: bool) -> None:
    made = Made()
    made.out[:, made.rows(from_s, to_s)] += np.asarray(apart)[:, None]
    assert sign(output_signs(made.looked()), SIGN).seen is seen


@pytest.mark.parametrize(
    "kind, flies_on_s, hardly_sure",
    [
        (EventKind.RATE_RUN_AWAY, 0.6, True),
        (EventKind.RATE_RUN_AWAY, 4.0, False),
        (EventKind.ARM_SWITCH_OFF_ALOFT, 0.6, False),
    ],
)
def test_what_runs_away_and_comes_down_at_once_has_no_time_to_show_a_step(
    kind: EventKind, flies_on_s: float, hardly_sure: bool
) -> None:
    looked = Made().looked(ended_s=20.0)
    away_s = 20.0 - flies_on_s
    runs = Event(kind, away_s, 20.0, (), "record.motion.run_away_rad_s", {}, (), {"axis": "roll"})
    told = sign(output_signs(replace(looked, answer=replace(looked.answer, events=(runs,)))), SIGN)
    assert not told.seen
    assert (told.sure < 0.75) is hardly_sure
