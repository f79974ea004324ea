"""Words of the rules on pack care, and of what to do about them."""

from __future__ import annotations

from typing import Final

from turnback.report.language import mark
from turnback.report.rule_words import Kind, RuleWords

CARE: Final[dict[str, RuleWords]] = {
    "care.rest": RuleWords(
        mark("Rest before volts are measured"),
        mark("Volts are at rest ten minutes after load or charge."),
        mark("The pack rested for {value}{band}; volts are at rest after {limit}."),
    ),
    "care.charge_cold": RuleWords(
        mark("Too cold to charge"),
        mark("The pack is too cold to be charged."),
        mark("The pack has {value}{band}; charge it no colder than {limit}."),
    ),
    "care.charge_hot": RuleWords(
        mark("Too warm to charge"),
        mark("The pack is too warm to be charged."),
        mark("The pack has {value}{band}; charge it no warmer than {limit}."),
    ),
    "care.cell_harmed": RuleWords(
        mark("A cell is harmed"),
        mark("A cell rests below its damage volts: it is harmed inside, and charging it is how packs catch fire."),
        mark(
            "The weakest cell rests at {value}{band}, below its damage volts of {limit}: it is harmed inside, and "
            "charging it is how packs catch fire."
        ),
    ),
    "care.capacity_last_flight": RuleWords(
        mark("The pack holds something else than its label says"),
        mark("What the charger put back after the last flight does not fit the capacity that label and age promise."),
        mark(
            "By the charger and the rest volts after the last flight the pack holds {value} of what label and age "
            "promise{band}; {limit} to a little above would fit."
        ),
        kind=Kind.SHARE,
    ),
}
CARE_ACTIONS: Final[dict[str, str]] = {
    "let_pack_cool": mark("Let the pack cool for half an hour before charging it."),
    "measure_capacity": mark(
        "Fly a full pack gently, rest it ten minutes, measure the cells, charge it full, and enter minutes, mAh and "
        "rest volts; or measure its capacity on the charger. Until then take it for the smaller one."
    ),
}
