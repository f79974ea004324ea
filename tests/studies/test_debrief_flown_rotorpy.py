"""What somebody would notice of the second generator's flights, where it is known beforehand."""

from __future__ import annotations

import numpy as np
from studies.debrief_flown import noticed, rotorpy_cases
from studies.debrief_flown.noticed import Trouble
from studies.debrief_flown.rotorpy_faults_away import aboard, interference
from studies.debrief_flown.rotorpy_flight import PLACE
from studies.debrief_flown.rotorpy_link import Radio
from studies.debrief_flown.rotorpy_world import Wrong, draw_build, draw_way


def test_a_reversed_stick_brings_it_down_within_seconds_and_every_kit_has_the_same_flight() -> None:
    full, track = (rotorpy_cases.fly_cause(9_100_010, "stick-reversed", kit) for kit in ("full", "track"))
    true = full.facts["true"]
    assert {Trouble.DOWN, Trouble.DISOBEYS} <= set(true["troubles"])
    assert true["crashed_s"] < 15.0
    assert true == track.facts["true"]


def test_a_sound_flight_has_no_trouble_and_is_flown_once() -> None:
    true = rotorpy_cases.fly_cause(9_100_001, None, "track").facts["true"]
    assert true["troubles"] == ()
    assert true["tries"] == 1


def test_what_stands_in_the_way_of_a_low_return_strikes_hard() -> None:
    flight, log, _, _ = rotorpy_cases._fly(9_100_001, "return-height-too-low", 0)
    row = round(flight.wrong.notes["struck_s"] / 0.005)
    before, after = (float(np.hypot(log[at, PLACE["v_north"]], log[at, PLACE["v_west"]])) for at in (row, row + 2))
    assert before > noticed.HARD_MPS
    assert after < 0.4 * before
    assert np.abs(log[row : row + 5, PLACE["az"]]).max() > 40.0  # about four times its weight, beside its own


def test_only_noise_aboard_grows_with_the_aircrafts_own_current() -> None:
    lost = []
    for fault in (interference, aboard):
        rng = np.random.default_rng(9_100_003)
        build, way, wrong = draw_build(rng), draw_way(rng), Wrong()
        fault(rng, build, way, wrong)
        tick = round(50.0 * (wrong.notes["spells"][0][0] + 0.5 if "spells" in wrong.notes else 10.0))
        radio = Radio(build, wrong, rng, 4000)
        hover = build.watt_hover / (3.8 * build.cells)
        low, high = (radio.hear(tick, (30.0, 0.0, 10.0), (-1.0, 0.0, 0.0), k * hover).quality for k in (0.5, 2.0))
        lost.append(low - high)
    assert lost[0] == 0.0
    assert lost[1] > 0.2
