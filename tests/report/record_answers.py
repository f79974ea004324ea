"""Answers to a record made by hand: a flight with a bit of everything, and a record that tells nothing."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np

from turnback.records.bench import At
from turnback.records.channel import Channel, Quantity
from turnback.records.flight_record import CornerFound, FlightRecord, SenseBy, SenseFound, Series
from turnback.records.happened import (
    Event,
    EventKind,
    Flown,
    NotTold,
    Phase,
    PhaseKind,
    RecordAnswer,
    Spectrum,
    WhyNot,
)
from turnback.records.record_read import (
    Clock,
    ClockGap,
    ColumnMatch,
    FlightFacts,
    Gap,
    MatchedBy,
    Reading,
    RecordFormat,
)

SECRETS = ("anna-garden-2026.csv", "AnnasRoll", "46.81237", "7.10437", "1791234567", "ANNAMODE")
"""What a redacted answer must not hold: file, column, places, date, the record's own words."""
LAT, LON, EPOCH = 46.81237, 7.10437, 1791234567.0
ROLL, LEVEL, VOLTS = Channel(Quantity.ROLL_RATE), Channel(Quantity.LINK_LEVEL), Channel(Quantity.PACK_VOLTS)
SPEEDS = tuple(Channel(Quantity.ROTOR_SPEED, at) for at in At)
LONG = "a_column_with_a_name_that_is_very_long_and_without_any_space_in_it_<script>alert(1)</script>_" * 2


def column(place: int, name: str, channel: Channel, unit: str, chance: float = 1.0, scale: float = 1.0) -> ColumnMatch:
    """Make a column that is taken."""
    reading = Reading(channel, unit, scale, -EPOCH if channel.quantity is Quantity.TIME else 0.0, chance)
    return ColumnMatch(place, name, unit, reading, MatchedBy.MEANING, (reading,))


MATCHES = (
    column(0, "time", Channel(Quantity.TIME), "us", scale=1e-6),
    column(1, "AnnasRoll", ROLL, "deg/s", 0.97, -0.017453),
    column(2, "rssi", LEVEL, "dBm"),
    column(3, "vbat", VOLTS, "mV", 0.88, 1e-3),
    ColumnMatch(
        4, "gx", "", None, MatchedBy.NOT_MATCHED,
        (
            Reading(Channel(Quantity.PITCH_RATE), "deg/s", 0.017, 0.0, 0.62),
            Reading(Channel(Quantity.PITCH_RATE_DEMAND), "deg/s", 0.017, 0.0, 0.3),
        ),
        asks=True,
    ),
    ColumnMatch(5, "note", "", None, MatchedBy.NOT_MATCHED),
)  # fmt: skip
SENSES = (
    SenseFound(ROLL, True, SenseBy.MOTION, 0.99),
    SenseFound(Channel(Quantity.ACCELERATION_Z), False, SenseBy.GRAVITY, 1.0),
    SenseFound(Channel(Quantity.ROLL_STICK), False, SenseBy.ASSUMED, 0.5),
)
CORNERS = (
    CornerFound(Quantity.OUTPUT, 1, At.REAR_RIGHT, True, 0.98),
    CornerFound(Quantity.OUTPUT, 2, At.FRONT_RIGHT, False, 1.0),
    CornerFound(Quantity.ROTOR_SPEED, 1, None, False, 0.4),
)
PHASES = (
    Phase(PhaseKind.GROUND, 0.0, 8.0, "record.phase.made"),
    Phase(PhaseKind.ARMED_ON_GROUND, 8.0, 12.0, "record.phase.made"),
    Phase(PhaseKind.TAKE_OFF, 12.0, 14.0, "record.phase.made"),
    Phase(PhaseKind.HOVER, 14.0, 30.0, "record.phase.made"),
    Phase(PhaseKind.CRUISE, 30.0, 120.0, "record.phase.made"),
    Phase(PhaseKind.RETURN, 120.0, 150.0, "record.phase.made"),
    Phase(PhaseKind.FALL, 150.0, 152.5, "record.phase.made"),
    Phase(PhaseKind.GROUND, 152.5, 180.0, "record.phase.made"),
)
EVENTS = (
    Event(EventKind.SAG, 40.0, 43.0, (VOLTS,), "record.power.sag_v", {"sag_v": 1.4, "loaded_v": 13.4}),
    Event(EventKind.SAG, 70.0, 72.0, (VOLTS,), "record.power.sag_v", {"sag_v": 2.1, "loaded_v": 12.9}),
    Event(
        EventKind.LEVEL_DIP, 102.3, 105.3, (LEVEL,), "record.link.dip_db",
        {"depth_db": 14.0, "least_dbm": -92.0, "back": 1.0}, words={"link": "control"},
    ),
    Event(EventKind.MODE_CHANGE, 110.0, 110.0, (Channel(Quantity.MODE),), "record.made", words={"to": "ANNAMODE"}),
    Event(EventKind.LINK_LOST, 119.0, 124.0, (LEVEL,), "record.link.lost_least_s"),
    Event(
        EventKind.RADIO_LOSS_ACTION, 120.0, 124.0, (Channel(Quantity.RETURN_ACTIVE),), "record.made",
        words={"action": "automatic-return"},
    ),
    Event(EventKind.SPEED_COLLAPSE, 149.8, 150.1, (SPEEDS[3],), "record.made", at=(At.REAR_RIGHT,)),
    Event(EventKind.BELOW_DAMAGE, 150.0, 152.0, (VOLTS,), "record.made", {"least_v": 2.9, "limit_v": 3.0}),
    Event(
        EventKind.IMPACT, 152.5, 152.5, (Channel(Quantity.ACCELERATION_Z),), "record.made",
        {"peak_mps2": 160.0, "latitude_deg": LAT},
    ),
)  # fmt: skip
NOT_TOLD = (
    NotTold(EventKind.ONCE_PER_REV, WhyNot.TOO_SLOW, (ROLL,), {"rate_hz": 50.0, "needed_hz": 620.0}),
    NotTold(EventKind.BLADE_PASS, WhyNot.TOO_SLOW, (ROLL,), {"rate_hz": 50.0, "needed_hz": 620.0}),
    NotTold(EventKind.SPEED_EXCESS, WhyNot.NO_CHANNEL, SPEEDS),
    NotTold(EventKind.CELL_LOW, WhyNot.NO_CHANNEL, (Channel(Quantity.CELL_VOLTS),)),
    NotTold(EventKind.OPPOSITE_RESPONSE, WhyNot.SENSE_UNKNOWN, (Channel(Quantity.ROLL_STICK),)),
)


def series(channel: Channel, t_s: np.ndarray, values: np.ndarray, labels: tuple[str, ...] = ()) -> Series:
    """Make a channel."""
    rate = 1.0 / float(np.median(np.diff(t_s)))
    return Series(channel, t_s, values, rate, rate, labels)


def channels(rows: int, length_s: float = 180.0) -> dict[Channel, Series]:
    """Make channels of a flight that goes north-east, comes back and falls."""
    t_s = np.linspace(0.0, length_s, rows)
    part = t_s / length_s
    up = np.clip(np.minimum((t_s - 12.0) * 4.0, (152.5 - t_s) * 20.0), 0.0, 46.0)
    out = np.clip(np.sin(np.pi * np.clip((t_s - 30.0) / 120.0, 0.0, 1.0)), 0.0, 1.0)
    flies = up > 0.0
    rng = np.random.default_rng(7)
    noise = rng.normal(size=rows)
    made = {
        ROLL: (2.0 * noise * flies).astype(np.float32),
        Channel(Quantity.PITCH_RATE): (rng.normal(size=rows) * flies).astype(np.float32),
        LEVEL: -60.0 - 25.0 * out - 14.0 * ((t_s > 102.3) & (t_s < 105.3)),
        Channel(Quantity.LINK_QUALITY): 1.0 - 0.99 * ((t_s > 119.0) & (t_s < 124.0)),
        VOLTS: 16.6 - 2.4 * part - 1.0 * flies,
        Channel(Quantity.CURRENT): 20.0 * flies + 3.0 * noise * flies,
        Channel(Quantity.HEIGHT_SEA_LEVEL): 612.0 + up,
        Channel(Quantity.GROUND_SPEED): 11.0 * np.abs(np.cos(np.pi * part)) * flies,
        Channel(Quantity.LATITUDE): LAT + 0.0024 * out,
        Channel(Quantity.LONGITUDE): LON + 0.0015 * out * np.cos(4.0 * part),
        Channel(Quantity.LAUNCH_LATITUDE): np.full(rows, LAT + 0.0002),
        Channel(Quantity.LAUNCH_LONGITUDE): np.full(rows, LON),
        **{Channel(Quantity.OUTPUT, at): 0.4 * flies + 0.05 * place + 0.02 * noise for place, at in enumerate(At)},
    }
    return {channel: series(channel, t_s, values) for channel, values in made.items()}


def spectra() -> tuple[Spectrum, ...]:
    """Make a spectrum with a line at a rotor's frequency."""
    frequency = np.linspace(0.0, 500.0, 2049)
    density = 1e-4 + 0.5 * np.exp(-(((frequency - 210.0) / 2.0) ** 2))
    rotor = (210.0, 214.0, 205.0, 220.0)
    return (Spectrum(ROLL, PhaseKind.HOVER, 14.0, 30.0, 1000.0, frequency, density, rotor, tuple(At)),)


@cache
def flight(rows: int = 3600) -> RecordAnswer:
    """Make a flight with a bit of everything."""
    clock = Clock("time", "us", rows / 180.0, 180.0, EPOCH, (ClockGap(Gap.MISSING, 61.0, 61.8),), 2)
    made = channels(rows)
    record = FlightRecord(
        "anna-garden-2026.csv", RecordFormat.CSV, clock, made, MATCHES, SENSES, CORNERS, FlightFacts(cells=4)
    )
    return RecordAnswer(Flown(record, PHASES, 4, "LiPo"), EVENTS, NOT_TOLD, spectra())


@cache
def bare() -> RecordAnswer:
    """Make a record of one channel that tells next to nothing."""
    t_s = np.linspace(0.0, 20.0, 41)
    clock = Clock("", "", 2.0, 20.0)
    made = {VOLTS: series(VOLTS, t_s, np.full(t_s.size, 16.0))}
    record = FlightRecord("a.csv", RecordFormat.CSV, clock, made)
    missing = tuple(NotTold(kind, WhyNot.NO_CHANNEL, (ROLL,)) for kind in EventKind)
    return RecordAnswer(Flown(record, (Phase(PhaseKind.UNKNOWN, 0.0, 20.0, ""),)), (), missing, ())


@cache
def hostile() -> RecordAnswer:
    """Make a flight whose file and columns have long names that would like to be more than text."""
    answer = flight()
    matches = (replace(MATCHES[4], name=LONG), *MATCHES)
    record = replace(
        answer.flown.record, name=LONG, matches=matches, clock=replace(answer.flown.record.clock, column=LONG)
    )
    words = {"from": LONG, "to": LONG, "action": LONG}
    events = tuple(replace(event, words=words) for event in answer.events)
    return replace(answer, flown=replace(answer.flown, record=record), events=events)
