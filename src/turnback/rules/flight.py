"""Rules on energy, thrust, return and weather."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Rule

CANNOT_DELIVER: Final = Rule(
    "energy.cannot_deliver", 0.01, "", "our-choice",
    "A pack asked for more power than E²/4R has no answer: its volts collapse and the board restarts in the air.",
    "lighter_or_stronger_pack",
)  # fmt: skip
USED_PLAN: Final = Rule(
    "energy.used_plan", 0.80, "", "common-practice",
    "Plan on four fifths of a pack: the rest is for the go-around, the wind and an ageing cell.",
    "shorten_or_charge",
)  # fmt: skip
USED_NEVER: Final = Rule(
    "energy.used_never", 0.90, "", "common-practice",
    "Below a tenth the volts fall off a cliff and cells are damaged.",
    "shorten_or_charge",
)  # fmt: skip
LOADED_DAMAGE: Final = Rule(
    "energy.loaded_damage", 0.99, "", "common-practice",
    "Loaded volts must stay above the damage volts of the chemistry in 99 of 100 flights.",
    "lighter_or_stronger_pack",
)  # fmt: skip
C_RATING: Final = Rule(
    "energy.c_rating", 0.5, "", "our-choice",
    "Labels flatter: more than half the labelled C rating for longer than a burst heats and ages the cells.",
    "gentler_or_stronger_pack",
)  # fmt: skip
CURRENT_LIMIT: Final = Rule(
    "energy.current_limit", 1.0, "", "common-practice",
    "Full output must not ask a motor or its speed control for more than its limit.",
    "smaller_propeller",
)  # fmt: skip
THRUST_LEAST: Final = Rule(
    "energy.thrust_least", 1.5, "", "our-choice",
    "Below 1.5 there is nothing left to stop a descent or hold against a gust.",
    "lighter_or_stronger_pack",
)  # fmt: skip
THRUST_MARGIN: Final = Rule(
    "energy.thrust_margin", 2.0, "", "common-practice",
    "Twice the weight is the trade's least for control in wind.",
    "lighter_or_stronger_pack",
)  # fmt: skip
PACK_UNKNOWN: Final = Rule(
    "pack.rest_v_unknown", 1, "", "common-practice",
    "A pack that nobody measured today may be half empty, swollen or have a weak cell.",
    "measure_rest_v",
)  # fmt: skip
PACK_SPREAD_WATCH: Final = Rule(
    "pack.spread_watch", 0.05, "V", "common-practice",
    "Cells further apart than 0.05 V at rest are drifting.",
    "balance_charge",
)  # fmt: skip
PACK_SPREAD_STOP: Final = Rule(
    "pack.spread_stop", 0.10, "V", "common-practice",
    "Cells further apart than 0.1 V at rest: the weakest reaches damage volts long before the pack shows it.",
    "retire_pack",
)  # fmt: skip
PACK_COLD: Final = Rule(
    "pack.cold", 10.0, "°C", "common-practice",
    "Cold cells have twice the resistance and sag early.",
    "warm_pack",
)  # fmt: skip
CELLS_UNLIKE_CLASS: Final = Rule(
    "pack.cells_unlike_class", 1, "", "common-practice",
    "A motor wound for four cells burns on six, and one wound for six hardly lifts on four.",
    "read_speed_constant",
)  # fmt: skip
PACK_NOT_FULL: Final = Rule(
    "pack.not_full", 0.90, "", "our-choice",
    "A pack under nine tenths full is usually a mistake, not a plan.",
    "charge_pack",
)  # fmt: skip
RETURN_CLEARANCE: Final = Rule(
    "return.clearance", 15.0, "m", "our-choice",
    "Height from pressure drifts several metres, grids miss masts and the aircraft sinks in a turn.",
    "raise_return_height",
)  # fmt: skip
RETURN_HEIGHT_UNKNOWN: Final = Rule(
    "return.height_unknown", 1, "", "our-choice",
    "A return at an unknown height may meet the ridge.",
    "read_return_height",
)  # fmt: skip
RETURN_HEADWIND: Final = Rule(
    "return.headwind", 3.0, "m/s", "our-choice",
    "The return must keep this speed over ground against the wind, or the pack empties on the way.",
    "wait_for_less_wind",
)  # fmt: skip
RETURN_UNTESTED: Final = Rule(
    "return.untested", 1, "", "common-practice",
    "An automatic return that never ran on this build counts as the worse of return and motors-stop.",
    "test_return",
)  # fmt: skip
RETURN_DOES_NOT_LAND: Final = Rule(
    "return.does_not_land", 1, "", "common-practice",
    "It brings the aircraft near; the pilot takes over and lands.",
    "take_over",
)  # fmt: skip
ACTION_UNKNOWN: Final = Rule(
    "return.action_unknown", 1, "", "common-practice",
    "Nobody can say where it goes when the control link is lost.",
    "read_radio_loss_action",
)  # fmt: skip
ACTION_KEEP: Final = Rule(
    "return.keep_last_sticks", 1, "", "common-practice",
    "It flies on with no pilot until it meets something.",
    "set_other_action",
)  # fmt: skip
ACTION_STOP: Final = Rule(
    "return.motors_stop", 1, "", "common-practice",
    "It falls where it is; only over ground where nobody can be.",
    "keep_ground_empty",
)  # fmt: skip
ACTION_DESCEND: Final = Rule(
    "return.descend_in_place", 1, "", "common-practice",
    "It comes down where it is and drifts with the wind.",
    "keep_ground_empty",
)  # fmt: skip
TURN_BACK: Final = Rule(
    "return.turn_back", 1.0, "", "our-choice",
    "The route must not ask for more than the turn-back distance at the unfavourable end.",
    "turn_back_earlier",
)  # fmt: skip
ROUTE_TERRAIN: Final = Rule(
    "route.terrain", 10.0, "m", "our-choice",
    "The route itself must clear the ground and the trees that are assumed on it.",
    "fly_higher",
)  # fmt: skip
WEATHER_UNKNOWN: Final = Rule(
    "weather.unknown", 1, "", "our-choice",
    "Wind decides whether the way home is longer than the way out.",
    "measure_wind",
)  # fmt: skip
REPORT_AGE: Final = Rule(
    "weather.report_age", 1.5, "h", "our-choice",
    "Reports are hourly; after an hour and a half the next one is missing.",
    "measure_wind",
)  # fmt: skip
REPORT_DISTANCE: Final = Rule(
    "weather.report_distance", 25.0, "km", "our-choice",
    "Farther than this another valley's wind is reported.",
    "measure_wind",
)  # fmt: skip
GUSTS: Final = Rule(
    "weather.gusts", 0.6, "", "our-choice",
    "Gusts above this share of the greatest level speed leave too little to hold a place.",
    "wait_for_less_wind",
)  # fmt: skip
ICE: Final = Rule(
    "weather.air_cold", 0.0, "°C", "common-practice",
    "Around freezing, packs sag and propellers ice in cloud or mist.",
    "warm_pack",
)  # fmt: skip
RETURN_SUCCESS: Final = Rule(
    "return.success", 0.9, "", "our-choice",
    "A return that is set, tested, clear of the ground and faster than the wind still fails about one time in ten: "
    "no position fix, a wrong launch point, a take-over that comes too late.",
    "none",
)  # fmt: skip
LAST_FLIGHT_DISAGREES: Final = Rule(
    "energy.last_flight", 1.35, "", "our-choice",
    "The charger's mAh per minute lies outside what the model allows: the model, the pack or the answer is off.",
    "repeat_last_flight",
)  # fmt: skip

RULES: Final[tuple[Rule, ...]] = tuple(value for value in dict(globals()).values() if isinstance(value, Rule))
