"""Thresholds of what a pilot's typed readings tell: what a number can be, and how surely it tells a sign."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Threshold

CELL_MOST: Final = Threshold(
    "told.cell_most", 4.6, "V", "our-choice",
    "A voltage up to here is one cell's, a higher one a whole pack's: no cell is charged higher.",
)  # fmt: skip
CELL_LEAST: Final = Threshold(
    "told.cell_least", 2.0, "V", "our-choice",
    "A number without its unit that is lower than this is no cell's voltage: boards have switched off by then.",
)  # fmt: skip
PACK_MOST: Final = Threshold(
    "told.pack_most", 60.0, "V", "our-choice",
    "Packs of small multirotors have at most fourteen cells; a higher voltage is a slip of typing.",
)  # fmt: skip
LONGEST_FLIGHT: Final = Threshold(
    "told.longest_flight", 2400.0, "s", "our-choice",
    "A time longer than forty minutes is one of the clock, not one since take-off.",
)  # fmt: skip
HIGHEST: Final = Threshold(
    "told.highest", 1000.0, "m", "our-choice",
    "A greater height is one above the sea, not one above the launch point.",
)  # fmt: skip
AT_START: Final = Threshold(
    "told.at_start", 10.0, "s", "our-choice",
    "Volts told within ten seconds of take-off are near those at rest.",
)  # fmt: skip
NOT_FULL: Final = Threshold(
    "told.not_full", 0.15, "V", "our-choice",
    "A cell that starts so far below full has a fifth of its charge missing, by any curve of the chemistries.",
)  # fmt: skip
TOO_HIGH: Final = Threshold(
    "told.too_high", 0.10, "V", "our-choice",
    "A cell above full by more than a poor meter's error is none: the pack has another number of cells.",
)  # fmt: skip
CLEARLY_ABOVE: Final = Threshold(
    "told.clearly_above", 0.25, "V", "our-choice",
    "The last volts told must lie this far above the land-by ones to tell that the pack was not empty.",
)  # fmt: skip
EARLY: Final = Threshold(
    "told.early", 75.0, "s", "our-choice",
    "Volts that are low so early were low all along.",
)  # fmt: skip
EARLY_LOW: Final = Threshold(
    "told.early_low", 0.15, "V", "our-choice",
    "In the first minute a healthy cell stays above the land-by volts under load by this and more.",
)  # fmt: skip
METERS_APART: Final = Threshold(
    "told.meters_apart", 0.10, "V", "common-practice",
    "Two meters on one resting pack agree to less than this for each cell.",
)  # fmt: skip
FAR: Final = Threshold(
    "told.far", 800.0, "m", "our-choice",
    "Links of new pilots' aircraft are seldom set up and seldom hold much further.",
)  # fmt: skip
CLOSE: Final = Threshold(
    "told.close", 200.0, "m", "our-choice",
    "A link in good order holds this far in the open, so that distance alone does not explain its loss.",
)  # fmt: skip
COLD: Final = Threshold(
    "told.cold", 10.0, "°C", "our-choice",
    "The book's sign of a cold day begins here.",
)  # fmt: skip
FREEZING: Final = Threshold(
    "told.freezing", 2.0, "°C", "our-choice",
    "Ice can grow on propellers near and below freezing, in damp air only.",
)  # fmt: skip
WINDY: Final = Threshold(
    "told.windy", 8.0, "m/s", "our-choice",
    "Half of the speed at which small multirotors cruise.",
)  # fmt: skip
CALM: Final = Threshold(
    "told.calm", 3.0, "m/s", "our-choice",
    "A told wind this light has not carried an aircraft away.",
)  # fmt: skip
SURE_CLEAR: Final = Threshold(
    "told.sure_clear", 0.85, "", "our-choice",
    "A number that cannot well be misread: a volt too many for the cells, a meter beside the shown volts.",
)  # fmt: skip
SURE_LIKELY: Final = Threshold(
    "told.sure_likely", 0.75, "", "our-choice",
    "A number typed from memory after a crash is right about so often as to which side of a limit it lies.",
)  # fmt: skip
SURE_WEAK: Final = Threshold(
    "told.sure_weak", 0.65, "", "our-choice",
    "Volts in the goggles are under load, and wind told is a guess: little more than a hint.",
)  # fmt: skip
FAINT_COVER: Final = Threshold(
    "told.faint_cover", 0.4, "", "our-choice",
    "Of a known phrase a sentence must have this much, by weight, to point at its sign at all.",
)  # fmt: skip
FAINT_WEIGHT: Final = Threshold(
    "told.faint_weight", 0.5, "", "our-choice",
    "And that must weigh half as much as one word that a single sign's phrases use.",
)  # fmt: skip
FAINT_SURE: Final = Threshold(
    "told.faint_sure", 0.85, "", "our-choice",
    "A sign that is pointed at so faintly is right seldom, but far more often than a sign that nothing points at.",
)  # fmt: skip
FAINT_MOST: Final = Threshold(
    "told.faint_most", 4.0, "", "our-choice",
    "More than four guesses of one sentence are no hint.",
)  # fmt: skip
LEAN_PART: Final = Threshold(
    "told.lean_part", 0.25, "", "our-choice",
    "Words of one message hang together: together they say about a quarter of what they would say each alone.",
)  # fmt: skip
LEAN_MOST: Final = Threshold(
    "told.lean_most", 3.0, "", "our-choice",
    "No likeness of words makes a cause more than about twenty times as likely, in natural log odds.",
)  # fmt: skip
LEAN_LEAST: Final = Threshold(
    "told.lean_least", 0.3, "", "our-choice",
    "Less than a third more is what any few words have in common with any cause by chance, in natural log odds.",
)  # fmt: skip

RULES: Final = (
    CELL_MOST, CELL_LEAST, PACK_MOST, LONGEST_FLIGHT, HIGHEST, AT_START, NOT_FULL, TOO_HIGH, CLEARLY_ABOVE, EARLY,
    EARLY_LOW, METERS_APART, FAR, CLOSE, COLD, FREEZING, WINDY, CALM, SURE_CLEAR, SURE_LIKELY, SURE_WEAK,
    FAINT_COVER, FAINT_WEIGHT, FAINT_SURE, FAINT_MOST, LEAN_PART, LEAN_MOST, LEAN_LEAST,
)  # fmt: skip
