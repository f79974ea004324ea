"""Names that nobody tuned on: cut short, in other languages, with words that mean nothing; chances hold."""

from __future__ import annotations

import numpy as np
import pytest
from tests.readers.record_names_mangled import reliability
from tests.readers.record_tables import Q, flight, table

from turnback.readers.record_match import match_columns
from turnback.readers.record_names import name_scores, take_apart
from turnback.records.channel import Channel, Quantity
from turnback.records.record_read import CellKind, RawColumn, RawTable, RecordFormat

# What each name says is read off it by the words and symbols of the trade (ISO 1151 for p, q, r, phi, theta, psi, n).
NAMES = [
    ("vrtcl_vlcty", Q.CLIMB_RATE), ("batt_temprtr", Q.PACK_TEMPERATURE), ("acclrmtr_y", Q.ACCELERATION_Y),
    ("satlts", Q.SATELLITES), ("latd", Q.LATITUDE), ("longtd", Q.LONGITUDE), ("throttl", Q.THROTTLE),
    ("p_c", Q.ROLL_RATE_DEMAND), ("q_ref", Q.PITCH_RATE_DEMAND), ("phi_cmd", Q.ROLL_DEMAND), ("n_1", Q.ROTOR_SPEED),
    ("omega_3", Q.ROTOR_SPEED), ("delta_e", Q.PITCH_STICK), ("V_bat", Q.PACK_VOLTS), ("I_bat", Q.CURRENT),
    ("T_bat", Q.PACK_TEMPERATURE), ("chi", Q.COURSE), ("V_N", Q.VELOCITY_NORTH), ("a_z", Q.ACCELERATION_Z),
    ("f_z", Q.ACCELERATION_Z), ("Speed over ground", Q.GROUND_SPEED), ("rate of climb", Q.CLIMB_RATE),
    ("Höhe über Grund", Q.HEIGHT_LAUNCH), ("Geschwindigkeit über Grund", Q.GROUND_SPEED),
    ("velocità verticale", Q.CLIMB_RATE), ("snelheid noord", Q.VELOCITY_NORTH), ("tension batterie", Q.PACK_VOLTS),
    ("corriente bateria", Q.CURRENT), ("down link quality", Q.LINK_QUALITY_BACK), ("uplink rssi", Q.LINK_LEVEL),
    ("Empfangspegel abwärts", Q.LINK_LEVEL_BACK), ("speed control 3 demand", Q.OUTPUT),
]  # fmt: skip


@pytest.mark.parametrize(("name", "quantity"), NAMES)
def test_a_name_speaks_most_for_what_it_says(name: str, quantity: Quantity) -> None:
    scores = name_scores(take_apart(name))
    assert max(scores, key=lambda each: scores[each]) is quantity


@pytest.mark.parametrize("name", ["xq", "blorp", "zz_top", "wibble 3"])
def test_a_name_that_says_nothing_but_fits_by_its_values_is_asked_about(name: str) -> None:
    channels = flight(4)
    made = table([("time", "s", channels[Channel(Q.TIME)]), (name, "", channels[Channel(Q.ROLL_RATE)] * 57.3)])
    strange = match_columns(made).matches[1]
    assert strange.taken is None and strange.asks


@pytest.mark.parametrize("name", ["debug 2", "cpu load", "checksum", "buffer used", "heap free", "flags"])
def test_a_name_that_plainly_is_none_of_ours_is_left_out(name: str) -> None:
    rng = np.random.default_rng(3)
    strange = match_columns(table([("time", "s", np.arange(500) / 50), (name, "", rng.normal(40, 9, 500))])).matches[1]
    assert strange.taken is None and not strange.asks


@pytest.mark.parametrize("labels", [("self-level", "rate"), ("rate", "self-level", "automatic return", "hold")])
def test_words_of_modes_are_a_mode(labels: tuple[str, ...]) -> None:
    values = np.arange(200.0) // 40 % len(labels)
    column = RawColumn(0, "mode", "", CellKind.WORD, values, labels)
    taken = match_columns(RawTable("x", RecordFormat.CSV, (column,), 200)).matches[0].taken
    assert taken is not None and taken.channel.quantity is Q.MODE
    assert taken.chance >= 0.99


@pytest.mark.slow
def test_chances_of_mangled_names_are_reliable_at_the_top() -> None:
    found = np.array(reliability(40, first_seed=20_000), float)
    top = found[found[:, 0] >= 0.995]
    assert top.shape[0] > 800
    assert abs(top[:, 0].mean() - top[:, 1].mean()) < 0.02
    taken = found[found[:, 2] > 0.0]
    assert taken[:, 1].mean() > 0.995
