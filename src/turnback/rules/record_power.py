"""Thresholds on the pack in a flight record; what a chemistry allows stands in its own table."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Threshold

SAG_SHARE: Final = Threshold(
    "record.power.sag_share", 0.15, "", "our-choice",
    "Steady flight takes 0.1 to 0.3 V off a cell of 3.8 V; more than 0.57 V is a tired, cold or small pack.",
)  # fmt: skip
SAG_LEAST_S: Final = Threshold(
    "record.power.sag_least_s", 0.1, "s", "our-choice",
    "One odd reading is no sag.",
)  # fmt: skip
RESISTANCE_SHARE: Final = Threshold(
    "record.power.resistance_share", 0.15, "", "our-choice",
    "Current sensors of flight boards are that far off unless someone held them against a charger.",
)  # fmt: skip
LOAD_CHANGES: Final = Threshold(
    "record.power.load_changes", 0.1, "", "our-choice",
    "A load that varies by less than a tenth of its mean hardly tells a resistance.",
)  # fmt: skip
FIT_LEAST_S: Final = Threshold(
    "record.power.fit_least_s", 20.0, "s", "our-choice",
    "Half a minute of changing load separates resistance from the pack running down; a little less may do.",
)  # fmt: skip
LAND_BY_LOADED: Final = Threshold(
    "record.power.land_by_loaded", 1.0, "", "common-practice",
    "The chemistry's land-by volts under load, for as long as its table says (rules/chemistry.toml).",
)  # fmt: skip
LAND_BY_REST: Final = Threshold(
    "record.power.land_by_rest", 10.0, "s", "our-choice",
    "The chemistry's land-by volts at rest, held against volts with the load's share added back for this long.",
)  # fmt: skip
DAMAGE_LEAST_S: Final = Threshold(
    "record.power.damage_least_s", 0.2, "s", "our-choice",
    "Below the chemistry's damage volts no load is excuse enough; one odd reading is.",
)  # fmt: skip
STEP_SHARE: Final = Threshold(
    "record.power.step_share", 0.03, "", "our-choice",
    "About a tenth of a volt per cell from one reading to the next, beyond what the current explains.",
)  # fmt: skip
STEP_SPREADS: Final = Threshold(
    "record.power.step_spreads", 8.0, "", "our-choice",
    "A step stands out by eight times the spread of this record's own changes from reading to reading.",
)  # fmt: skip
STEP_HZ: Final = Threshold(
    "record.power.step_rate", 4.0, "1/s", "our-choice",
    "At slower rates a throttle can come and go between two readings.",
)  # fmt: skip
STEP_SPAN_S: Final = Threshold(
    "record.power.step_span_s", 0.02, "s", "our-choice",
    "Filters of volt readings settle within some thousandths of a second; motors answer in several hundredths.",
)  # fmt: skip
STEP_EXPLAINED: Final = Threshold(
    "record.power.step_explained", 1.5, "", "our-choice",
    "The current's change times the resistance, and half as much again, is explained.",
)  # fmt: skip
CELL_LOW_REST: Final = Threshold(
    "record.power.cell_low_rest", 0.05, "V", "common-practice",
    "Cells further apart than this at rest are drifting.",
)  # fmt: skip
CELL_LOW_LOADED: Final = Threshold(
    "record.power.cell_low_loaded", 0.15, "V", "our-choice",
    "Cells differ by a fifth in resistance: some hundredths of a volt at 0.3 V of sag; this is several times more.",
)  # fmt: skip
CELL_LOW_S: Final = Threshold(
    "record.power.cell_low_s", 2.0, "s", "our-choice",
    "Cells are read one after another: a changing load sets them apart for moments.",
)  # fmt: skip
CELL_LEAST_V: Final = Threshold(
    "record.power.cell_least", 1.0, "V", "our-choice",
    "A cell channel that stays below this is an empty socket.",
)  # fmt: skip
CELLS_RATIO: Final = Threshold(
    "record.power.cells_ratio", 0.15, "", "our-choice",
    "Pack volts over a cell's volts come this near a whole number, or do not count cells.",
)  # fmt: skip
NEARLY_FULL_V: Final = Threshold(
    "record.power.nearly_full", 0.15, "V", "our-choice",
    "A charged cell that has rested lies at most this far below its full volts.",
)  # fmt: skip
OVER_FULL_V: Final = Threshold(
    "record.power.over_full", 0.04, "V", "our-choice",
    "Boards read volts to about one in a hundred.",
)  # fmt: skip
PART_USED_V: Final = Threshold(
    "record.power.part_used", 3.55, "V", "our-choice",
    "Nobody starts a flight below the land-by volts, but some start with a used pack: such a number of cells may be.",
)  # fmt: skip
NO_CELL_BELOW_V: Final = Threshold(
    "record.power.no_cell_below", 2.3, "V", "our-choice",
    "No pack flies with half of its readings below this: the number of cells or the unit is wrong.",
)  # fmt: skip
NO_CELL_ABOVE_V: Final = Threshold(
    "record.power.no_cell_above", 0.4, "V", "our-choice",
    "Volt readings are up to a tenth off; further above a full cell, the number of cells or the unit is wrong.",
)  # fmt: skip
REST_LOAD: Final = Threshold(
    "record.power.rest_load", 0.05, "", "our-choice",
    "At a twentieth of the flight's current the sag is within the error of the volts.",
)  # fmt: skip

RULES: Final = (
    SAG_SHARE, SAG_LEAST_S, RESISTANCE_SHARE, LOAD_CHANGES, FIT_LEAST_S, LAND_BY_LOADED, LAND_BY_REST, DAMAGE_LEAST_S,
    STEP_SHARE, STEP_SPREADS, STEP_HZ, STEP_SPAN_S, STEP_EXPLAINED, CELL_LOW_REST, CELL_LOW_LOADED, CELL_LOW_S,
    CELL_LEAST_V, CELLS_RATIO, NEARLY_FULL_V, OVER_FULL_V, PART_USED_V,
    NO_CELL_BELOW_V, NO_CELL_ABOVE_V, REST_LOAD,
)  # fmt: skip
