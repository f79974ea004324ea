"""What goes wrong with the pack, and with when it is flown empty."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from studies.debrief_flown.own_flights import Draft, lay_way, punches

Cause = Callable[[Draft], None]


def _lasts(d: Draft, least: float, most: float, until: str = "end") -> None:
    """Give it a pack of which it has taken a share when it is to land, or on its way home."""
    d.seen["share"] = d.rng.uniform(least, most)
    d.seen["until"] = until


def _long(d: Draft, leg: float, speed: float) -> None:
    d.leg = leg
    d.set(acts=d.world.acts[:0])
    lay_way(d, speed, stay_s=d.rng.uniform(30.0, 55.0))
    punches(d, 3)


def volts_wrong(d: Draft) -> None:
    """The pack's volts are shown some hundredths too high or too low."""
    d.seen["volts_by"] = 1.0 + float(d.rng.choice([-1.0, 1.0, 1.0])) * d.rng.uniform(0.03, 0.07)


def no_warning(d: Draft) -> None:
    """Nothing says that the pack is empty: it is flown on near home."""
    _long(d, d.rng.uniform(60.0, 150.0), d.plan.speed)
    _lasts(d, 0.90, 0.93)


def ignored(d: Draft) -> None:
    """A warning came, and it was flown on."""
    _long(d, d.rng.uniform(80.0, 250.0), d.plan.speed)
    _lasts(d, 0.90, 0.93)


def late_home(d: Draft) -> None:
    """Turned for home when what is left does not bring it home."""
    _long(d, d.rng.uniform(350.0, 550.0), d.rng.uniform(9.0, 12.0))
    _lasts(d, 1.0, 1.1, "home")


def drained(d: Draft) -> None:
    """Flown until its cells lie below the volts that harm them."""
    _long(d, d.rng.uniform(40.0, 120.0), d.plan.speed)
    _lasts(d, 0.99, 1.08)


def worn(d: Draft) -> None:
    """Old cells: two to four times the resistance, and less in them."""
    by = d.rng.uniform(2.2, 4.0)
    d.cells(r_pack=d.craft.r_pack * by, r_slow=d.craft.r_slow * 2.5,
            capacity=d.craft.capacity * d.rng.uniform(0.6, 0.8))  # fmt: skip
    punches(d, 2)


def cold(d: Draft) -> None:
    """Cells as cold as the day; they warm themselves as they are drawn from."""
    d.air_c = d.rng.uniform(-6.0, 4.0)
    d.set(cold_c=d.air_c + d.rng.uniform(0.0, 4.0))
    d.set(acts=d.world.acts[:0])
    lay_way(d, d.plan.speed, stay_s=d.rng.uniform(25.0, 45.0))
    punches(d, 5)


def unequal(d: Draft) -> None:
    """One cell holds less than the others."""
    d.set(cell_low=d.rng.uniform(0.25, 0.5))
    d.cells(charge0=d.rng.uniform(0.85, 0.97))
    d.seen["weak_ohm"] = 1.0


def other_count(d: Draft) -> None:
    """A pack with a cell more or fewer than the build is made for."""
    more = float(d.rng.choice([-1.0, 1.0])) if d.craft.cells > 3 else 1.0
    cells = d.craft.cells + more
    by = cells / d.craft.cells
    # the same motors: greatest speed and thrust go with the volts
    d.cells(cells=cells, r_pack=d.craft.r_pack * by, r_slow=d.craft.r_slow * by, speed_max=d.craft.speed_max * by,
            thrust_max=d.craft.thrust_max * by**2)  # fmt: skip


def lead(d: Draft) -> None:
    """A plug or a joint with resistance of its own, outside the cells."""
    d.set(lead_ohm=d.craft.r_pack * d.rng.uniform(1.5, 3.5))
    punches(d, 2)


def not_full(d: Draft) -> None:
    """Taken off with a pack that is part empty."""
    d.cells(charge0=d.rng.uniform(0.35, 0.7))


PACK: Final[dict[str, Cause]] = {
    "volts-shown-wrong": volts_wrong,
    "low-volts-warning-absent": no_warning,
    "warning-ignored": ignored,
    "turned-back-too-late": late_home,
    "pack-over-discharged": drained,
    "pack-worn": worn,
    "pack-cold": cold,
    "cells-out-of-balance": unequal,
    "pack-of-another-cell-count": other_count,
    "plug-or-lead-resistance": lead,
    "pack-not-full-at-start": not_full,
}
