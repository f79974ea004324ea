"""What the tellers of volts look at: cell volts and load on one even grid until the flight ended, rest, resistance."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.link_events_parts import Floats, inside
from turnback.assess.power_events_fit import Load, even_means, lagged, load_of
from turnback.assess.power_events_volts import Volts, volts_of
from turnback.assess.record_cells import cell_series
from turnback.assess.signs_volts_ohm import Ohm, fit_ohm, runs_empty_at, shares_of
from turnback.records.channel import Channel
from turnback.records.debrief import Looked
from turnback.records.finding import Spread
from turnback.records.happened import Flown, RecordAnswer
from turnback.rules.chemistry import Chemistry, chemistry
from turnback.rules.record_signs_volts import NO_CELL_RESTS_ABOVE, NO_CELL_RESTS_BELOW

GRID_HZ: Final = 10.0
IDLE_SHARE: Final = 0.15
"""Of the usual current aloft: below it the pack counts as at rest, a hundredth of a volt off."""
IDLING_SHARE: Final = 0.3
"""Small motors that idle draw up to this; it counts where nothing calmer was recorded, its drop added back."""
LEAST_REST_S: Final = 0.5
LAST_ROWS: Final = 30
LEAST_SAG_V: Final = 0.03
USUAL_SCALE, LEAST_SCALE = 0.85, 0.5
AFTER_S, AFTER_LEAST_S = 12.0, 2.0
STOOD_ROWS: Final = 5
STEADY_SAG_V, STEADY_SAG_SD_V = 0.15, 0.1
"""What steady flight takes off a cell, where no resistance is known."""


@dataclass(frozen=True, slots=True, eq=False)
class PackSeen:
    """The pack of a record up to the end of the flight; arrays of shape (n,) on an even grid.

    Parameters
    ----------
    looked : Looked
    volts : Volts or None
    load : Load or None
    cells : int or None
        None where it is unknown or the volts do not fit.
    declared : int or None
    limits : Chemistry
    chemistry_told : bool
    t_s, unit_v, load_amount : ndarray
        Volts of a cell, or of the pack where cells are unknown.
    aloft, idle : ndarray of bool
    rest_v : float or None
        Of a cell (or the pack), before it first left the ground.
    rest_seen : bool
        Measured on the ground, not worked out from the first seconds aloft.
    usual : float
        Median load aloft; 0 where there is none.
    ohm : Ohm or None
    after_v : float or None
        Of a cell, some seconds after it stood again.
    after_s : float
        How many.
    cells_v : ndarray, shape (cells, n), or None
        Volts of each cell; None unless several are recorded.
    cell_channels : tuple of Channel
    empty_at : int or None
        The row from which the pack runs empty for good.
    stood_v : float or None
        Of a cell, the last that was read while it stood again, however soon: it was never emptier than that.
    """

    looked: Looked
    volts: Volts | None
    load: Load | None
    cells: int | None
    declared: int | None
    limits: Chemistry
    chemistry_told: bool
    t_s: Floats
    unit_v: Floats
    load_amount: Floats
    aloft: NDArray[np.bool_]
    idle: NDArray[np.bool_]
    rest_v: float | None
    rest_seen: bool
    usual: float
    ohm: Ohm | None
    after_v: float | None = None
    after_s: float = 0.0
    cells_v: Floats | None = None
    cell_channels: tuple[Channel, ...] = ()
    empty_at: int | None = None
    stood_v: float | None = None

    @property
    def answer(self) -> RecordAnswer:
        """Events and record."""
        return self.looked.answer

    @property
    def channels(self) -> tuple[Channel, ...]:
        """Volts and what draws on them."""
        first = () if self.volts is None else self.volts.channels
        return (*first, *(() if self.load is None else self.load.channels))

    def expected(self, name: str) -> Spread | None:
        """What the plan says."""
        return None if self.looked.against is None else self.looked.against.expected.get(name)

    def rest_equivalent_v(self) -> Floats | None:
        """Volts of a cell with what the load takes added back, shape (n,); None without a resistance."""
        if self.ohm is None:
            return None
        sag = self.ohm.ohm * shares_of(self.t_s, self.load_amount, self.limits)
        return self.unit_v + self.slow_scale(sag) * sag

    def emptied_v(self) -> tuple[Floats, float] | None:
        """Volts of a cell at rest, shape (n,), and their error; of a pack that ran empty also without a resistance.

        Its loaded volts end so low then that it matters little what the load took.
        """
        rest = self.rest_equivalent_v()
        if rest is not None and self.ohm is not None:
            return rest, self.ohm.sd_ohm * self.usual
        return None if self.empty_at is None else (self.unit_v + STEADY_SAG_V, STEADY_SAG_SD_V)

    def slow_scale(self, sag: Floats) -> float:
        """How much of the reckoned sag came back once it stood: packs differ in their slower shares.

        Parameters
        ----------
        sag : ndarray, shape (n,)
            Volts of a cell.
        """
        last = np.flatnonzero(self.aloft)[-LAST_ROWS:]
        if self.after_v is None or not last.size:
            return USUAL_SCALE
        comes_back = float(np.median(sag[last])) - self.still_gone_v()
        if comes_back < LEAST_SAG_V:
            return USUAL_SCALE
        back = self.after_v - float(np.median(self.unit_v[last]))
        return min(max(back / comes_back, LEAST_SCALE), 1.1)

    def still_gone_v(self) -> float:
        """What the load of the flight still took off a cell when `after_v` was read; 0 without a resistance."""
        last = np.flatnonzero(self.aloft)[-1:]
        if self.ohm is None or not last.size:
            return 0.0
        step_s = float(self.t_s[1] - self.t_s[0])
        parts = ((self.limits.r1_ratio, self.limits.tau1_s), (self.limits.r2_ratio, self.limits.tau2_s))
        left = sum(
            ratio * float(lagged(self.load_amount, tau_s, step_s)[last[0]]) * float(np.exp(-self.after_s / tau_s))
            for ratio, tau_s in parts
        )
        return self.ohm.ohm * left


def pack_seen(looked: Looked) -> PackSeen:
    """Return what the tellers of volts look at.

    Parameters
    ----------
    looked : Looked
    """
    flown = looked.answer.flown
    against = looked.against
    told = flown.chemistry or (None if against is None else against.chemistry)
    limits = chemistry(told or "LiPo")
    volts = volts_of(flown)
    declared = flown.record.facts.cells or (None if against is None else against.cells) or flown.cells
    load = load_of(flown.record, volts)
    empty = np.empty(0)
    none = np.empty(0, np.bool_)
    if volts is None:
        return PackSeen(looked, None, load, None, declared, limits, told is not None, empty, empty, empty, none, none,
                        None, False, 0.0, None)  # fmt: skip
    t_s = _grid_s(volts, looked.ended_s)
    pack_v = even_means(volts.t_s, volts.volts, t_s) if t_s.size > 1 else np.empty(t_s.size)
    amount = even_means(load.t_s, load.amount, t_s) if load is not None and t_s.size > 1 else np.zeros(t_s.size)
    aloft = inside(t_s, flown.aloft())
    usual = float(np.median(amount[aloft])) if load is not None and aloft.any() else 0.0
    idle = _idle(t_s, amount, aloft, usual, load)
    if np.count_nonzero(idle) < LEAST_REST_S * GRID_HZ:
        idle = _idle(t_s, amount, aloft, usual, load, IDLING_SHARE)
    rest_v = float(np.median(pack_v[idle])) if np.count_nonzero(idle) >= LEAST_REST_S * GRID_HZ else None
    several = cell_series(flown.record) if t_s.size > 2 else ()
    counted = len(several) > 1 and len(several) == declared
    cells = 1 if volts.cells == 1 else declared
    if cells and not counted and not _fits(rest_v, pack_v, cells, limits):
        cells = None
    unit_v = pack_v / (cells or 1)
    empty_at = runs_empty_at(t_s, unit_v, aloft, limits) if cells else None
    kept = slice(0, empty_at)
    ohm = None if load is None else fit_ohm(t_s[kept], unit_v[kept], amount[kept], aloft[kept], limits, load.amperes)
    cells_v = np.array([np.interp(t_s, each.t_s, each.values) for each in several]) if len(several) > 1 else None
    return PackSeen(looked, volts, load, cells, declared, limits, told is not None, t_s, unit_v, amount, aloft, idle,
                    _rested_v(rest_v, cells, amount[idle], usual, ohm), rest_v is not None, usual, ohm,
                    *_after_v(looked, volts, load, cells, usual, limits), cells_v,
                    tuple(each.channel for each in several), empty_at,
                    _stood_v(looked, volts, load, cells, usual))  # fmt: skip


def _after_v(
    looked: Looked, volts: Volts, load: Load | None, cells: int | None, usual: float, limits: Chemistry
) -> tuple[float | None, float]:
    """Return the volts of a cell once it had stood for some seconds, and for how many; None where not recorded."""
    spans = looked.answer.flown.aloft()
    if not spans or not cells:
        return None, 0.0
    from_s = spans[-1][1] + AFTER_LEAST_S
    kept = np.flatnonzero((volts.t_s >= from_s) & (volts.t_s <= from_s + AFTER_S))
    if load is not None and usual > 0.0 and kept.size:
        kept = kept[np.interp(volts.t_s[kept], load.t_s, load.amount) <= IDLE_SHARE * usual]
    if kept.size < 3 or volts.t_s[kept[-1]] - volts.t_s[kept[0]] < LEAST_REST_S:
        return None, 0.0
    late = kept[kept.size // 2 :]
    after_v = float(np.median(volts.volts[late])) / cells
    if after_v <= 0.8 * limits.damage_v:
        return None, 0.0
    return after_v, float(np.mean(volts.t_s[late])) - spans[-1][1]


def _stood_v(looked: Looked, volts: Volts, load: Load | None, cells: int | None, usual: float) -> float | None:
    """Return the volts of a cell last read while it stood after a flight; None where the record ends before."""
    spans = looked.answer.flown.aloft()
    if not spans or not cells or load is None or not usual > 0.0:
        return None
    kept = np.flatnonzero((volts.t_s > spans[-1][1]) & (volts.t_s <= spans[-1][1] + AFTER_S))
    kept = kept[np.interp(volts.t_s[kept], load.t_s, load.amount) <= IDLING_SHARE * usual]
    return float(np.median(volts.volts[kept[-STOOD_ROWS:]])) / cells if kept.size >= 3 else None


def _grid_s(volts: Volts, until_s: float) -> Floats:
    first, last = float(volts.t_s[0]), min(float(volts.t_s[-1]), until_s)
    step_s = max(1.0 / GRID_HZ, 1.0 / max(volts.rate_hz, 1e-3))
    return np.arange(first, max(last, first) + 1e-9, step_s)


def _rested_v(rest_v: float | None, cells: int | None, drawn: Floats, usual: float, ohm: Ohm | None) -> float | None:
    """Return the rest volts of a cell, with what idling motors take of it added back."""
    if rest_v is None or not drawn.size:
        return None if rest_v is None else rest_v / (cells or 1)
    drawn_usual = float(np.median(drawn))
    dropped_v = ohm.ohm * drawn_usual if ohm is not None and drawn_usual > IDLE_SHARE * usual else 0.0
    return rest_v / (cells or 1) + dropped_v


def _idle(
    t_s: Floats, amount: Floats, aloft: NDArray[np.bool_], usual: float, load: Load | None, share: float = IDLE_SHARE
) -> NDArray[np.bool_]:
    """Rows before the first flight at which hardly anything is drawn."""
    before = np.zeros(t_s.size, np.bool_)
    first = int(np.argmax(aloft)) if aloft.any() else t_s.size
    if load is not None and t_s.size:
        # a flight that never left the ground, as far as phases tell, has drawn all the same
        much = usual if usual > 0.0 else float(np.percentile(amount, 95.0))
        drawn = np.flatnonzero(amount > 0.5 * much)
        first = min(first, int(drawn[0]) if drawn.size else first)
    before[: max(0, first - 3)] = True
    if load is not None and usual > 0.0:
        before &= amount <= share * usual
    return before


def _fits(rest_v: float | None, pack_v: Floats, cells: int, limits: Chemistry) -> bool:
    """Whether so many cells can have these volts before a flight."""
    if not pack_v.size:
        return False
    most = limits.full_v + NO_CELL_RESTS_ABOVE.value
    seen_v = (float(np.percentile(pack_v, 95.0)) if rest_v is None else rest_v) / cells
    return (NO_CELL_RESTS_BELOW.value if rest_v is not None else limits.damage_v) <= seen_v <= most


def ohm_of(flown: Flown, until_s: float) -> Ohm | None:
    """Return the resistance of another flight's cell."""
    seen = pack_seen(Looked(RecordAnswer(flown, (), (), ()), until_s))
    return seen.ohm if seen.cells and seen.load is not None and seen.load.amperes else None
