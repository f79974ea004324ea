"""Where to look, from above: outlines, the last of its track, the launch point, north and a scale."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from markupsafe import Markup
from numpy.typing import NDArray

from turnback.records.debrief import GroundSeen, SearchArea
from turnback.report import numbers
from turnback.report.debrief_ground import ground_picture, ground_words, within
from turnback.report.language import mark, text
from turnback.report.numbers import Units
from turnback.report.record_facts import RecordTrack
from turnback.report.record_track_picture import RING_STEPS_FT, RING_STEPS_M
from turnback.report.words_debrief_search import all_around, bearing_words, radii_m

Array = NDArray[np.float64]

SIDE: Final = 400.0
EDGE: Final = 30.0
LEAST_HALF_M: Final = 12.0
BAR_SHARE: Final = 0.32
"""A scale bar is at most this long, of the picture."""
LAST_S: Final = 60.0
"""So much of the track before the last that is known is drawn."""
FOLLOWS_M: Final = 60.0
"""A track that ends farther from the last known place than this is another's: it is not drawn."""
INSET: Final = 132.0
"""Side of the larger view of a small search area."""
LARGER: Final = 3.0
"""It is drawn where it shows the area at least this much larger."""
ARROW_PX: Final = 26.0
NORTH: Final = mark("N")
LAUNCH: Final = mark("launch")


@dataclass(frozen=True, slots=True)
class SearchPicture:
    """The map, and what it shows in words."""

    svg: Markup
    alt: str
    track: bool
    """The last of its track is drawn."""
    ground: str = ""
    """What the shading under it is; empty without one."""
    ring: bool = False
    """No direction is known: a ring around the launch point, without a way to walk."""


@dataclass(frozen=True, slots=True)
class _View:
    """How metres become the picture's own measure."""

    x_m: float
    y_m: float
    scale: float

    def at(self, x_m: float, y_m: float) -> tuple[float, float]:
        """Return a place in the picture."""
        return SIDE / 2.0 + (x_m - self.x_m) * self.scale, SIDE / 2.0 - (y_m - self.y_m) * self.scale

    def path(self, x_m: Array, y_m: Array) -> str:
        """Return a line."""
        places = (self.at(float(x), float(y)) for x, y in zip(x_m, y_m, strict=True))
        return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in places)


def search_picture(
    search: SearchArea, track: RecordTrack | None, units: Units, ground: GroundSeen | None = None
) -> SearchPicture:
    """Return the map of a search, north up.

    Parameters
    ----------
    search : SearchArea
    track : RecordTrack or None
        Of the record; its last minute before the last that is known is drawn.
    units : Units
        Of the scale bar.
    ground : GroundSeen, optional
        It is shaded under the map.
    """
    view = _view(search)
    ground = None if ground is None else within(ground, view.x_m, view.y_m, SIDE / 2.0 / view.scale)
    parts = [
        "" if ground is None else ground_picture(ground, SIDE / 2.0, view.scale, view.x_m, view.y_m, units),
        f'<path class="most" d="{view.path(search.most_x_m, search.most_y_m)}Z"/>',
        f'<path class="half" d="{view.path(search.half_x_m, search.half_y_m)}Z"/>',
    ]
    last = None if all_around(search) else _last(search, track)
    if last is not None:
        parts.append(f'<path class="way" d="{view.path(*last)}"/>')
    if not all_around(search):  # else nothing but a ring is known
        guide = _line(view.at(0.0, 0.0), view.at(search.centre_x_m, search.centre_y_m))
        parts += [f'<path class="guide" d="{guide}"/>', _heading(search, view), _cross(search, view)]
        parts.append(_larger(search, view, units))
    parts += [_launch(view), _bar(view, units), _north()]
    said = "" if ground is None else ground_words(ground, units)
    svg = Markup("".join(parts))  # noqa: S704 - numbers and our own words
    return SearchPicture(svg, _alt(search, units), last is not None, said, all_around(search))


def _view(search: SearchArea) -> _View:
    x_m = np.concatenate([search.most_x_m, [0.0, search.last_x_m, search.centre_x_m]])
    y_m = np.concatenate([search.most_y_m, [0.0, search.last_y_m, search.centre_y_m]])
    half = max(float(np.ptp(x_m)), float(np.ptp(y_m)), 2.0 * LEAST_HALF_M) / 2.0
    middle = (float(x_m.min() + x_m.max()) / 2.0, float(y_m.min() + y_m.max()) / 2.0)
    return _View(*middle, (SIDE / 2.0 - EDGE) / half)


def _last(search: SearchArea, track: RecordTrack | None) -> tuple[Array, Array] | None:
    """Return the last minute of the track, or None where there is none that ends there."""
    if track is None:
        return None
    inside = (track.t_s <= search.last_s + 1e-6) & (track.t_s >= search.last_s - LAST_S)
    if int(inside.sum()) < 2:
        return None
    x_m, y_m = track.x_m[inside], track.y_m[inside]
    if math.hypot(float(x_m[-1]) - search.last_x_m, float(y_m[-1]) - search.last_y_m) > FOLLOWS_M:
        return None
    return np.append(x_m, search.last_x_m), np.append(y_m, search.last_y_m)


def _heading(search: SearchArea, view: _View) -> str:
    """Draw the last known place, with an arrow where it went."""
    x, y = view.at(search.last_x_m, search.last_y_m)
    dot = f'<circle class="last" cx="{x:.1f}" cy="{y:.1f}" r="4.5"/>'
    if not math.isfinite(search.last_course_deg) or not search.last_speed_mps > 0.0:
        return dot
    turn = math.radians(search.last_course_deg)
    right, up = math.sin(turn), math.cos(turn)
    tip_x, tip_y = x + ARROW_PX * right, y - ARROW_PX * up
    left = tip_x - 9.0 * right - 5.0 * up, tip_y + 9.0 * up - 5.0 * right
    other = tip_x - 9.0 * right + 5.0 * up, tip_y + 9.0 * up + 5.0 * right
    arrow = _line((x, y), (tip_x, tip_y)) + _line(left, (tip_x, tip_y), other)
    return f'{dot}<path class="course" d="{arrow}"/>'


def _line(*places: tuple[float, float]) -> str:
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in places)


def _cross(search: SearchArea, view: _View) -> str:
    x, y = view.at(search.centre_x_m, search.centre_y_m)
    return f'<path class="cross" d="M{x - 7:.1f} {y - 7:.1f}l14 14m0 -14l-14 14"/>'


def _launch(view: _View) -> str:
    x, y = view.at(0.0, 0.0)
    right = x < SIDE * 0.7
    at_x, anchor = (x + 10.0, "start") if right else (x - 10.0, "end")
    return (
        f'<circle class="launch" cx="{x:.1f}" cy="{y:.1f}" r="5.5"/>'
        f'<text x="{at_x:.1f}" y="{y + 5.0:.1f}" text-anchor="{anchor}">{text(LAUNCH)}</text>'
    )


def _bar(view: _View, units: Units) -> str:
    """Draw the longest round scale bar that fits, under the picture."""
    steps = [each / numbers.FEET_PER_M for each in RING_STEPS_FT] if units is Units.IMPERIAL else RING_STEPS_M
    length_m = max((each for each in steps if each * view.scale <= BAR_SHARE * SIDE), default=steps[0])
    left, bottom = 14.0, SIDE - 14.0
    right = left + length_m * view.scale
    return (
        f'<path class="bar" d="M{left} {bottom - 5}v10M{left} {bottom}H{right:.1f}M{right:.1f} {bottom - 5}v10"/>'
        f'<text x="{right + 6:.1f}" y="{bottom + 5}">{numbers.words(length_m, "m", units)}</text>'
    )


def _larger(search: SearchArea, view: _View, units: Units) -> str:
    """Draw small outlines once more, larger, in the corner that is farthest from the way."""
    x_m = np.append(search.most_x_m, [search.last_x_m, search.centre_x_m])
    y_m = np.append(search.most_y_m, [search.last_y_m, search.centre_y_m])
    half = max(float(np.ptp(x_m)), float(np.ptp(y_m)), 2.0 * LEAST_HALF_M) / 2.0
    scale = (INSET / 2.0 - 14.0) / half
    if scale < LARGER * view.scale:
        return ""
    middle = float(x_m.min() + x_m.max()) / 2.0, float(y_m.min() + y_m.max()) / 2.0
    near = _View(middle[0] + (SIDE - INSET) / 2.0 / scale, middle[1] - (SIDE - INSET) / 2.0 / scale, scale)
    shares = np.linspace(0.0, 1.0, 21)
    way = [view.at(share * search.centre_x_m, share * search.centre_y_m) for share in shares]
    corners = [(6.0, 6.0), (SIDE - INSET - 6.0, SIDE - INSET - 6.0), (6.0, SIDE - INSET - 40.0),
               (SIDE - INSET - 6.0, 56.0)]  # fmt: skip
    left, top = max(
        corners, key=lambda each: min(math.dist(p, (each[0] + INSET / 2, each[1] + INSET / 2)) for p in way)
    )
    steps = [each / numbers.FEET_PER_M for each in RING_STEPS_FT] if units is Units.IMPERIAL else RING_STEPS_M
    length_m = max((each for each in steps if each * scale <= 0.45 * INSET), default=steps[0])
    bottom = INSET - 10.0
    return (
        f'<g transform="translate({left:.1f} {top:.1f})"><rect class="inset" width="{INSET}" height="{INSET}"/>'
        f'<path class="most" d="{near.path(search.most_x_m, search.most_y_m)}Z"/>'
        f'<path class="half" d="{near.path(search.half_x_m, search.half_y_m)}Z"/>'
        f"{_heading(search, near)}{_cross(search, near)}"
        f'<path class="bar" d="M8 {bottom - 4}v8M8 {bottom}h{length_m * scale:.1f}m0 -4v8"/>'
        f'<text x="{length_m * scale + 14:.1f}" y="{bottom + 5}">{numbers.words(length_m, "m", units)}</text></g>'
    )


def _north() -> str:
    x = SIDE - 20.0
    return (
        f'<path class="bar" d="M{x} 46V22M{x - 5} 30L{x} 22L{x + 5} 30"/>'
        f'<text class="north" x="{x}" y="16" text-anchor="middle">{text(NORTH)}</text>'
    )


def _alt(search: SearchArea, units: Units) -> str:
    if all_around(search):
        return text(
            "Where to look, from above: a ring around the launch point, {distance} from it; no direction is known.",
            distance=numbers.words(search.distance_m.mid, "m", units),
        )
    half, most = radii_m(search)
    return text(
        "Where to look, from above, north up: {distance} from the launch point toward {direction}. The inner outline "
        "reaches {half} from there, the outer one {most}.",
        distance=numbers.words(search.distance_m.mid, "m", units),
        direction=bearing_words(search.bearing_deg.mid),
        half=numbers.words(half, "m", units, numbers.Toward.UP),
        most=numbers.words(most, "m", units, numbers.Toward.UP),
    )
