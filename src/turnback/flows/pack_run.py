"""One pack over a given load."""

from __future__ import annotations

import numpy as np

from turnback.assess.fill_aircraft import fill_pack
from turnback.physics.cell import Failure, Load, soc_at_rest_v
from turnback.physics.pack import PackMarch, march_pack
from turnback.records.pack import ChemistryName, PackFile
from turnback.records.profiles import Asked, LoadProfile, PackRun
from turnback.records.world import Band, PackWorld
from turnback.rules.chemistry import Chemistry, chemistry

LOADS = {Asked.CURRENT: Load.CURRENT, Asked.POWER: Load.POWER}


def pack_run(pack: PackFile, load: LoadProfile) -> PackRun:
    """Run a pack over a load profile: volts, state of charge and temperature, row by row.

    Parameters
    ----------
    pack : PackFile
        Filled from its label. It starts at the rest volts of its cells; where none are given it starts full, and that
        is among what is assumed. Everything else that is open takes its best estimate.
    load : LoadProfile

    Raises
    ------
    InputError
        Where the pack or the load is outside what the cell model takes.
    """
    law = chemistry((pack.chemistry or ChemistryName.LIPO).value)
    rest_v = min(pack.cell_rest_v) if pack.cell_rest_v else law.full_v
    world = fill_pack(pack, rest_v, {}, law)
    march = march_pack(
        LOADS[load.asked],
        load.amount,
        load.duration_s,
        world.cells,
        law,
        world.resistance_ohm.value,
        world.capacity_ah.value,
        float(soc_at_rest_v(rest_v, law)),
        world.temperature_c.value,
        world.temperature_c.value,
        world.mass_kg.value / world.cells,
    )
    return _told(march, world, law, load, known_start=bool(pack.cell_rest_v))


def _told(march: PackMarch, world: PackWorld, law: Chemistry, load: LoadProfile, *, known_start: bool) -> PackRun:
    ends_s = load.start_s + np.cumsum(load.duration_s)
    starts_s = ends_s - load.duration_s
    cell = march.cell
    failed = cell.failed_row
    begun = float(soc_at_rest_v(world.rest_v.value, law))
    carried = cell.soc[np.isfinite(cell.soc)]
    below = np.flatnonzero(cell.rest_v < law.land_by_rest_v)
    return PackRun(
        time_s=ends_s,
        volts_v=march.volts_v,
        cell_loaded_v=cell.volts_v,
        cell_rest_v=cell.rest_v,
        state_of_charge=cell.soc,
        temperature_c=cell.temperature_c,
        current_a=cell.current_a,
        power_w=march.power_w,
        energy_wh=march.energy_wh,
        failure="" if cell.failure is Failure.NONE else cell.failure.value,
        failed_s=float("nan") if failed is None else float(starts_s[failed]),
        used_ah=(begun - float(carried[-1])) * world.capacity_ah.value if carried.size else 0.0,
        land_by_s=float(ends_s[below[0]]) if below.size else float("nan"),
        land_by_rest_v=law.land_by_rest_v,
        assumed=_assumed(world, known_start=known_start),
    )


def _assumed(world: PackWorld, *, known_start: bool) -> tuple[Band, ...]:
    bands = [world.resistance_ohm, world.capacity_ah, world.temperature_c, world.mass_kg]
    found = [band for band in bands if not band.known]
    return tuple(found if known_start else [world.rest_v, *found])
