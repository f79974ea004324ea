"""A weather report, as far as a brief uses it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class WeatherReport:
    """What a METAR says. None where it says nothing.

    Attributes
    ----------
    wind_mps, gust_mps : float or None
        Mean wind and gusts, 10 m above ground.
    wind_from_deg : float or None
        From true north; None where variable, calm or missing.
    temperature_c, qnh_hpa : float or None
    age_h : float or None
        Hours from the observation to now; below zero where the report is stamped well ahead of now.
    distance_km : float or None
        From the station to the launch point, as entered.
    station : str or None
        The station's four letters.
    """

    wind_mps: float | None
    gust_mps: float | None
    wind_from_deg: float | None
    temperature_c: float | None
    qnh_hpa: float | None
    age_h: float | None
    distance_km: float | None
    station: str | None
