"""Fill the gaps of an aircraft and a pack with values typical of the class."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from turnback.assess.bands import Unit, band, entered, from_reading, from_typical, scaled
from turnback.base.constants import GRAVITY_MPS2
from turnback.records.aircraft import AircraftFile, AutomaticReturn, Motor, Propeller
from turnback.records.common import Answer, How, Reading
from turnback.records.pack import ChemistryName, PackFile
from turnback.records.world import AircraftWorld, Band, Origin, PackWorld, ThrustAt
from turnback.rules.chemistry import Chemistry
from turnback.rules.typical import Table, Typical, typical

GRAMS = scaled("kg", 1e-3)
MILLIOHMS = scaled("ohm", 1e-3)
INCH_M = 0.0254
AS_IS_A = scaled("A", 1.0)
ROTORS = 4

Learned = Mapping[str, Reading]


def fill_aircraft(
    plan: AircraftFile, learned: Learned, return_tested: Answer, cells: int | None = None
) -> AircraftWorld:
    """Return the aircraft with every gap filled and every value's origin kept.

    `cells` of its pack choose the winding of a motor that nobody described; where the class's name says other cells,
    the judge says that nobody can say (`turnback.assess.judge_facts`).
    """
    rows = typical("aircraft", plan.class_.value)
    turns = 1.0 if cells is None else cells / rows["cells"].value
    propeller = plan.propeller or Propeller()
    motor = plan.motor or Motor()
    back = plan.automatic_return or AutomaticReturn()
    cruise = band(
        "aircraft.cruise_mps", plan.cruise_mps, rows["cruise_mps"], scaled("m/s", 1.0), entered("speed_share"),
        learned.get("cruise_mps"),
    )  # fmt: skip
    return AircraftWorld(
        name=plan.id or plan.class_.value,
        mass_kg=band(
            "aircraft.mass_kg", plan.mass_g, rows["mass_g"], GRAMS, entered("mass_share"), learned.get("mass_g")
        ),
        rotors=ROTORS,
        span_m=rows["span_m"].value,
        propeller_diameter_m=(propeller.diameter_in or rows["propeller_diameter_in"].value) * INCH_M,
        propeller_pitch_m=(propeller.pitch_in or rows["propeller_pitch_in"].value) * INCH_M,
        blades=propeller.blades or int(rows["blades"].value),
        figure_of_merit=from_typical("aircraft.figure_of_merit", rows["figure_of_merit"], scaled("", 1.0)),
        electrical_efficiency=from_typical(
            "aircraft.electrical_efficiency", rows["electrical_efficiency"], scaled("", 1.0)
        ),
        drag_area_m2=band(
            "aircraft.drag_area_m2",
            plan.drag_area_cm2,
            rows["drag_area_cm2"],
            scaled("m²", 1e-4),
            entered("drag_share"),
            learned.get("drag_area_cm2"),
        ),
        cruise_mps=cruise,
        auxiliary_w=from_typical("aircraft.auxiliary_w", rows["auxiliary_w"], scaled("W", 1.0)),
        ducted=plan.ducts if plan.ducts is not None else plan.class_.value.startswith("ducted"),
        speed_constant_rpm_per_v=_constant(
            "speed_constant_rpm_per_v", motor.speed_constant_rpm_per_v, rows, 1.0, 1.0 / turns
        ),
        motor_resistance_ohm=_constant("motor_resistance_mohm", motor.resistance_mohm, rows, 1e-3, turns**2),
        no_load_current_a=_constant("no_load_current_a", motor.no_load_current_a, rows, 1.0, 1.0 / turns),
        current_limit_a=_constant("current_limit_a", motor.current_limit_a, rows, 1.0, 1.0 / turns),
        static_thrust_n=_thrust(plan, rows),
        thrust_curve=tuple(
            ThrustAt(point.output_percent / 100.0, point.thrust_g * 1e-3 * GRAVITY_MPS2, point.current_a)
            for point in plan.thrust_curve or ()
        ),
        hover_current_a=_measured_current("hover_current_a", plan.hover_current_a, learned),
        cruise_current_a=_measured_current("cruise_current_a", plan.cruise_current_a, learned),
        action=plan.on_radio_loss,
        return_height_m=_return_height(back),
        return_mps=cruise_of_return(back, cruise),
        return_tested=return_tested,
    )


def cruise_of_return(back: AutomaticReturn, cruise: Band) -> Band:
    """Return the airspeed of the automatic return: as set, else the aircraft's cruise, said as assumed."""
    if back.speed_mps is not None:
        return from_reading("aircraft.return_mps", back.speed_mps, scaled("m/s", 1.0), entered("speed_share"))
    return Band("aircraft.return_mps", cruise.value, cruise.low, cruise.high, "m/s", Origin.ASSUMED, "our-choice")


def _return_height(back: AutomaticReturn) -> Band | None:
    if back.height_m is None:
        return None
    return from_reading(
        "aircraft.return_height_m", Reading(value=back.height_m), scaled("m", 1.0), entered("return_height_m")
    )


def _constant(name: str, reading: Reading | None, rows: Table, factor: float, wound: float) -> Band:
    """Return a motor's constant; a typical one is wound for the pack: the same copper, turns as the volts.

    With n times the turns the speed constant and currents fall by n, resistance rises by n² (textbook), and the motor
    turns its propeller as fast at n times the volts.
    """
    symbols = {"rpm_per_v": "rpm/V", "mohm": "ohm", "current_a": "A", "limit_a": "A"}
    symbol = next(unit for ending, unit in symbols.items() if name.endswith(ending))
    key = f"aircraft.{name.replace('motor_resistance_mohm', 'motor_resistance_ohm')}"
    if reading is None:
        return from_typical(key, rows[name], scaled(symbol, factor * wound))
    return from_reading(key, reading, scaled(symbol, factor), entered("constant_share"))


def _measured_current(name: str, reading: Reading | None, learned: Learned) -> Band | None:
    """Return a measured current as `band` does, but that nothing is typical of it."""
    taught = learned.get(name)
    guessed = reading is not None and reading.how is How.GUESS
    found = taught if taught is not None and (reading is None or guessed) else reading
    if found is None:
        return None
    measured = from_reading(f"aircraft.{name}", found, AS_IS_A, entered("current_share"))
    return replace(measured, origin=Origin.LEARNED) if found is taught else measured


def _thrust(plan: AircraftFile, rows: Table) -> Band:
    """Take the greatest thrust of a declared curve, else what is typical of the class."""
    newtons = scaled("N", 1e-3 * GRAVITY_MPS2)
    most = Reading(value=max(point.thrust_g for point in plan.thrust_curve)) if plan.thrust_curve else None
    return band("aircraft.static_thrust_n", most, rows["static_thrust_g"], newtons, entered("constant_share"))


def fill_pack(plan: PackFile, rest_v_per_cell: float | None, learned: Learned, chemistry: Chemistry) -> PackWorld:
    """Return the pack with every gap filled. `plan` has its label's cells, capacity and C rating read in.

    Resistance, where nobody measured it, is the chemistry's resistance-capacity product over capacity, grown with
    cycles and months. Volts, where nobody measured them, span an almost empty to a full pack.
    """
    rows, wear = typical("pack"), typical("wear")
    label_ah = (plan.capacity_mah.value if plan.capacity_mah else 0.0) * 1e-3
    lost = _worn(plan, rows, wear)
    return PackWorld(
        name=plan.id or plan.label or "pack",
        chemistry=plan.chemistry or ChemistryName.LIPO,
        cells=plan.cells or 0,
        capacity_ah=_capacity(plan, learned, lost.capacity_share),
        resistance_ohm=_resistance(plan, learned, label_ah, lost.resistance_share, chemistry),
        rest_v=_rest_v(plan, rest_v_per_cell, rows, chemistry),
        temperature_c=band(
            "pack.temperature_c",
            plan.temperature_c,
            rows["temperature_c"],
            scaled("°C", 1.0),
            entered("temperature_c"),
        ),
        c_rating=plan.c_rating,
        mass_kg=_pack_mass(plan, label_ah, rows, chemistry),
        spread_v=max(plan.cell_rest_v) - min(plan.cell_rest_v) if plan.cell_rest_v else None,
    )


@dataclass(frozen=True, slots=True)
class _Wear:
    """What cycles and months took, as shares of the new pack."""

    capacity_share: float
    resistance_share: float


def _worn(plan: PackFile, rows: Table, wear: Table) -> _Wear:
    cycles = plan.cycles if plan.cycles is not None else rows["cycles"].value
    months = plan.age_months if plan.age_months is not None else rows["age_months"].value
    return _Wear(
        wear["capacity_per_cycle_share"].value * cycles + wear["capacity_per_month_share"].value * months,
        wear["resistance_per_cycle_share"].value * cycles + wear["resistance_per_month_share"].value * months,
    )


def _capacity(plan: PackFile, learned: Learned, lost_share: float) -> Band:
    """Take a measured capacity as it is; a label promises more than the pack gives, and wear takes its part."""
    key = "pack.capacity_ah"
    taught = learned.get("capacity_mah")
    given = plan.capacity_mah
    if given is not None and given.how is How.MEASURED:
        return from_reading(key, given, scaled("Ah", 1e-3), entered("capacity_share"))
    if taught is not None:
        found = from_reading(key, taught, scaled("Ah", 1e-3), entered("capacity_share"))
        return Band(key, found.value, found.low, found.high, "Ah", Origin.LEARNED, "user")
    share = typical("pack")["capacity_share"]
    label_ah = (given.value if given else 0.0) * 1e-3 * max(0.5, 1.0 - lost_share)
    return from_typical(key, share, scaled("Ah", label_ah))


def _resistance(plan: PackFile, learned: Learned, label_ah: float, grown_share: float, chemistry: Chemistry) -> Band:
    key = "pack.resistance_ohm"
    product = chemistry.resistance_capacity_ohm_ah / max(label_ah, 1e-3)
    grown = product * (1.0 + grown_share)
    spread = typical("wear")["resistance_spread_share"].value
    row = Typical(grown, grown / spread, grown * spread, "our-choice", "Resistance times capacity of the chemistry.")
    reading = plan.resistance_mohm_per_cell
    if reading is None and "resistance_mohm_per_cell" not in learned:
        return from_typical(key, row, scaled("ohm", 1.0))
    return band(key, reading, row, MILLIOHMS, entered("resistance_share"), learned.get("resistance_mohm_per_cell"))


def _rest_v(plan: PackFile, rest_v_per_cell: float | None, rows: Table, chemistry: Chemistry) -> Band:
    """Take the weakest cell where all were measured: it is the one that ends the flight."""
    key = "pack.rest_v"
    slack = entered("rest_v")
    if plan.cell_rest_v:
        return from_reading(key, Reading(value=min(plan.cell_rest_v)), scaled("V", 1.0), slack)
    if rest_v_per_cell is not None:
        return from_reading(key, Reading(value=rest_v_per_cell), scaled("V", 1.0), slack)

    def volts(soc: float) -> float:
        return float(np.interp(soc, chemistry.ocv_soc, chemistry.ocv_v))

    return from_typical(key, rows["rest_v_unknown_share"], Unit("V", volts), Origin.ASSUMED)


def _pack_mass(plan: PackFile, label_ah: float, rows: Table, chemistry: Chemistry) -> Band:
    watt_hours = label_ah * (plan.cells or 0) * chemistry.nominal_v
    row = rows["mass_g_per_wh"]
    typical_g = Typical(row.value * watt_hours, row.low * watt_hours, row.high * watt_hours, row.source, row.why)
    return band("pack.mass_kg", plan.mass_g, typical_g, GRAMS, entered("mass_share"))
