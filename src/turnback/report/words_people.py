"""Words of the rules on propellers, people, law, observer and site."""

from __future__ import annotations

from typing import Final

from turnback.report.numbers import Toward
from turnback.report.rule_words import Kind, RuleWords

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
        value_toward=Toward.UP,
        limit_toward=Toward.DOWN,
    ),
    "law.return_set_height": RuleWords(
        "Return set above your height limit",
        "The automatic return is set above the height limit you entered.",
        "The automatic return is set to {value} above launch{band}; the limit you entered is {limit}.",
        limit_toward=Toward.DOWN,
    ),
    "law.distance": RuleWords(
        "Route beyond your distance limit",
        "The route goes farther than the distance limit you entered.",
        "The route goes {value} out{band}; the limit you entered is {limit}.",
    ),
    "law.in_sight": RuleWords(
        "Out of sight, against the limit you entered",
        "The ground hides the aircraft on part of the route, and you entered that it must stay in sight.",
    ),
    "observer.unknown": RuleWords(
        "Observer not known",
        "Nobody said whether an observer stands beside the pilot.",
    ),
    "observer.none": RuleWords(
        "No observer",
        "No observer: nobody beside the pilot watches the sky and who walks in.",
    ),
    "observer.orientation": RuleWords(
        "Farther than an observer can tell its direction",
        "The route goes farther than an observer can tell which way the aircraft points.",
        "The route goes {value} out{band}; beyond {limit} an observer cannot tell which way the aircraft points.",
        limit_toward=Toward.DOWN,
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
        kind=Kind.SHARE,
    ),
    "terrain.uncovered": RuleWords(
        "Route leaves the terrain file",
        "The route leaves the terrain file; nothing can be said out there.",
        "The route leaves the terrain file for {value} of its length{band}; {limit} is allowed.",
        kind=Kind.SHARE,
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
