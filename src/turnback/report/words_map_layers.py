"""The words of the map's layers: what each shows, and what it means to somebody who flies."""

from __future__ import annotations

from typing import Final

from turnback.records.home_map import HomeMap
from turnback.report.language import mark, text

TITLES: Final[dict[str, str]] = {
    "home": mark("Coming home, best estimate"),
    "home_low": mark("Coming home, unfavourable end"),
    "home_high": mark("Coming home, favourable end"),
    "reason": mark("What ends it"),
    "control_margin": mark("Control link: margin"),
    "control_to_aircraft": mark("Control link: margin toward the aircraft"),
    "control_to_ground": mark("Control link: margin toward the ground"),
    "control_chance": mark("Control link: chance that it holds"),
    "control_diffraction": mark("Control link: what the ground takes"),
    "video_margin": mark("Picture: margin"),
    "video_to_ground": mark("Picture: margin toward the ground"),
    "video_chance": mark("Picture: chance that it holds"),
    "video_diffraction": mark("Picture: what the ground takes"),
    "sight": mark("Line of sight"),
    "energy": mark("Energy there and back"),
    "energy_high": mark("Energy there and back, unfavourable end"),
    "energy_chance": mark("Energy: chance that it lasts"),
    "return_clearance": mark("Automatic return: clearance on its straight way home"),
    "people": mark("Falls among people"),
}
"""Of every layer that a map may hold."""
MEANINGS: Final[dict[str, str]] = {
    "home": mark(
        "How many flights of 100 sent straight there come home, if all that is not known is as it most likely is."
    ),
    "home_high": mark("The same, if what is not known is kind to you. Never plan on it."),
    "control_margin": mark(
        "How many decibels stronger the control link arrives there than it has to, in its weaker direction. Below 0 it "
        "is lost; turning an antenna's blind end may take several."
    ),
    "video_margin": mark(
        "How many decibels stronger the picture arrives from there than it has to. Below 0 it is gone."
    ),
    "sight": mark(
        "Where nothing of the ground stands in the straight line from your antenna. It says nothing of how small an "
        "aircraft looks: an observer cannot tell which way it points long before."
    ),
    "energy": mark("Watt hours to fly there and come back against the wind, best estimate."),
    "return_clearance": mark(
        "Metres between the straight line home at the set return height and the highest ground or trees below it. "
        "Below 0 the return flies into them."
    ),
    "people": mark("If the motors stop there: how many falls of 100 end in an area where you said people may be."),
}
"""Of the layers that the page draws: what each means to somebody who flies. map.tif holds more."""
SHOWN: Final = (
    "control_margin", "video_margin", "energy", "return_clearance", "people", "sight", "home", "home_high",
)  # fmt: skip
"""In the order of the page."""


def layer_title(key: str) -> str:
    """Return the name of a layer."""
    return text(TITLES[key])


def layer_meaning(key: str) -> str:
    """Return what a drawn layer means."""
    return text(MEANINGS[key])


def shown_layers(found: HomeMap) -> tuple[str, ...]:
    """Return the keys of the layers that the page draws, of those that this map holds."""
    return tuple(key for key in SHOWN if key in found.layers)


def left_layers(found: HomeMap) -> tuple[str, ...]:
    """Return in words why a layer that people look for is not there."""
    said = []
    if "return_clearance" not in found.layers:
        said.append(text("No automatic return is set in the plan, so its way home is not drawn."))
    if "people" not in found.layers:
        said.append(text("The plan names no areas where people may be, so nothing is said of falls among people."))
    if "video_margin" not in found.layers:
        said.append(text("The plan has no video link, so no picture can be lost."))
    return tuple(said)
