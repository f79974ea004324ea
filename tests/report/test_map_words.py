"""The words of the turn-back map: the numbers are the ring's, rounded down; nothing above a limit is advised."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from tests.report.made_map import REACH_M, made, ring_of, step
from tests.report.pseudo import PSEUDO, Pseudo, outside

from turnback.records.home_map import LAYERS, NO_DATA, HomeMap, Layer, Reason, TurnBackRing
from turnback.report import words_map, words_map_heights, words_map_layers, words_map_shares
from turnback.report.language import speaking_by
from turnback.report.map_json import map_json
from turnback.report.map_picture_base import over_entries
from turnback.report.map_terminal import map_text
from turnback.report.numbers import Units
from turnback.report.words_map_places import how_to_read, map_ground_lines

FOUND = made()
BEARINGS = np.arange(360.0)


def ring(far_m: Any, reason: str | tuple[str, ...] = "control", chance: float = 0.95) -> TurnBackRing:
    """Return a ring of one degree steps."""
    far = np.broadcast_to(np.asarray(far_m, dtype=np.float64), 360).copy()
    return TurnBackRing(BEARINGS, far, (reason,) * 360 if isinstance(reason, str) else reason, chance, 0.5)


def lines(found: HomeMap, units: Units = Units.METRIC) -> list[str]:
    return [line.text for line in words_map.five_map_lines(found, units)]


def on_one_line(found: HomeMap, units: Units = Units.METRIC) -> str:
    return " ".join(map_text(found, units, width=100, written=True).split())


# The sixteen bearings


def test_each_row_holds_the_shortest_distance_of_its_sixteenth() -> None:
    """Worked by hand: a notch of one degree, 30 m deep at 101 degrees, lies between 90 and 112.5, nearer to 90."""
    far = np.full(360, 700.0)
    far[101] = 412.4
    rows = words_map.sector_rows(ring(far), Units.METRIC)
    assert len(rows) == 16
    assert [row.distance for row in rows] == ["700 m"] * 4 + ["410 m"] + ["700 m"] * 11
    assert [(row.bearing, row.worst) for row in rows][4] == ("east", True)
    assert sum(row.worst for row in rows) == 1


def test_a_notch_half_way_between_two_points_is_shorter_in_both_never_in_none() -> None:
    for bearing in range(360):
        far = np.full(360, 700.0)
        far[bearing] = 100.0
        assert "100 m" in [row.distance for row in words_map.sector_rows(ring(far), Units.METRIC)]


def test_the_ends_of_a_ring_meet_in_north() -> None:
    far = np.full(360, 700.0)
    far[355] = 300.0
    assert words_map.sector_rows(ring(far), Units.METRIC)[0].distance == "300 m"


@pytest.mark.parametrize(
    ("far_m", "units", "said"),
    [(1234.0, Units.METRIC, "1230 m"), (499.9, Units.METRIC, "495 m"), (0.4, Units.METRIC, "nowhere"),
     (float("nan"), Units.METRIC, "nowhere"), (400.0, Units.IMPERIAL, "1310 ft")],  # 400 m are 1312.3 ft
)  # fmt: skip
def test_a_distance_is_only_ever_rounded_down(far_m: float, units: Units, said: str) -> None:
    assert words_map.ring_distance(ring(far_m), 7, units) == said


def test_where_the_map_ends_first_it_is_said() -> None:
    assert words_map.ring_distance(ring(900.0, "map"), 0, Units.METRIC) == "900 m or farther"
    assert lines(replace(FOUND, ring=ring(900.0, "map")))[1] == (
        "On every bearing nothing ends it as far as the map reaches."
    )


def test_flat_ground_is_said_to_be_assumed_once() -> None:
    flat = replace(FOUND, terrain_source="flat ground, assumed", terrain_assumed=True)
    assert map_ground_lines(flat, Units.METRIC)[0] == "Ground heights: flat ground, assumed."
    typed = replace(flat, terrain_source="a ridge, typed in")
    assert map_ground_lines(typed, Units.METRIC)[0] == "Ground heights: a ridge, typed in (assumed)."


# The five lines


def test_the_five_lines_of_a_map_made_by_hand() -> None:
    """The numbers are read off `made_map.ring_of` by hand: least and greatest of the ring's sixteenths."""
    far, out = FOUND.ring.turn_back_m, []
    for point in range(16):
        near = [degree for degree in range(360) if abs((degree - 22.5 * point + 180.0) % 360.0 - 180.0) <= 11.25]
        out.append(min(far[degree] for degree in near))
    first = lines(FOUND)[0]
    assert first == (
        "At 60 m above launch it comes home from up to 880 m on every bearing. Shortest toward west. Farthest: 1690 m, "
        "toward north-northeast."
    )
    assert min(out) == 880.0 == min(far)
    assert max(out) == 1690.0
    assert out.index(1690.0) == 1
    assert out.index(880.0) == 12


def test_from_nowhere() -> None:
    assert lines(replace(FOUND, ring=ring(0.0, "video")))[:2] == [
        "At 60 m above launch coming home is sure enough from nowhere. On every bearing the chance is too small close "
        "to the launch point already.",
        "On every bearing the picture goes first.",
    ]
    some = np.full(360, 800.0)
    some[80:101] = 0.0
    assert lines(replace(FOUND, ring=ring(some)))[0].startswith(
        "At 60 m above launch coming home is sure enough from nowhere on 1 bearing of 16. Toward 1 bearing the chance "
        "is too small close to the launch point already: farther out there, nothing counts. Farthest: 800 m"
    )
    unknown = lines(replace(FOUND, ring=ring(some, "terrain")))[0]  # no chance has failed where nobody knows the ground
    assert "close to the launch point" not in unknown


def test_a_ring_that_is_nowhere_has_no_entry_in_the_key() -> None:
    said = [[entry.words for entry in over_entries(found, Units.METRIC, "map", labelled=False)]
            for found in (FOUND, replace(FOUND, ring=ring(0.0)))]  # fmt: skip
    assert "last place to turn back, flown straight out" in said[0]
    assert "last place to turn back, flown straight out" not in said[1]


def test_where_nothing_ends_it_the_distance_is_no_upper_one() -> None:
    assert "it comes home from 800 m or farther on every bearing." in lines(replace(FOUND, ring=ring(800.0, "map")))[0]


@pytest.mark.parametrize("reason", [*(each.name.lower() for each in Reason), "limit", "terrain", "map"])
def test_every_reason_has_words_everywhere(reason: str) -> None:
    """A ring of one reason, of two, and a sweep: no reason of the record is without words."""
    mixed = (reason,) * 200 + ("control" if reason != "control" else "energy",) * 160
    for names in (reason, mixed):
        found = replace(FOUND, ring=ring(np.linspace(300.0, 900.0, 360), names))
        assert all(len(line) > 20 for line in lines(found))
        steps = tuple(replace(each, ring=ring(200.0 + 5.0 * each.height_m, names)) for each in FOUND.heights)
        assert len(words_map_heights.heights_lines(replace(found, heights=steps), Units.METRIC)) == 3
    assert words_map.sector_rows(ring(500.0, reason), Units.METRIC)[3].reason


def test_the_limit_is_told_where_it_is_kept_passed_or_not_entered() -> None:
    kept, passed, none = FOUND, replace(FOUND, over_limit=True, height_m=140.0), replace(FOUND, limit_height_m=None)
    assert "under the limit of 120 m above ground that you entered" in lines(kept)[2]
    assert "above the limit of 120 m above ground that you entered. Do not fly there" in lines(passed)[2]
    assert "ABOVE THE HEIGHT LIMIT THAT YOU ENTERED" in on_one_line(passed)
    assert "ABOVE THE HEIGHT LIMIT" not in on_one_line(kept)
    assert "No height limit is entered in the plan: look yours up" in lines(none)[2]
    for units in Units:
        assert "This map is no permission" in on_one_line(kept, units)
        assert "This does not know your local law." in on_one_line(kept, units)


def test_a_height_at_the_limit_is_never_shown_above_it() -> None:
    """120 m are 393.7 ft: to the nearest foot the height would read 394 ft over a limit of 393 ft."""
    said = on_one_line(replace(FOUND, height_m=120.0), Units.IMPERIAL)
    assert "At 393 ft above launch" in said
    assert "the limit of 393 ft" in said
    assert "394" not in said


def test_the_uncertain_is_told() -> None:
    assert "The ground is assumed, not measured" in lines(replace(FOUND, terrain_assumed=True))[3]
    assert "No range walk has measured the links here." in lines(replace(FOUND, measured=()))[3]
    both = lines(replace(FOUND, measured=("control", "video")))[3]
    assert "A range walk corrected both links here" in both
    alone = lines(replace(FOUND, measured=("control",)))[3]
    assert "corrected the control link here, and nobody measured the picture" in alone
    assert "corrected the picture here" in lines(replace(FOUND, measured=("video",)))[3]
    assert lines(FOUND)[4].startswith("Beyond 480 m your observer cannot tell which way it points.")


def small(**values: Any) -> HomeMap:
    """Return a map of 3 by 3 cells, all inside its circle, with some layers given cell by cell in their unit."""
    layers = {}
    for key, numbers in {"home_low": np.ones((3, 3)), "home_high": np.ones((3, 3)), **values}.items():
        scale, unit = LAYERS[key]
        whole = np.where(np.isnan(numbers), NO_DATA, np.rint(np.nan_to_num(numbers) / scale)).astype(np.int16)
        layers[key] = Layer(key, whole, scale, unit)
    return replace(
        FOUND, layers=layers, heights_m=np.zeros((3, 3), np.float32), x_west_m=-10.0, y_north_m=10.0, cell_m=10.0,
        radius_m=15.0,
    )  # fmt: skip


def test_shares_are_counted_over_the_known_ground_of_the_circle() -> None:
    low, high = np.ones((3, 3)), np.ones((3, 3))
    low[0, 0] = high[0, 0] = np.nan
    low[1] = 0.9499  # open: just below the chance at one end, at it at the other
    high[1] = 0.95
    low[2, 0] = high[2, 0] = 0.5
    clear = np.full((3, 3), 5.0)
    clear[2] = -0.1
    falls = np.zeros((3, 3))
    falls[0, 0] = falls[0, 1] = 0.3  # the first is not known
    found = small(home_low=low, home_high=high, return_clearance=clear, people=falls)
    assert words_map_shares.known_share(found) == pytest.approx(8.0 / 9.0)
    assert words_map_shares.open_share(found) == pytest.approx(3.0 / 8.0)
    assert words_map_shares.return_meets_share(found) == pytest.approx(3.0 / 8.0)
    assert words_map_shares.people_share(found) == pytest.approx(1.0 / 8.0)
    corners = replace(found, radius_m=10.0)  # the circle then leaves the corners out
    assert words_map_shares.known_share(corners) == 1.0
    assert words_map_shares.return_meets_share(small()) is None
    assert words_map_shares.people_share(small()) == 0.0


@pytest.mark.parametrize(
    ("share", "said"),
    [(0.0, "0 %"), (0.0004, "less than 1 %"), (0.37, "37 %"), (0.9999, "more than 99 %"), (1.0, "100 %")],
)
def test_a_small_share_is_never_said_to_be_none(share: float, said: str) -> None:
    assert words_map_shares.percent_of(share) == said


@pytest.mark.parametrize(
    ("chance", "said"), [(0.95, "1 flight in 20"), (0.99, "1 flight in 100"), (0.5, "5 flights in 10")]
)
def test_the_chance_is_said_as_flights(chance: float, said: str) -> None:
    assert f"all but {said} do" in words_map.chance_words(ring(500.0, chance=chance))


# The sweep over heights


def test_the_sweep_says_where_the_heights_differ_most() -> None:
    low, high = np.full(360, 600.0), np.full(360, 600.0)
    high[:12] = high[349:] = 1100.0
    steps = (
        replace(step(30.0), ring=ring(low, "ground")),
        replace(step(60.0), ring=replace(ring(high, "energy"), share_home=0.7)),
    )
    found = replace(FOUND, heights=steps)
    assert words_map_heights.heights_lines(found, Units.METRIC) == (
        "Toward north at 30 m above launch the ground or the trees on it stand in the way at 600 m. Toward north at "
        "60 m above launch the pack ends it at 1100 m.",
        "At 30 m above launch it comes home from 50 % of the known ground. At 60 m above launch it comes home from "
        "70 % of the known ground.",
        "Higher is no advice: the limit of 120 m that you entered counts above ground, wherever it flies.",
    )
    rows = words_map_heights.height_rows(found, Units.METRIC)
    assert [(row.height, row.shortest, row.farthest) for row in rows] == [
        ("30 m above launch", "600 m", "600 m"), ("60 m above launch", "600 m", "1100 m")
    ]  # fmt: skip


def test_heights_that_are_alike_are_said_to_be() -> None:
    steps = tuple(replace(step(height), ring=ring(600.0 + height / 10.0)) for height in (30.0, 90.0))
    assert words_map_heights.heights_lines(replace(FOUND, heights=steps), Units.METRIC)[0] == (
        "Between 30 m above launch and 90 m above launch the turn-back distances hardly change."
    )


def test_without_a_limit_no_height_is_advised() -> None:
    found = replace(FOUND, limit_height_m=None)
    assert words_map_heights.heights_lines(found, Units.METRIC)[-1] == (
        "No height limit is entered in the plan: these heights are compared, and none of them is advised."
    )


def test_without_a_sweep_nothing_is_said_of_one() -> None:
    found = replace(FOUND, heights=())
    assert words_map_heights.heights_lines(found, Units.METRIC) == ()
    assert words_map_heights.height_rows(found, Units.METRIC) == ()
    assert "changes with height" not in on_one_line(found)


# Every face


def test_terminal_and_json_tell_the_same_numbers() -> None:
    data = json.loads(map_json(FOUND))
    least = min(data["ring"]["turn_back_m"])
    said = on_one_line(FOUND)
    assert f"it comes home from up to {least:.0f} m on every bearing" in said
    assert data["sight_m"] == 480.0
    assert f"limit of {data['limit_height_m']:.0f} m" in said
    share = data["heights"][0]["ring"]["share_home"]
    assert f"At 30 m above launch it comes home from {100.0 * share:.0f} %" in said


def test_every_layer_has_a_title_and_every_drawn_one_a_meaning() -> None:
    assert set(words_map_layers.TITLES) == set(LAYERS)
    assert set(words_map_layers.SHOWN) == set(words_map_layers.MEANINGS)
    assert words_map_layers.shown_layers(FOUND) == words_map_layers.SHOWN
    assert words_map_layers.left_layers(FOUND) == ()
    bare = replace(FOUND, layers={key: FOUND.layers[key] for key in ("home", "home_low", "home_high", "reason")})
    assert len(words_map_layers.left_layers(bare)) == 3


@pytest.mark.parametrize("units", Units)
def test_every_word_of_a_map_can_be_translated(units: Units) -> None:
    """Spoken in brackets: no English stands outside of them. Names from the plan are taken out first."""
    found = replace(FOUND, over_limit=True, terrain_assumed=True)
    with speaking_by(Pseudo(), PSEUDO):
        said = map_text(found, units, 100, written=True)
        rest = [*how_to_read(found, units), *(words_map_layers.layer_title(key) for key in LAYERS)]
    for piece in (said, *rest):
        assert not outside(" ".join(piece.split()), [found.title, found.terrain_source]), piece


def test_a_name_from_a_plan_cannot_steer_the_terminal() -> None:
    said = map_text(replace(FOUND, title="a\x1b[31mred\u202e"), width=80)
    assert "\x1b" not in said
    assert "\u202e" not in said


@pytest.mark.parametrize("width", [40, 60, 100])
def test_lines_keep_to_the_width(width: int) -> None:
    assert max(len(line) for line in map_text(FOUND, width=width).splitlines()) <= width


def test_the_ring_made_by_hand_is_what_the_words_are_of() -> None:
    assert ring_of(60.0).turn_back_m.max() <= REACH_M
    assert not re.search(r"\bnan\b", on_one_line(FOUND))
