"""METAR text, held against an independent open-source decoder and against the code's own manual."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from metar.Metar import Metar

from turnback.base.errors import InputError
from turnback.readers.weather import read_metar
from turnback.records.weather import WeatherReport

WHERE = "plan.toml: weather.metar"

# The invented report of the invented aerodrome YUDO: ICAO Annex 3, appendix 3, example A3-1 (from memory).
YUDO = (
    "METAR YUDO 221630Z 24004MPS 0600 R12/1000U DZ FG SCT010 OVC020 17/16 Q1018 "
    "BECMG TL1700 0900 FG BECMG AT1800 9999 NSW"
)


def read(text: str, now: datetime | None = None, distance_km: float | None = None) -> WeatherReport:
    return read_metar(text, WHERE, distance_km=distance_km, now=now)


@pytest.mark.published
def test_the_example_of_the_manual_is_read_as_the_manual_explains_it() -> None:
    report = read(YUDO, datetime(2025, 6, 22, 17, 0, tzinfo=UTC), 12.0)
    assert report == WeatherReport(4.0, None, 240.0, 17.0, 1018.0, 0.5, 12.0, "YUDO")


@pytest.mark.published
@given(
    direction=st.one_of(st.just("VRB"), st.integers(1, 36).map(lambda tens: f"{tens * 10:03d}")),
    mean=st.integers(1, 60),
    more=st.one_of(st.none(), st.integers(1, 39)),
    unit=st.sampled_from(["KT", "MPS", "KMH"]),
    celsius=st.integers(-60, 45),
    pressure=st.one_of(
        st.integers(900, 1080).map(lambda hpa: f"Q{hpa:04d}"), st.integers(2700, 3150).map(lambda inhg: f"A{inhg}")
    ),
)
def test_wind_and_air_agree_with_another_decoder(
    direction: str, mean: int, more: int | None, unit: str, celsius: int, pressure: str
) -> None:
    gust = "" if more is None else f"G{mean + more:02d}"
    sign = "M" if celsius < 0 else ""
    text = f"METAR ZZZZ 101220Z {direction}{mean:02d}{gust}{unit} 9999 {sign}{abs(celsius):02d}/M65 {pressure}"
    other: Any = Metar(text, month=6, year=2025)
    ours = read(text)
    # the other decoder rounds the knot to 0.514444 m/s and the inch to 33.86398 hPa
    assert ours.wind_mps == pytest.approx(other.wind_speed.value("MPS"), rel=1e-5)
    assert ours.gust_mps == (None if more is None else pytest.approx(other.wind_gust.value("MPS"), rel=1e-5))
    assert ours.wind_from_deg == (None if other.wind_dir is None else other.wind_dir.value())
    assert ours.temperature_c == other.temp.value("C")
    assert ours.qnh_hpa == pytest.approx(other.press.value("HPA"), rel=1e-5)


@pytest.mark.published
def test_units_are_those_of_the_standards() -> None:
    # 1 knot = 1852 m/h (exact, SI Brochure table 8); 29.92 inHg stands for the standard atmosphere
    report = read("METAR ZZZZ 101220Z 27010KT 9999 15/10 A2992")
    assert report.wind_mps == pytest.approx(5.14444, abs=1e-5)
    assert report.qnh_hpa == pytest.approx(1013.25, abs=0.1)
    assert read("METAR ZZZZ 101220Z 27036KMH 9999 15/10 Q1013").wind_mps == pytest.approx(10.0)


@pytest.mark.parametrize(
    ("group", "wind", "gust", "direction"),
    [
        ("00000KT", 0.0, None, None),
        ("VRB02MPS", 2.0, None, None),
        ("/////KT", None, None, None),
        ("240//MPS", None, None, None),
        ("///05MPS", 5.0, None, None),
        ("36005G12MPS", 5.0, 12.0, 360.0),
        ("240P49MPS", 49.0, None, 240.0),
        ("24030GP49MPS", 30.0, 49.0, 240.0),
    ],
)
def test_winds_that_are_calm_variable_missing_or_off_the_scale(
    group: str, wind: float | None, gust: float | None, direction: float | None
) -> None:
    report = read(f"METAR ZZZZ 101220Z AUTO {group} 9999 10/05 Q1010")
    assert (report.wind_mps, report.gust_mps, report.wind_from_deg) == (wind, gust, direction)


@pytest.mark.parametrize(
    ("air", "celsius"), [("M05/M07", -5.0), ("05/M02", 5.0), ("M00/M03", 0.0), ("/////", None), ("12/", 12.0)]
)
def test_temperatures_below_zero_and_missing(air: str, celsius: float | None) -> None:
    assert read(f"METAR ZZZZ 101220Z 24004MPS {air} Q1010").temperature_c == celsius


def test_pressure_may_be_missing() -> None:
    assert read("METAR ZZZZ 101220Z 24004MPS 10/05 Q////").qnh_hpa is None
    assert read("METAR ZZZZ 101220Z 24004MPS 10/05").qnh_hpa is None


@pytest.mark.parametrize("word", ["TEMPO 30020G30MPS Q0950", "BECMG 30020MPS", "RMK 30020MPS A2900", "NOSIG"])
def test_nothing_after_a_trend_or_remark_is_used(word: str) -> None:
    assert read(f"METAR ZZZZ 101220Z 24004MPS {word}").wind_mps == 4.0
    with pytest.raises(InputError, match="no wind group"):
        read(f"METAR ZZZZ 101220Z {word}")


def test_corrected_automatic_lower_case_and_closed_reports_are_read() -> None:
    for text in (
        "METAR COR ZZZZ 101220Z 24004MPS 9999 10/05 Q1010=",
        "SPECI ZZZZ 101220Z AUTO 24004MPS 200V280 9999NDV 10/05 Q1010",
        "zzzz 101220z 24004mps\n  cavok 10/05 q1010=",
    ):
        report = read(text)
        assert (report.station, report.wind_mps, report.temperature_c, report.qnh_hpa) == ("ZZZZ", 4.0, 10.0, 1010.0)


def test_a_report_without_heading_has_no_station_and_no_age() -> None:
    report = read("24004MPS 10/05 Q1010", datetime(2025, 6, 10, tzinfo=UTC))
    assert report.station is None
    assert report.age_h is None


@pytest.mark.parametrize(
    ("now", "group", "hours"),
    [
        (datetime(2025, 6, 10, 13, 20, tzinfo=UTC), "101220Z", 1.0),
        (datetime(2025, 7, 1, 0, 20, tzinfo=UTC), "302350Z", 0.5),  # last month
        (datetime(2026, 1, 1, 0, 20, tzinfo=UTC), "312350Z", 0.5),  # last year
        (datetime(2025, 3, 1, 2, 0, tzinfo=UTC), "282200Z", 4.0),  # after a February of 28 days
        (datetime(2025, 6, 30, 23, 50, tzinfo=UTC), "010000Z", 0.0),  # stamped with the hour about to strike
        (datetime(2025, 6, 10, 12, 0, tzinfo=UTC), "101400Z", -2.0),
        (datetime(2025, 6, 20, 12, 0, tzinfo=UTC), "101200Z", 240.0),
        (datetime(2025, 6, 10, 15, 20, tzinfo=timezone(timedelta(hours=2))), "101220Z", 1.0),
        (datetime(2025, 6, 10, 13, 20), "101220Z", 1.0),  # without a zone it is UTC
    ],
)
def test_the_age_counts_from_the_nearest_day_of_that_number(now: datetime, group: str, hours: float) -> None:
    assert read(f"METAR ZZZZ {group} 24004MPS", now).age_h == pytest.approx(hours)


def test_without_a_clock_the_age_is_unknown() -> None:
    assert read(YUDO).age_h is None


@given(st.datetimes(datetime(2020, 1, 1), datetime(2035, 1, 1)), st.integers(0, 12 * 24 * 60))
def test_up_to_twelve_days_the_age_is_what_passed(now: datetime, minutes: int) -> None:
    now = now.replace(tzinfo=UTC, second=0, microsecond=0)
    then = now - timedelta(minutes=minutes)
    assert read(f"METAR ZZZZ {then:%d%H%M}Z 24004MPS", now).age_h == pytest.approx(minutes / 60.0)


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("", "the report is empty"),
        (" = ", "the report is empty"),
        ("windy, a bit of sun", "'windy, a bit of sun' has no wind group such as 24008KT, so it is no METAR"),
        ("METAR ZZZZ 101220Z 9999 10/05 Q1010", "has no wind group"),
        ("TAF ZZZZ 101120Z 1012/1112 24004MPS", "that is a TAF, a forecast"),
        ("METAR ZZZZ 101220Z NIL=", "the report says NIL: there was no observation"),
        ("METAR ZZZZ 101220Z 24004MPS METAR ZZZZ 101250Z 25004MPS", "it holds more than one report"),
        ("METAR ZZZZ 321220Z 24004MPS", "321220Z is no day and time"),
        ("METAR ZZZZ 102420Z 24004MPS", "102420Z is no day and time"),
        ("METAR ZZZZ 101220Z 37004MPS", "37004MPS has a direction beyond 360 degrees"),
        ("METAR ZZZZ 101220Z 240250KT", "240250KT is faster than any wind"),
        ("METAR ZZZZ 101220Z 24010G08MPS", "24010G08MPS has gusts no faster than its mean wind"),
        ("METAR ZZZZ 101220Z 24004MPS 85/10 Q1010", "85/10 is a temperature outside -70 to 60 °C"),
        ("METAR ZZZZ 101220Z 24004MPS 15/10 Q0110", "Q0110 is a pressure outside 850 to 1090 hPa"),
        ("METAR ZZZZ 101220Z 24004MPS 15/10 A0299", "A0299 is a pressure outside 850 to 1090 hPa"),
    ],
)
def test_what_is_no_report_is_told_in_one_sentence(text: str, what: str) -> None:
    with pytest.raises(InputError) as caught:
        read(text)
    (fault,) = caught.value.faults
    assert fault.where == WHERE
    assert what in fault.what
    assert "\n" not in fault.sentence()


@given(st.text(max_size=400))
def test_any_text_gets_a_report_or_one_fault(text: str) -> None:
    try:
        report = read(text, datetime(2025, 6, 10, tzinfo=UTC))
    except InputError as error:
        assert len(error.faults) == 1
        assert "\n" not in error.faults[0].sentence()
    else:
        assert report.wind_mps is None or 0.0 <= report.wind_mps <= 110.0


@given(
    st.lists(
        st.sampled_from(
            ["METAR", "ZZZZ", "101220Z", "999999Z", "24004MPS", "VRB99KT", "/////KT", "99/99", "M05/M07", "Q1013",
             "A2992", "Q0000", "TEMPO", "RMK", "=", "NIL", "COR", "R12/1000U", "//", "٢٤٠٠٤MPS"]
        ),
        max_size=12,
    ).map(" ".join)
)  # fmt: skip
def test_any_mixture_of_groups_gets_a_report_or_one_fault(text: str) -> None:
    try:
        report = read(text, datetime(2025, 6, 10, tzinfo=UTC))
    except InputError as error:
        assert len(error.faults) == 1
    else:
        assert report.qnh_hpa is None or 850.0 <= report.qnh_hpa <= 1090.0
