"""What truly happened in a flight: events with the window in which each began, and what else may be said of it.

An event that must be found has `needs`: of each group of quantities at least one has to stand in the record. What may
be said without being wrong (a strong fade that turning about makes, a hard landing) is `may`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray
from studies.record_flown import columns as at
from studies.record_flown.craft import NEVER
from studies.record_flown.design import RADIO
from studies.record_flown.flyer import Flight
from studies.record_flown.sensors import CORNERS
from studies.record_flown.spans import joined, spans, wide

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
G: Final = 9.80665
STICKS: Final = ("roll_stick", "pitch_stick", "yaw_stick", "throttle")
WHOLE: Final = (-1e9, 1e9)


@dataclass(frozen=True, slots=True)
class TrueEvent:
    """One thing that happened.

    Parameters
    ----------
    kind : str
        Value of the event's kind.
    early_s, late_s : float
        Seconds of the flight between which its onset lies.
    end_s : float
    needs : tuple of tuple of str
    least_hz : float
        Rate of the record below which it cannot be told.
    corner, action : str
        Where it is about one.
    sharp : bool
        Its onset is a moment; otherwise it comes gradually and only finding it counts.
    """

    kind: str
    early_s: float
    late_s: float
    end_s: float
    needs: tuple[tuple[str, ...], ...]
    least_hz: float = 0.0
    corner: str = ""
    action: str = ""
    sharp: bool = True


@dataclass(frozen=True, slots=True)
class Truth:
    """All of one flight; `may` gives, by kind, windows of onsets that are no false alarm."""

    events: tuple[TrueEvent, ...]
    may: dict[str, tuple[tuple[float, float], ...]] = field(default_factory=dict)


def truth_of(flight: Flight) -> Truth:
    """Return what happened in one flight."""
    log = flight.log
    aloft = log[:, at.PHASE] >= at.P_TAKE_OFF
    events: list[TrueEvent] = []
    may: dict[str, list[tuple[float, float]]] = {}
    for part in (_link, _pack, _corners, _hands, _ground, _place):
        part(flight, aloft, events, may)
    upset = first_upset_s(flight)
    for kind in ("first-out-of-quiet", "rate-run-away"):
        may.setdefault(kind, []).append((upset - 0.05, 1e9))
    may["follows-demand"] = [WHOLE]
    for kind in ("channels-frozen", "stick-reversals"):  # sticks in a fall and after a crash are no pilot's
        may[kind].append((min(upset_s_of_fall(flight), 1e9), 1e9))
    return Truth(tuple(events), {key: tuple(value) for key, value in may.items()})


def upset_s_of_fall(flight: Flight) -> float:
    """Return when a fault begins that brings the aircraft down, or when it first hits the ground hard."""
    f, log = flight.design.faults, flight.log
    hard = [a for a, _ in spans(log[:, at.TOUCH] > 6.0)]
    crossed = flight.design.plan.off_at if f.crossed_axis >= 0.0 else NEVER
    return float(min([f.stop, f.prop, f.restart, crossed, *hard]))


def first_upset_s(flight: Flight) -> float:
    """Return when the first thing goes wrong that can be felt in the air."""
    f, log = flight.design.faults, flight.log
    times = [f.fade, f.jam, f.frozen, f.restart, f.step, f.stop, f.prop, f.shift, f.bent, f.gain, f.reversals]
    if f.crossed_axis >= 0.0:
        times.append(flight.design.plan.off_at)
    touched = spans(log[:, at.TOUCH] > 2.5)
    landed = [a for a, _ in touched if a > flight.design.plan.off_at + 1.0]
    return float(min([*times, *landed, 1e9]))


def _link(flight: Flight, aloft: Flags, events: list[TrueEvent], may: dict[str, list[tuple[float, float]]]) -> None:
    del aloft
    f, log = flight.design.faults, flight.log
    lost = spans(log[:, at.LOST] > 0.5)
    end = len(log) * 1e-3
    if f.fade < min(end, NEVER) and f.fade_db <= 40.0:
        events.append(TrueEvent("link-level-dip", f.fade, f.fade + f.fade_ramp, f.fade_end, (("link_level",),)))
    level = log[:, at.LEVEL].astype(np.float64)
    calm = np.convolve(level[::20], np.ones(15) / 15.0, mode="same")
    usual = np.array([np.median(calm[max(0, i - 300) : i + 300]) for i in range(0, len(calm), 10)])
    low = np.repeat(np.interp(np.arange(len(calm)), np.arange(0, len(calm), 10), usual) - calm > 6.0, 20)[: len(log)]
    may["link-level-dip"] = wide(spans(low), 1.5, 1.0) + wide(lost, 2.0, 1.0) + [(f.fade - 0.2, f.fade_end + 1.0)]
    if f.jam < min(end, NEVER):
        during = slice(int(f.jam * 1000), int(f.jam_end * 1000))
        sure = level[during].min(initial=0.0) > -74.0 and log[during, at.QUALITY].mean() < 0.65
        if sure:
            events.append(TrueEvent("quality-low-at-high-level", f.jam, f.jam + 0.6, f.jam_end,
                                    (("link_level",), ("link_quality",))))  # fmt: skip
    may["quality-low-at-high-level"] = wide(spans(log[:, at.QUALITY] < 0.85), 0.3, 0.5)
    for a, b in joined(lost, 1.5):  # one packet in between is no link
        events.append(TrueEvent("link-lost", a - 0.55, a + 0.05, b, (("link_loss", "link_quality"),)))
    may["link-lost"] = wide(lost, 0.7, 0.5) + wide(spans(log[:, at.QUALITY] < 0.3), 0.5, 0.5)
    if f.frozen < min(end, NEVER) and f.frozen_end < end:
        events.append(TrueEvent("channels-frozen", f.frozen - 0.02, f.frozen + 0.05, f.frozen_end,
                                (STICKS[:1], STICKS[1:2]), 20.0))  # fmt: skip
    may["channels-frozen"] = [*wide(lost, 0.7, 0.5), (f.frozen - 0.1, f.frozen_end)]
    taken = np.flatnonzero((log[1:, at.MODE] != log[:-1, at.MODE]) & (log[1:, at.MODE] >= at.RETURN))
    if taken.size:
        when = float(taken[0]) * 1e-3
        seen = {"automatic-return": ("mode", "return_active"), "motors-stop": ("armed", "output", "mode"),
                "descends-in-place": ("mode",)}  # fmt: skip
        action = RADIO[int(flight.design.craft.action)]
        events.append(TrueEvent("radio-loss-action", when - 0.02, when + 0.06, end,
                                (seen[action], ("link_loss", "link_quality")), action=action))  # fmt: skip
    may["radio-loss-action"] = wide(lost, 0.7, 3.0)
    may["restart-in-flight"] = [(f.restart - 0.1, f.restart_end + 0.2)]
    if f.restart < min(end, NEVER):
        events.append(TrueEvent("restart-in-flight", f.restart - 0.02, f.restart_end + 0.02, end, (("clock again",),)))
    off = np.flatnonzero((log[1:, at.ARMED] < 0.5) & (log[:-1, at.ARMED] > 0.5) & (log[1:, at.DOWN] < -0.03)) * 1e-3
    may["armed-off-aloft"] = [(each - 0.3, each + 0.3) for each in off]
    changes = np.flatnonzero(np.diff(log[:, at.MODE])) * 1e-3
    may["mode-change"] = [(c - 0.2, c + 0.4) for c in changes] + [(f.restart - 0.2, f.restart_end + 0.5)]
    events += [TrueEvent("mode-change", c - 0.01, c + 0.03, c, (("mode",),)) for c in changes if c < end - 0.5]


def _pack(flight: Flight, aloft: Flags, events: list[TrueEvent], may: dict[str, list[tuple[float, float]]]) -> None:
    f, craft, log = flight.design.faults, flight.design.craft, flight.log
    end = len(log) * 1e-3
    each = log[:, at.VOLTS] / craft.cells
    if "weak pack" in flight.design.faults_named and each[aloft].min(initial=5.0) < 3.3:
        events.append(TrueEvent("sag", *WHOLE, end, (("pack_volts", "cell_volts"), ("current", "throttle", "output")),
                                sharp=False))  # fmt: skip
    may["sag"] = [WHOLE] if each[aloft].min(initial=5.0) < 3.55 or f.step < end else []
    low = spans((log[:, at.REST] < 3.42) & aloft, 5.0)
    if low:
        events.append(TrueEvent("below-land-by-volts", *WHOLE, end, (("pack_volts", "cell_volts"), ("chemistry",)),
                                sharp=False))  # fmt: skip
    under = bool(spans((each < 3.35) & aloft, 4.0))  # under load; how much of it is load nobody can tell who hovers
    may["below-land-by-volts"] = [WHOLE] if under or log[:, at.REST].min() < 3.62 else []
    if spans((each < 2.9) & aloft, 2.0):
        events.append(TrueEvent("below-damage-volts", *WHOLE, end, (("pack_volts", "cell_volts"), ("chemistry",)),
                                sharp=False))  # fmt: skip
    may["below-damage-volts"] = [WHOLE] if each.min() < 3.15 else []
    if f.step < min(end, NEVER) and aloft[int(f.step * 1000)]:
        drop = float(log[int(f.step * 1000), at.CURRENT]) * f.step_ohm
        if drop > 0.14 * craft.cells:
            events.append(TrueEvent("volt-step", f.step, f.step + 0.03, end, (("pack_volts", "cell_volts"),)))
    violent = [f.stop, f.prop, f.restart, f.gain, f.reversals, f.fade, f.frozen]
    may["volt-step"] = [(f.step - 0.1, f.step + 0.3), (min(violent) - 0.1, 1e9)]
    if craft.weak_cell > 0.0:
        events.append(TrueEvent("one-cell-low", *WHOLE, end, (("cell_volts numbered",),), sharp=False))
    may["one-cell-low"] = [WHOLE] if craft.weak_cell > 0.0 else []


def _corners(flight: Flight, aloft: Flags, events: list[TrueEvent], may: dict[str, list[tuple[float, float]]]) -> None:
    f, log = flight.design.faults, flight.log
    end = len(log) * 1e-3
    outs = log[:, at.OUT : at.OUT + 4]
    full = np.asarray((outs >= 0.9985).any(axis=1) & aloft, bool)
    long = spans(full, 0.4)
    if long:
        a, b = long[0]
        begun = min([each for each, until in spans(full) if a - until < 0.3])  # short touches of the stop before it
        events.append(TrueEvent("output-saturated", begun, a + 0.02, b, (("output",),), 40.0))
    may["output-saturated"] = wide(spans(np.asarray((outs >= 0.97).any(axis=1), bool)), 0.15, 0.15)
    crash = [a for a, _ in spans(log[:, at.TOUCH] > 6.0)]
    down = min([*crash, end])
    if f.stop < min(down, NEVER):
        events.append(TrueEvent("rotor-speed-collapse", f.stop, f.stop + 0.06, min(f.stop_end, end),
                                (("rotor_speed",),), 20.0, CORNERS[int(f.stop_at)]))  # fmt: skip
    may["rotor-speed-collapse"] = [(min(f.stop, f.prop, f.restart, down) - 0.1, 1e9),
                                   *wide(spans((log[:, at.ARMED] < 0.5) & aloft), 0.2, 5.0)]  # fmt: skip
    if f.prop < min(down, NEVER):
        events.append(TrueEvent("rotor-speed-excess", f.prop, f.prop + 0.08, end, (("rotor_speed",),), 20.0,
                                CORNERS[int(f.prop_at)]))  # fmt: skip
    may["rotor-speed-excess"] = [(f.prop - 0.05, 1e9), (f.stop - 0.05, 1e9), (down - 0.1, 1e9)]
    if f.shift < min(end - 3.0, NEVER) and "motor stop" not in flight.design.faults_named:
        events.append(TrueEvent("output-imbalance-step", f.shift, f.shift + 0.4, end, (("output",),), 20.0))
    odd = min(f.shift, f.bent, f.stop, f.prop, f.gain, f.restart, f.reversals, down)
    if f.crossed_axis >= 0.0:
        odd = 0.0
    may["output-imbalance-step"] = [(odd - 0.2, 1e9)]
    may["output-imbalance"] = [WHOLE] if odd < end else []
    if f.gain < min(down - 1.5, NEVER):
        after = log[int((f.gain + 0.3) * 1000) : int((f.gain + 1.3) * 1000), at.RATE : at.RATE + 2]
        before = log[int((f.gain - 1.0) * 1000) : int(f.gain * 1000), at.RATE : at.RATE + 2]
        swing = np.abs(np.diff(after, n=1, axis=0)).mean(axis=0) / np.abs(np.diff(before, n=1, axis=0)).mean(axis=0)
        if after.std(axis=0).max() > 0.6 and swing.max() > 5.0:
            events.append(TrueEvent("oscillation", f.gain, f.gain + 0.6, end, (("roll_rate",), ("pitch_rate",)), 90.0))
    may["oscillation"] = [
        *wide(spans(log[:, at.TOUCH] > 0.05), 0.4, 0.4),
        (min(f.gain, f.stop, f.prop, f.reversals, f.bent, down) - 0.1, 1e9),
    ]
    if f.bent < min(end - 8.0, NEVER):
        first = int(f.bent * 1000) + 2000
        hz = float(log[first : first + 4000, at.SPEED + int(f.bent_at)].mean()) / (2.0 * np.pi)
        events.append(TrueEvent("once-per-rev-line", *WHOLE, end, (("rotor_speed",), ("roll_rate", "acceleration_x")),
                                2.6 * hz, CORNERS[int(f.bent_at)], sharp=False))  # fmt: skip
    shaking = [WHOLE] if flight.design.faults_named or line_strong(flight, aloft) else []
    may["once-per-rev-line"] = may["blade-pass-line"] = shaking
    may["noise-floor"] = [WHOLE] if flight.design.faults_named else []


def line_strong(flight: Flight, aloft: Flags) -> bool:
    """Tell whether a sound aircraft shakes so much that saying so is no false alarm: near 0.5 rad/s or 10 m/s².

    It shakes on three axes, by all four rotors at once: taken together by the root of the sum of squares.
    """
    craft, log = flight.design.craft, flight.log
    speed = np.quantile(log[aloft, at.SPEED : at.SPEED + 4], 0.9, axis=0) if aloft.any() else np.zeros(4)
    once = craft.unbalance * (speed / craft.speed_max) ** 2 * (1.0 + 0.15 * np.arange(4))
    felt = 1.45 * float(np.sqrt(np.sum(once**2)))
    return felt * craft.vib_gyro > 0.45 or felt * craft.vib_acc > 9.0


def _hands(flight: Flight, aloft: Flags, events: list[TrueEvent], may: dict[str, list[tuple[float, float]]]) -> None:
    f, log = flight.design.faults, flight.log
    end = len(log) * 1e-3
    if f.reversals_end < min(end, NEVER):
        axis = STICKS[int(f.reversals_axis)]
        events.append(TrueEvent("stick-reversals", f.reversals - 0.05, f.reversals + 1.5 / f.reversals_hz,
                                f.reversals_end, ((axis,),), 15.0))  # fmt: skip
    may["stick-reversals"] = [(f.reversals - 0.7, f.reversals_end)]
    stick = np.abs(log[:, at.STICK : at.STICK + 4])
    may["stick-at-stop"] = wide(spans(np.asarray((stick > 0.96).any(axis=1), bool)), 0.2, 0.2)
    may["throttle-cut-then-full"] = wide(spans((log[:, at.STICK + 3] < 0.1) & aloft), 0.5, 0.5)
    if f.crossed_axis >= 0.0 and end > flight.design.plan.off_at + 2.0:
        axis = ("roll_rate", "pitch_rate")[int(f.crossed_axis)]
        needs = ((f"sense of {axis}",), (f"sense of {axis}_demand",))
        events.append(TrueEvent("opposite-response", *WHOLE, end, needs, 40.0, sharp=False))
    may["opposite-response"] = [WHOLE] if f.crossed_axis >= 0.0 else [(min(f.stop, f.prop, f.restart, f.gain), 1e9)]


def _ground(flight: Flight, aloft: Flags, events: list[TrueEvent], may: dict[str, list[tuple[float, float]]]) -> None:
    log = flight.log
    end = len(log) * 1e-3
    lifted = np.flatnonzero(-log[:, at.DOWN] > 1.0)
    hard = [a for a, _ in spans(log[:, at.TOUCH] > 8.0) if lifted.size and a > lifted[0] * 1e-3]
    if hard:
        events.append(TrueEvent("impact", hard[0] - 0.03, hard[0] + 0.03, end,
                                (("acceleration_z",), ("acceleration_x",), ("acceleration_y",)), 90.0))  # fmt: skip
    may["impact"] = wide(spans(log[:, at.TOUCH] > 1.5), 0.1, 0.5)
    light = spans((log[:, at.FORCE] < 0.3 * G) & aloft, 0.45)
    if light:
        loose = [each for each in spans((log[:, at.FORCE] < 0.7 * G) & aloft) if each[1] > light[0][0]]
        events.append(TrueEvent("free-fall", loose[0][0], light[0][0] + 0.05, light[0][1],
                                (("acceleration_z",), ("acceleration_x",), ("acceleration_y",)), 20.0))  # fmt: skip
    may["free-fall"] = wide(spans((log[:, at.FORCE] < 0.65 * G) & aloft), 0.1, 0.1)


def _place(flight: Flight, aloft: Flags, events: list[TrueEvent], may: dict[str, list[tuple[float, float]]]) -> None:
    del aloft
    f, plan, log = flight.design.faults, flight.design.plan, flight.log
    end = len(log) * 1e-3
    there = ("latitude",), ("longitude",)
    if "strong wind" in flight.design.faults_named and end > plan.down_at:
        speed = (("ground_speed", "velocity_north"), ("course", "velocity_east", "latitude"), ("heading",))
        events.append(TrueEvent("wind", *WHOLE, end, speed, sharp=False))
    may["wind"] = [WHOLE]  # how strong is scored
    off_m = float(np.hypot(f.launch_n, f.launch_e))
    if off_m > 30.0:
        stored = ("launch_latitude",), ("launch_longitude",)
        events.append(TrueEvent("launch-point-error", *WHOLE, end, (*stored, *there), sharp=False))
    may["launch-point-error"] = [WHOLE] if off_m > 0.0 else []
    back = spans(log[:, at.PHASE] == at.P_RETURN, 12.0)
    if f.return_off != 0.0 and back and np.hypot(*log[int(back[0][0] * 1000), at.NORTH : at.NORTH + 2]) > 60.0:
        events.append(TrueEvent("return-track-error", back[0][0] - 1.0, back[0][1], end,
                                (*there, ("mode", "return_active")), sharp=False))  # fmt: skip
    may["return-track-error"] = [WHOLE] if f.return_off != 0.0 or off_m > 0.0 or plan.wind > 6.0 else []
