"""The charts of a brief: rose, map, side view, volts against time, link margin against distance."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist
from typing import Final

import numpy as np

from turnback.records.result import BriefResult, EnergyResult, HeightsAbove, LinkResult
from turnback.report import numbers, words
from turnback.report.charts_map import site_map
from turnback.report.charts_rose import rose
from turnback.report.five import obstacle
from turnback.report.language import mark, text
from turnback.report.numbers import Units
from turnback.report.vega import (
    EARTH,
    HOME,
    INK,
    LEAF,
    PATH,
    RADIO,
    RUST,
    SKY,
    Array,
    Chart,
    Key,
    Spec,
    Swatch,
    area,
    axis_x,
    axis_y,
    dot,
    level,
    line,
    rows,
    thinned,
    upright,
)
from turnback.rules.chance import GO_CHANCE

RETURN_DASH = (10, 4)
ROUTE_DASH = (2, 3)
NEEDED_DASH = (6, 4)
MARGIN_TITLES: Final[dict[str, str]] = {
    "control": mark("Control link: margin against distance"),
    "video": mark("Video link: margin against distance"),
}
MARGIN_ALTS: Final[dict[str, str]] = {
    "control": mark(
        "Margin of the control link along the route. It is least, for its scatter, {distance} from launch: {margin} "
        "({low} to {high}). Over the whole route it breaks in {chance}."
    ),
    "video": mark(
        "Margin of the video link along the route. It is least, for its scatter, {distance} from launch: {margin} "
        "({low} to {high}). Over the whole route it breaks in {chance}."
    ),
}


HEIGHT_TITLES: Final[dict[HeightsAbove, str]] = {
    "sea level": mark("Height above sea level ({unit})"),
    "launch": mark("Height above launch ({unit})"),
}
SIDE_ALTS: Final[dict[HeightsAbove, str]] = {
    "sea level": mark(
        "Side view from launch to {far}. The highest ground is {top} above sea level, {top_out} out. The aircraft "
        "is drawn at {height} above sea level, {out} out."
    ),
    "launch": mark(
        "Side view from launch to {far}. The highest ground is {top} above launch, {top_out} out. The aircraft "
        "is drawn at {height} above launch, {out} out."
    ),
}
RETURN_ALTS: Final[dict[HeightsAbove, str]] = {
    "sea level": mark("The automatic return flies at {height} above sea level."),
    "launch": mark("The automatic return flies at {height} above launch."),
}


def charts(result: BriefResult, units: Units) -> tuple[Chart, ...]:
    """Return the charts of a brief, in reading order."""
    links = [result.control] + ([result.video] if result.video is not None else [])
    from_above = [rose(result, units)] if result.rose is not None else []
    from_above += [site_map(result, units)] if result.ground_plan is not None else []
    return (
        *from_above,
        side_view(result, units),
        volts(result.energy, units),
        *(margin(link, units) for link in links),
    )


def side_view(result: BriefResult, units: Units) -> Chart:
    """Ground, trees, the line of sight with its first Fresnel zone, the way home and the route, from the side."""
    side, to = result.profile, _length(units)
    far = float(max(side.distance_m[-1], side.route_distance_m.max()))
    ground_m, at_m = thinned(side.ground_m, side.distance_m)
    canopy = ground_m + np.where(at_m > 0.0, side.canopy_m, 0.0)
    ray_x = np.linspace(0.0, side.aircraft_distance_m, 160)
    ray_y = side.antenna_m + (side.aircraft_m - side.antenna_m) * ray_x / max(side.aircraft_distance_m, 1e-9)
    zone = np.interp(ray_x, side.distance_m, side.fresnel_radius_m)
    home_m = -math.inf if side.return_m is None else side.return_m
    tops = [canopy.max(), (ray_y + zone).max(), side.route_m.max(), home_m]
    ends = _room(float(ground_m.min()), float(max(tops)))
    x = axis_x(text("Distance from launch ({unit})", unit=to.name), (0.0, far * to.per_m))
    title = HEIGHT_TITLES[result.heights_above]
    y = axis_y(text(title, unit=to.name), [end * to.per_m for end in ends])
    up = to.per_m
    floor = np.full_like(ground_m, ends[0])
    layers = [
        area(rows(3, x=ray_x * to.per_m, y=(ray_y + zone) * up, y2=(ray_y - zone) * up), x, y, SKY, 0.55),
        area(rows(3, x=at_m * to.per_m, y=canopy * up, y2=ground_m * up), x, y, LEAF, 0.75),
        area(rows(3, x=at_m * to.per_m, y=ground_m * up, y2=floor * up), x, y, EARTH),
        line(rows(3, x=ray_x * to.per_m, y=ray_y * up), x, y, RADIO),
        _route(side.route_distance_m, side.route_m, to, x, y),
    ]
    keys = [
        Key(text("ground"), EARTH, Swatch.AREA),
        Key(text("line of sight"), RADIO, Swatch.LINE),
        Key(text("space the signal needs (first Fresnel zone)"), SKY, Swatch.AREA, opacity=0.55),
        Key(text("route"), PATH, Swatch.LINE, ROUTE_DASH),
    ]
    if side.canopy_m > 0.0:
        keys.insert(1, Key(text("trees that are assumed"), LEAF, Swatch.AREA, opacity=0.75))
    if side.return_m is not None:
        layers.append(level(side.return_m * up, x, y, (0.0, far * to.per_m), HOME, RETURN_DASH))
        keys.append(Key(text("automatic return"), HOME, Swatch.LINE, RETURN_DASH))
    layers += [
        dot((0.0, side.antenna_m * up), x, y, INK, "triangle-up"),
        dot((side.aircraft_distance_m * to.per_m, side.aircraft_m * up), x, y, INK, "diamond"),
    ]
    return Chart(
        "side",
        text("From the side: ground, signal and way home"),
        _side_alt(result, units),
        tuple(layers),
        tuple(keys),
        300,
    )


def volts(energy: EnergyResult, units: Units) -> Chart:
    """Volts of one cell over the flight, at rest with its band and under load, against the land-by line."""
    loaded, rest, low, high, time = thinned(
        energy.loaded_mid_v, energy.rest_mid_v, energy.rest_low_v, energy.rest_high_v, energy.time_s
    )
    minutes = time / 60.0
    ends = _room(float(np.nanmin([loaded.min(), low.min(), energy.land_by_rest_v])), float(high.max()), 0.06)
    x = axis_x(text("Minutes after launch"), (0.0, float(minutes[-1])))
    y = axis_y(text("Volts of one cell"), ends)
    layers = (
        area(rows(4, x=minutes, y=high, y2=low), x, y, SKY, 0.6),
        line(rows(4, x=minutes, y=loaded), x, y, RUST, 1.8),
        line(rows(4, x=minutes, y=rest), x, y, RADIO),
        level(energy.land_by_rest_v, x, y, (0.0, float(minutes[-1])), INK, NEEDED_DASH),
    )
    land_by = numbers.words(energy.land_by_rest_v, "V", units)
    keys = (
        Key(text("at rest, best estimate"), RADIO, Swatch.LINE),
        Key(text("at rest, over what is not known"), SKY, Swatch.AREA, opacity=0.6),
        Key(text("under load"), RUST, Swatch.LINE),
        Key(text("land by, at rest: {volts}", volts=land_by), INK, Swatch.LINE, NEEDED_DASH),
    )
    alt = text(
        "Volts of one cell over {time} of flight. At rest they end at {rest}; the land-by voltage is {land_by} at "
        "rest. The lowest under load is {lowest}.",
        time=numbers.minutes(float(time[-1])),
        rest=words.spread(energy.landing_rest_v, "V", units),
        land_by=land_by,
        lowest=words.spread(energy.lowest_loaded_v, "V", units),
    )
    return Chart("volts", text("Volts of one cell against time"), alt, layers, keys, 260)


def margin(link: LinkResult, units: Units) -> Chart:
    """Margin of one link along the route, its band, the line of loss, and the margin that a go needs there."""
    to = _length(units)
    shown, plan_ends_m = _way_out(link)
    mid, low, high, sigma, at = thinned(
        *(each[:shown] for each in (
            link.margin_mid_db, link.margin_low_db, link.margin_high_db, link.sigma_db, link.distance_m))
    )  # fmt: skip
    needed = NormalDist().inv_cdf(GO_CHANCE.value) * sigma
    # The first metres have tens of decibels to spare and would flatten what matters.
    top = float(min(high.max(), max(50.0, float(np.median(high)) + 15.0)))
    ends = _room(float(min(low.min(), -3.0)), top, 0.05)
    far = float(at[-1]) * to.per_m
    x = axis_x(text("Distance flown ({unit})", unit=to.name), (0.0, far))
    y = axis_y(text("Margin (dB)"), ends)
    layers = [
        area(rows(3, x=at * to.per_m, y=high, y2=low), x, y, SKY, 0.6),
        level(0.0, x, y, (0.0, far), RUST),
        line(rows(3, x=at * to.per_m, y=needed), x, y, INK, 2.0, NEEDED_DASH),
        line(rows(3, x=at * to.per_m, y=mid), x, y, RADIO),
    ]
    keys = [
        Key(text("margin, best estimate"), RADIO, Swatch.LINE),
        Key(text("over what is not known"), SKY, Swatch.AREA, opacity=0.6),
        Key(text("margin a go needs there"), INK, Swatch.LINE, NEEDED_DASH),
        Key(text("0 dB: the link breaks"), RUST, Swatch.LINE),
    ]
    if plan_ends_m is not None:
        layers.append(upright(plan_ends_m * to.per_m, x, y, ends, PATH, ROUTE_DASH))
        keys.append(Key(text("the plan ends; farther on the same line"), PATH, Swatch.LINE, ROUTE_DASH))
    return Chart(
        f"margin-{link.name}", text(MARGIN_TITLES[link.name]), _margin_alt(link, units), tuple(layers), tuple(keys), 260
    )


def _way_out(link: LinkResult) -> tuple[int, float | None]:
    """Return how many stations lie before the way back, and where the plan ends among them.

    A straight route is continued past its far point, to say what is left; the way back then starts at the far point,
    so distance flown falls there. A route without such a continuation is shown whole.
    """
    back = np.flatnonzero(np.diff(link.distance_m) < 0.0)
    if back.size == 0:
        return link.distance_m.size, None
    return int(back[0]) + 1, float(link.distance_m[back[0] + 1])


@dataclass(frozen=True, slots=True)
class _Length:
    """How the charts name and scale lengths."""

    name: str
    per_m: float


def _length(units: Units) -> _Length:
    if units is Units.IMPERIAL:
        return _Length(text("feet"), numbers.FEET_PER_M)
    return _Length(text("metres"), 1.0)


def _room(low: float, high: float, share: float = 0.12) -> tuple[float, float]:
    slack = max((high - low) * share, 1e-3)
    return low - slack, high + slack


def _route(distance_m: Array, height_m: Array, to: _Length, x: Spec, y: Spec) -> Spec:
    """The route may come back over itself, so its points keep the order flown."""
    step = max(1, math.ceil(distance_m.size / 400))
    kept = np.unique(np.append(np.arange(0, distance_m.size, step), distance_m.size - 1))
    data = rows(3, x=distance_m[kept] * to.per_m, y=height_m[kept] * to.per_m, order=np.arange(kept.size, dtype=float))
    spec = line(data, x, y, PATH, 2.0, ROUTE_DASH)
    spec["encoding"]["order"] = {"field": "order", "type": "quantitative"}
    return spec


def _side_alt(result: BriefResult, units: Units) -> str:
    side = result.profile
    peak = int(np.argmax(side.ground_m))
    link = result.video if result.video is not None and side.ray_link == "video" else result.control
    place = obstacle(link)
    said = [
        text(
            SIDE_ALTS[result.heights_above],
            far=numbers.words(float(side.distance_m[-1]), "m", units),
            top=numbers.words(float(side.ground_m[peak]), "m", units),
            top_out=numbers.words(float(side.distance_m[peak]), "m", units),
            height=numbers.words(side.aircraft_m, "m", units),
            out=numbers.words(side.aircraft_distance_m, "m", units),
        )
    ]
    if place is not None:
        far = numbers.words(place[0], "m", units)
        said.append(
            text("Ground {distance} from launch comes closest to the line of sight.", distance=far)
            if bool(link.line_of_sight[link.worst])
            else text("Ground {distance} from launch hides the line of sight.", distance=far)
        )
    if side.return_m is not None:
        flies = numbers.words(side.return_m, "m", units)
        said.append(text(RETURN_ALTS[result.heights_above], height=flies))
    return " ".join(said)


def _margin_alt(link: LinkResult, units: Units) -> str:
    at = link.worst
    low, high = (numbers.words(float(side[at]), "dB", units) for side in (link.margin_low_db, link.margin_high_db))
    return text(
        MARGIN_ALTS[link.name],
        distance=numbers.words(float(link.from_launch_m[at]), "m", units),
        margin=numbers.words(float(link.margin_mid_db[at]), "dB", units),
        low=low,
        high=high,
        chance=words.spread_chance(link.probability),
    )
