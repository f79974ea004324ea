"""Range walks: what is read, what is marked as "no more than this", and the sentence each broken record gets."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from turnback.base.errors import InputError
from turnback.readers.walk import WalkSettings, read_walk
from turnback.readers.walk_rows import MOST_ROWS
from turnback.records.walk import WalkEnd
from turnback.records.walk_read import FloorFrom, WalkRead

FIXED = WalkSettings(power_mw=25.0, power_fixed=True)
PLAIN = "distance_m,bearing_deg,level_dbm\n10,90,-50\n20,90,-56\n40,0,-62\n"
LAUNCH = (46.0, 8.0)


def written(folder: Path, text: str | bytes) -> Path:
    """Write a record and return its path."""
    path = folder / "walk.csv"
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return path


def read(folder: Path, text: str | bytes, how: WalkSettings = FIXED) -> WalkRead:
    """Read a record."""
    return read_walk(written(folder, text), [], how, LAUNCH)


def faults(folder: Path, text: str | bytes, how: WalkSettings = FIXED) -> str:
    """Return what a broken record is told."""
    with pytest.raises(InputError) as error:
        read(folder, text, how)
    return str(error.value)


def test_places_levels_and_power_are_read(tmp_path: Path) -> None:
    walk = read(tmp_path, PLAIN).walk
    assert walk.x_m.tolist() == pytest.approx([10.0, 20.0, 0.0], abs=1e-9)
    assert walk.y_m.tolist() == pytest.approx([0.0, 0.0, 40.0], abs=1e-9)
    assert walk.level_dbm.tolist() == [-50.0, -56.0, -62.0]
    assert walk.power_dbm == pytest.approx(10.0 * math.log10(25.0))  # 25 mW is 13.98 dBm
    assert walk.above_ground_m.tolist() == [1.0, 1.0, 1.0]
    assert (walk.link, walk.read_at) == ("control", WalkEnd.AIRCRAFT)
    assert not walk.censored.any()


@pytest.mark.parametrize(
    "text",
    [
        "Distance (m);Direction [deg];Signal level (dBm)\n10,0;90,0;-50,0\n20;90;-56\n40;0;-62\n",
        "# invented\n\ndistance [ft]\tbearing\tlevel\n32.808399\t90\t-50\n65.616798\t90\t-56\n131.233596\t0\t-62\n",
        "\ufeffeast_m,north_m,level_dbm,notes\r\n10,0,-50,a\r\n20,0,-56,\r\n0,40,-62,b\r\n",
    ],
)
def test_separators_units_and_names_are_understood(tmp_path: Path, text: str) -> None:
    plain, odd = read(tmp_path, PLAIN).walk, read(tmp_path, text).walk
    assert odd.x_m == pytest.approx(plain.x_m, abs=1e-6)
    assert odd.y_m == pytest.approx(plain.y_m, abs=1e-6)
    assert odd.level_dbm.tolist() == plain.level_dbm.tolist()


def test_degrees_are_laid_around_the_launch_point(tmp_path: Path) -> None:
    walk = read(tmp_path, "latitude_deg,longitude_deg,level_dbm\n46.001,8,-60\n").walk
    assert walk.y_m[0] == pytest.approx(111.15, abs=0.1)  # a thousandth of a degree on WGS 84 at 46 degrees north
    with pytest.raises(InputError, match="does not say where the launch point is"):
        read_walk(tmp_path / "walk.csv", [], FIXED, None)


def test_columns_that_nobody_understands_are_named(tmp_path: Path) -> None:
    found = read(tmp_path, PLAIN.replace("level_dbm", "level_dbm,mood").replace("-50", "-50,good").replace(
        "-56", "-56,").replace("-62", "-62,"))  # fmt: skip
    assert found.unused == ("mood",)
    assert ("level_dbm", "level_dbm") in found.columns


def test_a_floor_is_declared_or_seen(tmp_path: Path) -> None:
    rows = [f"{10 + i},0,{-60 - i}" for i in range(20)] + [f"{100 + i},0,-90" for i in range(6)]
    text = "distance_m,bearing_deg,level_dbm\n" + "\n".join(rows)
    seen = read(tmp_path, text)
    assert (seen.floor_dbm, seen.floor_from) == (-90.0, FloorFrom.DETECTED)
    assert int(seen.walk.censored.sum()) == 6
    declared = read(tmp_path, text, WalkSettings(power_mw=25.0, power_fixed=True, floor_dbm=-75.0))
    assert int(declared.walk.censored.sum()) == 11  # -75 to -79 of the first twenty, and the six
    assert declared.walk.level_dbm.min() == -75.0


def test_a_tail_is_no_floor(tmp_path: Path) -> None:
    """Levels that thin out downward: the very lowest is met more seldom than those just above it."""
    levels = [-70] * 2 + [-69] * 6 + [-68] * 8 + [-67] * 4
    text = "distance_m,bearing_deg,level_dbm\n" + "\n".join(f"{20 + i},0,{x}" for i, x in enumerate(levels))
    assert read(tmp_path, text).floor_from is FloorFrom.NONE


def test_lost_packets_and_lost_spots_say_no_more_than_this(tmp_path: Path) -> None:
    text = "distance_m,bearing_deg,level_dbm,quality_percent\n10,0,-50,100\n50,0,-80,60\n90,0,lost,\n70,0,-79,70\n"
    found = read(tmp_path, text)
    assert found.walk.censored.tolist() == [False, True, True, False]  # under 70 %: walk.packets_least
    assert (found.packets, found.lost) == (1, 1)
    assert np.isnan(found.walk.level_dbm[2])


def test_without_a_known_power_it_is_refused(tmp_path: Path) -> None:
    said = faults(tmp_path, PLAIN, WalkSettings())
    assert "transmit power of its readings is not known" in said
    assert "makes the level seem to fall too slowly" in said
    assert "nobody says that the power stayed" in faults(tmp_path, PLAIN, WalkSettings(power_mw=25.0))
    both = PLAIN.replace("level_dbm", "level_dbm,power_mw").replace("-50", "-50,25").replace("-56", "-56,25")
    both = both.replace("-62", "-62,100")
    assert "leave the option out" in faults(tmp_path, both)
    assert read(tmp_path, both, WalkSettings()).power_varies


def test_one_link_at_one_end_is_chosen(tmp_path: Path) -> None:
    text = "distance_m,bearing_deg,level_dbm,link,at\n10,0,-50,control,aircraft\n20,0,-56,video,ground\n"
    assert "choose one with --link" in faults(tmp_path, text)
    video = read(tmp_path, text, WalkSettings(link="video", power_mw=25.0, power_fixed=True))
    assert (video.walk.link, video.walk.read_at, video.other) == ("video", WalkEnd.GROUND, 1)


def test_spots_are_read() -> None:
    found = read_walk(None, ["120 m, 45 deg, -71", "0.2 km; 90; lost", "300 ft, -80 dBm"], FIXED)
    assert found.walk.from_launch_m == pytest.approx([120.0, 200.0, 91.44])
    assert found.bearing_known.tolist() == [True, True, False]
    assert found.walk.censored.tolist() == [False, True, False]


@pytest.mark.parametrize(
    "spot", ["", "120 m", "a, b, c", "120 m, 45 deg, -71, 3", "-5 m, 0, -60", "1 m, 0 m, -60", "x" * 999]
)
def test_a_broken_spot_says_how_one_is_written(spot: str) -> None:
    with pytest.raises(InputError) as error:
        read_walk(None, [spot], FIXED)
    assert "--spot 1" in str(error.value)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "it is empty"),
        ("a,b\n1,2\n", "no column says the level"),
        ("level_dbm\n-50\n", "no columns say where"),
        ("distance_m,level_dbm\n", "no readings below"),
        (
            'distance_m,level_dbm\n10,"-71,5"\n',
            "write a number with a decimal point, or separate columns by semicolons",
        ),
        ("distance_m,level_dbm\n10,x\n", "line 2, level_dbm: 'x' is no number"),
        ("distance_m,level_dbm\n10,120\n", "120 dBm is outside"),
        ("distance_m,level_dbm\n10,\n", "it has no level"),
        ("distance_m,level_dbm\n,-50\n", "does not say where it was taken"),
        ("distance_m,level_dbm\n10\n", "it has 1 values for 2 columns"),
        ("distance_m,level_dbm,link\n10,-50,tea\n", "'tea' is not one of control, video"),
        ("distance_m,distance_ft,level_dbm\n10,33,-50\n", "mean the same"),
        ("distance_m,level_dbm,power\n10,-50,25\n", "does not say its unit"),
        ("distance_kg,level_dbm\n10,-50\n", "is in 'kg'"),
        (b"distance_m,level_dbm\n\xff,-50\n", "not UTF-8"),
        ("distance_m,level_dbm\n\x00,-50\n", "not text"),
    ],
)
def test_a_broken_record_gets_one_sentence(tmp_path: Path, text: str | bytes, said: str) -> None:
    assert said in faults(tmp_path, text)


def test_all_faults_are_told_at_once_up_to_twenty(tmp_path: Path) -> None:
    said = faults(tmp_path, "distance_m,level_dbm\n" + "x,y\n" * 50)
    assert said.count("\n") == 19
    assert "line 2, distance_m" in said


def test_a_record_of_too_many_rows_is_refused(tmp_path: Path) -> None:
    assert "more than 100,000 readings" in faults(tmp_path, "distance_m,level_dbm\n" + "1,-50\n" * (MOST_ROWS + 1))


CELL = st.sampled_from(
    ["10", "-50", "lost", "", "x", "1e9", "nan", "inf", "-", "1_0", '"', "1,5", "٣", "\u202e", "control"]
)
NAME = st.sampled_from(
    ["distance_m", "bearing", "level_dbm", "power_mw", "lat", "lon", "east", "north", "at", "link", "?"]
)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(NAME, max_size=6), st.lists(st.lists(CELL, max_size=6), max_size=5), st.sampled_from([",", ";", "\t"]))
def test_any_table_is_read_or_told_what_is_wrong(
    tmp_path: Path, names: list[str], cells: list[list[str]], separator: str
) -> None:
    text = "\n".join(separator.join(row) for row in [names, *cells])
    try:
        found = read(tmp_path, text)
    except InputError as error:
        assert error.faults
    else:
        assert np.isfinite(found.walk.x_m).all()
        assert (np.isfinite(found.walk.level_dbm) | found.walk.censored).all()


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_told_what_is_wrong(tmp_path: Path, data: bytes) -> None:
    try:
        assert read(tmp_path, data).walk.x_m.size > 0
    except InputError as error:
        assert error.faults
