"""Words of the rules on chances, pack, return and weather."""

from __future__ import annotations

from typing import Final

from turnback.report.numbers import Toward
from turnback.report.rule_words import Kind, RuleWords

CHANCE: Final[dict[str, RuleWords]] = {
    "chance.go": RuleWords(
        "Chance of coming home, for a go",
        "A go needs to come home in 99 flights of 100.",
        "It fails to come home in {value}{band}; {allows} {limit}.",
        kind=Kind.HOLDS,
    ),
    "chance.limit": RuleWords(
        "Chance of coming home, for a go with limits",
        "A go with limits needs to come home in 19 flights of 20.",
        "It fails to come home in {value}{band}; {allows} {limit}.",
        kind=Kind.HOLDS,
    ),
    "chance.band_low": RuleWords(
        "Unfavourable end of what is not known",
        "Nineteen of twenty worlds that fit the plan are kinder than this end.",
        "The unfavourable end stands at {value}{band}; the rule takes {limit}.",
        kind=Kind.SHARE,
    ),
    "chance.band_high": RuleWords(
        "Favourable end of what is not known",
        "Nineteen of twenty worlds that fit the plan are harder than this end.",
        "The favourable end stands at {value}{band}; the rule takes {limit}.",
        kind=Kind.SHARE,
    ),
    "energy.landing_chance": RuleWords(
        "Landing with enough in the pack",
        "The pack may reach its land-by volts before landing.",
        "The pack reaches its land-by volts before landing in {value}{band}; {allows} {limit}.",
        kind=Kind.HOLDS,
    ),
    "link.control_chance": RuleWords(
        "Control link over the whole route",
        "The control link may break on the route.",
        "The control link breaks somewhere on the route in {value}{band}; {allows} {limit}.",
        kind=Kind.HOLDS,
    ),
    "link.video_chance": RuleWords(
        "Video link over the whole route",
        "The picture may break on the route.",
        "The picture breaks somewhere on the route in {value}{band}; {allows} {limit}.",
        kind=Kind.HOLDS,
    ),
}

ENERGY: Final[dict[str, RuleWords]] = {
    "energy.cannot_deliver": RuleWords(
        "Power the pack cannot give",
        "The route asks the pack for more power than it can give; its volts would collapse in the air.",
        "The route asks the pack for more power than it can give in {value}{band}; {limit} is allowed.",
        kind=Kind.FAILS,
    ),
    "energy.used_plan": RuleWords(
        "Share of the pack used",
        "The flight uses more of the pack than one should plan on.",
        "The flight uses {value} of the pack{band}; plan on {limit} at most.",
        kind=Kind.SHARE,
    ),
    "energy.used_never": RuleWords(
        "Share of the pack that must stay in it",
        "The flight all but empties the pack; the volts fall off a cliff there and cells are damaged.",
        "The flight uses {value} of the pack{band}; never use more than {limit}.",
        kind=Kind.SHARE,
    ),
    "energy.loaded_damage": RuleWords(
        "Volts under load",
        "Under load the volts may fall to where cells are damaged.",
        "Under load the volts fall to where cells are damaged in {value}{band}; {allows} {limit}.",
        kind=Kind.HOLDS,
    ),
    "energy.c_rating": RuleWords(
        "Current against the label's C rating",
        "The flight asks for more of the labelled C rating than heats the cells safely.",
        "The flight asks for {value} of the labelled C rating{band}; longer than a burst, {limit} is the most.",
        kind=Kind.SHARE,
    ),
    "energy.current_limit": RuleWords(
        "Current against the limit of motor and speed control",
        "Full output asks a motor or its speed control for more current than its limit.",
        "Full output asks one motor and its speed control for {value}{band}; their limit is {limit}.",
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
        "The last flight used {value} times what the model expects{band}; up to {limit} times more or less would fit.",
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
    "pack.cells_unlike_class": RuleWords(
        "Pack unlike the aircraft's class",
        "The class of the aircraft says another number of cells than the pack has, and nobody described the motors.",
    ),
    "pack.not_full": RuleWords(
        "Pack not full",
        "The pack is not full, which is usually a mistake and not a plan.",
        "The pack is {value} full{band}; under {limit} is usually a mistake and not a plan.",
        kind=Kind.SHARE,
    ),
}

RETURN: Final[dict[str, RuleWords]] = {
    "return.clearance": RuleWords(
        "Automatic return over ground and trees",
        "The automatic return does not clear ground and trees by enough.",
        "At its set height the automatic return clears ground and assumed trees by {value}{band}; {limit} is needed.",
        "At its set height the automatic return flies {value} below the top of ground and assumed trees{band}; it must "
        "clear them by {limit}.",
    ),
    "return.height_unknown": RuleWords(
        "Height of the automatic return not known",
        "Nobody knows at what height the automatic return flies: it may meet the ridge.",
        "The height of the automatic return is not known; at least {value} is needed{band}, against {limit}.",
    ),
    "return.headwind": RuleWords(
        "Headwind on the way home",
        "The wind leaves the return too little speed over ground.",
        "The return can beat {value} more headwind than it meets{band}; at {limit} and below it does not come home.",
        "The return meets {value} more headwind than it can beat{band}; at {limit} and below it does not come home.",
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
        "It comes home surely enough from {value}{band}; the plan asks for {limit}.",
        value_toward=Toward.DOWN,
    ),
    "route.terrain": RuleWords(
        "Route over ground and trees",
        "The route does not clear ground and assumed trees by enough.",
        "The route clears ground and assumed trees by {value}{band}; {limit} is needed.",
        "The route runs {value} below the top of ground and assumed trees{band}; it must clear them by {limit}.",
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
        kind=Kind.SHARE,
    ),
    "weather.air_cold": RuleWords(
        "Air around freezing",
        "Around freezing, packs sag and propellers ice in cloud or mist.",
        "The air is at {value}{band}; at {limit} and below, packs sag and propellers ice in cloud or mist.",
    ),
}
