"""Words of the rules on chances, pack, return and weather."""

from __future__ import annotations

from typing import Final

from turnback.report.language import mark
from turnback.report.numbers import Toward
from turnback.report.rule_words import Kind, RuleWords

CHANCE: Final[dict[str, RuleWords]] = {
    "chance.go": RuleWords(
        mark("Chance of coming home, for a go"),
        mark("A go needs to come home in 99 flights of 100."),
        mark("It fails to come home in {value}{band}; {allowed}."),
        kind=Kind.HOLDS,
    ),
    "chance.limit": RuleWords(
        mark("Chance of coming home, for a go with limits"),
        mark("A go with limits needs to come home in 19 flights of 20."),
        mark("It fails to come home in {value}{band}; {allowed}."),
        kind=Kind.HOLDS,
    ),
    "chance.band_low": RuleWords(
        mark("Unfavourable end of what is not known"),
        mark("Nineteen of twenty worlds that fit the plan are kinder than this end."),
        mark("The unfavourable end stands at {value}{band}; the rule takes {limit}."),
        kind=Kind.SHARE,
    ),
    "chance.band_high": RuleWords(
        mark("Favourable end of what is not known"),
        mark("Nineteen of twenty worlds that fit the plan are harder than this end."),
        mark("The favourable end stands at {value}{band}; the rule takes {limit}."),
        kind=Kind.SHARE,
    ),
    "energy.landing_chance": RuleWords(
        mark("Landing with enough in the pack"),
        mark("The pack may reach its land-by volts before landing."),
        mark("The pack reaches its land-by volts before landing in {value}{band}; {allowed}."),
        kind=Kind.HOLDS,
    ),
    "link.control_chance": RuleWords(
        mark("Control link over the whole route"),
        mark("The control link may break on the route."),
        mark("The control link breaks somewhere on the route in {value}{band}; {allowed}."),
        kind=Kind.HOLDS,
    ),
    "link.video_chance": RuleWords(
        mark("Video link over the whole route"),
        mark("The picture may break on the route."),
        mark("The picture breaks somewhere on the route in {value}{band}; {allowed}."),
        kind=Kind.HOLDS,
    ),
}

ENERGY: Final[dict[str, RuleWords]] = {
    "energy.cannot_deliver": RuleWords(
        mark("Power the pack cannot give"),
        mark("The route asks the pack for more power than it can give; its volts would collapse in the air."),
        mark("The route asks the pack for more power than it can give in {value}{band}; {limit} is allowed."),
        kind=Kind.FAILS,
    ),
    "energy.used_plan": RuleWords(
        mark("Share of the pack used"),
        mark("The flight uses more of the pack than one should plan on."),
        mark("The flight uses {value} of the pack{band}; plan on {limit} at most."),
        kind=Kind.SHARE,
    ),
    "energy.used_never": RuleWords(
        mark("Share of the pack that must stay in it"),
        mark("The flight all but empties the pack; the volts fall off a cliff there and cells are damaged."),
        mark("The flight uses {value} of the pack{band}; never use more than {limit}."),
        kind=Kind.SHARE,
    ),
    "energy.loaded_damage": RuleWords(
        mark("Volts under load"),
        mark("Under load the volts may fall to where cells are damaged."),
        mark("Under load the volts fall to where cells are damaged in {value}{band}; {allowed}."),
        kind=Kind.HOLDS,
    ),
    "energy.c_rating": RuleWords(
        mark("Current against the label's C rating"),
        mark("The flight asks for more of the labelled C rating than heats the cells safely."),
        mark("The flight asks for {value} of the labelled C rating{band}; longer than a burst, {limit} is the most."),
        kind=Kind.SHARE,
    ),
    "energy.current_limit": RuleWords(
        mark("Current against the limit of motor and speed control"),
        mark("Full output asks a motor or its speed control for more current than its limit."),
        mark("Full output asks one motor and its speed control for {value}{band}; their limit is {limit}."),
    ),
    "energy.thrust_least": RuleWords(
        mark("Thrust over weight, the least"),
        mark("There is too little thrust to stop a descent or hold against a gust."),
        mark(
            "Full thrust is {value} times the weight{band}; below {limit} it cannot stop a descent or hold against a "
            "gust."
        ),
    ),
    "energy.thrust_margin": RuleWords(
        mark("Thrust over weight"),
        mark("There is less thrust than the trade wants for control in wind."),
        mark("Full thrust is {value} times the weight{band}; for control in wind the trade wants {limit}."),
    ),
    "energy.last_flight": RuleWords(
        mark("Last flight against the model"),
        mark("What the charger put back after the last flight does not fit what the model expects."),
        mark(
            "The last flight used {value} times what the model expects{band}; up to {limit} times more or less would "
            "fit."
        ),
    ),
}

PACK: Final[dict[str, RuleWords]] = {
    "pack.rest_v_unknown": RuleWords(
        mark("Rest volts not measured today"),
        mark("Nobody measured the pack's rest volts today: it may be half empty, swollen or have a weak cell."),
        mark("The pack's rest volts were not measured today; {value} is taken{band}, against {limit}."),
    ),
    "pack.spread_watch": RuleWords(
        mark("Cells drifting apart"),
        mark("The pack's cells are drifting apart."),
        mark("The pack's cells are {value} apart at rest{band}; above {limit} they are drifting."),
    ),
    "pack.spread_stop": RuleWords(
        mark("Cells too far apart"),
        mark("The pack's cells are too far apart: the weakest is damaged long before the pack shows it."),
        mark(
            "The pack's cells are {value} apart at rest{band}; above {limit} the weakest is damaged long before the "
            "pack shows it."
        ),
    ),
    "pack.cold": RuleWords(
        mark("Cold pack"),
        mark("The pack is cold: it sags early."),
        mark("The pack is at {value}{band}; below {limit} it sags early."),
    ),
    "pack.cells_unlike_class": RuleWords(
        mark("Pack unlike the aircraft's class"),
        mark(
            "The class of the aircraft says another number of cells than the pack has, and nobody described the motors."
        ),
    ),
    "pack.not_full": RuleWords(
        mark("Pack not full"),
        mark("The pack is not full, which is usually a mistake and not a plan."),
        mark("The pack is {value} full{band}; under {limit} is usually a mistake and not a plan."),
        kind=Kind.SHARE,
    ),
}

RETURN: Final[dict[str, RuleWords]] = {
    "return.clearance": RuleWords(
        mark("Automatic return over ground and trees"),
        mark("The automatic return does not clear ground and trees by enough."),
        mark(
            "At its set height the automatic return clears ground and assumed trees by {value}{band}; {limit} is "
            "needed."
        ),
        mark(
            "At its set height the automatic return flies {value} below the top of ground and assumed trees{band}; it "
            "must clear them by {limit}."
        ),
    ),
    "return.height_unknown": RuleWords(
        mark("Height of the automatic return not known"),
        mark("Nobody knows at what height the automatic return flies: it may meet the ridge."),
        mark("The height of the automatic return is not known; at least {value} is needed{band}, against {limit}."),
    ),
    "return.headwind": RuleWords(
        mark("Headwind on the way home"),
        mark("The wind leaves the return too little speed over ground."),
        mark(
            "The return can beat {value} more headwind than it meets{band}; at {limit} and below it does not come home."
        ),
        mark(
            "The return meets {value} more headwind than it can beat{band}; at {limit} and below it does not come home."
        ),
    ),
    "return.untested": RuleWords(
        mark("Automatic return not tested on this build"),
        mark("The automatic return was not tested on this build, so it counts as the worse of return and motors-stop."),
    ),
    "return.does_not_land": RuleWords(
        mark("The return does not land by itself"),
        mark("The automatic return brings the aircraft near; it does not land by itself."),
        mark(
            "The automatic return brings the aircraft within {value}{band} ({limit} is taken); it does not land by "
            "itself."
        ),
    ),
    "return.action_unknown": RuleWords(
        mark("What it does on radio loss is not known"),
        mark("Nobody can say where it goes when the control link is lost."),
    ),
    "return.keep_last_sticks": RuleWords(
        mark("Keeps the last sticks on radio loss"),
        mark("On radio loss it keeps the last sticks: it flies on with no pilot until it meets something."),
    ),
    "return.motors_stop": RuleWords(
        mark("Motors stop on radio loss"),
        mark("On radio loss its motors stop and it falls where it is."),
    ),
    "return.descend_in_place": RuleWords(
        mark("Descends in place on radio loss"),
        mark("On radio loss it comes down where it is and drifts with the wind."),
    ),
    "return.turn_back": RuleWords(
        mark("Planned distance against the turn-back point"),
        mark("The route asks for more than the distance from which it still comes home."),
        mark("It comes home surely enough from {value}{band}; the plan asks for {limit}."),
        value_toward=Toward.DOWN,
    ),
    "route.terrain": RuleWords(
        mark("Route over ground and trees"),
        mark("The route does not clear ground and assumed trees by enough."),
        mark("The route clears ground and assumed trees by {value}{band}; {limit} is needed."),
        mark("The route runs {value} below the top of ground and assumed trees{band}; it must clear them by {limit}."),
    ),
}

WEATHER: Final[dict[str, RuleWords]] = {
    "weather.unknown": RuleWords(
        mark("Wind not known"),
        mark("Nobody measured the wind, and wind decides whether the way home is longer than the way out."),
        mark("The wind is not known; the largest that still comes home is {value}{band}, against {limit}."),
    ),
    "weather.report_age": RuleWords(
        mark("Old weather report"),
        mark("The weather report is too old, so its wind counts as unknown."),
        mark("The weather report is {value} old{band}; after {limit} its wind counts as unknown."),
    ),
    "weather.report_distance": RuleWords(
        mark("Weather report from far away"),
        mark("The weather report comes from too far away, so its wind counts as unknown."),
        mark("The weather report comes from {value} away{band}; beyond {limit} its wind counts as unknown."),
    ),
    "weather.gusts": RuleWords(
        mark("Gusts against the greatest speed"),
        mark("Gusts leave too little speed to hold a place."),
        mark("Gusts are {value} of the greatest level speed{band}; above {limit} it cannot hold a place."),
        kind=Kind.SHARE,
    ),
    "weather.air_cold": RuleWords(
        mark("Air around freezing"),
        mark("Around freezing, packs sag and propellers ice in cloud or mist."),
        mark("The air is at {value}{band}; at {limit} and below, packs sag and propellers ice in cloud or mist."),
    ),
}
