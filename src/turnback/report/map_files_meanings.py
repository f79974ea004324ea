"""What each layer of a turn-back map means, in a sentence that a file can carry."""

from __future__ import annotations

from typing import Final

from turnback.records.home_map import Reason
from turnback.report.language import mark

MEANINGS: Final[dict[str, str]] = {
    "home": mark("Chance that an aircraft sent straight there comes home: the mean over what is not known."),
    "home_low": mark("The same chance, at the unfavourable end of what is not known. The ring is made from it."),
    "home_high": mark("The same chance, at the favourable end of what is not known."),
    "reason": mark("What rules there: the weakest of all that has to hold."),
    "control_margin": mark("Decibels of the control link above loss, there, in its weaker direction, best estimate."),
    "control_to_aircraft": mark("Decibels of the control link above loss, there, from the ground to the aircraft."),
    "control_to_ground": mark("Decibels of the control link above loss, there, from the aircraft to the ground."),
    "control_chance": mark("Chance that the control link holds all the way there and back, best estimate."),
    "control_diffraction": mark("Decibels that the ground and the trees on it take from the control link, there."),
    "video_margin": mark("Decibels of the video link above loss, there, best estimate."),
    "video_to_ground": mark("Decibels of the video link above loss, there, from the aircraft to the ground."),
    "video_chance": mark("Chance that the picture holds all the way there and back, best estimate."),
    "video_diffraction": mark("Decibels that the ground and the trees on it take from the video link, there."),
    "sight": mark("1 where nothing stands in the straight line from the pilot's antenna, 0 where something does."),
    "energy": mark("Energy to go there and come back, best estimate, in the mean wind."),
    "energy_high": mark(
        "Energy to go there and come back, at the unfavourable end, in a wind as strong as on 1 flight in 20."
    ),
    "energy_chance": mark("Chance of landing above the land-by voltage, best estimate."),
    "return_clearance": mark(
        "Least height of the straight line home above the ground, flown at the set height of the automatic return."
    ),
    "people": mark("Share of falls that end in a people area, if the motors stop there."),
}
"""By the key of the layer."""

REASON_MEANINGS: Final[dict[Reason, str]] = {
    Reason.HOME: mark("it comes home"),
    Reason.CONTROL: mark("the control link goes first"),
    Reason.VIDEO: mark("the picture goes first"),
    Reason.ENERGY: mark("the pack does not last for the way back"),
    Reason.WIND: mark("it cannot fly home against the wind"),
    Reason.GROUND: mark("at this height it would meet the ground or the trees on it"),
}
"""What a code of the layer ``"reason"`` means."""
