"""The site and the day's weather as the pilot writes them down."""

from __future__ import annotations

from enum import Enum
from typing import Annotated

from pydantic import Field

from turnback.records.common import Answer, FilePath, FileRecord, Id, Number, Reading, Text, quantity


class Canopy(Enum):
    """What grows or stands on the ground that a bare-earth grid does not show."""

    NONE = "none"
    SCATTERED_TREES = "scattered trees"
    WOOD = "wood"
    UNKNOWN = "don't know"


class Ridge(FileRecord):
    """A ridge typed in where there is no terrain file."""

    distance_m: Number = Field(ge=20, le=20000)
    height_m: Number = Field(ge=1, le=3000, description="above the launch point")
    bearing_deg: Number | None = quantity(
        0, 360, "°", "direction of the ridge from the launch point; all round if left out"
    )
    width_m: Number | None = quantity(20, 5000, "m", "from foot to foot; 400 m if left out, less for a near ridge")


class LocalLimits(FileRecord):
    """The limits the pilot has looked up. Turnback does not know the local law."""

    looked_up: Answer = Answer.UNKNOWN
    height_m: Number | None = quantity(1, 500, "m", "greatest height allowed above ground")
    distance_m: Number | None = quantity(1, 20000, "m", "greatest distance allowed from the pilot")
    in_sight: Answer = Field(default=Answer.UNKNOWN, description="must the aircraft stay in sight?")


class SiteFile(FileRecord):
    """Where the flight happens."""

    id: Id | None = None
    note: Text | None = None
    terrain: FilePath | None = Field(default=None, description="raster of ground heights, or leave out for flat ground")
    ridges: Annotated[tuple[Ridge, ...], Field(max_length=50)] = ()
    latitude_deg: Number | None = quantity(-89, 89, "°", "latitude of the launch point, WGS 84")
    longitude_deg: Number | None = quantity(-180, 180, "°", "longitude of the launch point, WGS 84")
    height_m: Number | None = quantity(
        -430, 6000, "m", "height of the launch point above sea level, if there is no terrain file"
    )
    antenna_height_m: Reading | None = quantity(0.3, 30, "m", "height of the pilot's antennas above ground")
    canopy: Canopy = Canopy.UNKNOWN
    canopy_height_m: Reading | None = quantity(0.5, 60, "m", "height of the trees")
    people_areas: FilePath | None = Field(default=None, description="GeoJSON polygons where people may be")
    control_offset_db: Reading | None = quantity(
        -60, 80, "dB", "control link: loss beyond the model where it was measured, by a range walk"
    )
    control_excess_exponent: Reading | None = quantity(
        -6, 8, "", "control link: how much faster than the model it falls; 1 is 10 dB more in every tenfold of distance"
    )
    control_sigma_ratio: Reading | None = quantity(0.2, 5, "", "control link: spread of readings over the model's own")
    control_reference_m: Number | None = quantity(1, 20000, "m", "control link: distance at which that loss holds")
    control_walked_m: Number | None = quantity(1, 20000, "m", "control link: how far the range walk went")
    video_offset_db: Reading | None = quantity(
        -60, 80, "dB", "video link: loss beyond the model where it was measured, by a range walk"
    )
    video_excess_exponent: Reading | None = quantity(
        -6, 8, "", "video link: how much faster than the model it falls; 1 is 10 dB more in every tenfold of distance"
    )
    video_sigma_ratio: Reading | None = quantity(0.2, 5, "", "video link: spread of readings over the model's own")
    video_reference_m: Number | None = quantity(1, 20000, "m", "video link: distance at which that loss holds")
    video_walked_m: Number | None = quantity(1, 20000, "m", "video link: how far the range walk went")
    local_limits: LocalLimits = LocalLimits()


class WeatherFile(FileRecord):
    """Wind and air: typed in, or a pasted weather report (METAR)."""

    wind_mps: Reading | None = quantity(0, 40, "m/s", "mean wind, 10 m above ground", "enter m/s, not km/h")
    gust_mps: Reading | None = quantity(0, 60, "m/s", "gusts", "enter m/s, not km/h")
    wind_from_deg: Reading | None = quantity(0, 360, "°", "direction the wind comes from")
    temperature_c: Reading | None = quantity(-40, 50, "°C", "air temperature at the launch point")
    qnh_hpa: Reading | None = quantity(870, 1085, "hPa", "pressure reduced to sea level")
    metar: Annotated[str, Field(max_length=400)] | None = None
    metar_distance_km: Number | None = quantity(0, 500, "km", "distance of that station from the launch point")
