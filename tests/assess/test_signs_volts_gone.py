"""Volts that vanish in flight: a plug that opens, beside an empty pack, a blow, and a pack that is unplugged."""

from __future__ import annotations

import numpy as np
import pytest
from tests.assess.test_signs_volts import CELLS, Floats, _looked, _signs

from turnback.assess.signs_volts import volt_signs
from turnback.records.channel import Channel, Quantity
from turnback.records.happened import Event, EventKind, WhyNot

Made = dict[Channel | Quantity, tuple[Floats, Floats]]
ENDS = Event(EventKind.ENDS_ALOFT, 30.0, 30.0, (), "record.end.aloft", {})


def _flown(gone_s: float, takes_s: float, *, step_s: float = 0.02, end_s: float = 30.0) -> Made:
    """A hover from four seconds on; from a moment on the volts go to nothing within some time."""
    t_s = np.arange(0.0, end_s + 1e-9, step_s)
    left = np.interp(t_s, [gone_s, gone_s + takes_s], [1.0, 0.1])
    amps = np.where((t_s > 4.0) & (left > 0.9), 12.0, 0.1)
    volts = CELLS * (4.1 - 0.006 * amps) * left
    return {Quantity.PACK_VOLTS: (t_s, volts), Quantity.CURRENT: (t_s, amps)}


@pytest.mark.parametrize(("takes_s", "seen"), [(0.04, True), (1.5, False)])
def test_a_plug_opens_at_once_and_a_pack_runs_empty_slowly(takes_s: float, seen: bool) -> None:
    """Both end below half of the volts of the flight."""
    made = _flown(28.0 if takes_s > 1.0 else 29.9, takes_s)
    found = _signs(_looked(made, ENDS, aloft=(4.0, 30.0)))["volts-vanish-in-flight"]
    assert found.seen is seen
    assert found.sure > 0.9


def test_volts_that_last_until_a_record_ends_aloft_did_not_vanish() -> None:
    """Fast rows show it; between slow ones it is not known."""
    fast = _flown(99.0, 0.1)
    assert not _signs(_looked(fast, ENDS, aloft=(4.0, 30.0)))["volts-vanish-in-flight"].seen
    told = volt_signs(_looked(_flown(99.0, 0.1, step_s=0.2), ENDS, aloft=(4.0, 30.0)))
    blind = {each.sign: each.why for each in told.not_looked_for}
    assert blind["volts-vanish-in-flight"] is WhyNot.TOO_SLOW


def test_slow_rows_that_go_on_show_it_less_surely() -> None:
    """The radio's own record goes on after the craft fell silent."""
    made = _flown(25.0, 0.1, step_s=0.1)
    found = _signs(_looked(made, aloft=(4.0, 25.0)))
    assert found["volts-vanish-in-flight"].seen
    assert 0.7 < found["volts-vanish-in-flight"].sure < 0.9
    assert found["volts-steady-until-end"].seen


def test_a_blow_that_tears_the_pack_out_and_a_pack_that_is_unplugged() -> None:
    """After a blow nothing is said of a plug; after landing it is no event of the flight."""
    blow = Event(EventKind.IMPACT, 24.9, 24.94, (), "record.impact", {})
    told = volt_signs(_looked(_flown(25.0, 0.04), blow, aloft=(4.0, 25.2), ended_s=25.2))
    assert "volts-vanish-in-flight" in {each.sign for each in told.not_looked_for}
    landed = _signs(_looked(_flown(25.0, 0.04), aloft=(4.0, 20.0)))["volts-vanish-in-flight"]
    assert not landed.seen


def test_volts_that_vanish_are_no_jump() -> None:
    """The step of a contact that opens for good says nothing of one that comes back."""
    step = Event(EventKind.VOLT_STEP, 24.98, 25.04, (), "record.volts.step", {"step_v": -15.0, "limit_v": 0.5})
    gone = _signs(_looked(_flown(25.0, 0.04), step, aloft=(4.0, 26.0), ended_s=26.0))
    assert gone["volts-vanish-in-flight"].seen
    assert not gone["volts-jump-when-moved"].seen
    stays = _signs(_looked(_flown(99.0, 0.04), step, aloft=(4.0, 26.0), ended_s=26.0))
    assert stays["volts-jump-when-moved"].seen
