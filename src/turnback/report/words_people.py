"""Words of the rules on propellers, people, law, observer and site."""

from __future__ import annotations

from typing import Final

from turnback.report.language import mark
from turnback.report.numbers import Toward
from turnback.report.rule_words import Kind, RuleWords

PROPELLERS: Final[dict[str, RuleWords]] = {
    "propellers.unknown": RuleWords(
        mark("Propellers not looked at today"),
        mark(
            "Nobody said whether the propellers were looked at today; one of the wrong direction flips it at lift-off."
        ),
    ),
    "propellers.not_verified": RuleWords(
        mark("Propellers not looked at today"),
        mark("The propellers were not looked at today; one of the wrong direction flips it at lift-off."),
    ),
    "propellers.mismatch": RuleWords(
        mark("A propeller does not match its motor"),
        mark("By the plan, a propeller does not match its motor: it pushes down or lifts weakly."),
    ),
}

PEOPLE: Final[dict[str, RuleWords]] = {
    "people.unknown": RuleWords(
        mark("Who can be underneath is not known"),
        mark("Nobody said who can be underneath, and that decides what a fall costs."),
    ),
    "people.others": RuleWords(
        mark("Other people can be underneath"),
        mark("People who take no part can be underneath; a falling aircraft injures."),
    ),
    "people.involved": RuleWords(
        mark("People who take part can be underneath"),
        mark("People who take part can be underneath."),
    ),
    "people.area": RuleWords(
        mark("Route over an area with people"),
        mark("The route crosses an area that the plan marks as one where people may be."),
        mark("The route runs {value}{band} over an area where people may be; {limit} is allowed."),
    ),
    "law.not_looked_up": RuleWords(
        mark("Local limits not looked up"),
        mark("The local limits were not looked up. This does not know your local law."),
    ),
    "law.height": RuleWords(
        mark("Route above your height limit"),
        mark("The route is above the height limit you entered."),
        mark("The route reaches {value} above ground{band}; the limit you entered is {limit}."),
    ),
    "law.return_height": RuleWords(
        mark("Return above your height limit"),
        mark("The height that the return needs is above the height limit you entered."),
        mark("To clear the ground the return needs {value} above launch{band}; the limit you entered is {limit}."),
        value_toward=Toward.UP,
        limit_toward=Toward.DOWN,
    ),
    "law.return_set_height": RuleWords(
        mark("Return set above your height limit"),
        mark("The automatic return is set above the height limit you entered."),
        mark("The automatic return is set to {value} above launch{band}; the limit you entered is {limit}."),
        limit_toward=Toward.DOWN,
    ),
    "law.distance": RuleWords(
        mark("Route beyond your distance limit"),
        mark("The route goes farther than the distance limit you entered."),
        mark("The route goes {value} out{band}; the limit you entered is {limit}."),
    ),
    "law.in_sight": RuleWords(
        mark("Out of sight, against the limit you entered"),
        mark("The ground hides the aircraft on part of the route, and you entered that it must stay in sight."),
    ),
    "observer.unknown": RuleWords(
        mark("Observer not known"),
        mark("Nobody said whether an observer stands beside the pilot."),
    ),
    "observer.none": RuleWords(
        mark("No observer"),
        mark("No observer: nobody beside the pilot watches the sky and who walks in."),
    ),
    "observer.orientation": RuleWords(
        mark("Farther than an observer can tell its direction"),
        mark("The route goes farther than an observer can tell which way the aircraft points."),
        mark("The route goes {value} out{band}; beyond {limit} an observer cannot tell which way the aircraft points."),
        limit_toward=Toward.DOWN,
    ),
    "observer.orientation_offset": RuleWords(
        mark("Fixed part of the observer's distance"),
        mark("A fixed part of the distance at which an observer can tell which way the aircraft points."),
        mark("The fixed part of the observer's distance is {value}{band}; the rule takes {limit}."),
    ),
}

SITE: Final[dict[str, RuleWords]] = {
    "terrain.assumed": RuleWords(
        mark("Flat ground is assumed"),
        mark("There is no terrain file: flat ground is a guess, and any ridge, bank or building changes the answer."),
    ),
    "terrain.voids": RuleWords(
        mark("Holes in the terrain file"),
        mark("Heights were missing in the terrain file and were filled from around."),
        mark(
            "Heights were missing in {value} of the terrain{band} and were filled from around; {limit} would be sound."
        ),
        kind=Kind.SHARE,
    ),
    "terrain.uncovered": RuleWords(
        mark("Route leaves the terrain file"),
        mark("The route leaves the terrain file; nothing can be said out there."),
        mark("The route leaves the terrain file for {value} of its length{band}; {limit} is allowed."),
        kind=Kind.SHARE,
    ),
    "site.look_for": RuleWords(
        mark("What no grid of heights shows"),
        mark("No grid of heights shows wires, masts, cranes or single trees."),
    ),
    "site.canopy_breaks": RuleWords(
        mark("Trees on the ruling obstacle"),
        mark("Trees on the ruling obstacle would break the link; the grid shows bare earth."),
        mark(
            "Trees of {value}{band} on the ruling obstacle would break the link; the grid shows bare earth, and trees "
            "of {limit} are ordinary."
        ),
    ),
    "link.clearance": RuleWords(
        mark("Ground close to the line of sight"),
        mark("The ground comes so close to the line of sight that it takes part of the signal."),
        mark(
            "The least clearance of the line of sight is {value} of the first Fresnel radius{band}; below {limit} the "
            "ground takes part of the signal."
        ),
    ),
}
