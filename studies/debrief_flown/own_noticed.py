"""What those who stand by would notice of a flight of our own generator: from its truth, by the limits of `noticed`.

Nothing here looks at a record, at a cause or at what the product tells.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray
from studies.debrief_flown import noticed
from studies.debrief_flown import own_columns as to
from studies.debrief_flown.noticed import (
    BACK_LEAST_M,
    HANGS_S,
    LATER_S,
    SAGS_S,
    SETTLED_S,
    STILL_COS,
    STILL_MPS,
    THUMBS_OFF_S,
    Trouble,
)
from studies.debrief_flown.own_flights import Draft, hover_output
from studies.record_flown import columns as at
from studies.record_flown.kernel import REST_S, REST_V
from studies.record_flown.rigid import G

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
FEW: Final = 5
"""Every so many rows of a millisecond are looked at."""
STEP_S: Final = FEW / 1000.0
CORNERS: Final = 4
ON_ITS_SIDE: Final = 0.5
"""Cosine of the lean beyond which it lies on its side (as the flight's own ground has it)."""
SLOW_S: Final = 0.1
"""A mean over so long lets through what is below about 5 Hz."""


def troubles(d: Draft, log: NDArray[np.float32]) -> tuple[str, ...]:
    """Return the troubles of one flight, in the order of `Trouble`.

    Parameters
    ----------
    d : Draft
        As it was flown.
    log : ndarray, shape (n, own_columns.WIDE)
        A row a millisecond.
    """
    truth = _Truth(d, log)
    found = {
        Trouble.DOWN: truth.down(), Trouble.NEVER_UP: truth.never_up(), Trouble.AWAY: truth.away(),
        Trouble.LINK: truth.link(), Trouble.SHAKES: truth.shakes(), Trouble.DISOBEYS: truth.disobeys(),
        Trouble.WEAK: truth.weak(), Trouble.READS: truth.reads(), Trouble.RETURN: truth.returns(),
    }  # fmt: skip
    return tuple(one.value for one in Trouble if found[one])


def _lasts(there: Flags, for_s: float) -> bool:
    """Return whether something holds for so long without a break."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], there.astype(np.int8), [0]])))
    return bool((np.diff(edges)[::2] >= round(for_s / STEP_S)).any())


def _over(values: Floats, for_s: float) -> Floats:
    """Return means over spans of so long; of all where there is less."""
    rows = min(max(round(for_s / STEP_S), 1), len(values))
    sums = np.concatenate([[0.0], np.cumsum(values)])
    return np.asarray((sums[rows:] - sums[:-rows]) / rows)


class _Truth:
    """One flight's truth, until the first hard blow."""

    def __init__(self, d: Draft, log: NDArray[np.float32]) -> None:
        self.d, self.log = d, np.asarray(log[::FEW], np.float64)
        self.t_s = np.arange(len(self.log)) * STEP_S
        self.up = -self.log[:, at.DOWN] - self.log[:, to.GROUND]
        self.lean_cos = np.cos(self.log[:, at.ROLL]) * np.cos(self.log[:, at.PITCH])
        self.lifted = bool(self.up.max() > 0.4)
        self.blow_s = self._blow_s(log)
        self.aloft = (self.t_s < self.blow_s) & (self.up > 0.5)
        world = d.world
        sent = self.log[:, to.SENT : to.SENT + 4] - world.stick_off
        self.thumbs = sent @ np.linalg.pinv(world.stick_map).T

    def _blow_s(self, log: NDArray[np.float32]) -> float:
        """Return when it first struck something hard."""
        high = np.maximum.accumulate(-log[:, at.DOWN] - log[:, to.GROUND]) > 0.5
        hard = np.flatnonzero((log[:, at.TOUCH] > 6.0) & high)
        return min(float(hard[0]) / 1000.0 if hard.size else math.inf, float(self.d.world.strike[0]))

    def down(self) -> bool:
        if self.blow_s < self.t_s[-1]:
            before = np.flatnonzero((self.t_s < self.blow_s) & (self.t_s > self.blow_s - 0.15))
            speed = np.linalg.norm(self.log[before, at.VEL : at.VEL + 3], axis=1)
            if speed.max(initial=0.0) >= noticed.HARD_MPS:
                return True
        running = self.log[:, at.OUT : at.OUT + 4].max(axis=1) > 0.02
        side = (self.lean_cos < ON_ITS_SIDE) & (self.up < 0.6) & (self.t_s > self.d.plan.off_at)
        return bool((side & running).any())

    def never_up(self) -> bool:
        return not self.lifted and not self.down()

    def away(self) -> bool:
        """Where it ends, against the launch point, where every flight is meant to end; or dead in the air."""
        far = math.hypot(self.log[-1, at.NORTH], self.log[-1, at.EAST])
        dead = (self.log[:, to.BOARD_ON] < 0.5) & (self.up > 1.0)
        return self.lifted and bool(far > noticed.AWAY_M or dead.any())

    def link(self) -> bool:
        lost = self.aloft & (self.log[:, at.LOST] > 0.5)  # no packet for half a second
        packets = np.where(self.aloft, 1.0 - self.log[:, at.QUALITY], 0.0)
        return bool(lost.any() or _over(packets, noticed.LOSES_S).max() >= noticed.LOSES)

    def shakes(self) -> bool:
        craft, world = self.d.craft, self.d.world
        # of a sound aircraft: once a turn, and 0.4 of that at blade pass
        usual = math.sqrt(CORNERS * (1.0 + 0.16)) * self.d.base.unbalance * craft.vib_acc
        now = math.sqrt(float((world.once**2).sum()) + CORNERS * 0.16) * craft.unbalance * craft.vib_acc
        now = world.shake_all * math.hypot(now, math.sqrt(3.0) * float(np.linalg.norm(world.rough)))
        if now >= noticed.SHAKES_TIMES * usual:
            return True
        swings = np.zeros(len(self.log))
        width = round(SLOW_S / STEP_S) | 1
        for k in range(3):
            rate = self.log[:, at.RATE + k]
            swings += (rate - np.convolve(rate, np.full(width, 1.0 / width), "same")) ** 2
        most = float(_over(np.where(self.aloft, swings, 0.0), 1.0).max())
        hiss = world.ripple_gyro * float(np.quantile(self.log[:, at.CURRENT], 0.98))  # what the board then follows
        return math.degrees(math.sqrt(most + hiss**2)) >= noticed.SHAKES_DPS

    def disobeys(self) -> bool:
        """What it does against what the thumbs mean, in the mode that its pilot thinks of."""
        craft, mode = self.d.base, self.log[:, at.MODE]
        by_hand = self.aloft & ((mode == at.RATE_MODE) | (mode == at.SELF_LEVEL)) & (self.log[:, at.ARMED] > 0.5)
        if not by_hand.any():
            return False
        if self._turns_otherwise(by_hand, 2):
            return True
        from_s = self.d.seen.get("thinks_level_from_s")  # lets go of the stick and waits for it to level itself
        if from_s is not None:
            by_hand &= self.t_s >= from_s
        elif self.d.plan.rate_mode > 0.0:
            return any(self._turns_otherwise(by_hand, k) for k in range(2))
        leans = [self.log[:, at.ROLL + k] - self.thumbs[:, k] * craft.tilt_max for k in range(2)]
        if _lasts(by_hand & (np.hypot(*leans) > math.radians(noticed.OFF_DEG)), noticed.OFF_S):
            return True
        steady = math.hypot(*(float(np.mean(each[by_hand])) for each in leans))  # what it would do with thumbs off
        return by_hand.sum() * STEP_S > 5.0 and G * math.tan(min(steady, 1.0)) * THUMBS_OFF_S > noticed.DRIFTS_MPS

    def _turns_otherwise(self, by_hand: Flags, axis: int) -> bool:
        """Return whether it turns further than the thumbs mean; it may come a little later than they."""
        asked = np.where(by_hand, self.thumbs[:, axis] * self.d.base.rate_max, 0.0)
        does = np.where(by_hand, self.log[:, at.RATE + axis], 0.0)
        offs = []
        for delay_s in LATER_S:
            rows = round(delay_s / STEP_S)
            then = np.concatenate([np.zeros(rows), asked])[: len(asked)]
            offs.append(np.abs(_over(does - then, noticed.OFF_S)) * noticed.OFF_S)
        return bool(np.minimum.reduce(offs).max() > math.radians(noticed.OFF_DEG))

    def weak(self) -> bool:
        craft, base, world = self.d.craft, self.d.base, self.d.world
        lowest = self.log[:, to.CELL].copy()
        if world.cell_low > 0.0:
            left = craft.charge0 - world.cell_low - self.log[:, at.CHARGE] / craft.capacity
            falls = self.log[:, at.REST] - np.interp(np.maximum(left, 0.0), REST_S, REST_V)
            lowest -= falls * (1.0 - 1.0 / craft.cells)
        sags = np.minimum(lowest, self.log[:, at.VOLTS] / craft.cells)
        if _lasts(self.aloft & (sags < noticed.LOW_CELL_V), SAGS_S):
            return True
        if craft.capacity * (craft.charge0 - world.cell_low) < noticed.SHORTER * base.capacity * base.charge0:
            return True
        still = (self.lean_cos > STILL_COS) & (np.abs(self.log[:, at.VEL + 2]) < STILL_MPS)
        hovers = self.aloft & still & (self.t_s > self.d.plan.off_at + SETTLED_S)
        if hovers.sum() * STEP_S < 1.0:
            return False
        usual = hover_output(craft, float(np.median(self.log[hovers, at.VOLTS])) / craft.cells)
        outs = np.median(self.log[hovers, at.OUT : at.OUT + 4], axis=0)
        return float(outs.max()) > noticed.HARDER * usual

    def reads(self) -> bool:
        """Numbers on the screen against the truth. A noisy number: one reading in twenty is further off than twice."""
        craft, seen = self.d.craft, self.d.seen
        if craft.cells != self.d.base.cells:
            return True
        of_cell = self.log[:, at.VOLTS] / craft.cells
        if _lasts(np.abs(of_cell * (float(seen.get("volts_by", 1.0)) - 1.0)) > noticed.READS_CELL_V, 1.0):
            return True
        ripple = 2.0 * self.d.world.ripple_v * self.log[:, at.CURRENT] / craft.cells
        if float(_over(ripple, 1.0).max()) > noticed.READS_CELL_V:
            return True
        off = np.abs((self.log[:, to.HEADING_SEEN] - self.log[:, at.HEADING] + math.pi) % (2.0 * math.pi) - math.pi)
        turned = bool((self.d.world.board != np.eye(3)).any())
        if not turned and _lasts(self.aloft & (off > math.radians(noticed.READS_HEADING_DEG)), 1.0):
            return True
        if _lasts(np.hypot(self.log[:, to.ERR], self.log[:, to.ERR + 1]) > noticed.READS_PLACE_M, 1.0):
            return True
        return float(np.hypot(*self.d.launch)) > noticed.READS_PLACE_M or self._screen_stands()

    def _screen_stands(self) -> bool:
        """Return whether the place on the screen stays behind, as nothing comes back."""
        gone = self.aloft & (self.log[:, to.HEARD_BACK] < 0.5)
        edges = np.flatnonzero(np.diff(np.concatenate([[0], gone.astype(np.int8), [0]])))
        for begin, end in zip(edges[::2], edges[1::2], strict=True):
            north, east = self.log[begin:end, at.NORTH], self.log[begin:end, at.EAST]
            moved = float(np.hypot(north - north[0], east - east[0]).max())
            if (end - begin) * STEP_S >= 1.0 and moved > noticed.READS_PLACE_M:
                return True
        return False

    def returns(self) -> bool:
        """An automatic return that gets it less than half as near as it should, strikes something, or does not land."""
        rows = np.flatnonzero((self.log[:, at.MODE] == at.RETURN) & (self.t_s < self.blow_s + STEP_S))
        if rows.size * STEP_S < 3.0:
            return False
        if self.blow_s <= self.t_s[rows[-1]] + 2.0 * STEP_S:
            return True
        away = np.hypot(self.log[rows, at.NORTH], self.log[rows, at.EAST])
        climbs_s = max(0.0, self.d.world.return_high - float(self.up[rows[0]])) / 3.0
        if away[0] > BACK_LEAST_M:
            flies_s = max(rows.size * STEP_S - 2.0 - climbs_s, 0.0)
            should = min(float(away[0]), self.d.world.return_speed * flies_s)
            if should > BACK_LEAST_M and away[0] - away[-1] < 0.5 * should:
                return True
        hangs = (away < BACK_LEAST_M) & (self.up[rows] > 3.0) & (self.log[rows, at.VEL + 2] < 0.3)
        return _lasts(hangs, HANGS_S)
