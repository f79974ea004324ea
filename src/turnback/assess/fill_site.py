"""Fill the gaps of site and weather; judge how far a weather report is trusted."""

from __future__ import annotations

from dataclasses import dataclass

from turnback.assess.bands import Trust, band, entered, exact, from_reading, from_typical, scaled
from turnback.records.common import Reading
from turnback.records.site import SiteFile, WeatherFile
from turnback.records.weather import WeatherReport
from turnback.records.world import Band, Origin, SiteWorld
from turnback.rules.flight import REPORT_AGE, REPORT_DISTANCE
from turnback.rules.typical import typical

METRES = scaled("m", 1.0)
METRES_PER_SECOND = scaled("m/s", 1.0)
HECTOPASCALS = scaled("Pa", 100.0)
CLOCKS_DIFFER_H = 0.5  # a report from a little ahead is new (our choice)


@dataclass(frozen=True, slots=True)
class Weather:
    """The day's weather as far as it is trusted. `stale` says that a report was too old or too far."""

    wind_mps: Reading | None
    gust_mps: Reading | None
    wind_from_deg: Reading | None
    temperature_c: Reading | None
    qnh_hpa: Reading | None
    stale: bool


def trusted(plan: WeatherFile, report: WeatherReport | None) -> Weather:
    """Return typed-in values, then a report's, unless it is old or far: then its wind counts as unknown."""
    if report is None:
        return Weather(plan.wind_mps, plan.gust_mps, plan.wind_from_deg, plan.temperature_c, plan.qnh_hpa, stale=False)
    old = report.age_h is None or not -CLOCKS_DIFFER_H <= report.age_h <= REPORT_AGE.value
    far = report.distance_km is None or report.distance_km > REPORT_DISTANCE.value
    stale = old or far

    def taken(typed: Reading | None, reported: float | None, *, wind: bool) -> Reading | None:
        if typed is not None or reported is None or (stale and wind):
            return typed
        return Reading(value=reported)

    return Weather(
        taken(plan.wind_mps, report.wind_mps, wind=True),
        taken(plan.gust_mps, report.gust_mps, wind=True),
        taken(plan.wind_from_deg, report.wind_from_deg, wind=True),
        taken(plan.temperature_c, report.temperature_c, wind=False),
        taken(plan.qnh_hpa, report.qnh_hpa, wind=False),
        stale=stale,
    )


def fill_site(plan: SiteFile, weather: Weather, launch_height_m: float) -> SiteWorld:
    """Return site and weather with every gap filled."""
    rows = typical("site")
    canopy = typical("canopy", plan.canopy.value)
    wind = _wind(weather)
    fraction = from_typical("site.tree_depth_fraction", canopy["fraction"], scaled("", 1.0))
    return SiteWorld(
        launch_height_m=launch_height_m,
        antenna_height_m=band(
            "site.antenna_height_m", plan.antenna_height_m, rows["antenna_height_m"], METRES, entered("height_share")
        ),
        canopy=plan.canopy,
        canopy_height_m=band(
            "site.canopy_height_m", plan.canopy_height_m, canopy["height_m"], METRES, entered("height_share")
        ),
        tree_depth_fraction=fraction,
        edge_fraction=from_typical("site.edge_fraction", rows["edge_fraction"], scaled("", 1.0)),
        wind_mps=wind,
        gust_factor=_gust_factor(weather, wind),
        wind_from_deg=_direction(weather),
        temperature_c=band(
            "site.temperature_c",
            weather.temperature_c,
            rows["temperature_c"],
            scaled("°C", 1.0),
            entered("temperature_c"),
        ),
        qnh_pa=band("site.qnh_pa", weather.qnh_hpa, rows["qnh_hpa"], HECTOPASCALS, entered("qnh_hpa")),
        wind_known=weather.wind_mps is not None,
        weather_stale=weather.stale,
    )


def _wind(weather: Weather) -> Band:
    """A wind that was measured still differs from the wind at flight height."""
    rows = typical("site")
    if weather.wind_mps is None:
        return from_typical("site.wind_mps", rows["wind_mps"], METRES_PER_SECOND, Origin.ASSUMED)
    given, error = weather.wind_mps, rows["wind_error_share"]
    if given.low is not None or given.high is not None:
        return from_reading("site.wind_mps", given, METRES_PER_SECOND, Trust())
    least = max(given.value * error.high, given.value + 0.5)  # a calm that is told may hide half a metre per second
    return Band("site.wind_mps", given.value, given.value * error.low, least, "m/s", Origin.DECLARED, "user")


def _gust_factor(weather: Weather, wind: Band) -> Band:
    row = typical("site")["gust_factor"]
    if weather.gust_mps is None or wind.value <= 0.0:
        return from_typical("site.gust_factor", row, scaled("", 1.0))
    factor = max(1.0, weather.gust_mps.value / wind.value)
    return exact("site.gust_factor", factor, "")


def _direction(weather: Weather) -> Band:
    """An unknown direction is any direction: the band spans the circle."""
    if weather.wind_from_deg is None:
        return Band("site.wind_from_deg", 0.0, -180.0, 180.0, "°", Origin.ASSUMED, "our-choice")
    return from_reading("site.wind_from_deg", weather.wind_from_deg, scaled("°", 1.0), entered("wind_from_deg"))
