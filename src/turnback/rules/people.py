"""Rules on people, law, observer and the site."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Rule

PROPELLERS_UNKNOWN: Final = Rule(
    "propellers.unknown", 1, "", "common-practice",
    "A propeller of the wrong direction flips the aircraft at the moment it lifts.",
    "look_at_propellers",
)  # fmt: skip
PROPELLERS_NO: Final = Rule(
    "propellers.not_verified", 1, "", "common-practice",
    "A propeller of the wrong direction flips the aircraft at the moment it lifts.",
    "look_at_propellers",
)  # fmt: skip
PROPELLER_MISMATCH: Final = Rule(
    "propellers.mismatch", 1, "", "common-practice",
    "The plan itself says a propeller does not match its motor: it pushes down or lifts weakly.",
    "mend_propellers",
)  # fmt: skip
PEOPLE_UNKNOWN: Final = Rule(
    "people.unknown", 1, "", "our-choice",
    "Who can be underneath decides what a fall costs.",
    "look_who_is_underneath",
)  # fmt: skip
PEOPLE_OTHERS: Final = Rule(
    "people.others", 1, "", "common-practice",
    "A falling aircraft injures; people who take no part must not be underneath.",
    "other_place",
)  # fmt: skip
PEOPLE_INVOLVED: Final = Rule(
    "people.involved", 1, "", "common-practice",
    "People who take part must know where it may come down and keep out from under it.",
    "brief_people",
)  # fmt: skip
PEOPLE_AREA: Final = Rule(
    "people.area", 0.0, "m", "our-choice",
    "The route crosses an area that the plan marks as one where people may be.",
    "other_route",
)  # fmt: skip
LIMITS_UNKNOWN: Final = Rule(
    "law.not_looked_up", 1, "", "our-choice",
    "This does not know your local law.",
    "look_up_limits",
)  # fmt: skip
LIMIT_HEIGHT: Final = Rule(
    "law.height", 0.0, "m", "user",
    "The route is above the height limit entered in the plan.",
    "fly_lower",
)  # fmt: skip
LIMIT_RETURN_HEIGHT: Final = Rule(
    "law.return_height", 0.0, "m", "user",
    "The height that the return needs is above the height limit entered in the plan.",
    "other_route",
)  # fmt: skip
LIMIT_SET_HEIGHT: Final = Rule(
    "law.return_set_height", 0.0, "m", "user",
    "The automatic return, as it is set, flies above the height limit entered in the plan.",
    "set_return_within_limit",
)  # fmt: skip
LIMIT_DISTANCE: Final = Rule(
    "law.distance", 0.0, "m", "user",
    "The route goes farther than the distance limit entered in the plan.",
    "shorten",
)  # fmt: skip
LIMIT_SIGHT: Final = Rule(
    "law.in_sight", 1, "", "user",
    "The plan says that the aircraft must stay in sight; behind ground nobody sees it.",
    "stay_in_sight",
)  # fmt: skip
OBSERVER_UNKNOWN: Final = Rule(
    "observer.unknown", 1, "", "common-practice",
    "A pilot in goggles sees neither the sky around nor who walks in.",
    "bring_observer",
)  # fmt: skip
OBSERVER_NONE: Final = Rule(
    "observer.none", 1, "", "common-practice",
    "Nobody watches the sky and who walks in; a pilot in goggles sees neither.",
    "bring_observer",
)  # fmt: skip
ORIENTATION: Final = Rule(
    "observer.orientation", 327.0, "m per m", "easa-alos",
    "Farther than this many spans, plus a fixed 20 m, an observer cannot tell which way the aircraft points.",
    "shorten",
)  # fmt: skip
ORIENTATION_OFFSET: Final = Rule(
    "observer.orientation_offset", 20.0, "m", "easa-alos",
    "The fixed part of the distance at which an observer can tell which way the aircraft points.",
    "none",
)  # fmt: skip
TERRAIN_ASSUMED: Final = Rule(
    "terrain.assumed", 1, "", "our-choice",
    "Flat ground is a guess: any ridge, bank or building changes the answer.",
    "get_terrain",
)  # fmt: skip
TERRAIN_VOIDS: Final = Rule(
    "terrain.voids", 0.0, "", "our-choice",
    "Heights were missing and filled from around.",
    "get_terrain",
)  # fmt: skip
TERRAIN_UNCOVERED: Final = Rule(
    "terrain.uncovered", 0.0, "", "our-choice",
    "The route leaves the terrain file; nothing can be said out there.",
    "get_terrain",
)  # fmt: skip
LOOK_FOR: Final = Rule(
    "site.look_for", 1, "", "common-practice",
    "No grid of heights shows wires, masts, cranes or single trees.",
    "look_for_wires",
)  # fmt: skip
CANOPY_BREAKS: Final = Rule(
    "site.canopy_breaks", 15.0, "m", "our-choice",
    "Trees of this height on the ruling obstacle would break the link; the grid shows bare earth.",
    "look_at_trees",
)  # fmt: skip
FRESNEL: Final = Rule(
    "link.clearance", 0.6, "", "itu-p530",
    "Below 0.6 of the first Fresnel radius the ground takes part of the signal.",
    "climb_or_move",
)  # fmt: skip

RULES: Final[tuple[Rule, ...]] = tuple(value for value in dict(globals()).values() if isinstance(value, Rule))
