"""Which signs of the book a record's volts and current show."""

from __future__ import annotations

from collections.abc import Callable
from types import MappingProxyType
from typing import Final

from turnback.assess.signs_volts_cells import (
    cells_above_pack_with_current,
    cells_apart,
    cells_do_not_add_up,
    one_cell_collapses,
    volts_do_not_fit_cells,
)
from turnback.assess.signs_volts_end import (
    collapse_before_restart,
    jump_when_moved,
    steady_until_end,
    supply_ripple,
    vanish_in_flight,
)
from turnback.assess.signs_volts_low import (
    below_damage,
    below_land_by,
    capacity_low,
    little_left,
    low_all_along,
    no_warning,
    rests_low_after,
    runs_empty,
    warning_flown_through,
)
from turnback.assess.signs_volts_pack import PackSeen, pack_seen
from turnback.assess.signs_volts_resistance import (
    current_above_rating,
    current_high_in_hover,
    instant_drop,
    resistance_high,
    sag_large,
)
from turnback.assess.signs_volts_rest import above_full, full_reads_off, starts_not_full, starts_part_empty
from turnback.assess.signs_volts_told import NOBODY, Blind, Saw, told_of
from turnback.assess.signs_volts_warm import falls_as_it_warms
from turnback.records.debrief import Looked, SignsTold


def _nobody(_seen: PackSeen) -> Blind:
    """What takes a second flight."""
    return NOBODY


TELLERS: Final[MappingProxyType[str, Callable[[PackSeen], Saw | Blind]]] = MappingProxyType({
    "full-pack-reads-off": full_reads_off,
    "starts-not-full": starts_not_full,
    "starts-part-empty": starts_part_empty,
    "charged-above-full": above_full,
    "resistance-high": resistance_high,
    "sag-large": sag_large,
    "resistance-falls-as-it-warms": falls_as_it_warms,
    "instant-drop-with-current": instant_drop,
    "volts-below-land-by": below_land_by,
    "no-warning-in-record": no_warning,
    "warning-flown-through": warning_flown_through,
    "volts-below-damage": below_damage,
    "runs-empty-in-flight": runs_empty,
    "little-left-at-end": little_left,
    "rests-low-after-landing": rests_low_after,
    "capacity-low": capacity_low,
    "volts-low-all-along": low_all_along,
    "cells-apart": cells_apart,
    "one-cell-collapses": one_cell_collapses,
    "cells-do-not-add-up": cells_do_not_add_up,
    "cells-above-pack-with-current": cells_above_pack_with_current,
    "volts-do-not-fit-cells": volts_do_not_fit_cells,
    "volts-jump-when-moved": jump_when_moved,
    "volts-steady-until-end": steady_until_end,
    "volts-vanish-in-flight": vanish_in_flight,
    "volts-collapse-before-restart": collapse_before_restart,
    "supply-ripple": supply_ripple,
    "current-above-rating": current_above_rating,
    "current-high-in-hover": current_high_in_hover,
    "sag-gone-when-warm": _nobody,
})  # fmt: skip
"""By sign of the book; each says what it saw or why it could not look."""


def volt_signs(looked: Looked) -> SignsTold:
    """Tell the signs of the book's channel of volts and current.

    Parameters
    ----------
    looked : Looked

    Returns
    -------
    SignsTold
        Each sign of the channel, in one of both.
    """
    return told_of(pack_seen(looked), TELLERS)
