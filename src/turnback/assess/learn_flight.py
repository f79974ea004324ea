"""What every lesson needs of a flight: record, plan with and without earlier lessons, until when nothing bends it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

import numpy as np

from turnback.assess.against_power import PowerSeen, power_seen
from turnback.assess.against_track import Stations, stations_of
from turnback.assess.bands import entered
from turnback.assess.consumption import hover_and_cruise_w
from turnback.assess.draws import Z_BAND
from turnback.assess.flight_energy import Craft
from turnback.assess.last_flight import craft_of
from turnback.assess.learn_fuse import Thought, deviation, normal_of
from turnback.assess.power_events_volts import Volts, volts_of
from turnback.assess.world import chemistry_of, fill
from turnback.base.errors import bad_input
from turnback.records.case import Case
from turnback.records.channel import Quantity
from turnback.records.debrief import LearnedNumber, NotLearned
from turnback.records.finding import Spread
from turnback.records.happened import EventKind, RecordAnswer
from turnback.records.learned import NOTHING_LEARNED, LearnedAbout
from turnback.records.world import Band
from turnback.rules.record_learn import POSSIBLE_RATIO, SENSOR_SHARE
from turnback.rules.typical import Typical, typical

BENDS_POWER: Final = frozenset({
    EventKind.IMPACT, EventKind.FREE_FALL, EventKind.SPEED_COLLAPSE, EventKind.SPEED_EXCESS, EventKind.IMBALANCE_STEP,
    EventKind.OSCILLATION, EventKind.RATE_RUN_AWAY, EventKind.OPPOSITE_RESPONSE, EventKind.RESTART,
    EventKind.VOLT_STEP,
})  # fmt: skip
"""From one of these on power is no longer that of steady flight."""
BENDS_VOLTS: Final = frozenset({EventKind.RESTART, EventKind.FREE_FALL, EventKind.RATE_RUN_AWAY})
"""From one of these on volts and current are not those of a sound pack under load; steps are looked at apart."""
BENDS_CHARGE: Final = frozenset({EventKind.VOLT_STEP, EventKind.RESTART, EventKind.CELL_LOW})
CLEAR_S: Final = 0.5
SEED: Final = 1


@dataclass(frozen=True, eq=False)
class Lesson:
    """One flight and its plan, worked out only as far as lessons ask.

    Parameters
    ----------
    answer : RecordAnswer
    case : Case
    put_back_ah : float or None
        What the charger put back after this very flight.
    """

    answer: RecordAnswer
    case: Case
    put_back_ah: float | None = None

    @cached_property
    def craft(self) -> Craft:
        """The plan's worlds, with what earlier flights taught."""
        return self._craft(self.case)

    @cached_property
    def plain(self) -> Craft:
        """The same without."""
        return self._craft(replace(self.case, learned=NOTHING_LEARNED)) if self.case.learned.entries else self.craft

    @cached_property
    def steady_w(self) -> tuple[tuple[np.ndarray, np.ndarray], tuple[np.ndarray, np.ndarray]]:
        """Power in hover and at cruise, ``(j,)`` each: of the worlds with earlier lessons, and of those without."""
        now = hover_and_cruise_w(self.craft.draws, self.craft.thrust, self.craft.scale)
        if self.plain is self.craft:
            return now, now
        return now, hover_and_cruise_w(self.plain.draws, self.plain.thrust, self.plain.scale)

    def _craft(self, case: Case) -> Craft:
        return craft_of(fill(case), chemistry_of(case), None, SEED)

    @cached_property
    def at(self) -> Stations | None:
        """The record's stations."""
        site = self.case.plan.site
        known = site.latitude_deg is not None and site.longitude_deg is not None
        launch = (float(site.latitude_deg or 0.0), float(site.longitude_deg or 0.0)) if known else None
        return stations_of(self.answer.flown, launch)

    @cached_property
    def power(self) -> PowerSeen | None:
        """Recorded and modelled power at the stations, the model without earlier lessons."""
        return None if self.at is None else power_seen(self.answer.flown, self.plain, self.at)

    @property
    def seen(self) -> tuple[Stations, PowerSeen, Craft]:
        """Stations, power and the plan's worlds of a record that has stations.

        Raises
        ------
        InputError
            Of one that is too short for any.
        """
        if self.at is None or self.power is None:
            raise bad_input(self.answer.flown.record.name, "is too short to be flown along", "give a whole flight")
        return self.at, self.power, self.plain

    @cached_property
    def volts(self) -> Volts | None:
        """The record's volts."""
        return volts_of(self.answer.flown)

    def sound_until_s(self, bends: Iterable[EventKind]) -> float:
        """Return when the first of some events begins, a moment earlier; infinite where none does."""
        kinds = frozenset(bends)
        times = [
            each.start_s for each in self.answer.events
            if each.kind in kinds and not (each.kind is EventKind.VOLT_STEP and each.values.get("step_v", -1.0) > 0.0)
        ]  # fmt: skip
        return min(times) - CLEAR_S if times else np.inf

    @cached_property
    def sensor(self) -> tuple[float, float]:
        """Return true over recorded current, its logarithm's mean and deviation: by the charger where that was told."""
        off = deviation(SENSOR_SHARE.value)
        used_ah = self.used_ah
        if self.put_back_ah is None or used_ah is None or used_ah <= 0.0:
            return 0.0, off
        charger: Typical = typical("care")["charger_share"]
        mean = float(np.log(self.put_back_ah * charger.value / used_ah))
        spread = float(np.log(charger.high / charger.low)) / (2.0 * Z_BAND)
        return (mean, spread) if abs(mean) < 4.0 * off else (0.0, off)

    @cached_property
    def used_ah(self) -> float | None:
        """Charge that left the pack over the whole record, as recorded; None where nothing tells it."""
        record = self.answer.flown.record
        used, current = record.get(Quantity.CHARGE_USED), record.get(Quantity.CURRENT)
        if used is not None and used.t_s.size > 1:
            return float(used.values[-1]) - float(used.values[0])
        if current is None or current.t_s.size < 2:
            return None
        amperes = current.values.astype(np.float64)
        return float(np.sum(0.5 * (amperes[1:] + amperes[:-1]) * np.diff(current.t_s)) / 3600.0)


def spread_of(band: Band, factor: float = 1.0) -> Spread:
    """Return a band in the plan's unit; nothing in it is nought or below."""
    least = 1e-9
    return Spread(*(max(each * factor, least) for each in (band.value, band.low, band.high)))


def thought_of(now: Spread, plain: Spread) -> Thought:
    """Return what was thought of a number, with and without earlier flights."""
    return Thought(normal_of(now), normal_of(plain))


def number(
    about: LearnedAbout, quantity: str, found: Spread, before: Spread, method: str
) -> LearnedNumber | NotLearned:
    """Return a learned number; refused where it cannot be of this thing."""
    ratio = found.mid / before.mid
    finite = all(np.isfinite(each) for each in (found.mid, found.low, found.high))
    if not finite or not 1.0 / POSSIBLE_RATIO.value <= ratio <= POSSIBLE_RATIO.value:
        return NotLearned.OUT_OF_BOUNDS
    return LearnedNumber(about, quantity, found.mid, found.low, found.high, before, method)


def volts_slack_v() -> float:
    """Return the standard deviation of one cell's meter."""
    return entered("rest_v").width / Z_BAND
