"""Thresholds of signs that a record's volts and current show."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Threshold

READS_OFF: Final = Threshold(
    "record.signs.reads_off_v", 0.05, "V", "our-choice",
    "A full cell rests within a few hundredths of a volt of full; further off, the reading or the charger is.",
)  # fmt: skip
NOT_FULL: Final = Threshold(
    "record.signs.not_full_v", 0.12, "V", "our-choice",
    "Fifteen in a hundred of the charge are gone by then; a pack that waited a week has lost less.",
)  # fmt: skip
PART_EMPTY: Final = Threshold(
    "record.signs.part_empty_charge", 0.75, "", "our-choice",
    "Below this charge at rest: one low cell among full ones does not take the mean of a pack so far down.",
)  # fmt: skip
ABOVE_FULL: Final = Threshold(
    "record.signs.above_full_v", 0.03, "V", "our-choice",
    "Chargers end within a hundredth or two of full.",
)  # fmt: skip
RESISTANCE_TIMES: Final = Threshold(
    "record.signs.resistance_times", 2.0, "", "our-choice",
    "Packs of one size differ by half; twice as much is another pack, an old one, or a cold one.",
)  # fmt: skip
SIZE_SAYS: Final = Threshold(
    "record.signs.size_says", 0.3, "", "our-choice",
    "How far the resistance of new packs of one capacity spreads, as a share.",
)  # fmt: skip
SAG_LARGE: Final = Threshold(
    "record.signs.sag_v", 0.4, "V", "our-choice",
    "At one and a half times the usual current a sound cell gives way by 0.1 to 0.25 V.",
)  # fmt: skip
MIDDLING: Final = Threshold(
    "record.signs.middling_load", 1.5, "", "our-choice",
    "A middling load, in usual currents of the flight: a brisk climb.",
)  # fmt: skip
WARMS: Final = Threshold(
    "record.signs.warms_share", 0.25, "", "our-choice",
    "A pack that starts at room temperature and is flown calmly loses about a tenth of its resistance as it warms.",
)  # fmt: skip
WARMS_ALONE: Final = Threshold(
    "record.signs.warms_alone", 0.4, "", "our-choice",
    "At landing over that at take-off: a worn pack that is drawn hard warms by thirty degrees and keeps more.",
)  # fmt: skip
STAYS: Final = Threshold(
    "record.signs.resistance_stays", 0.85, "", "our-choice",
    "Over that at take-off: a cold pack warms itself by more, for it is its own resistance that heats it.",
)  # fmt: skip
COLD_STARTS: Final = Threshold(
    "record.signs.cold_starts_times", 1.65, "", "our-choice",
    "Times what a new pack has: some fifteen degrees below a mild day.",
)  # fmt: skip
COLD_ENDS: Final = Threshold(
    "record.signs.cold_ends_times", 1.5, "", "our-choice",
    "Times what a new pack has: a cold one comes near it by landing, a worn one stays above.",
)  # fmt: skip
LOW_ALL_ALONG: Final = Threshold(
    "record.signs.low_all_along_v", 0.45, "V", "our-choice",
    "Below full: a sound, full cell flies the first minute 0.1 to 0.3 V below it.",
)  # fmt: skip
CAPACITY_SHARE: Final = Threshold(
    "record.signs.capacity_share", 0.8, "", "common-practice",
    "A pack that gives less than four fifths of its label is worn out.",
)  # fmt: skip
CAPACITY_USED: Final = Threshold(
    "record.signs.capacity_used", 0.25, "", "our-choice",
    "Less of the charge used tells no capacity: the rest volts are hardly known better.",
)  # fmt: skip
SHORT_OF_HOME: Final = Threshold(
    "record.signs.short_of_home_share", 0.5, "", "our-choice",
    "Of the way from the land-by volts down to an empty cell: a way home that just reaches the limit was planned to, "
    "and past the knee of the curve the two are some seconds of flight apart.",
)  # fmt: skip
CELLS_APART: Final = Threshold(
    "record.signs.cells_apart_v", 0.10, "V", "common-practice",
    "Cells further apart than this at rest are not flown.",
)  # fmt: skip
CELL_COLLAPSES: Final = Threshold(
    "record.signs.cell_collapses_v", 0.12, "V", "our-choice",
    "Sound cells of one pack part by a few hundredths of a volt under load.",
)  # fmt: skip
NO_CELL_RESTS_BELOW: Final = Threshold(
    "record.signs.no_cell_rests_below_v", 3.55, "V", "our-choice",
    "Nobody takes off with cells that rest about at the land-by volts: the pack has fewer cells.",
)  # fmt: skip
NO_CELL_RESTS_ABOVE: Final = Threshold(
    "record.signs.no_cell_rests_above_v", 0.35, "V", "our-choice",
    "Above full: a reading may be wrong by some hundredths of its value; one cell more makes a sixth and more of it.",
)  # fmt: skip
CELLS_SUM: Final = Threshold(
    "record.signs.cells_sum_share", 0.018, "", "our-choice",
    "Cells and pack are read to within half a percent each; a reading that misleads is off by some hundredths.",
)  # fmt: skip
LEAD_DROP: Final = Threshold(
    "record.signs.lead_drop_v", 0.04, "V", "our-choice",
    "Per cell at the usual current, between the cells and where the pack's volts are read: sound leads take a "
    "hundredth.",
)  # fmt: skip
INSTANT_SHARE: Final = Threshold(
    "record.signs.instant_share", 0.17, "", "our-choice",
    "What gives way within seconds, over what gives way at once: half in a cell; a contact adds to the latter.",
)  # fmt: skip
LEAD_SAG: Final = Threshold(
    "record.signs.lead_sag_v", 0.33, "V", "our-choice",
    "Per cell in a brisk climb: where the size of a pack is not known, sound packs take up to a quarter of a volt.",
)  # fmt: skip
STEADY_DROP: Final = Threshold(
    "record.signs.steady_share", 0.05, "", "our-choice",
    "Volts that end within this of what they were two seconds before did not run out.",
)  # fmt: skip
VANISHED: Final = Threshold(
    "record.signs.vanished_share", 0.6, "", "our-choice",
    "Of the usual volts of the flight: no load takes two fifths off a pack that still flies.",
)  # fmt: skip
COLLAPSES_TO: Final = Threshold(
    "record.signs.collapses_to", 0.85, "", "our-choice",
    "The regulator of a board holds until its input has fallen further than any sag.",
)  # fmt: skip
RIPPLE_SHARE: Final = Threshold(
    "record.signs.ripple_share", 0.0032, "", "our-choice",
    "Of the volts, typical from reading to reading; a clean supply is read to within a third of that.",
)  # fmt: skip
RIPPLE_HZ: Final = Threshold(
    "record.signs.ripple_rate_hz", 50.0, "1/s", "our-choice",
    "Slower rows do not tell a ripple from a sag.",
)  # fmt: skip
HOVER_CURRENT: Final = Threshold(
    "record.signs.hover_current_times", 1.25, "", "our-choice",
    "Wind, height and a heavier pack make a tenth; a quarter is something that does not lift as it should.",
)  # fmt: skip

RULES: Final = (
    READS_OFF, NOT_FULL, PART_EMPTY, ABOVE_FULL, RESISTANCE_TIMES, SIZE_SAYS, SAG_LARGE, MIDDLING, WARMS, WARMS_ALONE,
    STAYS, COLD_STARTS, COLD_ENDS, LOW_ALL_ALONG,
    CAPACITY_SHARE, CAPACITY_USED, CELLS_APART, CELL_COLLAPSES, NO_CELL_RESTS_BELOW, NO_CELL_RESTS_ABOVE,
    CELLS_SUM, LEAD_DROP, INSTANT_SHARE, LEAD_SAG, STEADY_DROP, VANISHED, COLLAPSES_TO, RIPPLE_SHARE, RIPPLE_HZ,
    HOVER_CURRENT, SHORT_OF_HOME,
)  # fmt: skip
