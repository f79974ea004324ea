"""The charts of a record: height and speed, pack, link, outputs by corner, turning rates; one quantity in each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.records.bench import At
from turnback.records.channel import RATE_DEMANDS, RATES, Channel, Quantity
from turnback.records.flight_record import Series
from turnback.records.happened import Event, EventKind, RecordAnswer
from turnback.report import numbers
from turnback.report.language import mark, text
from turnback.report.numbers import Units
from turnback.report.record_curves import (
    Curve,
    Panel,
    ends_of,
    path,
    shade,
    thinned,
    time_ticks,
    value_ticks,
)
from turnback.report.record_facts import height_of
from turnback.report.record_values import moment, number
from turnback.report.words_belief_chance import capital
from turnback.report.words_record_channels import channel_words
from turnback.report.words_record_events import event_sentence, weight

Array = NDArray[np.float64]
Scale = tuple[str, float]

MOST_SHADES: Final = 60
LONG: Final = frozenset(
    {EventKind.FOLLOWS_DEMAND, EventKind.WIND, EventKind.NOISE_FLOOR, EventKind.ONCE_PER_REV, EventKind.BLADE_PASS,
     EventKind.IMBALANCE}
)  # fmt: skip
"""What is told of long stretches as a whole: to shade them all shows nothing."""
MOST_NOTES: Final = 4
DEGREES: Final = 180.0 / np.pi
TITLE: Final = mark("{channel} ({unit})")
DEMANDS: Final = dict(zip(RATES, RATE_DEMANDS, strict=True))


@dataclass(frozen=True, slots=True)
class Group:
    """Charts that open together."""

    key: str
    title: str
    panels: tuple[Panel, ...]
    corners: bool = False
    """Four of them, laid out as the corners are."""


GROUPS: Final[tuple[tuple[str, str, tuple[Quantity, ...]], ...]] = (
    (
        "air",
        mark("Height and speed"),
        (Quantity.HEIGHT_LAUNCH, Quantity.GROUND_SPEED, Quantity.AIRSPEED, Quantity.DISTANCE_LAUNCH),
    ),
    ("pack", mark("Volts and current"), (Quantity.PACK_VOLTS, Quantity.CELL_VOLTS, Quantity.CURRENT)),
    (
        "link",
        mark("Link level and quality"),
        (
            Quantity.LINK_LEVEL,
            Quantity.LINK_LEVEL_BACK,
            Quantity.LINK_QUALITY,
            Quantity.LINK_QUALITY_BACK,
            Quantity.SIGNAL_TO_NOISE,
            Quantity.VIDEO_LEVEL,
        ),
    ),
    ("outputs", mark("Outputs by corner"), (Quantity.OUTPUT,)),
    ("rotors", mark("Rotor speeds by corner"), (Quantity.ROTOR_SPEED,)),
    ("rates", mark("Turning rates"), RATES),
)
PER_CENT: Final = frozenset({Quantity.LINK_QUALITY, Quantity.LINK_QUALITY_BACK, Quantity.OUTPUT})


def groups(answer: RecordAnswer, units: Units) -> tuple[Group, ...]:
    """Return the charts that the record has channels for."""
    found = []
    for key, title, quantities in GROUPS:
        series = [each for quantity in quantities for each in _channels(answer, quantity) if each.values.size]
        if series:
            apart = {each.channel.at for each in series} == set(At) and len(series) == len(At)
            ends = _common(series, units) if apart else None
            panels = tuple(
                panel(answer, each, units, f"{key}-{place}", ends) for place, each in enumerate(series, start=1)
            )
            found.append(Group(key, text(title), panels, corners=apart))
    return tuple(found)


def panel(
    answer: RecordAnswer, series: Series, units: Units, key: str, ends: tuple[float, float] | None = None
) -> Panel:
    """Return one chart of one channel, with its demand where there is one, and the spans of its events."""
    length_s = answer.flown.record.clock.length_s
    unit, factor = scale_of(series.channel.quantity, units)
    drawn = [(channel_words(series.channel), *_thin(series, length_s, factor), False)]
    demand = DEMANDS.get(series.channel.quantity)
    asked = None if demand is None else answer.flown.record.get(demand)
    if asked is not None and asked.values.size:
        drawn.append((channel_words(asked.channel), *_thin(asked, length_s, factor), True))
    low, high = ends or ends_of([each[2] for each in drawn])
    title = text(TITLE, channel=channel_words(series.channel), unit=unit) if unit else channel_words(series.channel)
    events = [each for each in events_in(answer, series.channel) if each.kind not in LONG]
    return Panel(
        key=key,
        title=capital(title),
        alt=capital(_alt(series, factor, unit)),
        curves=tuple(Curve(name, path(x, y, low, high, 0.0, length_s), dashed) for name, x, y, dashed in drawn),
        ticks_x=time_ticks(0.0, length_s),
        ticks_y=value_ticks(low, high),
        shades=tuple(shade(each.start_s, each.end_s, 0.0, length_s) for each in events[:MOST_SHADES]),
        notes=tuple(event_sentence(each, units) for each in events[:MOST_NOTES]),
    )


def events_in(answer: RecordAnswer, channel: Channel) -> list[Event]:
    """Return the events that are seen in a channel, the weightiest first."""
    found = [
        event
        for event in answer.events
        if channel in event.channels
        or (channel.quantity is Quantity.HEIGHT_LAUNCH and any(_of_height(each) for each in event.channels))
    ]
    return sorted(found, key=lambda event: (-weight(event), event.start_s))


def scale_of(quantity: Quantity, units: Units) -> Scale:
    """Return the unit in which a quantity is drawn, and the factor from its own."""
    if quantity in PER_CENT:
        return "%", 100.0
    imperial = units is Units.IMPERIAL
    scales: dict[Quantity, Callable[[], Scale]] = {
        **dict.fromkeys((*RATES, *RATE_DEMANDS), lambda: ("°/s", DEGREES)),
        **dict.fromkeys(
            (Quantity.HEIGHT_LAUNCH, Quantity.HEIGHT_SEA_LEVEL, Quantity.DISTANCE_LAUNCH),
            lambda: ("ft", numbers.FEET_PER_M) if imperial else ("m", 1.0),
        ),
        **dict.fromkeys(
            (Quantity.GROUND_SPEED, Quantity.AIRSPEED),
            lambda: ("mph", numbers.MPH_PER_MPS) if imperial else ("m/s", 1.0),
        ),
        **dict.fromkeys((Quantity.PACK_VOLTS, Quantity.CELL_VOLTS), lambda: ("V", 1.0)),
        Quantity.CURRENT: lambda: ("A", 1.0),
        **dict.fromkeys((Quantity.LINK_LEVEL, Quantity.LINK_LEVEL_BACK, Quantity.VIDEO_LEVEL), lambda: ("dBm", 1.0)),
        Quantity.SIGNAL_TO_NOISE: lambda: ("dB", 1.0),
        Quantity.ROTOR_SPEED: lambda: (text("thousand revolutions a minute"), 0.06),
    }
    return scales[quantity]() if quantity in scales else ("", 1.0)


def _channels(answer: RecordAnswer, quantity: Quantity) -> tuple[Series, ...]:
    if quantity is Quantity.HEIGHT_LAUNCH:
        height = height_of(answer.flown.record, answer.flown.aloft())
        if height is None:
            return ()
        return (Series(Channel(quantity), height.t_s, height.values, height.rate_hz, height.fresh_hz),)
    return answer.flown.record.all_of(quantity)


def _of_height(channel: Channel) -> bool:
    return channel.quantity in (Quantity.HEIGHT_LAUNCH, Quantity.HEIGHT_SEA_LEVEL)


def _thin(series: Series, length_s: float, factor: float) -> tuple[Array, Array]:
    t_s, values = thinned(series.t_s, series.values, 0.0, max(length_s, 1e-9))
    return t_s, values * factor


def _common(series: list[Series], units: Units) -> tuple[float, float]:
    """Return one pair of ends for all corners, so that they compare."""
    _, factor = scale_of(series[0].channel.quantity, units)
    return ends_of([np.array([each.values.min(), each.values.max()]) * factor for each in series])


def _alt(series: Series, factor: float, unit: str) -> str:
    least, most = int(series.values.argmin()), int(series.values.argmax())
    return text(
        "{channel} against time: least {low} at {low_at}, most {high} at {high_at}.",
        channel=channel_words(series.channel),
        low=_with_unit(float(series.values[least]) * factor, unit),
        low_at=moment(float(series.t_s[least])),
        high=_with_unit(float(series.values[most]) * factor, unit),
        high_at=moment(float(series.t_s[most])),
    )


def _with_unit(value: float, unit: str) -> str:
    shown = number(value, 2 if abs(value) < 10.0 else 1)
    return text("{number} {unit}", number=shown, unit=unit) if unit else shown
