"""What to do about a finding, in the imperative; one sentence or two for each ``do`` key."""

from __future__ import annotations

from typing import Final

from turnback.report.language import mark
from turnback.report.words_care_rules import CARE_ACTIONS
from turnback.report.words_skills import PILOT_ACTIONS
from turnback.report.words_walk_rules import WALK_ACTIONS

ACTION_WORDS: Final[dict[str, str]] = {
    "none": mark("Nothing to do."),
    "shorten": mark("Plan a shorter way out."),
    "set_return_within_limit": mark(
        "Set the automatic return no higher than your limit, if it still clears the ground; "
        "otherwise take another route."
    ),
    "stay_in_sight": mark("Plan a way out that the observer can see all along, or stand where it can be seen."),
    "shorten_or_charge": mark("Plan a shorter flight, or fly a full and larger pack."),
    "shorten_or_climb": mark(
        "Plan a shorter way out, move the pilot to higher open ground, or take a route that keeps the "
        "line of sight free; stay under your height limit."
    ),
    "climb_or_move": mark(
        "Move the pilot to higher open ground or raise the antennas; climb only under your height limit."
    ),
    "lighter_or_stronger_pack": mark("Take weight off, or fly a pack with less resistance."),
    "gentler_or_stronger_pack": mark("Fly more gently, or fly a pack with a higher C rating or more capacity."),
    "smaller_propeller": mark("Fit propellers of less pitch or diameter, or limit the greatest output."),
    "read_speed_constant": mark(
        "Read the speed constant on the motors' label, and enter it; fly no pack of more cells than they are made for."
    ),
    "measure_rest_v": mark(
        "Measure the rest volts of every cell, at least ten minutes after charging or flying, and enter them."
    ),
    "balance_charge": mark("Balance charge the pack and measure the cells again."),
    "retire_pack": mark("Do not fly this pack. Bring it to storage charge and have somebody competent look at it."),
    "warm_pack": mark("Keep the pack warm, in a pocket for example, until launch, and hover half a minute first."),
    "charge_pack": mark("Charge the pack, or enter why it flies part full."),
    "raise_return_height": mark(
        "Set the automatic return higher if your height limit allows it; otherwise take another route."
    ),
    "read_return_height": mark("Read the height of the automatic return in the set-up sheet and enter it."),
    "wait_for_less_wind": mark("Wait for less wind, or stay near."),
    "test_return": mark("Test the automatic return on this build: near, low, over empty ground, ready to take over."),
    "take_over": mark("Be ready to take over: land by hand when it is back in sight."),
    "read_radio_loss_action": mark(
        "Find out what it does on radio loss: propellers off, arm, switch the transmitter off, watch, and enter it."
    ),
    "set_other_action": mark("Set another action on radio loss, such as motors stop or a tested automatic return."),
    "keep_falls_clear": mark(
        "Choose another route, fly lower, or wait for less wind, so that no fall ends where people may be."
    ),
    "keep_ground_empty": mark("Fly only where nobody can be on the ground below the whole route."),
    "turn_back_earlier": mark("Turn back earlier: end the route inside the turn-back distance."),
    "fly_higher": mark("Raise the route over that place if your height limit allows it; otherwise go round it."),
    "fly_lower": mark("Plan the route below the limit you entered."),
    "measure_wind": mark("Measure the wind at the launch point now, for some minutes, and enter its mean and gusts."),
    "repeat_last_flight": mark("Fly a pack near and low, note the minutes and the charger's mAh, and enter them."),
    "look_at_propellers": mark("Look at every propeller: direction seen from above, right way up, tight, no nicks."),
    "mend_propellers": mark(
        "Mend it before anything else: fit the propeller that matches its motor's direction, right way up."
    ),
    "look_who_is_underneath": mark("Look who can be under the route, and enter it."),
    "other_place": mark("Choose another place or another time: nobody who takes no part may be underneath."),
    "brief_people": mark("Tell everybody who takes part where it may come down, and keep them out from under it."),
    "other_route": mark("Choose another route."),
    "look_up_limits": mark("Look up the local limits of height, distance and place, and enter them."),
    "bring_observer": mark("Bring an observer who stands beside the pilot and watches the aircraft and the sky."),
    "get_terrain": mark("Get a terrain file that covers the whole route, and name it in the plan."),
    "look_for_wires": mark("Walk or look along the route for wires, masts, cranes and single trees before flying."),
    "look_at_trees": mark("Look how high the trees stand on that obstacle, and enter it."),
    **PILOT_ACTIONS,
    **CARE_ACTIONS,
    **WALK_ACTIONS,
}

MEASURE_PREFIX: Final = "measure:"
"""A ``do`` of this form names a parameter whose knowledge would decide, such as ``measure:pack.resistance_ohm``."""
