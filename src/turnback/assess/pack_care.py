"""Pack care: what to keep to, how the pack stands, how it is charged after this flight, what the last one taught."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.bands import entered
from turnback.assess.consumption import mean_current_a
from turnback.assess.draws import Z_BAND
from turnback.assess.energy import steady_resistance_ohm
from turnback.assess.flight_energy import Craft
from turnback.assess.judge import found
from turnback.assess.last_capacity import least_capacity_ah, measured_spread
from turnback.assess.last_flight import Taught
from turnback.assess.spreads import spread
from turnback.physics.cell import resistance_ohm, soc_at_rest_v
from turnback.physics.charging import charge_time_s
from turnback.records.care import CareResult, CareRow
from turnback.records.case import Case
from turnback.records.finding import Finding, Severity, Spread
from turnback.records.plan import LastFlight
from turnback.records.result import EnergyResult
from turnback.records.world import World
from turnback.rules import care
from turnback.rules.chemistry import Chemistry, chemistry_rows
from turnback.rules.typical import Typical, typical

Array = NDArray[np.float64]

FLAT_SOC: Final = 1e-3
ALIKE_V: Final = 0.005  # cells closer than a meter's last digit are alike: none is the weakest
METER_V: Final = 1e-9

VOLTS: Final = (
    ("care.full", "full_v"),
    ("care.nominal", "nominal_v"),
    ("care.storage", "storage_v"),
    ("care.land_by_rest", "land_by_rest_v"),
    ("care.land_by_loaded", "land_by_loaded_v"),
    ("care.damage", "damage_v"),
)
"""Rows of volts, with their place in the chemistry; each is told of a cell and of the pack."""
SPREADS: Final = (("care.spread_watch", "spread_watch_v"), ("care.spread_stop", "spread_stop_v"))
SHARES: Final = (("care.plan_share", "usable_plan_fraction"), ("care.never_share", "usable_never_fraction"))
FLOORS: Final = ("care.land_by_rest", "care.land_by_loaded", "care.damage")
CEILINGS: Final = ("care.full",)


def pack_care(case: Case, taught: Taught, energy: EnergyResult) -> CareResult:
    """Return everything to know about this pack.

    Parameters
    ----------
    case : Case
    taught : Taught
        The worlds before and after the last flight taught.
    energy : EnergyResult
        How this flight lands the pack.
    """
    craft = taught.after
    used_before_a, used_after_a = _consumption_a(taught)
    plan, law = case.plan.pack, craft.chemistry
    draws, world = craft.draws, craft.draws.world
    last = case.plan.answers.last_flight
    label_ah = (plan.capacity_mah.value if plan.capacity_mah else 0.0) * 1e-3 or energy.capacity_ah.mid
    charge_a = law.charge_c * label_ah
    rows = care_rows(world, law, energy.capacity_ah, charge_a)
    cells_v = plan.cell_rest_v
    uneven = cells_v is not None and max(cells_v) - min(cells_v) > ALIKE_V
    return CareResult(
        chemistry=world.pack.chemistry.value,
        cells=world.pack.cells,
        rows=rows,
        now_rest_v=world.pack.rest_v.value,
        now_known=world.pack.rest_v.known,
        spread_v=world.pack.spread_v,
        lowest_cell=int(np.argmin(cells_v)) + 1 if cells_v is not None and uneven else None,
        temperature_c=spread(draws["pack.temperature_c"]),
        cold_resistance_ratio=spread(_cold_ratio(craft)),
        age_months=plan.age_months,
        cycles=plan.cycles,
        worn_resistance_ratio=spread(draws["pack.resistance_ohm"] * label_ah / law.resistance_capacity_ohm_ah),
        charge_a=charge_a,
        charge_s=charge_spread_s(craft, energy, charge_a),
        charge_mah=charger_mah(energy),
        storage_s=storage_spread_s(craft, energy, charge_a),
        capacity_before_ah=spread(taught.before.draws["pack.capacity_ah"]),
        capacity_after_ah=spread(draws["pack.capacity_ah"]),
        consumption_before_a=used_before_a,
        consumption_after_a=used_after_a,
        learned_from_last_flight=taught.learned,
        storage_up=1.0 - energy.used_fraction.mid < float(soc_at_rest_v(law.storage_v, law)),
        capacity_measured_ah=measured_spread(last, law),
        capacity_least_ah=least_capacity_ah(last),
        broken=_broken_now(rows, world),
    )


def care_findings(taught: Taught, last: LastFlight | None) -> list[Finding]:
    """Say where a cell is harmed, and where the last flight measured another capacity than the label promises."""
    pack, law, findings = taught.after.draws.world.pack, taught.after.chemistry, []
    if pack.rest_v.known and pack.rest_v.value < law.damage_v:
        findings.append(found(care.CELL_HARMED, Severity.STOP, pack.rest_v.value, limit=law.damage_v, unit="V"))
    measured = measured_spread(last, law)
    if measured is not None:
        promised = float(np.median(taught.before.draws["pack.capacity_ah"]))
        ratio = Spread(measured.mid / promised, measured.low / promised, measured.high / promised)
        limit = care.CAPACITY_DISAGREES.value
        if not limit <= ratio.mid <= 1.0 / limit:
            findings.append(found(care.CAPACITY_DISAGREES, Severity.LIMIT, ratio))
    return findings


def care_rows(world: World, law: Chemistry, capacity_ah: Spread, charge_a: float) -> tuple[CareRow, ...]:
    """Return every number to keep to, with what it is held against and for how long."""
    given, cells = chemistry_rows(world.pack.chemistry.value), world.pack.cells
    rows = []
    for key, name in VOLTS:
        row = given[name]
        lasts = law.land_by_loaded_duration_s if key == "care.land_by_loaded" else 0.0
        duration_s = care.REST.value if row.at == "rest" else lasts
        volts = float(getattr(law, name))
        rows.append(CareRow(key, volts, "V", "cell", row.at, duration_s, row.source))
        if cells > 1:
            rows.append(CareRow(key, volts * cells, "V", "pack", row.at, duration_s, row.source))
    rows += [
        CareRow(key, float(getattr(law, name)), "V", "cell", "rest", care.REST.value, given[name].source)
        for key, name in SPREADS
    ]
    rows += [CareRow(key, float(getattr(law, name)), "", "pack", "", None, given[name].source) for key, name in SHARES]
    usable_ah = law.usable_plan_fraction * capacity_ah.low  # planned on: at the unfavourable end
    return (
        *rows,
        CareRow("care.usable", usable_ah, "Ah", "pack", "", None, given["usable_plan_fraction"].source),
        CareRow("care.charge_c", law.charge_c, "C", "", "", None, given["charge_c"].source),
        CareRow("care.charge_a", charge_a, "A", "pack", "", None, given["charge_c"].source),
        CareRow("care.rest", care.REST.value, "s", "", "", None, care.REST.source),
        CareRow("care.charge_cold", care.CHARGE_COLD.value, "°C", "pack", "", None, care.CHARGE_COLD.source),
        CareRow("care.charge_hot", care.CHARGE_HOT.value, "°C", "pack", "", None, care.CHARGE_HOT.source),
    )


def broken_rows(rows: tuple[CareRow, ...], cell_v: float, at: str, lasted_s: float) -> tuple[str, ...]:
    """Return the keys of the rows that volts of one cell do not keep to.

    Parameters
    ----------
    rows : tuple of CareRow
    cell_v : float
    at : str
        ``"rest"`` or ``"loaded"``: how the volts were read. A rule at rest is held against volts at rest only, so that
        a hard throttle never trips it; a loaded one only against volts that lasted as long as it says. The damage
        volts hold for both.
    lasted_s : float
        How long they were this low or high, or how long the pack had rested.
    """
    broken = []
    for row in rows:
        both = row.key == "care.damage"
        counts = row.per == "cell" and row.duration_s is not None and (row.at == at or both)
        if not counts or lasted_s < (0.0 if both else row.duration_s or 0.0):
            continue
        low = row.key in FLOORS and cell_v < row.value - METER_V
        high = row.key in CEILINGS and cell_v > row.value + entered("rest_v").width + METER_V
        if low or high:
            broken.append(row.key)
    return tuple(broken)


def _broken_now(rows: tuple[CareRow, ...], world: World) -> tuple[str, ...]:
    pack = world.pack
    volts = broken_rows(rows, pack.rest_v.value, "rest", care.REST.value) if pack.rest_v.known else ()
    apart = [
        row.key
        for row in rows
        if "spread" in row.key and pack.spread_v is not None and pack.spread_v > row.value + METER_V
    ]
    return (*volts, *apart)


def _cold_ratio(craft: Craft) -> Array:
    """Return resistance at the pack's temperature over that at the reference temperature, ``(j,)`` (Arrhenius)."""
    law, ohm = craft.chemistry, craft.draws["pack.resistance_ohm"]
    warm = resistance_ohm(ohm, 0.5, law.reference_c, law)
    return np.asarray(resistance_ohm(ohm, 0.5, craft.draws["pack.temperature_c"], law) / warm)


def _consumption_a(taught: Taught) -> tuple[Spread, Spread]:
    """Return the mean current of an ordinary flight before and after the last one taught."""
    if taught.used_a is not None:
        before_a, after_a = taught.used_a
        return spread(before_a), spread(after_a)
    craft = taught.after
    alone = spread(mean_current_a(craft.draws, craft.thrust, craft.scale, craft.chemistry))
    return alone, alone


def charge_spread_s(craft: Craft, energy: EnergyResult, charge_a: float) -> Spread:
    """Return the time on the charger after this flight, the cells brought together at the end.

    The ends are those of the charge to put back, of the cells' resistance, and of balancing, all unfavourable or all
    favourable at once: a wide band for a rough figure.
    """
    law, rows = craft.chemistry, typical("care")
    ohm, capacity = spread(steady_resistance_ohm(craft)), energy.capacity_ah
    share = rows["end_current_share"].value
    used, balance = energy.used_fraction, rows["balance_s"]

    def seconds(used_share: float, cell_ohm: float, balance_s: float) -> float:
        begun = float(np.clip(1.0 - used_share, 0.0, 1.0))
        return float(charge_time_s(begun, charge_a, capacity.mid, cell_ohm, share, law)) + balance_s

    return Spread(
        seconds(used.mid, ohm.mid, balance.value),
        seconds(used.low, ohm.low, balance.low),
        seconds(used.high, ohm.high, balance.high),
    )


def charger_mah(energy: EnergyResult) -> Spread:
    """Return what the charger should say it put back after this flight.

    From how full the flight lands the pack up to full; the band holds what is not known, the hand of one flight against
    another, and the charger's meter, in squares of logarithms.
    """
    rows, used, capacity = typical("care"), energy.used_fraction, energy.capacity_ah.mid
    charger, hand = rows["charger_share"], Z_BAND * typical("chance")["handling_sd"].value
    mid = max(used.mid, FLAT_SOC) * capacity * 1e3 / charger.value
    below = np.sqrt(_ln(used.mid, used.low) ** 2 + hand**2 + _ln(charger.high, charger.value) ** 2)
    above = np.sqrt(_ln(used.high, used.mid) ** 2 + hand**2 + _ln(charger.value, charger.low) ** 2)
    return Spread(mid, mid * float(np.exp(-below)), mid * float(np.exp(above)))


def _ln(above: float, below: float) -> float:
    return float(np.log(max(above, FLAT_SOC) / max(below, FLAT_SOC)))


def storage_spread_s(craft: Craft, energy: EnergyResult, charge_a: float) -> Spread:
    """Return the time from landing to storage charge: up at the charge current, down as chargers discharge."""
    law, used, capacity_ah = craft.chemistry, energy.used_fraction, energy.capacity_ah.mid
    storage_soc = float(soc_at_rest_v(law.storage_v, law))
    pack_v = law.storage_v * craft.draws.world.pack.cells
    drain: Typical = typical("care")["storage_discharge_w"]

    def seconds(used_share: float, drain_w: float) -> float:
        lacks = storage_soc - (1.0 - used_share)
        current_a = charge_a if lacks > 0.0 else drain_w / pack_v
        return abs(lacks) * capacity_ah * 3600.0 / current_a

    ends = [seconds(share, watts) for share in (used.low, used.high) for watts in (drain.low, drain.high)]
    crosses = (1.0 - used.low - storage_soc) * (1.0 - used.high - storage_soc) < 0.0
    return Spread(seconds(used.mid, drain.value), 0.0 if crosses else min(ends), max(ends))
