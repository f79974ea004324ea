"""Read a pasted METAR: wind, gusts, temperature, pressure and age; everything else in it is passed over.

Source: WMO-No. 306, Manual on Codes, Volume I.1, FM 15 METAR and FM 16 SPECI, groups 15.1 to 15.14. The altimeter
setting in hundredths of an inch of mercury (``A2992``) and gusts over two digits are national practice.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from typing import Final

from turnback.base.errors import bad_input
from turnback.records.weather import WeatherReport

MPS_OF: Final = {"KT": 1852.0 / 3600.0, "MPS": 1.0, "KMH": 1.0 / 3.6}
HPA_PER_INHG: Final = 33.86389  # conventional inch of mercury, NIST SP 811, appendix B
FASTEST_MPS: Final = 110.0  # just below the fastest gust ever measured near the ground (113 m/s; from memory)
TEMPERATURE_C: Final = (-70.0, 60.0)  # our choice: a little wider than has been met where anyone flies
QNH_HPA: Final = (850.0, 1090.0)  # our choice: a little wider than has been met at sea level
CLOCKS_DIFFER_H: Final = 0.5  # our choice: some stations stamp a report with the full hour that is about to strike
MONTHS_AROUND: Final = (-1, 0, 1)

_EXAMPLE: Final = 'paste it whole, as in "METAR ZZZZ 241320Z 24008KT 9999 FEW030 18/09 Q1017"'
_END: Final = frozenset({"TEMPO", "BECMG", "RMK", "NOSIG"})
_KIND: Final = frozenset({"METAR", "SPECI", "COR", "AUTO"})
_STATION: Final = re.compile(r"[A-Z][A-Z0-9]{3}")
_TIME: Final = re.compile(r"(\d{2})(\d{2})(\d{2})Z")
_WIND: Final = re.compile(r"(\d{3}|VRB|///)P?(\d{2,3}|//)(?:GP?(\d{2,3}|//))?(KT|MPS|KMH)")
_AIR: Final = re.compile(r"(M?\d{2}|//)/(M?\d{2}|//)?")
_PRESSURE: Final = re.compile(r"([QA])(\d{4}|////)")


def read_metar(
    text: str, where: str, *, distance_km: float | None = None, now: datetime | None = None
) -> WeatherReport:
    """Return what a METAR says about wind and air.

    Parameters
    ----------
    text : str
        One report. What follows TEMPO, BECMG, NOSIG, RMK or the closing ``=`` is not used.
    where : str
        File and field that held it, for errors.
    distance_km : float, optional
        From the station to the launch point.
    now : datetime, optional
        With its time zone; UTC where it has none. A report gives the day of the month only: of the months around, the
        one nearest to now is taken. A report up to half an hour ahead counts as new.

    Returns
    -------
    WeatherReport

    Raises
    ------
    InputError
        If it is no METAR, two of them, one without an observation, or says what no weather is.
    """
    words = _observed(text, where)
    station, stamp = _heading(words)
    wind = _first(_WIND, words)
    if wind is None:
        raise bad_input(where, f"{_short(text)} has no wind group such as 24008KT, so it is no METAR", _EXAMPLE)
    wind_mps, gust_mps, from_deg = _wind(wind, where)
    temperature_c, qnh_hpa = _temperature(words, where), _qnh(words, where)
    return WeatherReport(
        wind_mps=wind_mps,
        gust_mps=gust_mps,
        wind_from_deg=from_deg,
        temperature_c=temperature_c,
        qnh_hpa=qnh_hpa,
        age_h=_age_h(stamp, now, where),
        distance_km=distance_km,
        station=station,
    )


def _observed(text: str, where: str) -> list[str]:
    """The groups of the observation, up to the first that forecasts or remarks."""
    words = text.upper().split("=", 1)[0].split()
    if not words:
        raise bad_input(where, "the report is empty", _EXAMPLE)
    if words[0] == "TAF" or words[:2] == ["METAR", "TAF"]:
        raise bad_input(where, "that is a TAF, a forecast", "paste the METAR of the station, or type the wind in")
    if "NIL" in words:
        raise bad_input(where, "the report says NIL: there was no observation", "leave it out, or paste another one")
    ends = [number for number, word in enumerate(words) if word in _END]
    words = words[: ends[0]] if ends else words
    if sum(_TIME.fullmatch(word) is not None for word in words) > 1:
        raise bad_input(where, "it holds more than one report", "keep the newest one")
    return words


def _heading(words: list[str]) -> tuple[str | None, re.Match[str] | None]:
    """Station and time, which stand before the wind where they are given."""
    first = next((word for word in words if word not in _KIND), "")
    station = first if _STATION.fullmatch(first) else None
    return station, _first(_TIME, words)


def _first(pattern: re.Pattern[str], words: list[str]) -> re.Match[str] | None:
    return next((found for word in words if (found := pattern.fullmatch(word))), None)


def _wind(found: re.Match[str], where: str) -> tuple[float | None, float | None, float | None]:
    """Mean and gusts in m/s, and where from: None where variable, calm or missing."""
    direction, mean, gust, unit = found.groups()
    wind_mps = None if mean == "//" else int(mean) * MPS_OF[unit]
    gust_mps = None if gust in (None, "//") else int(gust) * MPS_OF[unit]
    if max(wind_mps or 0.0, gust_mps or 0.0) > FASTEST_MPS:
        raise bad_input(where, f"{found[0]} is faster than any wind", "paste the report again")
    if wind_mps is not None and gust_mps is not None and gust_mps <= wind_mps:
        raise bad_input(where, f"{found[0]} has gusts no faster than its mean wind", "paste the report again")
    if direction in ("VRB", "///"):
        return wind_mps, gust_mps, None
    if int(direction) > 360:
        raise bad_input(where, f"{found[0]} has a direction beyond 360 degrees", "paste the report again")
    return wind_mps, gust_mps, float(direction) if wind_mps else None


def _temperature(words: list[str], where: str) -> float | None:
    found = _first(_AIR, words)
    if found is None or not found[1].removeprefix("M").isdigit():
        return None
    value = float(found[1].removeprefix("M")) * (-1.0 if found[1].startswith("M") else 1.0)
    low, high = TEMPERATURE_C
    if not low <= value <= high:
        raise bad_input(where, f"{found[0]} is a temperature outside {low:g} to {high:g} °C", "paste the report again")
    return value


def _qnh(words: list[str], where: str) -> float | None:
    found = _first(_PRESSURE, words)
    if found is None or found[2] == "////":
        return None
    value = float(found[2]) if found[1] == "Q" else float(found[2]) / 100.0 * HPA_PER_INHG
    low, high = QNH_HPA
    if not low <= value <= high:
        raise bad_input(where, f"{found[0]} is a pressure outside {low:g} to {high:g} hPa", "paste the report again")
    return value


def _age_h(stamp: re.Match[str] | None, now: datetime | None, where: str) -> float | None:
    if stamp is None:
        return None
    day, hour, minute = (int(part) for part in stamp.groups())
    if not (1 <= day <= 31 and hour <= 23 and minute <= 59):
        raise bad_input(where, f"{stamp[0]} is no day and time", "paste the report again")
    if now is None:
        return None
    today = now.replace(tzinfo=UTC) if now.tzinfo is None else now.astimezone(UTC)
    ages = [(today - then) / timedelta(hours=1) for then in _days_around(today, day, hour, minute)]
    age_h = min(ages, key=abs)
    return 0.0 if -CLOCKS_DIFFER_H <= age_h < 0.0 else age_h


def _days_around(today: datetime, day: int, hour: int, minute: int) -> list[datetime]:
    """That day of last month, this month and the next, where the month has it; one of the three always has."""
    found = []
    for step in MONTHS_AROUND:
        month = today.year * 12 + today.month - 1 + step
        try:
            found.append(datetime(month // 12, month % 12 + 1, day, hour, minute, tzinfo=UTC))
        except ValueError:
            continue
    return found


def _short(text: str) -> str:
    """A stranger's text, on one line and not long."""
    line = " ".join(text.split())
    return repr(line if len(line) <= 60 else line[:57] + "...")
