"""Which heights a map is asked for: inside what an aircraft flies, and never swept above the limit that was entered."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from turnback.base.errors import Fault, InputError

LEAST_CHANCE, MOST_CHANCE = 0.5, 0.999
LEAST_HEIGHT_M, MOST_HEIGHT_M = 2.0, 1000.0
LEAST_RADIUS_M, MOST_RADIUS_M = 50.0, 20_000.0  # the local plane keeps its lengths to 1e-4 as far as 20 km
MOST_HEIGHTS: Final = 12
MOST_STEPS: Final = 6
STEPS_M: Final = (1.0, 2.0, 5.0, 10.0, 20.0, 30.0, 50.0, 100.0)


def asked_right(
    chance: float, height_m: float | None, radius_m: float | None, heights_m: Sequence[float] | None
) -> None:
    """Tell all that is wrong with how a map is asked for, by the options that ask.

    Parameters
    ----------
    chance : float
        How surely it has to come home.
    height_m, radius_m : float or None
        None where the plan decides.
    heights_m : sequence of float, or None
        Of the sweep; None for all.

    Raises
    ------
    InputError
        With every fault.
    """
    faults = [
        *_outside("--chance", chance, LEAST_CHANCE, MOST_CHANCE, "", "enter a share of flights, such as 0.95"),
        *_outside("--height", height_m, LEAST_HEIGHT_M, MOST_HEIGHT_M, " m", "enter metres, such as 60"),
        *_outside("--radius", radius_m, LEAST_RADIUS_M, MOST_RADIUS_M, " m", "enter metres, such as 1500"),
    ]
    if len(heights_m or ()) > MOST_HEIGHTS:  # one fault, however many of them are out of range as well
        what = f"names {len(heights_m or ())} heights, more than {MOST_HEIGHTS}"
        faults.append(Fault("--heights", what, "name fewer; each is a map of its own"))
    else:
        for each in heights_m or ():
            do = 'enter metres, such as "30,60,90"'
            faults += _outside("--heights", each, LEAST_HEIGHT_M, MOST_HEIGHT_M, " m", do)
    if faults:
        raise InputError(*faults)


def swept_heights(heights_m: Sequence[float] | None, limit_m: float | None) -> tuple[float, ...]:
    """Return the heights to compare, ascending, each once.

    Parameters
    ----------
    heights_m : sequence of float, or None
        Those asked for; None for even steps up to the limit.
    limit_m : float or None
        The height limit that was entered in the plan.

    Raises
    ------
    InputError
        If a height lies above the limit, or all are asked for and there is no limit.
    """
    if heights_m is None:
        if limit_m is None:
            what = "goes up to the height limit entered in the plan, and none is entered"
            do = "look yours up and enter local_limits height_m of the site, or name heights with --heights"
            raise InputError(Fault("--all-heights", what, do))
        return even_heights(limit_m)
    above = sorted({height for height in heights_m if limit_m is not None and height > limit_m})
    if above:
        named = ", ".join(f"{height:g} m" for height in above)
        lies = "lies" if len(above) == 1 else "lie"
        what = f"{named} {lies} above the height limit of {limit_m:g} m entered in the plan"
        raise InputError(Fault("--heights", what, f"name heights up to {limit_m:g} m"))
    return tuple(sorted(set(heights_m)))


def even_heights(limit_m: float) -> tuple[float, ...]:
    """Return a few heights in even round steps up to a limit, the limit itself last."""
    step = next((each for each in STEPS_M if limit_m / each <= MOST_STEPS), STEPS_M[-1])
    whole = [
        step * place for place in range(1, math.floor(limit_m / step + 1e-9) + 1) if step * place >= LEAST_HEIGHT_M
    ]
    return tuple(whole if whole and abs(whole[-1] - limit_m) < 1e-6 else [*whole, limit_m])


def _outside(where: str, value: float | None, low: float, high: float, unit: str, do: str) -> list[Fault]:
    if value is None or low <= value <= high:  # false for what is not a number
        return []
    return [Fault(where, f"{value:g}{unit} is outside {low:g} to {high:g}{unit}", do)]
