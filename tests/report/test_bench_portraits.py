"""The corner portraits, held against geometry: everything is read back from the finished SVG, nothing from the code."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.report import made_bench

from turnback.records.aircraft import Rotation
from turnback.records.bench import At, BenchAnswer
from turnback.report.bench_portraits import State, corner_state, cut_svg, portrait_svg, portraits

Points = NDArray[np.float64]
SVG = "{http://www.w3.org/2000/svg}"
ROOTWARD, TIPWARD = 24.0, 108.0
"""Radii between which a blade is held: root and rounded tip are left out."""


def parsed(markup: str) -> ElementTree.Element:
    return ElementTree.fromstring(str(markup).replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1))


def points(data: str) -> Points:
    return np.array([[float(x), float(y)] for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", data)])


def drawn(svg: ElementTree.Element, kind: str) -> list[Points]:
    return [points(each.attrib["d"]) for each in svg.iter(f"{SVG}path") if kind in each.attrib["class"].split()]


def side_at(line: Points, radius: float, along: Points, across: Points) -> float:
    """Return how far a line lies to the side of the blade's axis, that far from the hub."""
    return float(np.interp(radius, line @ along, line @ across))


def velocity(at: Points, sense: float) -> Points:
    """Return where a point of the page goes: y is down, so clockwise takes x toward y."""
    return sense * np.array([-at[1], at[0]])


def sense_of_ribbon(svg: ElementTree.Element) -> float:
    """Return 1 where ribbon and head run clockwise around the hub on the page, -1 where they run the other way."""
    ribbon, head = (next(iter(drawn(svg, "ribbon"))), next(iter(drawn(svg, "head"))))
    tail = (ribbon[0] + ribbon[-1]) / 2.0
    tip = head[0]
    turn = float(tail[0] * tip[1] - tail[1] * tip[0])
    base = (head[1] + head[2]) / 2.0
    assert np.sign(base[0] * tip[1] - base[1] * tip[0]) == np.sign(turn), "the head points the way the ribbon runs"
    end = ribbon[len(ribbon) // 2 - 1 : len(ribbon) // 2 + 1].mean(axis=0)
    assert end == pytest.approx(base, abs=1.0), "the head sits at the end of the ribbon"
    assert np.linalg.norm(tail - tip) > 60.0, "and its tail is far from it"
    return float(np.sign(turn))


@pytest.mark.parametrize("rotation", Rotation)
def test_the_ribbon_runs_the_way_that_is_written(rotation: Rotation) -> None:
    svg = parsed(portrait_svg(At.FRONT_LEFT, rotation, "x"))
    assert sense_of_ribbon(svg) == (1.0 if rotation is Rotation.CLOCKWISE else -1.0)
    written = [each.text for each in svg.iter(f"{SVG}text") if each.attrib.get("class") == "turn"]
    assert written == [rotation.value]


@pytest.mark.parametrize("at", At)
@pytest.mark.parametrize("rotation", Rotation)
def test_the_marked_edge_is_the_one_that_meets_the_air_first(at: At, rotation: Rotation) -> None:
    """At every radius no point of the blade lies ahead of the marked edge, in the direction in which it moves there."""
    svg = parsed(portrait_svg(at, rotation, "x"))
    sense = sense_of_ribbon(svg)
    outlines, edges = drawn(svg, "outline"), drawn(svg, "leading")
    assert len(outlines) == len(edges) == 2
    for outline, edge in zip(outlines, edges, strict=True):
        along = edge[-1] / np.linalg.norm(edge[-1])
        along = np.array([np.sign(along[0]), 0.0])  # blades lie across the page
        ahead = velocity(along, sense)
        outward = outline[: len(outline) // 2]
        inward = outline[len(outline) // 2 :][::-1]
        for radius in np.linspace(ROOTWARD, TIPWARD, 15):
            marked = side_at(edge, radius, along, ahead)
            sides = [side_at(each, radius, along, ahead) for each in (outward, inward)]
            assert marked == pytest.approx(max(sides), abs=0.2)
            assert marked - min(sides) > 10.0, "the trailing edge lies well behind"


@pytest.mark.parametrize("rotation", Rotation)
def test_ticks_point_forward_and_the_high_part_lies_in_front(rotation: Rotation) -> None:
    svg = parsed(portrait_svg(At.REAR_LEFT, rotation, "x"))
    sense = sense_of_ribbon(svg)
    for stroke in (each for path in drawn(svg, "ticks") for each in path.reshape(-1, 2, 2)):
        assert (stroke[1] - stroke[0]) @ velocity(stroke[0], sense) > 0.0
    for high, whole in zip(drawn(svg, "high"), drawn(svg, "outline"), strict=True):
        middle, all_of_it = high.mean(axis=0), whole.mean(axis=0)
        assert (middle - all_of_it) @ velocity(all_of_it, sense) > 0.0


def test_blades_of_both_directions_are_mirror_images() -> None:
    one, other = (drawn(parsed(portrait_svg(At.FRONT_LEFT, rotation, "x")), "outline")[0] for rotation in Rotation)
    assert other * np.array([1.0, -1.0]) == pytest.approx(one, abs=0.051)
    assert np.abs(one - other).max() > 10.0, "they are two shapes"


def test_two_blades_stand_opposite_each_other() -> None:
    one, other = drawn(parsed(portrait_svg(At.FRONT_LEFT, Rotation.CLOCKWISE, "x")), "outline")
    assert -other == pytest.approx(one, abs=0.051)


@pytest.mark.parametrize("upside_down", [False, True])
def test_the_edge_that_goes_first_is_the_higher_one_and_round_only_the_right_way_up(upside_down: bool) -> None:
    """Turned over, a propeller keeps its direction: its higher edge still goes first, and it is the sharp one."""
    svg = parsed(cut_svg(upside_down=upside_down))
    (cut,) = drawn(svg, "section")
    first, last = cut[cut[:, 0].argmin()], cut[cut[:, 0].argmax()]
    assert first[1] < last[1] - 30.0, "y is down: the left end, which goes first, is higher"
    (arrow,) = drawn(svg, "ribbon")
    assert arrow[:, 0].argmin() == 3, "the arrow's tip, and it points to the left"

    def thickness(end: Points) -> float:
        near = cut[np.linalg.norm(cut - end, axis=1) < 6.0]
        chord = (last - first) / np.linalg.norm(last - first)
        return float(np.ptp(near @ np.array([-chord[1], chord[0]])))

    round_end, sharp_end = (last, first) if upside_down else (first, last)
    assert thickness(round_end) > 2.0 * thickness(sharp_end)
    middle = cut[np.abs(cut[:, 0] - (first[0] + last[0]) / 2.0) < 25.0].mean(axis=0)
    chord_y = (first[1] + last[1]) / 2.0
    assert (middle[1] < chord_y) is not upside_down, "it bulges up the right way up, and down turned over"


def turning(answer: BenchAnswer) -> dict[At, float]:
    return {each.at: sense_of_ribbon(parsed(each.picture)) for each in portraits(answer)}


def test_diagonal_corners_turn_alike_and_neighbours_against_each_other() -> None:
    assert turning(made_bench.one_flip()) == {
        At.FRONT_LEFT: 1.0, At.FRONT_RIGHT: -1.0, At.REAR_LEFT: -1.0, At.REAR_RIGHT: 1.0,
    }  # fmt: skip
    assert turning(made_bench.found_wrong())[At.FRONT_LEFT] == -1.0


def test_every_picture_has_a_name_and_says_what_it_shows() -> None:
    for each in portraits(made_bench.one_flip()):
        svg = parsed(each.picture)
        title, desc = (svg.find(f"{SVG}{kind}") for kind in ("title", "desc"))
        assert title is not None
        assert desc is not None
        assert title.text == f"{each.name} as it should be"
        assert each.turns.split()[3].strip(",") in (desc.text or "")
        assert svg.attrib["role"] == "img"
        assert svg.attrib["aria-labelledby"].split() == [title.attrib["id"], desc.attrib["id"]]


def test_what_was_found_goes_before_what_is_suspected() -> None:
    states = {at: corner_state(made_bench.found_wrong(), at) for at in At}
    assert {at: state for at, (state, _) in states.items()} == {
        At.FRONT_LEFT: State.LOOKED_RIGHT,
        At.FRONT_RIGHT: State.SUSPECTED,
        At.REAR_LEFT: State.FOUND_WRONG,
        At.REAR_RIGHT: State.NO_DOUBT,
    }
    assert states[At.REAR_LEFT][1] == ("The propeller at rear-left is of the wrong direction.",)
    assert states[At.FRONT_RIGHT][1] == ("Motor turns the wrong way: about 1 in 8.",)


def test_no_picture_is_an_aircraft_from_above() -> None:
    """Four separate portraits: one motor and two blades in each, and nothing that joins them."""
    for each in portraits(made_bench.one_flip()):
        kinds = [path.attrib["class"] for path in parsed(each.picture).iter(f"{SVG}path")]
        assert kinds.count("outline") == 2
        assert set(kinds) == {"outline", "high", "leading", "ticks", "nut", "ribbon", "ribbon head", "leader"}
