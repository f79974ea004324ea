"""The study of flight records: its simulator against closed forms, its truth consistent, its scoring at work."""

import ast
import math
from collections import Counter
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from studies.record_flown import columns as at
from studies.record_flown import naming, run, tracks
from studies.record_flown.clocks import MIDNIGHT_S, moments
from studies.record_flown.control import thrust_share
from studies.record_flown.craft import Faults
from studies.record_flown.design import MENU, draw
from studies.record_flown.flyer import Flight, fly_one
from studies.record_flown.kernel import link_level
from studies.record_flown.messy import ColumnTruth, make_mess
from studies.record_flown.score_columns import wrong_in
from studies.record_flown.sensors import see
from studies.record_flown.tables import report, wilson
from studies.record_flown.truth import truth_of
from studies.record_flown.units import UNITS

from studies import record_flown
from turnback.readers.record_table import read_table
from turnback.records.channel import Channel, Quantity
from turnback.records.record_read import ColumnMatch, MatchedBy, Reading

FOLDER = Path(record_flown.__file__).parent
G = 9.80665
MAY_CALL = {
    "compiled.py": {"turnback.base.kernel_cache"},
    "run.py": {"turnback.records.flight_record", "turnback.records.record_read"},
    "score_columns.py": {"turnback.records.flight_record", "turnback.records.record_read"},
    "score_events.py": {"turnback.records.flight_record", "turnback.records.happened"},
}
"""What a module may import of the product; `reading.py` runs it; a module not named here: nothing."""


def calm(seed: int = 3) -> Flight:
    """A healthy flight in still air by a steady hand."""
    design = draw(seed, ())
    plan = design.plan._replace(wind=0.0, gust=0.0, clumsy=0.0, rate_mode=0.0)
    return fly_one(replace(design, plan=plan))


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.py")), ids=lambda path: path.name)
def test_the_simulator_shares_no_code_with_what_it_judges(path: Path) -> None:
    if path.name == "reading.py":
        return
    tree = ast.parse(path.read_text(encoding="utf-8"))
    names = {node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    names |= {each.name for node in ast.walk(tree) if isinstance(node, ast.Import) for each in node.names}
    assert {name for name in names if name.startswith("turnback")} <= MAY_CALL.get(path.name, set())


def test_every_channel_has_eight_names_and_a_unit() -> None:
    for key, styles in naming.names().items():
        assert len({name for style in styles.values() for name in style}) >= 8, key
        held_out = {name.lower() for style in naming.names("names_fresh")[key].values() for name in style}
        assert len(held_out) >= 8, key
        assert not held_out & {name.lower() for style in styles.values() for name in style}, key
    flight = calm()
    seen = see(flight, np.random.default_rng(1))
    for made in seen.channels:
        family, _ = naming.FAMILY.get(made.quantity, (made.quantity, None))
        assert family in naming.names()
        switch = set(np.unique(made.values)) <= {0.0, 1.0}
        assert made.quantity in UNITS or made.labels or switch or made.quantity == "satellites"


def test_hover_speed_is_where_four_thrusts_carry_the_weight() -> None:
    flight = calm()
    craft = flight.design.craft
    log = flight.log
    tilt = np.cos(log[:, at.ROLL]) * np.cos(log[:, at.PITCH])
    held = (log[:, at.PHASE] == at.P_HOVER) & (np.abs(log[:, at.VEL + 2]) < 0.05) & (tilt > 0.9999)
    assert held.sum() > 300
    # T = T_max (w / w_max)², four of them equal the weight
    hover = craft.speed_max * math.sqrt(craft.mass * G / (4.0 * craft.thrust_max))
    assert log[held, at.SPEED : at.SPEED + 4].mean() == pytest.approx(hover, rel=0.01)
    assert thrust_share(craft.hover, craft.linear) * 4.0 * craft.thrust_max == pytest.approx(craft.mass * G, rel=1e-6)


def test_level_and_at_rest_specific_force_is_gravity_upward() -> None:
    log = calm().log[:1000]
    assert log[200:, at.ACC + 2].mean() == pytest.approx(-G, abs=0.1)
    assert np.abs(log[200:, at.ACC : at.ACC + 2].mean(axis=0)).max() < 0.1


def test_without_drag_it_falls_as_the_root_of_twice_gravity_times_height() -> None:
    design = draw(5, ())
    craft = design.craft._replace(cda=0.0, lift_drag=0.0)
    plan = design.plan._replace(wind=0.0, gust=0.0, clumsy=0.0)
    at_s = plan.out_at - 1.0
    flight = fly_one(replace(design, craft=craft, plan=plan, faults=Faults(restart=at_s, restart_end=at_s + 1.0)))
    log = flight.log
    first = int(at_s * 1000) + 400  # the rotors run down first
    touch = first + int(np.argmax(log[first:, at.TOUCH] > 0.0))
    rest = np.sum(log[first : first + 600, at.FORCE] > 0.3 * G)
    assert rest < 600
    start = first + 600
    height = float(-log[start, at.DOWN] + log[touch - 1, at.DOWN])
    begun = float(log[start, at.VEL + 2])
    assert height > 1.0
    falls = math.sqrt(begun**2 + 2.0 * G * height)
    assert float(log[touch - 1, at.VEL + 2]) == pytest.approx(falls, rel=0.03)


def test_level_falls_by_six_decibels_when_the_distance_doubles() -> None:
    craft = draw(1, ()).craft
    flat = np.eye(3)
    near, far = (link_level(np.array([d, 0.0, -1.5 + 3.0]), flat, craft, 0.0, 0.0, Faults()) for d in (200.0, 400.0))
    assert near - far == pytest.approx(20.0 * math.log10(2.0), abs=0.01)  # ITU-R P.525


def test_voltage_is_what_the_open_circuit_leaves_after_the_resistance() -> None:
    log = calm().log[30_000:]
    drop = log[:, at.REST] * calm().design.craft.cells - log[:, at.VOLTS]
    fit = np.polyfit(log[:, at.CURRENT], drop, 1)[0]
    assert fit == pytest.approx(calm().design.craft.r_pack, rel=0.35)


@pytest.mark.parametrize("name", sorted(MENU))
def test_each_fault_flies_and_its_truth_stands_in_the_flight(name: str) -> None:
    flight = fly_one(draw(200 + len(name), (name,)))
    truth = truth_of(flight)
    end = len(flight.log) * 1e-3
    assert np.isfinite(flight.log).all()
    for event in truth.events:
        assert event.early_s <= event.late_s
        if event.sharp:
            assert -0.1 <= event.early_s <= end
            windows = truth.may.get(event.kind, ())
            assert any(a <= 0.5 * (event.early_s + event.late_s) <= b for a, b in windows), event
        else:
            assert truth.may[event.kind]


def test_a_flight_comes_home_and_the_same_seed_writes_the_same_bytes(tmp_path: Path) -> None:
    flight = calm()
    assert np.hypot(flight.log[-1, at.NORTH], flight.log[-1, at.EAST]) < 3.0
    assert flight.log[-1, at.ARMED] == 0.0
    made = []
    for name in ("a", "b"):
        folder = tmp_path / name
        folder.mkdir()
        seen = see(fly_one(draw(9)), np.random.default_rng([9, 3]))
        made.append(make_mess(seen, folder, "r", np.random.default_rng([9, 5])))
    assert made[0].path.read_bytes() == made[1].path.read_bytes()
    assert made[0].columns == made[1].columns
    assert [each.place for each in made[0].columns] == list(range(len(made[0].columns)))


def test_wilson_interval() -> None:
    # Brown, Cai and DasGupta 2001 give the formula; 0 of 10 is (0, 0.2775) in their table of examples, from memory
    low, high = wilson(0, 10)
    assert low == 0.0
    assert high == pytest.approx(0.2775, abs=1e-3)


@pytest.mark.parametrize("kind", tracks.KINDS)
def test_a_track_is_read_back_point_by_point(kind: str, tmp_path: Path) -> None:
    flight = calm()
    seen = tracks.thinned(see(flight, np.random.default_rng(2)))
    columns = []
    for each in seen.channels:
        if each.quantity in {"latitude", "longitude", "height_sea_level", "ground_speed"}:
            head = naming.Heading(f"my {each.quantity}", "", True, False)
            unit = tracks.SAID.get(each.quantity, UNITS["ground_speed"][0])
            columns.append({"head": head, "values": each.values, "quantity": each.quantity, "unit": unit})
    stamps = moments(seen.t_s - seen.t_s[0], "iso", MIDNIGHT_S - 5.0, "T", "Z")
    made = tracks.in_order(columns, stamps, kind)
    cells = [list(each["values"]) for each in made]
    read = read_table(tracks.write_track(made, cells, kind, tmp_path / "r"))
    assert read.rows == len(seen.t_s)
    assert len(read.columns) == len(made)
    for column, truth in zip(read.columns, made, strict=True):
        if truth["quantity"] == "time":
            assert np.allclose(np.diff(column.values), np.diff(seen.t_s), atol=2e-3)  # written in milliseconds
        else:
            assert np.allclose(column.values, truth["values"], rtol=1e-6)
        said = column.said.quantity.value if column.said else ""
        # RFC 7946 leaves the names of properties to the writer, so that a time at each point is none of its own
        own = truth["quantity"] == "ground_speed" or (truth["quantity"] == "time" and kind == "geojson points")
        assert said == ("" if own else truth["quantity"])


def test_what_is_wrong_is_parted_in_channel_number_and_unit() -> None:
    truth = ColumnTruth(0, "m2", "output", "%", 0.01, 0.0, 1, 1, 2, False, False)

    def said(quantity: Quantity, number: int | None, scale: float) -> str:
        reading = Reading(Channel(quantity, None, number), "", scale, 0.0, 1.0)
        return wrong_in(truth, ColumnMatch(0, "m2", "", reading, MatchedBy.MEANING))

    assert said(Quantity.OUTPUT, 2, 0.01) == ""
    assert said(Quantity.OUTPUT, 2, 1.0) == "unit"
    assert said(Quantity.OUTPUT, 1, 0.01) == "number"
    assert said(Quantity.CELL_VOLTS, 2, 0.01) == "channel"


@pytest.mark.slow
def test_records_of_unseen_flights_are_read_right_or_asked_about(tmp_path: Path) -> None:
    scores = [each for (each,) in run.run(11, 4242, "own", workers=1)]
    for seed in range(424_300, 424_306):
        flight = fly_one(draw(seed, ("lost, motors stop",)))
        scores.append(run.score_flight(seed, flight, truth_of(flight), tmp_path, "names"))
    assert not [each.broke for each in scores if each.broke]
    columns = [one for each in scores for one in each.columns if one.channel]
    outcomes = Counter(one.outcome.value for one in columns)
    assert len(columns) > 300
    assert outcomes["silently wrong"] <= 1
    assert outcomes["right"] + outcomes["asked"] >= 0.98 * len(columns)
    lines = [line for line in run.failures(scores) if "column silently wrong" in line]
    assert len(lines) == sum(one.outcome.value == "silently wrong" for each in scores for one in each.columns)
    events = [one for each in scores for one in each.events]
    sure = {"impact", "free-fall", "restart-in-flight", "one-cell-low", "link-lost", "below-damage-volts"}
    assert not [one for one in events if one.healthy and one.kind in sure and one.outcome == "false"]
    told = Counter((one.kind, one.outcome) for one in events)
    for kind in ("link-lost", "impact"):
        assert told[kind, "missed"] + told[kind, "off"] <= 1
        assert told[kind, "found"] >= 1
    figures, text = report(scores)
    assert figures["columns"]["channels"]["right"]["n"] == len(columns)
    assert "channels" in text
