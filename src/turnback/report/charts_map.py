"""The map: the ground from above in local metres or feet, with the flight, where it may fall, and what rules it."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from turnback.records.ground_plan import MapMark, MapResult
from turnback.records.result import BriefResult
from turnback.report import numbers
from turnback.report.language import mark, plural, text
from turnback.report.numbers import Units
from turnback.report.shading import contour_step, relief
from turnback.report.vega import (
    HOME,
    INK,
    PATH,
    RADIO,
    RUST,
    Array,
    Chart,
    Key,
    Spec,
    Swatch,
    axis_x,
    axis_y,
    dot,
    labels,
    line,
    outline,
    picture,
    rows,
)
from turnback.report.words_rose import POINT_DEG, POINTS

MOST_TALL_PX: Final = 560
ROUTE_DASH: Final = (2, 3)
REACH_DASH: Final = (7, 4)
PEOPLE: Final = "#b8860b"
WHITE: Final = "#ffffff"
MOST_ROUTE_POINTS: Final = 300
SAME_PLACE_FRACTION: Final = 0.02  # of the map's width: marks nearer than this are one
LABELS_DOWN_PX: Final = (-16, 20, -34)  # of the first, second and third place: apart even where the places are near
LABEL_FRACTION: Final = 0.3  # of the map's width: room for a mark's words
SHAPES: Final = {"control": "diamond", "video": "square", "return": "triangle-up"}
HIDES: Final[dict[tuple[str, ...], str]] = {
    ("control",): mark("rules the control link"),
    ("video",): mark("rules the picture"),
    ("return",): mark("rules the return height"),
    ("control", "video"): mark("rules both links"),
    ("control", "return"): mark("rules control link and return height"),
    ("return", "video"): mark("rules picture and return height"),
    ("control", "return", "video"): mark("rules both links and the return height"),
}
"""What a mark says beside it, by the names of all that meet there, sorted."""


def site_map(result: BriefResult, units: Units) -> Chart:
    """Return the map of a brief.

    Raises
    ------
    ValueError
        If the brief was worked out without one (a slip in code).
    """
    ground = _ground_of(result)
    per_m = numbers.FEET_PER_M if units is Units.IMPERIAL else 1.0
    west, south, east, north = (end * per_m for end in _edges(ground))
    titles = (
        (text("East of launch (ft)"), text("North (ft)"))
        if units is Units.IMPERIAL
        else (text("East of launch (m)"), text("North (m)"))
    )
    x, y = axis_x(titles[0], (west, east)), axis_y(titles[1], (south, north))
    for channel in (x, y):
        channel["axis"] = {**channel["axis"], "grid": False}
    step = contour_step(np.asarray(ground.heights_m, dtype=np.float64) * per_m)
    layers = [
        picture(relief(ground.heights_m, ground.known, ground.cell_m, step / per_m), west, south, east, north, x, y),
        *_people(ground, per_m, x, y),
        *_reach(result, per_m, x, y),
        *_route(ground, per_m, x, y),
        *_falls(result, per_m, x, y),
    ]
    sides = (west, east)
    return Chart(
        "map",
        text("From above: ground, flight and where it may fall"),
        _alt(result, ground, units),
        (*layers, *_marks(ground, per_m, sides, x, y, narrow=False), *_launch(x, y)),
        _keys(result, ground, step, units),
        MOST_TALL_PX,
        aspect=(north - south) / (east - west),
        narrow_layers=(*layers, *_marks(ground, per_m, sides, x, y, narrow=True), *_launch(x, y)),
    )


def _ground_of(result: BriefResult) -> MapResult:
    if result.ground_plan is None:
        raise ValueError("this brief holds no map")
    return result.ground_plan


def _edges(ground: MapResult) -> tuple[float, float, float, float]:
    """Return west, south, east and north of the map, metres: the outermost heights."""
    down, across = (size - 1 for size in ground.heights_m.shape)
    west, north = ground.x_west_m, ground.y_north_m
    return west, north - down * ground.cell_m, west + across * ground.cell_m, north


def _people(ground: MapResult, per_m: float, x: Spec, y: Spec) -> list[Spec]:
    rings = [(ring[:, 0] * per_m, ring[:, 1] * per_m) for _, ring in ground.areas]
    return [outline(rings, x, y, PEOPLE, PEOPLE, 0.35, width=2.0)] if rings else []


def _reach(result: BriefResult, per_m: float, x: Spec, y: Spec) -> list[Spec]:
    """Return the outline of the turn-back distances: straight lines between the bearings looked at."""
    if result.rose is None:
        return []
    far, angle = np.nan_to_num(result.rose.turn_back_m) * per_m, np.deg2rad(result.rose.bearing_deg)
    ring = (far * np.sin(angle), far * np.cos(angle))
    return [outline([ring], x, y, WHITE, width=4.5), outline([ring], x, y, RADIO, width=2.2, dash=REACH_DASH)]


def _falls(result: BriefResult, per_m: float, x: Spec, y: Spec) -> list[Spec]:
    if result.fall is None:
        return []
    rings = [(at.ring_x_m * per_m, at.ring_y_m * per_m) for at in result.fall.places]
    return [outline(rings, x, y, RUST, RUST, 0.25, width=1.5)] if rings else []


def _route(ground: MapResult, per_m: float, x: Spec, y: Spec) -> list[Spec]:
    """Return the route in the order flown, edged so that it reads on any ground."""
    step = max(1, math.ceil(ground.route_x_m.size / MOST_ROUTE_POINTS))
    kept = np.unique(np.append(np.arange(0, ground.route_x_m.size, step), ground.route_x_m.size - 1))
    data = rows(
        2, x=ground.route_x_m[kept] * per_m, y=ground.route_y_m[kept] * per_m, order=np.arange(kept.size, dtype=float)
    )
    layers = [line(data, x, y, WHITE, 4.5), line(data, x, y, PATH, 2.4, ROUTE_DASH)]
    for layer in layers:
        layer["encoding"]["order"] = {"field": "order", "type": "quantitative"}
    return layers


def _launch(x: Spec, y: Spec) -> list[Spec]:
    ring, core = dot((0.0, 0.0), x, y, WHITE, "circle"), dot((0.0, 0.0), x, y, INK, "circle")
    ring["mark"]["size"], core["mark"]["size"] = 220, 110
    return [ring, core, *labels([(0.0, 0.0, text("launch"))], x, y, halo=WHITE, dy=18, fontWeight="bold")]


def _marks(
    ground: MapResult, per_m: float, sides: tuple[float, float], x: Spec, y: Spec, *, narrow: bool
) -> list[Spec]:
    """Return the ruling obstacles, each with its shape; those that meet at one place get one label."""
    layers: list[Spec] = []
    for group, down in zip(_groups(ground), LABELS_DOWN_PX, strict=False):
        place = (group[0].x_m * per_m, group[0].y_m * per_m)
        for size, each in zip((170, 120, 70), group, strict=False):
            spec = dot(place, x, y, HOME if each.kind == "return" else RADIO, SHAPES[each.kind])
            spec["mark"] |= {"size": size, "stroke": WHITE, "strokeWidth": 1.5}
            layers.append(spec)
        words = text(HIDES[tuple(sorted(each.kind for each in group))])
        align, right = ("left", -8) if _to_the_right(place[0], sides, narrow=narrow) else ("right", 8)
        layers += labels([(*place, words)], x, y, halo=WHITE, dy=down, align=align, dx=right)
    return layers


def _to_the_right(at: float, sides: tuple[float, float], *, narrow: bool) -> bool:
    """Return whether a mark's words run to its right: away from the launch point where there is room for them."""
    west, east = sides
    right_fraction = (east - at) / (east - west)
    if narrow:
        return right_fraction > 0.5
    return right_fraction > LABEL_FRACTION and (at > 0.0 or 1.0 - right_fraction < LABEL_FRACTION)


def _groups(ground: MapResult) -> list[list[MapMark]]:
    """Return the marks, those at one place together."""
    near_m = SAME_PLACE_FRACTION * ground.cell_m * max(ground.heights_m.shape)
    groups: list[list[MapMark]] = []
    for each in ground.marks:
        home = next((g for g in groups if math.hypot(g[0].x_m - each.x_m, g[0].y_m - each.y_m) <= near_m), None)
        if home is None:
            groups.append([each])
        else:
            home.append(each)
    return groups


def _keys(result: BriefResult, ground: MapResult, step: float, units: Units) -> tuple[Key, ...]:
    keys = [Key(text("route"), PATH, Swatch.LINE, ROUTE_DASH)]
    if result.rose is not None:
        keys.append(Key(text("turn back inside this, flown straight out"), RADIO, Swatch.LINE, REACH_DASH))
    if result.fall is not None and result.fall.places:
        keys.append(Key(text("9 of 10 falls end inside, motors stopped"), RUST, Swatch.AREA, opacity=0.4))
    if ground.areas:
        keys.append(Key(text("people"), PEOPLE, Swatch.AREA, opacity=0.6))
    if step > 0.0:
        per_m = numbers.FEET_PER_M if units is Units.IMPERIAL else 1.0
        height = numbers.words(step / per_m, "m", units)
        keys.append(Key(text("one height every {height}", height=height), "#8c8c8c", Swatch.LINE))
    if not ground.known.all():
        keys.append(Key(text("blank: the ground is not known"), WHITE, Swatch.AREA))
    return tuple(keys)


def _alt(result: BriefResult, ground: MapResult, units: Units) -> str:
    """Say in words what is where."""
    west, south, east, north = _edges(ground)

    def length(value_m: float) -> str:
        return numbers.words(value_m, "m", units)

    parts = [
        text("Map, north up, {width} from west to east and {height} from south to north.", width=length(east - west),
             height=length(north - south)),
        _route_words(ground, units),
    ]  # fmt: skip
    launch_m = _launch_height_m(ground)
    high, low = float(ground.heights_m.max()) - launch_m, launch_m - float(ground.heights_m.min())
    parts.append(text("The highest ground on it is {height} above launch.", height=length(max(high, 0.0))))
    parts.append(text("The lowest ground on it is {height} below launch.", height=length(max(low, 0.0))))
    for group in _groups(ground):
        at = group[0]
        parts.append(
            text(
                "A place {distance} from launch, {bearing}, {rules}.",
                distance=length(math.hypot(at.x_m, at.y_m)),
                bearing=_toward(at.x_m, at.y_m),
                rules=text(HIDES[tuple(sorted(each.kind for each in group))]),
            )
        )
    return " ".join([*parts, *_people_words(result, ground)])


def _route_words(ground: MapResult, units: Units) -> str:
    reach = np.hypot(ground.route_x_m, ground.route_y_m)
    far = int(np.argmax(reach))
    if reach[far] < 1.0:
        return text("The plan stays over the launch point.")
    return text(
        "The route goes {distance} out, toward {bearing}.",
        distance=numbers.words(float(reach[far]), "m", units),
        bearing=_toward(float(ground.route_x_m[far]), float(ground.route_y_m[far])),
    )


def _people_words(result: BriefResult, ground: MapResult) -> list[str]:
    said = []
    if ground.areas:
        count = len(ground.areas)
        said.append(
            plural("{count} area with people lies on it.", "{count} areas with people lie on it.", count)
        )  # fmt: skip
    if result.fall is not None and result.fall.places:
        meets = bool(result.fall.meets)
        said.append(
            text("If the motors stop, it may fall into one of them.")
            if meets
            else text("Outlines show where it falls if the motors stop on the way.")
        )
    return said


def _toward(x_m: float, y_m: float) -> str:
    """Return the nearest point of the compass."""
    bearing_deg = math.degrees(math.atan2(x_m, y_m)) % 360.0
    return text(POINTS[round(bearing_deg / POINT_DEG) % len(POINTS)])


def _launch_height_m(ground: MapResult) -> float:
    """Return the height of the map's ground at the launch point."""
    ny, nx = ground.heights_m.shape
    heights: Array = np.asarray(ground.heights_m, dtype=np.float64)
    east, south = ground.x_west_m + np.arange(nx) * ground.cell_m, -ground.y_north_m + np.arange(ny) * ground.cell_m
    column = np.array([np.interp(0.0, east, row) for row in heights])
    return float(np.interp(0.0, south, column))
