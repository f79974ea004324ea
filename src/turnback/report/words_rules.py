"""The words of every rule: a title, the plain fact, and the sentence that carries its numbers.

In `measured` the places ``{value}``, ``{limit}`` and ``{band}`` take text that is already rounded and in the reader's
units; ``{band}`` is empty where nothing is known of the ends.
A rule about a plain fact has no sentence of its own for numbers; `NUMBERS` then follows the fact.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Final


NUMBERS: Final = "{value}{band}, held against {limit}"


class Kind(Enum):
    """How a number without a unit is said."""

    RATIO = "ratio"
    SHARE = "share of a whole, as per cent"
    HOLDS = "chance that it holds, said as how often it fails"
    FAILS = "chance that it fails, said as how often"


@dataclass(frozen=True, slots=True)
class RuleWords:
    """Words of one rule."""

    title: str
    fact: str
    measured: str = ""
    kind: Kind = Kind.RATIO


CHANCE: Final[dict[str, RuleWords]] = {
    "chance.go": RuleWords(
        "Chance of coming home, for a go",
        "A go needs to come home in 99 flights of 100.",
        "It fails to come home in {value}{band}; a go allows {limit}.",
        Kind.HOLDS,
    ),
    "chance.limit": RuleWords(
        "Chance of coming home, for a go with limits",
        "A go with limits needs to come home in 19 flights of 20.",
        "It fails to come home in {value}{band}; a go with limits allows {limit}.",
        Kind.HOLDS,
    ),
    "chance.band_low": RuleWords(
        "Unfavourable end of what is not known",
        "Nineteen of twenty worlds that fit the plan are kinder than this end.",
        "The unfavourable end stands at {value}{band}; the rule takes {limit}.",
        Kind.SHARE,
    ),
    "chance.band_high": RuleWords(
        "Favourable end of what is not known",
        "Nineteen of twenty worlds that fit the plan are harder than this end.",
        "The favourable end stands at {value}{band}; the rule takes {limit}.",
        Kind.SHARE,
    ),
    "energy.landing_chance": RuleWords(
        "Landing with enough in the pack",
        "The pack may reach its land-by volts before landing.",
        "The pack reaches its land-by volts before landing in {value}{band}; a go allows {limit}.",
        Kind.HOLDS,
    ),
    "link.control_chance": RuleWords(
        "Control link over the whole route",
        "The control link may break on the route.",
        "The control link breaks somewhere on the route in {value}{band}; a go allows {limit}.",
        Kind.HOLDS,
    ),
    "link.video_chance": RuleWords(
        "Video link over the whole route",
        "The picture may break on the route.",
        "The picture breaks somewhere on the route in {value}{band}; a go allows {limit}.",
        Kind.HOLDS,
    ),
}

ENERGY: Final[dict[str, RuleWords]] = {
    "energy.cannot_deliver": RuleWords(
        "Power the pack cannot give",
        "The route asks the pack for more power than it can give; its volts would collapse in the air.",
        "The route asks the pack for more power than it can give in {value}{band}; {limit} is allowed.",
        Kind.FAILS,
    ),
    "energy.used_plan": RuleWords(
        "Share of the pack used",
        "The flight uses more of the pack than one should plan on.",
        "The flight uses {value} of the pack{band}; plan on {limit} at most.",
        Kind.SHARE,
    ),
    "energy.used_never": RuleWords(
        "Share of the pack that must stay in it",
        "The flight all but empties the pack; the volts fall off a cliff there and cells are damaged.",
        "The flight uses {value} of the pack{band}; never use more than {limit}.",
        Kind.SHARE,
    ),
    "energy.loaded_damage": RuleWords(
        "Volts under load",
        "Under load the volts may fall to where cells are damaged.",
        "Under load the volts fall to where cells are damaged in {value}{band}; {limit} is allowed.",
        Kind.HOLDS,
    ),
    "energy.c_rating": RuleWords(
        "Current against the label's C rating",
        "The flight asks for more of the labelled C rating than heats the cells safely.",
        "The flight asks for {value} of the labelled C rating{band}; longer than a burst, {limit} is the most.",
        Kind.SHARE,
    ),
    "energy.current_limit": RuleWords(
        "Current against the limit of motor and speed control",
        "Full output asks a motor or its speed control for more current than its limit.",
        "Full output asks a motor or its speed control for {value} of its limit{band}; {limit} is the most.",
        Kind.SHARE,
    ),
    "energy.thrust_least": RuleWords(
        "Thrust over weight, the least",
        "There is too little thrust to stop a descent or hold against a gust.",
        "Full thrust is {value} times the weight{band}; below {limit} it cannot stop a descent or hold against a gust.",
    ),
    "energy.thrust_margin": RuleWords(
        "Thrust over weight",
        "There is less thrust than the trade wants for control in wind.",
        "Full thrust is {value} times the weight{band}; for control in wind the trade wants {limit}.",
    ),
    "energy.last_flight": RuleWords(
        "Last flight against the model",
        "What the charger put back after the last flight does not fit what the model expects.",
        "The last flight used {value} times what the model expects{band}; up to {limit} times would fit.",
    ),
}

PACK: Final[dict[str, RuleWords]] = {
    "pack.rest_v_unknown": RuleWords(
        "Rest volts not measured today",
        "Nobody measured the pack's rest volts today: it may be half empty, swollen or have a weak cell.",
        "The pack's rest volts were not measured today; {value} is taken{band}, against {limit}.",
    ),
    "pack.spread_watch": RuleWords(
        "Cells drifting apart",
        "The pack's cells are drifting apart.",
        "The pack's cells are {value} apart at rest{band}; above {limit} they are drifting.",
    ),
    "pack.spread_stop": RuleWords(
        "Cells too far apart",
        "The pack's cells are too far apart: the weakest is damaged long before the pack shows it.",
        "The pack's cells are {value} apart at rest{band}; above {limit} the weakest is damaged long before the "
        "pack shows it.",
    ),
    "pack.cold": RuleWords(
        "Cold pack",
        "The pack is cold: it sags early.",
        "The pack is at {value}{band}; below {limit} it sags early.",
    ),
    "pack.not_full": RuleWords(
        "Pack not full",
        "The pack is not full, which is usually a mistake and not a plan.",
        "The pack is {value} full{band}; under {limit} is usually a mistake and not a plan.",
        Kind.SHARE,
    ),
}

RETURN: Final[dict[str, RuleWords]] = {
    "return.clearance": RuleWords(
        "Automatic return over ground and trees",
        "The automatic return does not clear ground and trees by enough.",
        "At its set height the automatic return clears ground and assumed trees by {value}{band}; {limit} is needed.",
    ),
    "return.height_unknown": RuleWords(
        "Height of the automatic return not known",
        "Nobody knows at what height the automatic return flies: it may meet the ridge.",
        "The height of the automatic return is not known; at least {value} is needed{band}, against {limit}.",
    ),
    "return.headwind": RuleWords(
        "Headwind on the way home",
        "The wind leaves the return too little speed over ground.",
        "Against the wind the return keeps {value} over ground{band}; it needs {limit}.",
    ),
    "return.untested": RuleWords(
        "Automatic return not tested on this build",
        "The automatic return was not tested on this build, so it counts as the worse of return and motors-stop.",
    ),
    "return.does_not_land": RuleWords(
        "The return does not land by itself",
        "The automatic return brings the aircraft near; it does not land by itself.",
        "The automatic return brings the aircraft within {value}{band} ({limit} is taken); it does not land by itself.",
    ),
    "return.action_unknown": RuleWords(
        "What it does on radio loss is not known",
        "Nobody can say where it goes when the control link is lost.",
    ),
    "return.keep_last_sticks": RuleWords(
        "Keeps the last sticks on radio loss",
        "On radio loss it keeps the last sticks: it flies on with no pilot until it meets something.",
    ),
    "return.motors_stop": RuleWords(
        "Motors stop on radio loss",
        "On radio loss its motors stop and it falls where it is.",
    ),
    "return.descend_in_place": RuleWords(
        "Descends in place on radio loss",
        "On radio loss it comes down where it is and drifts with the wind.",
    ),
    "return.turn_back": RuleWords(
        "Planned distance against the turn-back point",
        "The route asks for more than the distance from which it still comes home.",
        "The route stands at {value}{band} against the turn-back point; {limit} is the most.",
    ),
    "route.terrain": RuleWords(
        "Route over ground and trees",
        "The route does not clear ground and assumed trees by enough.",
        "The route clears ground and assumed trees by {value}{band}; {limit} is needed.",
    ),
}

WEATHER: Final[dict[str, RuleWords]] = {
    "weather.unknown": RuleWords(
        "Wind not known",
        "Nobody measured the wind, and wind decides whether the way home is longer than the way out.",
        "The wind is not known; the largest that still comes home is {value}{band}, against {limit}.",
    ),
    "weather.report_age": RuleWords(
        "Old weather report",
        "The weather report is too old, so its wind counts as unknown.",
        "The weather report is {value} old{band}; after {limit} its wind counts as unknown.",
    ),
    "weather.report_distance": RuleWords(
        "Weather report from far away",
        "The weather report comes from too far away, so its wind counts as unknown.",
        "The weather report comes from {value} away{band}; beyond {limit} its wind counts as unknown.",
    ),
    "weather.gusts": RuleWords(
        "Gusts against the greatest speed",
        "Gusts leave too little speed to hold a place.",
        "Gusts are {value} of the greatest level speed{band}; above {limit} it cannot hold a place.",
        Kind.SHARE,
    ),
    "weather.air_cold": RuleWords(
        "Air around freezing",
        "Around freezing, packs sag and propellers ice in cloud or mist.",
        "The air is at {value}{band}; at {limit} and below, packs sag and propellers ice in cloud or mist.",
    ),
}

PROPELLERS: Final[dict[str, RuleWords]] = {
    "propellers.unknown": RuleWords(
        "Propellers not looked at today",
        "Nobody said whether the propellers were looked at today; one of the wrong direction flips it at lift-off.",
    ),
    "propellers.not_verified": RuleWords(
        "Propellers not looked at today",
        "The propellers were not looked at today; one of the wrong direction flips it at lift-off.",
    ),
    "propellers.mismatch": RuleWords(
        "A propeller does not match its motor",
        "By the plan, a propeller does not match its motor: it pushes down or lifts weakly.",
    ),
}

PEOPLE: Final[dict[str, RuleWords]] = {
    "people.unknown": RuleWords(
        "Who can be underneath is not known",
        "Nobody said who can be underneath, and that decides what a fall costs.",
    ),
    "people.others": RuleWords(
        "Other people can be underneath",
        "People who take no part can be underneath; a falling aircraft injures.",
    ),
    "people.involved": RuleWords(
        "People who take part can be underneath",
        "People who take part can be underneath.",
    ),
    "people.area": RuleWords(
        "Route over an area with people",
        "The route crosses an area that the plan marks as one where people may be.",
        "The route runs {value}{band} over an area where people may be; {limit} is allowed.",
    ),
    "law.not_looked_up": RuleWords(
        "Local limits not looked up",
        "The local limits were not looked up. This does not know your local law.",
    ),
    "law.height": RuleWords(
        "Route above your height limit",
        "The route is above the height limit you entered.",
        "The route reaches {value} above ground{band}; the limit you entered is {limit}.",
    ),
    "law.return_height": RuleWords(
        "Return above your height limit",
        "The height that the return needs is above the height limit you entered.",
        "To clear the ground the return needs {value} above launch{band}; the limit you entered is {limit}.",
    ),
    "law.distance": RuleWords(
        "Route beyond your distance limit",
        "The route goes farther than the distance limit you entered.",
        "The route goes {value} out{band}; the limit you entered is {limit}.",
    ),
    "observer.unknown": RuleWords(
        "Observer not known",
        "Nobody said whether an observer stands beside the pilot.",
    ),
    "observer.none": RuleWords(
        "No observer",
        "No observer: a pilot in goggles sees neither the sky around nor who walks in.",
    ),
    "observer.orientation": RuleWords(
        "Farther than an observer can tell its direction",
        "The route goes farther than an observer can tell which way the aircraft points.",
        "The route goes {value} out{band}; beyond {limit} an observer cannot tell which way the aircraft points.",
    ),
    "observer.orientation_offset": RuleWords(
        "Fixed part of the observer's distance",
        "A fixed part of the distance at which an observer can tell which way the aircraft points.",
        "The fixed part of the observer's distance is {value}{band}; the rule takes {limit}.",
    ),
}

SITE: Final[dict[str, RuleWords]] = {
    "terrain.assumed": RuleWords(
        "Flat ground is assumed",
        "There is no terrain file: flat ground is a guess, and any ridge, bank or building changes the answer.",
    ),
    "terrain.voids": RuleWords(
        "Holes in the terrain file",
        "Heights were missing in the terrain file and were filled from around.",
        "Heights were missing in {value} of the terrain{band} and were filled from around; {limit} would be sound.",
        Kind.SHARE,
    ),
    "terrain.uncovered": RuleWords(
        "Route leaves the terrain file",
        "The route leaves the terrain file; nothing can be said out there.",
        "The route leaves the terrain file for {value} of its length{band}; {limit} is allowed.",
        Kind.SHARE,
    ),
    "site.look_for": RuleWords(
        "What no grid of heights shows",
        "No grid of heights shows wires, masts, cranes or single trees.",
    ),
    "site.canopy_breaks": RuleWords(
        "Trees on the ruling obstacle",
        "Trees on the ruling obstacle would break the link; the grid shows bare earth.",
        "Trees of {value}{band} on the ruling obstacle would break the link; the grid shows bare earth, and trees of "
        "{limit} are ordinary.",
    ),
    "link.clearance": RuleWords(
        "Ground close to the line of sight",
        "The ground comes so close to the line of sight that it takes part of the signal.",
        "The least clearance of the line of sight is {value} of the first Fresnel radius{band}; below {limit} the "
        "ground takes part of the signal.",
    ),
}

RULE_WORDS: Final[dict[str, RuleWords]] = {
    **CHANCE,
    **ENERGY,
    **PACK,
    **RETURN,
    **WEATHER,
    **PROPELLERS,
    **PEOPLE,
    **SITE,
}
