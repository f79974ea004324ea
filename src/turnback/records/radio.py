"""The two radios as their owner writes them down."""

from __future__ import annotations

from enum import Enum
from typing import Any

from pydantic import Field, GetJsonSchemaHandler, model_validator
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema

from turnback.records.common import FileRecord, Number, Reading, quantity


class ControlClass(Enum):
    """Classes of control link; typical values in ``rules/typical.toml``."""

    GHZ_2_4_25_MW = "2.4 GHz, 25 mW"
    GHZ_2_4_100_MW = "2.4 GHz, 100 mW"
    GHZ_2_4_250_MW = "2.4 GHz, 250 mW"
    MHZ_900_100_MW = "868 or 915 MHz, 100 mW"


class VideoClass(Enum):
    """Classes of video link; typical values in ``rules/typical.toml``."""

    ANALOGUE_25_MW = "analogue 5.8 GHz, 25 mW"
    ANALOGUE_200_MW = "analogue 5.8 GHz, 200 mW"
    ANALOGUE_600_MW = "analogue 5.8 GHz, 600 mW"
    DIGITAL_25_MW = "digital 5.8 GHz, 25 mW"
    DIGITAL_500_MW = "digital 5.8 GHz, 500 mW"
    NONE = "none"


class PatternName(Enum):
    """Shape of an antenna's pattern."""

    OMNIDIRECTIONAL = "omnidirectional"
    DIPOLE = "dipole"
    PATCH = "patch"


class PolarisationName(Enum):
    """Polarisation of an antenna. A linear antenna's angle is its mounting's."""

    VERTICAL = "vertical"
    HORIZONTAL = "horizontal"
    CIRCULAR_LEFT = "circular, left hand"
    CIRCULAR_RIGHT = "circular, right hand"


class AntennaFile(FileRecord):
    """One antenna."""

    gain_dbi: Reading | None = quantity(-10, 25, "dBi", "greatest gain")
    pattern: PatternName | None = None
    polarisation: PolarisationName | None = None


class LinkFile(FileRecord):
    """One radio link, with what is known of it at each end."""

    frequency_mhz: Number | None = quantity(300, 7500, "MHz", "carrier frequency", "enter MHz: 2.4 GHz is 2400")
    ground_power_mw: Reading | None = quantity(0.1, 5000, "mW", "transmit power at the pilot's end")
    aircraft_power_mw: Reading | None = quantity(0.1, 5000, "mW", "transmit power on the aircraft")
    ground_antenna: AntennaFile | None = None
    aircraft_antenna: AntennaFile | None = None
    ground_sensitivity_dbm: Reading | None = quantity(
        -140, -40, "dBm", "weakest usable level at the pilot's end", "enter a negative number of dBm"
    )
    aircraft_sensitivity_dbm: Reading | None = quantity(
        -140, -40, "dBm", "weakest usable level on the aircraft", "enter a negative number of dBm"
    )
    bandwidth_khz: Number | None = quantity(1, 80000, "kHz", "receiver bandwidth", "enter kHz: 20 MHz is 20000")
    noise_figure_db: Reading | None = quantity(0, 20, "dB", "receiver noise figure")
    interference_dbm: Reading | None = quantity(
        -140, -20, "dBm", "interference measured on site in the receiver's bandwidth"
    )


class ClassedLink(LinkFile):
    """A link written as a table, or as its class alone."""

    @model_validator(mode="before")
    @classmethod
    def _class_alone(cls, given: Any) -> Any:
        return {"class": given} if isinstance(given, str) else given

    @classmethod
    def __get_pydantic_json_schema__(cls, core_schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        """Both written forms are allowed."""
        table = handler.resolve_ref_schema(handler(core_schema))
        return {"anyOf": [table["properties"]["class"], table]}


class ControlFile(ClassedLink):
    """The control link."""

    class_: ControlClass = Field(alias="class", description="class of control link")


class VideoFile(ClassedLink):
    """The video link."""

    class_: VideoClass = Field(alias="class", description="class of video link")


class RadioFile(FileRecord):
    """Both links. Each is a class by name, or a table with a class and what is known beyond it."""

    control: ControlFile = Field(description="control link")
    video: VideoFile = Field(description="video link")
