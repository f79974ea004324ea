"""Events: found, onset within 50 ms or two samples, missed, false alarms; phases: share of time right."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray
from studies.record_flown import columns as at
from studies.record_flown.flyer import Flight
from studies.record_flown.messy import Mess
from studies.record_flown.sensors import CORNERS
from studies.record_flown.truth import WHOLE, TrueEvent, Truth

if TYPE_CHECKING:
    from turnback.records.flight_record import FlightRecord
    from turnback.records.happened import Event, Phase, RecordAnswer

Floats = NDArray[np.float64]
ONSET_S: Final = 0.05
SAMPLES: Final = 2.0
PHASES: Final = ("ground", "armed-on-ground", "take-off", "hover", "cruise", "return", "fall", "slow flight", "climb")
ENDS_ALOFT: Final = TrueEvent("record-ends-aloft", *WHOLE, 1e9, (("height_launch", "output", "throttle"),), sharp=False)
"""Of the record, not of the flight: some records are cut short."""
UNTIL_EDGE_S: Final = 0.5
"""So near to a change of phase neither answer is wrong."""


@dataclass(frozen=True, slots=True)
class EventScore:
    """One true event that the record can tell, or one false alarm.

    `outcome` is found, off (found, its onset elsewhere), missed, refused (said not to be told), false. `said` is
    right, wrong or none where the corner or the radio-loss action is part of it.
    """

    record: int
    kind: str
    outcome: str
    onset_off_s: float
    healthy: bool
    note: str
    said: str = ""


def record_times(mess: Mess, read: FlightRecord) -> Floats:
    """Return the reader's seconds of the file's rows, shape (n,)."""
    longest = max((each.t_s for each in read.series.values()), key=len, default=np.zeros(0))
    if len(longest) == len(mess.t_s):
        return np.asarray(longest, np.float64)
    return np.asarray(mess.t_s - mess.t_s[0], np.float64)


def can_tell(event: TrueEvent, have: frozenset[str], rate_hz: float, first_s: float, last_s: float) -> bool:
    """Tell whether the record holds what it takes to see an event."""
    if rate_hz < event.least_hz or not all(any(one in have for one in group) for group in event.needs):
        return False
    return not event.sharp or (event.early_s > first_s + 0.5 and event.late_s < last_s - 0.5)


def in_hole(event: TrueEvent, mess: Mess) -> bool:
    """Tell whether an onset lies where rows are missing; a restart is told by the hole itself."""
    if not event.sharp or event.kind == "restart-in-flight":
        return False
    around = mess.t_s[(mess.t_s > event.early_s - 0.5) & (mess.t_s < event.late_s + 0.5)]
    if len(around) < 2 or around[0] > event.early_s or around[-1] < event.late_s:
        return True
    return float(np.diff(around).max()) > 3.5 / mess.rate_hz


def score_events(record: int, flight: Flight, mess: Mess, truth: Truth, answer: RecordAnswer,
                 have: frozenset[str]) -> list[EventScore]:  # fmt: skip
    """Score the events of one record."""
    times = record_times(mess, answer.flown.record)
    healthy = not flight.design.faults_named
    refused = {each.kind.value for each in answer.not_told}
    found, used = [], set()
    in_air = float(flight.log[min(int(mess.t_s[-1] * 1000.0), len(flight.log) - 1), at.PHASE]) >= at.P_TAKE_OFF
    for event in (*truth.events, *((ENDS_ALOFT,) if in_air else ())):
        if not can_tell(event, have, mess.rate_hz, mess.t_s[0], mess.t_s[-1]) or in_hole(event, mess):
            continue
        early, late = np.interp((event.early_s, event.late_s), mess.t_s, times)
        alike = [(i, each) for i, each in enumerate(answer.events) if each.kind.value == event.kind]
        if not alike:
            kind = "refused" if event.kind in refused else "missed"
            found.append(EventScore(record, event.kind, kind, np.nan, healthy, _note(event, mess)))
            continue
        offs = [max(early - each.start_s, each.start_s - late, 0.0) for _, each in alike]
        best = int(np.argmin(offs))
        used.add(alike[best][0])
        room = max(ONSET_S, SAMPLES * _step_s(alike[best][1], answer.flown.record, mess.rate_hz))
        good = not event.sharp or offs[best] <= room
        found.append(EventScore(record, event.kind, "found" if good else "off", offs[best], healthy,
                                _note(event, mess, alike[best][1]), said_of(event, alike[best][1], mess)))  # fmt: skip
    for i, each in enumerate(answer.events):
        windows = (WHOLE,) if in_air and each.kind.value == ENDS_ALOFT.kind else truth.may.get(each.kind.value, ())
        flown_s = float(np.interp(each.start_s, times, mess.t_s))
        good = any(a <= flown_s <= b for a, b in windows) and wind_right(flight, each)
        if not good and (i not in used or each.kind.value == "wind"):
            found.append(EventScore(record, each.kind.value, "false", np.nan, healthy,
                                    f"at {flown_s:.2f} s of the flight, {dict(each.values)}"))  # fmt: skip
    return found


def wind_right(flight: Flight, seen: Event) -> bool:
    """Tell whether a wind that is told is the true one within its own band, or within 1 m/s; other events: yes."""
    if seen.kind.value != "wind":
        return True
    off = abs(seen.values["wind_mps"] - flight.design.plan.wind)
    return off <= max(1.0, seen.values.get("width_mps", 0.0))


def said_of(event: TrueEvent, seen: Event, mess: Mess) -> str:
    """Return whether the corner or the action that an event names is the true one; a number counts as its corner."""
    if event.action:
        said = seen.words.get("action", "none-seen")
        return "none" if said == "none-seen" else ("right" if said == event.action else "wrong")
    if not event.corner:
        return ""
    numbered: dict[tuple[str, int | None], str] = {
        (each.quantity, each.number): CORNERS[each.corner] for each in mess.columns
        if each.corner is not None and each.number is not None
    }  # fmt: skip
    corners = {each.value for each in seen.at} or {
        numbered[each.quantity.value, each.number] for each in seen.channels
        if (each.quantity.value, each.number) in numbered
    }  # fmt: skip
    if not corners:
        return "none"
    return "right" if corners == {event.corner} else "wrong"


def _step_s(event: Event, read: FlightRecord, rate_hz: float) -> float:
    rates = [read.series[each].fresh_hz for each in event.channels if each in read.series]
    return 1.0 / max(1e-3, min([*rates, rate_hz]))


def _note(event: TrueEvent, mess: Mess, seen: Event | None = None) -> str:
    said = f"; said at {seen.start_s:.3f} s of the record {dict(seen.words)}" if seen else ""
    return (f"{mess.rate_hz:g} Hz, flight {event.early_s:.3f} to {event.late_s:.3f} s (record begins "
            f"{mess.t_s[0]:.3f} s) {event.corner}{event.action}{said}")  # fmt: skip


@dataclass(frozen=True, slots=True)
class PhaseScore:
    """Seconds of one record by what was said of them."""

    record: int
    right_s: float
    coarse_s: float
    unknown_s: float
    wrong_s: float
    worst: str


def score_phases(record: int, flight: Flight, mess: Mess, phases: tuple[Phase, ...], times: Floats) -> PhaseScore:
    """Score phases at every row that is not near a true change.

    A return that no channel names is flight all the same: hover or cruise is coarse then, not wrong.
    """
    rows = np.minimum(np.round(mess.t_s * 1000).astype(int), len(flight.log) - 1)
    true = flight.log[rows, at.PHASE].astype(int)
    whole = flight.log[:, at.PHASE]
    edges = np.flatnonzero(np.diff(whole)) * 1e-3
    near = np.zeros(len(rows), bool)
    if edges.size:
        place = np.clip(np.searchsorted(edges, mess.t_s), 0, len(edges) - 1)
        near = (np.abs(edges[place] - mess.t_s) < UNTIL_EDGE_S) | (
            np.abs(edges[np.maximum(place - 1, 0)] - mess.t_s) < UNTIL_EDGE_S
        )
    starts = np.array([each.start_s for each in phases])
    said = np.array([each.kind.value for each in phases])[
        np.clip(np.searchsorted(starts, times, side="right") - 1, 0, len(starts) - 1)
    ]
    truth = np.array(PHASES)[np.clip(true, 0, 8)]
    slow = (true == 7) & np.isin(said, ("hover", "cruise"))
    climb = (true == 8) & np.isin(said, ("take-off", "hover", "cruise"))
    right = (said == truth) | slow | climb
    coarse = (said == "aloft") & (true >= 2) & (true != 6)
    if not {"mode", "return_active"} & {each.quantity for each in mess.columns}:
        coarse |= (truth == "return") & np.isin(said, ("hover", "cruise"))
    unknown = said == "unknown"
    step = float(np.median(np.diff(mess.t_s))) if len(rows) > 1 else 0.0
    counted = ~near
    wrong = counted & ~right & ~coarse & ~unknown
    mixed = [f"{a} taken for {b}" for a, b in zip(truth[wrong], said[wrong], strict=True)]
    pairs, counts = np.unique(mixed, return_counts=True)
    worst = f"{pairs[counts.argmax()]} {counts.max() * step:.1f} s" if len(pairs) else ""
    right_s, coarse_s, unknown_s = (float(np.count_nonzero(counted & each)) * step for each in (right, coarse, unknown))
    return PhaseScore(record, right_s, coarse_s, unknown_s, float(np.count_nonzero(wrong)) * step, worst)
