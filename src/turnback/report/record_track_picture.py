"""The track from above: local metres, north up, with the launch point and where the weightiest things happened."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from markupsafe import Markup

from turnback.records.debrief import GroundSeen
from turnback.records.happened import RecordAnswer
from turnback.report import numbers
from turnback.report.debrief_ground import ground_picture, ground_words, within
from turnback.report.language import mark, text
from turnback.report.numbers import Units
from turnback.report.record_facts import RecordTrack, track_of
from turnback.report.record_values import moment
from turnback.report.words_record_events import event_name, weight

SIDE: Final = 400.0
EDGE: Final = 34.0
MOST_MARKS: Final = 4
MARKS_FROM: Final = 55
LETTER: Final = 13.0
"""From one letter to the next."""
APART: Final = 18.0
"""Nearer than this, letters would cover one another."""
RING_STEPS_M: Final = (5, 10, 20, 25, 50, 100, 200, 250, 500, 1000, 2000, 5000, 10_000, 20_000)
RING_STEPS_FT: Final = (20, 50, 100, 200, 250, 500, 1000, 2000, 2640, 5280, 10_560, 26_400, 52_800)
NORTH: Final = mark("N")


@dataclass(frozen=True, slots=True)
class TrackPicture:
    """The picture, and what it shows in words."""

    svg: Markup
    alt: str
    stored: bool
    """It shows the launch point that the record stores."""
    marks: tuple[str, ...]
    """What the crosses are, in their order."""
    ground: str = ""
    """What the shading under it is; empty without one."""


def track_picture(answer: RecordAnswer, units: Units, ground: GroundSeen | None = None) -> TrackPicture | None:
    """Return the track from above, over shaded ground where that is known; None where the record has no positions."""
    track = track_of(answer.flown)
    if track is None:
        return None
    half = max(float(np.abs(track.x_m).max()), float(np.abs(track.y_m).max()), 5.0)
    stored = track.stored_x_m is not None and track.stored_y_m is not None
    if track.stored_x_m is not None and track.stored_y_m is not None:
        half = min(max(half, abs(track.stored_x_m), abs(track.stored_y_m)), 4.0 * half)
    step, rings = _rings(half, units)
    scale = (SIDE / 2.0 - EDGE) / max(step * rings, half)
    crosses = _crosses(answer, track)
    southward = float(track.y_m.mean()) < 0.0
    ground = None if ground is None else within(ground, 0.0, 0.0, SIDE / 2.0 / scale)
    shaded = [] if ground is None else [ground_picture(ground, SIDE / 2.0, scale, 0.0, 0.0, units)]
    parts = [*shaded, *(_ring(step * ring, scale, units, upward=southward) for ring in range(1, rings + 1))]
    parts.append(f'<path class="way" d="{_way(track, scale)}"/>')
    parts += [_cross(x, y, letters) for x, y, letters in crosses_apart([_at(x, y, scale) for x, y, _ in crosses])]
    if track.stored_x_m is not None and track.stored_y_m is not None:
        x, y = _at(track.stored_x_m, track.stored_y_m, scale)
        parts.append(f'<rect class="stored" x="{x - 7:.1f}" y="{y - 7:.1f}" width="14" height="14"/>')
    middle = SIDE / 2.0
    parts.append(f'<circle class="launch" cx="{middle}" cy="{middle}" r="5"/>')
    parts.append(f'<text class="north" x="{middle}" y="15" text-anchor="middle">{text(NORTH)}</text>')
    said = "" if ground is None else ground_words(ground, units)
    return TrackPicture(Markup("".join(parts)), _alt(track, units), stored, tuple(each for _, _, each in crosses), said)  # noqa: S704 - numbers and our own words


def _crosses(answer: RecordAnswer, track: RecordTrack) -> list[tuple[float, float, str]]:
    """Return where the weightiest events began, in time order."""
    weighty = [each for each in answer.events if weight(each) >= MARKS_FROM]
    kept = sorted(weighty, key=lambda each: (-weight(each), each.start_s))[:MOST_MARKS]
    found = []
    for event in sorted(kept, key=lambda each: each.start_s):
        at = min(int(np.searchsorted(track.t_s, event.start_s)), track.t_s.size - 1)
        said = text("{time}: {name}", time=moment(event.start_s), name=event_name(event.kind))
        found.append((float(track.x_m[at]), float(track.y_m[at]), said))
    return found


def _rings(half_m: float, units: Units) -> tuple[float, int]:
    """Return the step of the rings, in metres, and how many of them it takes."""
    imperial = units is Units.IMPERIAL
    steps = [each / numbers.FEET_PER_M for each in RING_STEPS_FT] if imperial else list(map(float, RING_STEPS_M))
    step = next((each for each in steps if half_m / each <= 3.0), half_m)
    return step, max(1, math.ceil(half_m / step - 1e-9))


def _ring(radius_m: float, scale: float, units: Units, *, upward: bool) -> str:
    """Draw a ring; its label stands on the side of the launch point where the track is not."""
    middle, radius = SIDE / 2.0, radius_m * scale
    label_y = middle - radius + 14.0 if upward else middle + radius - 4.0
    label = numbers.words(radius_m, "m", units)
    return (
        f'<circle class="ring" cx="{middle}" cy="{middle}" r="{radius:.1f}"/>'
        f'<text x="{middle + 4}" y="{label_y:.1f}">{label}</text>'
    )


def _way(track: RecordTrack, scale: float) -> str:
    places = (_at(float(x), float(y), scale) for x, y in zip(track.x_m, track.y_m, strict=True))
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in places)


def crosses_apart(places: list[tuple[float, float]]) -> list[tuple[float, float, str]]:
    """Return crosses with their letters: those that would cover one another are one cross with several letters."""
    found: list[tuple[float, float, str]] = []
    for place, (x, y) in enumerate(places):
        letter = chr(ord("a") + place)
        near = next((at for at, one in enumerate(found) if math.hypot(one[0] - x, one[1] - y) < APART), None)
        if near is None:
            found.append((x, y, letter))
        else:
            found[near] = (*found[near][:2], f"{found[near][2]} {letter}")
    return found


def _cross(x: float, y: float, letters: str) -> str:
    several = letters.split()
    right = x + 9.0 + LETTER * len(several) < SIDE
    first_x = x + 9.0 if right else x - 9.0 - LETTER * len(several)
    said = "".join(
        f'<text class="letter" x="{first_x + LETTER * place:.1f}" y="{y + 5:.1f}">{letter}</text>'
        for place, letter in enumerate(several)
    )
    return f'<path class="cross" d="M{x - 6:.1f} {y - 6:.1f}l12 12m0 -12l-12 12"/>{said}'


def _at(x_m: float, y_m: float, scale: float) -> tuple[float, float]:
    limit = SIDE / 2.0 - 10.0
    return SIDE / 2.0 + max(-limit, min(limit, x_m * scale)), SIDE / 2.0 - max(-limit, min(limit, y_m * scale))


def _alt(track: RecordTrack, units: Units) -> str:
    far = float(np.hypot(track.x_m, track.y_m).max())
    return text("The track from above, north up, with the launch point in the middle; {far} from it at most.",
                far=numbers.words(far, "m", units))  # fmt: skip
