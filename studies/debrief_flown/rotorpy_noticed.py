"""What those who stand by would notice of a flight of the second generator: from its truth, by the limits of `noticed`.

Nothing here looks at a record, at a cause or at what the product tells.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray
from studies.debrief_flown import noticed
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
from studies.debrief_flown.rotorpy_board import STEP_S
from studies.debrief_flown.rotorpy_flight import PLACE, Flight
from studies.debrief_flown.rotorpy_hands import TURN_MOST
from studies.debrief_flown.rotorpy_link import LOST_BELOW
from studies.debrief_flown.rotorpy_world import NEVER, Build, Floats, G, rest_v
from studies.record_flown import columns as at

Flags = NDArray[np.bool_]
CORNERS: Final = 4
TURNED_OVER: Final = 0.6
"""Cosine of the lean beyond which it lies on its side (as the flight's own ground has it)."""
SCREEN_SILENT: Final = 0.08
"""Share of packets back below which the screen holds its last numbers."""


def troubles(flight: Flight, log: Floats, sound: Build) -> tuple[Trouble, ...]:
    """Return the troubles of one flight.

    Parameters
    ----------
    flight : Flight
        Flown.
    log : ndarray, shape (n, columns)
        Of `Flight.fly`.
    sound : Build
        The aircraft and its pack before anything was wrong.

    Returns
    -------
    tuple of Trouble
        In the order of `Trouble`.
    """
    truth = _Truth(flight, log, sound)
    found = {
        Trouble.DOWN: truth.down(), Trouble.NEVER_UP: truth.never_up(), Trouble.AWAY: truth.away(),
        Trouble.LINK: truth.link(), Trouble.SHAKES: truth.shakes(), Trouble.DISOBEYS: truth.disobeys(),
        Trouble.WEAK: truth.weak(), Trouble.READS: truth.reads(), Trouble.RETURN: truth.returns(),
    }  # fmt: skip
    return tuple(one for one in Trouble if found[one])


def _lasts(there: Flags, for_s: float) -> bool:
    """Return whether something holds for so long without a break."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], there.astype(np.int8), [0]])))
    return bool((np.diff(edges)[::2] >= round(for_s / STEP_S)).any())


def _over(values: Floats, for_s: float) -> Floats:
    """Return means over spans of so long; of all where there is less."""
    rows = min(round(for_s / STEP_S), len(values))
    sums = np.concatenate([[0.0], np.cumsum(values)])
    return np.asarray((sums[rows:] - sums[:-rows]) / rows)


class _Truth:
    """One flight's truth, until the first hard blow."""

    def __init__(self, flight: Flight, log: Floats, sound: Build) -> None:
        self.flight, self.log, self.sound = flight, log, sound
        self.t_s = np.arange(len(log)) * STEP_S
        self.before = self.t_s < min(flight.crashed_s, float(flight.wrong.notes.get("struck_s", NEVER)))
        self.aloft = self.before & (self["up"] > 0.5)

    def __getitem__(self, name: str) -> Floats:
        return np.asarray(self.log[:, PLACE[name]])

    def down(self) -> bool:
        flight = self.flight
        if float(flight.wrong.notes.get("struck_mps", 0.0)) >= noticed.HARD_MPS:
            return True
        if flight.crashed_s >= NEVER:
            return False
        row = min(int(flight.crashed_s / STEP_S), len(self.log) - 1)
        speed = float(np.linalg.norm(self.log[row, [PLACE[name] for name in ("v_north", "v_west", "v_up")]]))
        lean = math.cos(self["true_roll"][row]) * math.cos(self["true_pitch"][row])
        return speed >= noticed.HARD_MPS or lean < TURNED_OVER

    def never_up(self) -> bool:
        return not self.flight.flown and self.flight.crashed_s >= NEVER

    def away(self) -> bool:
        """Where it ends, against where its pilot meant to end; or in the air, with no more to hear."""
        flight = self.flight
        north, west = flight.meant
        far = math.hypot(self["north"][-1] - north, self["west"][-1] - west)
        silent = flight.wrong.dies_s < NEVER and self["up"][-1] > 1.0
        return bool(flight.flown and (far > noticed.AWAY_M or silent))

    def link(self) -> bool:
        if self.flight.wrong.frozen and max(b - a for a, b in self.flight.wrong.frozen) >= noticed.SILENT_S:
            return True
        quality = self["quality"]
        lost = (1.0 - _over(quality, noticed.LOSES_S)).max() >= noticed.LOSES
        return _lasts(self.before & (quality < LOST_BELOW), noticed.SILENT_S) or bool(lost)

    def _vibrates(self, sizes: Floats, rough: float, turn: float, push: float) -> float:
        """Return the root mean square of what rotors shake in the hover, by what each of them gives."""
        return math.sqrt(float((sizes**2).sum()) * turn + 3.0 * (rough * push) ** 2)

    def shakes(self) -> bool:
        build, wrong = self.flight.build, self.flight.wrong
        own = np.array(build.shake)
        sizes = own * np.array(wrong.shakes_at) * wrong.shakes_all
        if self._vibrates(sizes, wrong.rough, 1.33, 1.3) >= noticed.SHAKES_TIMES * self._vibrates(own, 0.0, 1.33, 1.3):
            return True
        rotors = self._vibrates(sizes, wrong.rough, 0.0105, 0.10)
        if not self.aloft.any():
            return False
        swings = np.zeros(len(self.log))
        for name in ("true_p", "true_q", "true_r"):  # a mean over 0.1 s lets through what is below about 5 Hz
            swings += (self[name] - np.convolve(self[name], np.full(21, 1.0 / 21.0), "same")) ** 2
        most = float(_over(np.where(self.aloft, swings, 0.0), 1.0).max())
        return math.degrees(math.sqrt(most + rotors**2)) >= noticed.SHAKES_DPS

    def disobeys(self) -> bool:
        """What it does against what the thumbs mean, in the mode that its pilot thinks of."""
        build, way = self.flight.build, self.flight.way
        by_hand = self.aloft & ((self["mode"] == at.SELF_LEVEL) | (self["mode"] == at.RATE_MODE))
        if not by_hand.any():
            return False
        astray = np.radians(noticed.OFF_DEG)
        if self._turns_otherwise(by_hand, "true_r", "thumb_yaw", TURN_MOST):
            return True
        if way.rate_mode:
            pairs = (("true_p", "thumb_roll"), ("true_q", "thumb_pitch"))
            return any(self._turns_otherwise(by_hand, *each, build.rate_most) for each in pairs)
        leans = [self["true_roll"] - self["thumb_roll"] * build.tilt_most,
                 self["true_pitch"] - self["thumb_pitch"] * build.tilt_most]  # fmt: skip
        if _lasts(by_hand & (np.hypot(*leans) > astray), noticed.OFF_S):
            return True
        steady = math.hypot(*(float(np.mean(each[by_hand])) for each in leans))  # what it would do with thumbs off
        return by_hand.sum() * STEP_S > 5.0 and G * math.tan(min(steady, 1.0)) * THUMBS_OFF_S > noticed.DRIFTS_MPS

    def _turns_otherwise(self, by_hand: Flags, turns: str, thumb: str, most: float) -> bool:
        """Return whether it turns further than the thumbs mean; it may come a little later than they."""
        asked, does = np.where(by_hand, self[thumb] * most, 0.0), np.where(by_hand, self[turns], 0.0)
        offs = []
        for delay_s in LATER_S:
            rows = round(delay_s / STEP_S)
            then = np.concatenate([np.zeros(rows), asked])[: len(asked)]
            offs.append(np.abs(_over(does - then, noticed.OFF_S)) * noticed.OFF_S)
        return bool(np.minimum.reduce(offs).max() > math.radians(noticed.OFF_DEG))

    def weak(self) -> bool:
        flight, build, wrong = self.flight, self.flight.build, self.flight.wrong
        sags = np.minimum(self["rest"], self["volts"]) / build.cells  # "rest": before the lead takes its part
        left = build.charge * wrong.capacity
        if wrong.cell_low > 0.0:
            left -= wrong.cell_low
            charge = build.charge - self["used"][::20] / (build.capacity * wrong.capacity)
            lacks = [rest_v(float(one)) - rest_v(max(float(one) - wrong.cell_low, 0.0)) for one in charge]
            sags = sags - np.repeat(lacks, 20)[: len(sags)] * (1.0 - 1.0 / build.cells)
        if _lasts(self.aloft & (sags < noticed.LOW_CELL_V), SAGS_S):
            return True
        shorter = left / sum(wrong.thirst) * CORNERS < noticed.SHORTER * self.sound.charge
        upright = np.cos(self["true_roll"]) * np.cos(self["true_pitch"]) > STILL_COS
        flies = self.aloft & (self.t_s > flight.way.off_s + SETTLED_S) & upright & (np.abs(self["v_up"]) < STILL_MPS)
        if shorter or flies.sum() * STEP_S < 1.0:
            return shorter
        stiff = float(np.median(np.maximum(self["volts"][flies] / (4.12 * build.cells), 0.2))) ** 0.75
        usual = flight.throttle_for(build.mass * G / 4.0 / stiff**2)
        return max(float(np.median(self[f"o{k}"][flies])) for k in range(CORNERS)) > noticed.HARDER * usual

    def reads(self) -> bool:
        """Numbers on the screen against the truth. A noisy number: one reading in twenty is further off than twice."""
        build, wrong = self.flight.build, self.flight.wrong
        volts = self["volts"] / build.cells
        if int(wrong.notes.get("declared_cells", build.cells)) != build.cells:
            return True
        hover = max(build.watt_hover / (3.8 * build.cells), 0.1)
        noisy = 2.0 * wrong.volts_noise * 3.9 * np.minimum(self["amps"] / hover, 3.0)
        wrong_volts = np.abs(volts * (wrong.volts_scale - 1.0)) > noticed.READS_CELL_V
        if _lasts(wrong_volts, 1.0) or bool((_over(noisy, 1.0) > noticed.READS_CELL_V).any()):
            return True
        off = np.abs((self["heading"] - self["true_heading"] + math.pi) % (2.0 * math.pi) - math.pi)
        if _lasts(off > math.radians(noticed.READS_HEADING_DEG), 1.0):
            return True
        if wrong.jumps and self.t_s[-1] - wrong.at_s > 3.0:  # the fix leaps by some tens of metres, time and again
            return True
        return self._screen_stands()

    def _screen_stands(self) -> bool:
        """Return whether the place on the screen stays behind, as nothing comes back."""
        gone = self["quality_back"] < SCREEN_SILENT
        edges = np.flatnonzero(np.diff(np.concatenate([[0], gone.astype(np.int8), [0]])))
        for begin, end in zip(edges[::2], edges[1::2], strict=True):
            north, west = self["north"][begin:end], self["west"][begin:end]
            moved = float(np.hypot(north - north[0], west - west[0]).max())
            if (end - begin) * STEP_S >= 1.0 and moved > noticed.READS_PLACE_M:
                return True
        return False

    def returns(self) -> bool:
        """An automatic return that gets it less than half as near as it should, strikes something, or does not land."""
        rows = np.flatnonzero(self["mode"] == at.RETURN)
        if rows.size * STEP_S < 3.0:
            return False
        if self.flight.wrong.notes.get("struck_s", NEVER) <= self.t_s[rows[-1]] + STEP_S:
            return True
        away = np.hypot(self["north"][rows], self["west"][rows])
        if away[0] > BACK_LEAST_M:
            should = min(float(away[0]), self.flight.wrong.return_speed * (rows.size * STEP_S - 2.0))
            if away[0] - away[-1] < 0.5 * should:
                return True
        hangs = (away < 5.0) & (self["up"][rows] > 3.0) & (self["v_up"][rows] > -0.3)
        return _lasts(hangs, HANGS_S)
