"""Where the ring's reason changes: a few labels on the picture, placed so that none covers another."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from turnback.records.home_map import TurnBackRing
from turnback.report.five import LEAST_TURN_BACK_M
from turnback.report.language import text
from turnback.report.map_picture_draw import Frame, Look, line, wide, write
from turnback.report.map_picture_words import SHORT, far
from turnback.report.numbers import Units
from turnback.report.words_map import best_point, sectors

MOST_LABELS: Final = 6
LEAST_RUN_DEG: Final = 12.0
"""A reason on fewer bearings than this gets no label, unless it is the nearest of all."""
CLEAR: Final = 4.0
AWAY: Final = (1.5, 2.6, 3.8, 5.2)
"""How far from its place a label may stand, in sizes of its type."""
TURNS_DEG: Final = (0.0, 25.0, -25.0, 50.0, -50.0, 180.0, 150.0, -150.0, 90.0, -90.0)

Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Label:
    """Words of two lines for a place on the ring."""

    at: int
    """Bearing's place in the ring."""
    first: str
    second: str


def runs(ring: TurnBackRing) -> list[tuple[int, int]]:
    """Return where a reason begins and for how many bearings it holds, clockwise, over north where it does."""
    count = len(ring.reason)
    starts = [i for i in range(count) if ring.reason[i] != ring.reason[i - 1]]
    if not starts:
        return [(0, count)]
    return [(start, (starts[(i + 1) % len(starts)] - start) % count or count) for i, start in enumerate(starts)]


def chosen(ring: TurnBackRing, units: Units) -> list[Label]:
    """Return the labels: of each reason's longer stretches the place where it must turn back soonest, nearest first.

    The bearing of the compass that is said to reach farthest has one too, with the distance that the text says.
    """
    far_m = np.nan_to_num(ring.turn_back_m)
    count = far_m.size
    nearest = int(np.argmin(far_m))
    picked: list[tuple[int, int]] = []
    for start, length in runs(ring):
        places = (start + np.arange(length)) % count
        at = int(places[np.argmin(far_m[places])])
        if length * 360.0 / count >= LEAST_RUN_DEG or at == nearest:
            picked.append((length if at != nearest else count, at))
    farthest = int(sectors(ring)[best_point(ring)])
    if farthest not in {at for _, at in picked}:
        picked.append((count, farthest))
    picked = sorted(picked, key=lambda each: -each[0])[:MOST_LABELS]
    return [
        Label(at, far(ring, at, units), text(SHORT[ring.reason[at]]))
        for _, at in sorted(picked, key=lambda each: (far_m[each[1]], each[1]))
    ]  # fmt: skip


def placed(ring: TurnBackRing, units: Units, frame: Frame, look: Look, size: float, taken: list[Box]) -> str:
    """Return the labels drawn, each with a dot on the ring; one that finds no room is left out.

    Parameters
    ----------
    ring : TurnBackRing
    units : Units
    frame : Frame
    look : Look
    size : float
        Of the type.
    taken : list of Box
        What must stay free; boxes of the labels are added.
    """
    drawn = []
    for label in chosen(ring, units):
        out_m = max(float(np.nan_to_num(ring.turn_back_m[label.at])), 0.0)
        bearing_deg = float(ring.bearing_deg[label.at])
        x, y = frame.at(out_m * math.sin(math.radians(bearing_deg)), out_m * math.cos(math.radians(bearing_deg)))
        width = max(wide(label.first, size), wide(label.second, size))
        middle = _room(x, y, bearing_deg, width, size, frame, taken)
        if middle is None:
            continue
        left, top = middle[0] - width / 2.0, middle[1] - 1.15 * size
        taken.append((left, top, left + width, top + 2.4 * size))
        end_x, end_y = _edge_of(taken[-1], (x, y), middle)
        path = f"M{x:.1f} {y:.1f}L{end_x:.1f} {end_y:.1f}"
        drawn += [
            line(path, look.halo, 3.5),
            line(path, look.ink, 1.3),
            write(middle[0], middle[1] - 0.12 * size, label.first, size, look.ink, anchor="middle", bold=True,
                  halo=look.halo),
            write(middle[0], middle[1] + 1.0 * size, label.second, size, look.ink, anchor="middle", halo=look.halo),
        ]  # fmt: skip
        if out_m >= LEAST_TURN_BACK_M:
            drawn.append(
                f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{0.34 * size:.1f}" fill="{look.ink}" stroke="{look.halo}" '
                'stroke-width="1.5"/>'
            )
    return "".join(drawn)


def _room(
    x: float, y: float, bearing_deg: float, width: float, size: float, frame: Frame, taken: list[Box]
) -> tuple[float, float] | None:
    """Return the middle of a label of two lines near a place: outward if there is room, else where there is."""
    for away in AWAY:
        for turn_deg in TURNS_DEG:
            toward = math.radians(bearing_deg + turn_deg)
            across, up = math.sin(toward), math.cos(toward)
            # so far that the box's near edge, not its middle, lies `away` from the place
            middle = (x + across * (away * size + width / 2.0 * abs(across)), y - up * (away * size + 0.7 * size))
            box = (middle[0] - width / 2.0, middle[1] - 1.15 * size, middle[0] + width / 2.0, middle[1] + 1.25 * size)
            if free(box, frame, taken):
                return middle
    return None


def _edge_of(box: Box, start: tuple[float, float], middle: tuple[float, float]) -> tuple[float, float]:
    """Return where a line from a place to the middle of a box meets it, so that it strikes out no word."""
    across, down = middle[0] - start[0], middle[1] - start[1]
    part = 1.0
    for step, from_middle in ((across, (box[2] - box[0]) / 2.0), (down, (box[3] - box[1]) / 2.0)):
        if step:
            part = min(part, from_middle / abs(step))
    return middle[0] - part * across, middle[1] - part * down


def free(box: Box, frame: Frame, taken: list[Box]) -> bool:
    """Return whether a box lies inside the picture and covers nothing that is taken."""
    return _inside(box, frame) and not any(_meet(box, other) for other in taken)


def _inside(box: Box, frame: Frame) -> bool:
    left, top, right, bottom = box
    return (
        left >= frame.left + CLEAR and top >= frame.top + CLEAR
        and right <= frame.left + frame.width - CLEAR and bottom <= frame.top + frame.height - CLEAR
    )  # fmt: skip


def _meet(one: Box, other: Box) -> bool:
    return (
        one[0] < other[2] + CLEAR and other[0] < one[2] + CLEAR
        and one[1] < other[3] + CLEAR and other[1] < one[3] + CLEAR
    )  # fmt: skip
