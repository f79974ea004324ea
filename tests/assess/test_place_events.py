"""Wind, launch point, return track, jumps and records that end aloft, against closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.assess.record_makers import Made, flat, make_flown

from turnback.assess.place_events import find_place
from turnback.assess.place_wind import fit_wind
from turnback.records.bench import At
from turnback.records.channel import Channel, Quantity
from turnback.records.happened import Event, EventKind, Flown, Happened, PhaseKind, WhyNot

K = PhaseKind
Floats = NDArray[np.float64]
DEGREE_N_M, DEGREE_E_M = 111_177.5, 76_055.0  # metres a degree at 47° north on WGS-84 (series of the meridian arc)
T_S = np.arange(0.0, 120.0, 0.2)


def of(kind: EventKind, found: Happened) -> list[Event]:
    """Return events of one kind."""
    return [event for event in found.events if event.kind is kind]


def why(kind: EventKind, found: Happened) -> list[WhyNot]:
    """Return reasons that one kind was not told."""
    return [each.why for each in found.not_told if each.kind is kind]


def track(north_mps: Floats, east_mps: Floats, t_s: Floats = T_S) -> Made:
    """Return speed, course and positions of a velocity over ground."""
    step_s = float(t_s[1] - t_s[0])
    return {
        Quantity.GROUND_SPEED: (t_s, np.hypot(north_mps, east_mps)),
        Quantity.COURSE: (t_s, np.remainder(np.arctan2(east_mps, north_mps), 2.0 * np.pi)),
        Quantity.LATITUDE: (t_s, 47.0 + np.cumsum(north_mps) * step_s / DEGREE_N_M),
        Quantity.LONGITUDE: (t_s, 8.0 + np.cumsum(east_mps) * step_s / DEGREE_E_M),
    }


def cruise(end_s: float = 120.0) -> tuple[object, ...]:
    """A take-off and then a flight."""
    return flat(K.GROUND, 0.0, 2.0), flat(K.TAKE_OFF, 2.0, 4.0), flat(K.CRUISE, 4.0, end_s)


def flown(made: Made, *phases: object) -> Flown:
    """Return a record with phases; without any it takes off and flies."""
    return make_flown(made, *(phases or cruise()))  # type: ignore[arg-type]


# --- wind --------------------------------------------------------------------------------------------------------


def circling(wind_from_deg: float, wind_mps: float, air_mps: float = 12.0, legs: int = 8) -> Made:
    """Straight legs on courses all round, each with the same speed through the air (nose along its air vector)."""
    toward = np.radians(wind_from_deg) + np.pi
    nose = np.repeat(np.arange(legs) * 2.0 * np.pi / legs, T_S.size // legs + 1)[: T_S.size]
    noise = 0.1 * np.random.default_rng(5).standard_normal((2, T_S.size))
    north = air_mps * np.cos(nose) + wind_mps * np.cos(toward) + noise[0]
    east = air_mps * np.sin(nose) + wind_mps * np.sin(toward) + noise[1]
    return track(north, east)


@pytest.mark.parametrize(("from_deg", "wind_mps"), [(270.0, 5.0), (40.0, 8.0), (160.0, 3.0)])
def test_wind_is_the_middle_of_the_circle_of_ground_velocities(from_deg: float, wind_mps: float) -> None:
    (event,) = of(EventKind.WIND, find_place(flown(circling(from_deg, wind_mps))))
    assert event.values["wind_mps"] == pytest.approx(wind_mps, abs=0.4)
    assert np.degrees(event.values["from_rad"]) == pytest.approx(from_deg, abs=6.0)
    assert event.values["air_mps"] == pytest.approx(12.0, abs=0.4)
    assert abs(event.values["wind_mps"] - wind_mps) < event.values["width_mps"] < 2.5
    assert event.words["part"] == "whole"


def test_a_fit_on_points_of_a_circle_returns_its_middle_and_radius() -> None:
    """Three points of a circle settle it: middle (3, -4), radius 11; the wide prior pulls by less than 1 in 100."""
    turn = np.repeat([0.3, 2.4, 4.4], 40)
    for heading in (None, turn):
        wind, air, spread = fit_wind(3.0 + 11.0 * np.cos(turn), -4.0 + 11.0 * np.sin(turn), heading, 1.0)
        assert wind == pytest.approx([3.0, -4.0], abs=0.05)
        assert air == pytest.approx(11.0, abs=0.05)
        assert (np.linalg.eigvalsh(spread) > 0.0).all()


def test_out_and_back_tells_the_wind_along_the_track() -> None:
    """Out at 8 m/s against the wind, back at 16 m/s: (16 - 8) / 2 = 4 m/s, from ahead on the way out."""
    out = T_S < 60.0
    (event,) = of(EventKind.WIND, find_place(flown(track(np.where(out, 8.0, -16.0), np.zeros(T_S.size)))))
    assert event.values["wind_mps"] == pytest.approx(4.0, abs=0.2)
    assert np.cos(event.values["from_rad"]) == pytest.approx(1.0, abs=0.01)
    assert event.words["part"] == "along"


def test_still_air_one_course_and_no_course_are_no_wind() -> None:
    assert of(EventKind.WIND, find_place(flown(circling(0.0, 0.0)))) == []
    straight = find_place(flown(track(np.full(T_S.size, 12.0), np.zeros(T_S.size))))
    assert of(EventKind.WIND, straight) == []
    assert why(EventKind.WIND, straight) == [WhyNot.TOO_SHORT]
    assert why(EventKind.WIND, find_place(flown({Quantity.PACK_VOLTS: (T_S, 15.0)}))) == [WhyNot.NO_CHANNEL]
    ground = find_place(flown(circling(0.0, 5.0), flat(K.GROUND, 0.0, 120.0)))
    assert why(EventKind.WIND, ground) == [WhyNot.NOT_ALOFT]


def test_lean_tells_a_wind_that_a_held_ground_speed_hides() -> None:
    """10 m/s over ground out and back, 6 m/s of wind from the north; it leans as 4 s of speed a m/s² of pull."""
    out = T_S < 60.0
    north = np.where(out, 10.0, -10.0)
    north[(T_S > 50.0) & (T_S < 70.0)] = 4.0  # slower for a while: two speeds on a course tell how drag grows
    air = north + 6.0
    heading = np.where(out, 0.0, np.pi)
    made = dict(track(north, np.zeros(T_S.size)))
    made[Quantity.HEADING] = (T_S, heading)
    made[Quantity.ROLL] = (T_S, 0.0)
    made[Quantity.PITCH] = (T_S, -np.arctan2(air * np.cos(heading) / 4.0, 9.80665))
    (event,) = of(EventKind.WIND, find_place(flown(made)))
    assert event.words["by"] == "lean"
    assert event.values["wind_mps"] == pytest.approx(6.0, abs=0.4)
    assert event.values["width_mps"] < 2.5
    assert np.cos(event.values["from_rad"]) == pytest.approx(1.0, abs=0.01)


def test_a_leaned_hover_says_from_where_it_blows() -> None:
    """Nose east, right side down by 0.2 rad: it leans south, so the wind comes from the south."""
    made = dict(circling(180.0, 5.0))
    still = T_S > 100.0
    made[Quantity.HEADING] = (T_S, np.where(still, np.pi / 2.0, 0.0))
    made[Quantity.ROLL] = (T_S, np.where(still, 0.2, 0.0))
    made[Quantity.PITCH] = (T_S, 0.0)
    phases = (*cruise(100.0), flat(K.HOVER, 100.0, 120.0))
    (event,) = of(EventKind.WIND, find_place(flown(made, *phases)))
    assert event.words["by"] == "speed"  # no lean while it moved: lean does not tell its speed
    assert event.values["lean_rad"] == pytest.approx(0.2, abs=0.01)
    assert event.values["lean_from_rad"] == pytest.approx(np.pi, abs=0.02)


# --- launch point ------------------------------------------------------------------------------------------------

OUT = np.where(T_S < 4.0, 0.0, np.where(T_S < 60.0, 10.0, -10.0))
OUT_AND_BACK = track(OUT, np.zeros(T_S.size))


def point(north_m: float, east_m: float) -> Made:
    """A stored launch point, from where it took off."""
    return {
        Quantity.LAUNCH_LATITUDE: (T_S, np.full(T_S.size, 47.0 + north_m / DEGREE_N_M)),
        Quantity.LAUNCH_LONGITUDE: (T_S, np.full(T_S.size, 8.0 + east_m / DEGREE_E_M)),
    }


def test_a_stored_point_off_the_take_off_is_told_with_distance_and_bearing() -> None:
    (event,) = of(EventKind.LAUNCH_POINT_OFF, find_place(flown({**OUT_AND_BACK, **point(30.0, 40.0)})))
    assert event.values["off_m"] == pytest.approx(50.0, abs=0.5)
    assert np.degrees(event.values["bearing_rad"]) == pytest.approx(53.13, abs=0.7)  # atan2(40, 30)
    assert event.start_s == 2.0


def test_a_stored_point_within_the_fix_is_not() -> None:
    near = find_place(flown({**OUT_AND_BACK, **point(5.0, 5.0)}))
    assert of(EventKind.LAUNCH_POINT_OFF, near) == []
    poor = {**OUT_AND_BACK, **point(30.0, 0.0), Quantity.FIX_UNCERTAINTY: (T_S, 12.0)}
    assert of(EventKind.LAUNCH_POINT_OFF, find_place(flown(poor))) == []


def test_a_point_that_moves_in_flight_is_told() -> None:
    made = {**OUT_AND_BACK, **point(0.0, 0.0)}
    t_s, lat = made[Quantity.LAUNCH_LATITUDE]
    made[Quantity.LAUNCH_LATITUDE] = (t_s, np.where(T_S < 50.0, np.asarray(lat), 47.0 + 200.0 / DEGREE_N_M))
    (event,) = of(EventKind.LAUNCH_POINT_OFF, find_place(flown(made)))
    assert event.words["by"] == "moved"
    assert event.start_s == pytest.approx(50.0, abs=0.3)
    assert event.values["off_m"] == pytest.approx(200.0, abs=1.0)


@pytest.mark.parametrize("bearing", [True, False])
@pytest.mark.parametrize("off_m", [0.0, 60.0])
def test_the_records_own_distance_is_held_against_its_position(bearing: bool, off_m: float) -> None:
    """The stored point lies `off_m` south of the take-off, in line with the way out."""
    away = np.cumsum(OUT) * 0.2 + off_m
    made = {**OUT_AND_BACK, Quantity.DISTANCE_LAUNCH: (T_S, np.abs(away))}
    if bearing:
        made[Quantity.BEARING_LAUNCH] = (T_S, np.pi)
    found = of(EventKind.LAUNCH_POINT_OFF, find_place(flown(made)))
    assert [each.values["off_m"] for each in found] == ([] if off_m == 0.0 else [pytest.approx(60.0, abs=1.0)])


def test_without_a_stored_point_or_a_take_off_that_is_said() -> None:
    assert why(EventKind.LAUNCH_POINT_OFF, find_place(flown(OUT_AND_BACK))) == [WhyNot.NO_CHANNEL]
    late = find_place(flown({**OUT_AND_BACK, **point(30.0, 40.0)}, flat(K.CRUISE, 0.0, 120.0)))
    assert why(EventKind.LAUNCH_POINT_OFF, late) == [WhyNot.TOO_SHORT]


# --- automatic return --------------------------------------------------------------------------------------------


def returning(turned_deg: float) -> Flown:
    """Out north for 60 s, then back on a course that is off by some degrees."""
    off = np.radians(turned_deg)
    out = T_S < 60.0
    north = np.where(T_S < 4.0, 0.0, np.where(out, 10.0, -10.0 * np.cos(off)))
    made = {**track(north, np.where(out, 0.0, -10.0 * np.sin(off))), **point(0.0, 0.0)}
    made[Quantity.RETURN_ACTIVE] = (T_S, (~out).astype(float))
    return flown(made, *cruise(60.0), flat(K.RETURN, 60.0, 120.0))


@pytest.mark.parametrize("turned_deg", [60.0, 90.0, -120.0])
def test_a_return_on_a_wrong_course_is_told(turned_deg: float) -> None:
    event = of(EventKind.RETURN_TRACK_OFF, find_place(returning(turned_deg)))[0]
    assert event.start_s == pytest.approx(60.0, abs=1.0)
    assert event.values["distance_start_m"] == pytest.approx(560.0, abs=5.0)
    assert event.values["off_rad"] >= np.radians(abs(turned_deg)) - 0.03  # the angle grows as it passes by
    moved_s = event.end_s - event.start_s
    end_m = np.hypot(
        560.0 - 10.0 * moved_s * np.cos(np.radians(turned_deg)), 10.0 * moved_s * np.sin(np.radians(turned_deg))
    )
    assert event.values["distance_end_m"] == pytest.approx(end_m, rel=0.02)
    assert event.values["closing_mps"] == pytest.approx((560.0 - end_m) / moved_s, abs=0.3)
    assert event.values["off_m"] == pytest.approx(abs(10.0 * moved_s * np.sin(np.radians(turned_deg))), rel=0.03)


@pytest.mark.parametrize("turned_deg", [0.0, 2.0])
def test_a_return_that_flies_home_is_not(turned_deg: float) -> None:
    made = returning(turned_deg)
    home = Flown(made.record, (*made.phases[:-1], flat(K.RETURN, 60.0, 112.0), flat(K.HOVER, 112.0, 119.8)))
    assert of(EventKind.RETURN_TRACK_OFF, find_place(home)) == []


def test_without_word_of_a_return_it_is_not_judged() -> None:
    assert why(EventKind.RETURN_TRACK_OFF, find_place(flown(OUT_AND_BACK))) == [WhyNot.NO_CHANNEL]


# --- jumps and ends ----------------------------------------------------------------------------------------------


def test_a_position_jump_beyond_its_speed_is_told() -> None:
    made = dict(OUT_AND_BACK)
    t_s, lat = made[Quantity.LATITUDE]
    made[Quantity.LATITUDE] = (t_s, np.asarray(lat) + np.where(T_S >= 50.0, 80.0 / DEGREE_N_M, 0.0))
    (event,) = of(EventKind.POSITION_JUMP, find_place(flown(made)))
    assert event.start_s == pytest.approx(50.0, abs=0.3)
    assert event.values["jump_m"] == pytest.approx(80.0, abs=3.0)
    assert of(EventKind.POSITION_JUMP, find_place(flown(OUT_AND_BACK))) == []


def test_a_poor_fix_in_flight_is_told() -> None:
    made = {**OUT_AND_BACK, Quantity.FIX_UNCERTAINTY: (T_S, np.where((T_S > 30.0) & (T_S < 36.0), 45.0, 2.0))}
    (event,) = of(EventKind.POSITION_JUMP, find_place(flown(made)))
    assert event.words["by"] == "uncertainty"
    assert event.values["uncertainty_m"] == 45.0
    assert (event.end_s - event.start_s) == pytest.approx(6.0, abs=0.5)


def test_a_record_that_ends_aloft_gives_its_last_values() -> None:
    made = dict(OUT_AND_BACK)
    made[Quantity.HEIGHT_LAUNCH] = (T_S, 40.0 - T_S / 10.0)
    made[Quantity.PACK_VOLTS] = (T_S, 16.0 - T_S / 100.0)
    made[Quantity.CURRENT] = (T_S[:500], 9.0)  # ends 20 s before the record: too old
    for at in At:
        made[Channel(Quantity.OUTPUT, at)] = (T_S, 0.4)
    (event,) = of(EventKind.ENDS_ALOFT, find_place(flown(made, *cruise(float(T_S[-1])))))
    values = event.values
    assert values["height_m"] == pytest.approx(40.0 - 11.98)
    assert values["pack_v"] == pytest.approx(16.0 - 1.198)
    assert values["speed_mps"] == pytest.approx(10.0)
    assert values["course_rad"] == pytest.approx(np.pi)
    assert values["runs"] == 1.0
    assert values["aloft_s"] == pytest.approx(117.8)
    assert "current_a" not in values
    assert event.start_s == event.end_s == T_S[-1]
    assert event.words["phase"] == "cruise"


@pytest.mark.parametrize(("height_m", "count"), [(0.4, 0), (12.0, 1)])
def test_a_record_that_ends_as_it_is_switched_off_at_rest_on_the_ground_does_not_end_aloft(
    height_m: float, count: int
) -> None:
    """The phase before had no time to end: armed falls in the last rows, standing still."""
    made = dict(OUT_AND_BACK)
    made[Quantity.HEIGHT_LAUNCH] = (T_S, np.full(T_S.size, height_m))
    made[Quantity.CLIMB_RATE] = (T_S, np.zeros(T_S.size))
    made[Quantity.GROUND_SPEED] = (T_S, np.zeros(T_S.size))
    made[Quantity.ARMED] = (T_S, (T_S[-3] > T_S).astype(float))
    assert len(of(EventKind.ENDS_ALOFT, find_place(flown(made, *cruise(float(T_S[-1])))))) == count


def test_a_record_that_ends_on_the_ground_or_unknown_is_none() -> None:
    landed = find_place(flown(OUT_AND_BACK, *cruise(100.0), flat(K.GROUND, 100.0, 119.8)))
    assert of(EventKind.ENDS_ALOFT, landed) == []
    assert why(EventKind.ENDS_ALOFT, landed) == []
    unknown = find_place(flown(OUT_AND_BACK, flat(K.UNKNOWN, 0.0, 119.8)))
    assert why(EventKind.ENDS_ALOFT, unknown) == [WhyNot.NO_CHANNEL]


def test_positions_that_are_no_fix_are_left_out() -> None:
    """0, 0 before the first fix, and one row on another continent."""
    made = {**OUT_AND_BACK, **point(0.0, 0.0)}
    for quantity in (Quantity.LATITUDE, Quantity.LONGITUDE):
        t_s, values = made[quantity]
        changed = np.array(values)
        changed[:5] = 0.0
        changed[300] = -30.0
        made[quantity] = (t_s, changed)
    found = find_place(flown(made))
    assert of(EventKind.LAUNCH_POINT_OFF, found) == []
    assert of(EventKind.POSITION_JUMP, found) == []
