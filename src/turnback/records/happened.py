"""What happened in a record: phases, events, spectra, and what could not be looked at. Data only."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from turnback.records.bench import At
from turnback.records.channel import Channel
from turnback.records.flight_record import FlightRecord


class PhaseKind(Enum):
    """What it does; phases do not overlap and cover the record."""

    BENCH = "bench"  # armed, outputs run, nothing moves: no propellers
    GROUND = "ground"  # on the ground, not armed, or armed is not recorded and nothing runs
    ARMED_ON_GROUND = "armed-on-ground"
    TAKE_OFF = "take-off"
    HOVER = "hover"
    CRUISE = "cruise"
    RETURN = "return"  # automatic return
    FALL = "fall"  # falls freely or tumbles down
    CARRIED = "carried"  # it moves, motors off
    UNKNOWN = "unknown"  # the channels do not tell
    ALOFT = "aloft"  # in the air; the channels do not tell whether it hovers or cruises


ALOFT: frozenset[PhaseKind] = frozenset(
    {PhaseKind.TAKE_OFF, PhaseKind.HOVER, PhaseKind.CRUISE, PhaseKind.RETURN, PhaseKind.FALL, PhaseKind.ALOFT}
)


class EventKind(Enum):
    """One kind of thing that can happen."""

    LEVEL_DIP = "link-level-dip"
    QUALITY_LOW_LEVEL_HIGH = "quality-low-at-high-level"
    LINK_LOST = "link-lost"
    CHANNELS_FROZEN = "channels-frozen"
    RADIO_LOSS_ACTION = "radio-loss-action"
    RESTART = "restart-in-flight"
    ENDS_ALOFT = "record-ends-aloft"
    SAG = "sag"
    BELOW_LAND_BY = "below-land-by-volts"
    BELOW_DAMAGE = "below-damage-volts"
    VOLT_STEP = "volt-step"
    CELL_LOW = "one-cell-low"
    OUTPUT_SATURATED = "output-saturated"
    LEAVES_QUIET = "first-out-of-quiet"
    SPEED_COLLAPSE = "rotor-speed-collapse"
    SPEED_EXCESS = "rotor-speed-excess"
    IMBALANCE = "output-imbalance"
    IMBALANCE_STEP = "output-imbalance-step"
    OSCILLATION = "oscillation"
    ONCE_PER_REV = "once-per-rev-line"
    BLADE_PASS = "blade-pass-line"  # noqa: S105 - no password
    NOISE_FLOOR = "noise-floor"
    IMPACT = "impact"
    FREE_FALL = "free-fall"
    STICK_REVERSALS = "stick-reversals"
    STICK_AT_STOP = "stick-at-stop"
    ARM_SWITCH_OFF_ALOFT = "armed-off-aloft"
    THROTTLE_CUT = "throttle-cut-then-full"
    MODE_CHANGE = "mode-change"
    OPPOSITE_RESPONSE = "opposite-response"
    RATE_RUN_AWAY = "rate-run-away"  # turns faster than anything demanded lately, in spite of the demand
    FOLLOWS_DEMAND = "follows-demand"  # turns as demanded until the end of the flight or the impact
    WIND = "wind"
    LAUNCH_POINT_OFF = "launch-point-error"
    RETURN_TRACK_OFF = "return-track-error"
    POSITION_JUMP = "position-jump"


class WhyNot(Enum):
    """Why something was not looked for, or could not be told."""

    NO_CHANNEL = "no-channel"
    TOO_SLOW = "too-slow"  # the rate is below what it takes; values: rate_hz, needed_hz
    NOT_ALOFT = "not-aloft"
    TOO_SHORT = "too-short"
    LOAD_TOO_STEADY = "load-too-steady"  # no resistance can be told from it
    SENSE_UNKNOWN = "sense-unknown"
    CORNERS_UNKNOWN = "corners-unknown"
    CELLS_UNKNOWN = "cells-unknown"
    CHEMISTRY_UNKNOWN = "chemistry-unknown"
    BLADES_UNKNOWN = "blades-unknown"


@dataclass(frozen=True, slots=True)
class Phase:
    """One phase: from `start_s` up to `end_s`, seconds of the record."""

    kind: PhaseKind
    start_s: float
    end_s: float
    rule: str
    """Key of the threshold that told it (`turnback.rules`)."""
    values: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened.

    Parameters
    ----------
    kind : EventKind
    start_s, end_s : float
        Seconds of the record; the start is the onset.
    channels : tuple of Channel
        In which it is seen.
    rule : str
        Key of the threshold it was held against (`turnback.rules`).
    values : mapping
        Numbers in SI, keyed by name and unit (``{"least_v": 13.1, "rest_v": 14.0}``), that the sentence needs.
    at : tuple of At
        The corners it is about.
    words : mapping
        Short keys that the sentence needs (``{"action": "motors-stop"}``), never text for people.
    """

    kind: EventKind
    start_s: float
    end_s: float
    channels: tuple[Channel, ...]
    rule: str
    values: Mapping[str, float] = field(default_factory=dict)
    at: tuple[At, ...] = ()
    words: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class NotTold:
    """What could not be looked for, and why.

    Parameters
    ----------
    kind : EventKind
    why : WhyNot
    needs : tuple of Channel
        What would tell.
    values : mapping
        Such as ``{"rate_hz": 50.0, "needed_hz": 620.0}``.
    """

    kind: EventKind
    why: WhyNot
    needs: tuple[Channel, ...] = ()
    values: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, eq=False)
class Spectrum:
    """Power spectral density of one channel over one or several spans of one phase.

    Parameters
    ----------
    channel : Channel
    phase : PhaseKind
    start_s, end_s : float
    rate_hz : float
    frequency_hz, density : ndarray, shape (m,)
        One-sided; unit of the channel squared per hertz.
    rotor_hz : tuple of float
        Mean rotor frequency of each known corner in that span, in the order of `corners`.
    corners : tuple of At
    """

    channel: Channel
    phase: PhaseKind
    start_s: float
    end_s: float
    rate_hz: float
    frequency_hz: NDArray[np.float64]
    density: NDArray[np.float64]
    rotor_hz: tuple[float, ...] = ()
    corners: tuple[At, ...] = ()


@dataclass(frozen=True, slots=True)
class Happened:
    """What one finder found; finders are put together in the flow."""

    events: tuple[Event, ...] = ()
    not_told: tuple[NotTold, ...] = ()
    spectra: tuple[Spectrum, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Flown:
    """What every finder gets: the record and its phases.

    Parameters
    ----------
    record : FlightRecord
    phases : tuple of Phase
        In time order, without gaps or overlap.
    cells : int or None
        In series: told, or read off the volts where they leave no doubt.
    chemistry : str or None
        A name of `records.pack.ChemistryName`: told; none is not guessed.
    """

    record: FlightRecord
    phases: tuple[Phase, ...]
    cells: int | None = None
    chemistry: str | None = None

    def aloft(self) -> tuple[tuple[float, float], ...]:
        """Return the spans in the air, joined where phases touch."""
        spans: list[tuple[float, float]] = []
        for phase in self.phases:
            if phase.kind not in ALOFT:
                continue
            if spans and phase.start_s <= spans[-1][1]:
                spans[-1] = (spans[-1][0], phase.end_s)
            else:
                spans.append((phase.start_s, phase.end_s))
        return tuple(spans)


@dataclass(frozen=True, slots=True, eq=False)
class RecordAnswer:
    """The answer to ``turnback record``: everything in it is data; words are made in ``report``."""

    flown: Flown
    events: tuple[Event, ...]
    """By onset."""
    not_told: tuple[NotTold, ...]
    spectra: tuple[Spectrum, ...]
