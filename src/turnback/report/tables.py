"""The numbers of a brief as rows of text, for terminal, page and print alike."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from turnback.records.aircraft import RadioLossAction
from turnback.records.finding import Spread
from turnback.records.result import AirResult, Assumption, BriefResult, EnergyResult, LinkResult, ReturnResult
from turnback.report import numbers, words
from turnback.report.five import LEAST_TURN_BACK_M, find, obstacle
from turnback.report.numbers import Toward, Units
from turnback.report.words_parameters import LINK_NAMES, ORIGIN_WORDS, SHARE_OF_WORDS

SAME_M = 1.0  # a turn-back distance this near the plan's is the plan's
NO_TIME_HOME_S = 3600.0  # no pack here lasts longer


@dataclass(frozen=True, slots=True)
class Row:
    """One named value in words."""

    name: str
    value: str


@dataclass(frozen=True, slots=True)
class Table:
    """A titled list of rows."""

    title: str
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class AssumedRow:
    """One gap that was filled."""

    name: str
    value: str
    band: str
    origin: str
    share: str
    source: str
    how: str


def limits(result: BriefResult, units: Units) -> Table:
    """Return what the pilot keeps to; each rounded to the careful side."""
    back, energy = result.back, result.energy
    rows = [
        Row("Turn back, from launch, at the latest", _turn_back(result, units)),
        Row("Land by, one cell at rest", numbers.words(energy.land_by_rest_v, "V", units, Toward.UP)),
        Row(
            "Land by, one cell as goggles show it at cruise",
            numbers.words(energy.land_by_loaded_v.high, "V", units, Toward.UP),
        ),
        Row(
            "Turn back, one cell as goggles show it at cruise",
            numbers.words(energy.turn_back_loaded_v.high, "V", units, Toward.UP),
        ),
        Row("Largest wind that comes home", _largest_wind(back, units)),
    ]
    tells = find(result, "observer.orientation")
    if tells is not None:
        farthest = numbers.words(tells.limit, "m", units, Toward.DOWN)
        rows.append(Row("Farthest at which an observer can tell which way it points", farthest))
    if back.action is RadioLossAction.AUTOMATIC_RETURN:
        rows.append(Row("Lowest return height, above launch", _lowest_height(result, units)))
    return Table("Limits", tuple(rows))


def chances(result: BriefResult) -> Table:
    """Return how often each thing fails, over the whole route and return."""
    rows = [
        Row("It does not come home", _chance(result.home)),
        Row("The pack reaches its land-by volts too early", _chance(result.energy.probability)),
        Row("The control link breaks", _chance(result.control.probability)),
    ]
    if result.video is not None:
        rows.append(Row("The picture breaks", _chance(result.video.probability)))
    return Table("Chance", tuple(rows))


def energy(result: EnergyResult, units: Units) -> Table:
    """Return the pack's numbers. Volts are of one cell."""
    return Table(
        "Energy",
        (
            Row("Flight time", _time(result.flight_s)),
            Row("Time to land-by volts", _time(result.time_to_land_by_s)),
            Row("Flown at land-by volts", words.spread(result.distance_to_land_by_m, "m", units, Toward.DOWN)),
            Row("Share of the pack used", words.spread_percent(result.used_fraction)),
            Row("Capacity", words.spread(result.capacity_ah, "Ah", units)),
            Row("One cell at rest after landing", words.spread(result.landing_rest_v, "V", units)),
            Row("Lowest volts of one cell under load", words.spread(result.lowest_loaded_v, "V", units)),
            Row("Sag of one cell at full output", words.spread(result.sag_v, "V", units)),
            Row("Current in hover", words.spread(result.hover_current_a, "A", units)),
            Row("Current at cruise", words.spread(result.cruise_current_a, "A", units)),
            Row("Current at full output", words.spread(result.full_current_a, "A", units)),
            Row("Greatest current over capacity", words.spread(result.pack_c, "C", units)),
            Row("Full thrust over weight", words.spread(result.thrust_margin, "", units)),
            Row("Hover output", words.spread_percent(result.hover_output_fraction)),
        ),
    )


def link(result: LinkResult, units: Units) -> Table:
    """Return the numbers of a link at its worst place, with the ruling obstacle and the split of the loss."""
    at = result.worst
    margin = Spread(float(result.margin_mid_db[at]), float(result.margin_low_db[at]), float(result.margin_high_db[at]))
    place = obstacle(result)
    sight = "yes" if bool(result.line_of_sight[at]) else "no, the ground is in the way"
    rows = [
        Row("Frequency", numbers.words(result.frequency_mhz, "MHz", units)),
        Row("Worst place, from launch", numbers.words(float(result.from_launch_m[at]), "m", units)),
        Row("Margin there", words.spread(margin, "dB", units)),
        Row("Scatter of the margin (one sigma)", numbers.words(float(result.sigma_db[at]), "dB", units)),
        Row("Margin to the aircraft", _way(result.to_aircraft_mid_db, at, units)),
        Row("Margin to the ground", _way(result.to_ground_mid_db, at, units)),
        Row("Line of sight", sight),
        Row(
            "Least clearance, in first Fresnel radii (0.6 is clear)",
            numbers.ratio(float(result.clearance_ratio[at])),
        ),
        Row("Ruling obstacle", _place(place, units)),
        Row("Loss in free space", numbers.words(float(result.free_space_db[at]), "dB", units)),
        Row("Loss by diffraction", numbers.words(float(result.diffraction_db[at]), "dB", units)),
        Row("The same as one knife edge", numbers.words(float(result.knife_edge_db[at]), "dB", units)),
        Row("Loss in trees", numbers.words(float(result.trees_db[at]), "dB", units)),
        Row("Reach along the route", words.spread(result.reach_m, "m", units, Toward.DOWN)),
        Row("Trees on the obstacle that would break it", _canopy(result.canopy_that_breaks_m, units)),
    ]
    return Table(LINK_NAMES.get(result.name, result.name).capitalize(), tuple(rows))


def _way(margin_db: np.ndarray, at: int, units: Units) -> str:
    """Say one direction's margin at the worst place; a link of one way has no other."""
    margin = float(margin_db[at])
    return numbers.words(margin, "dB", units) if math.isfinite(margin) else "this link sends the other way only"


def homeward(back: ReturnResult, units: Units) -> Table:
    """Return the numbers of the way home."""
    returns = back.action is RadioLossAction.AUTOMATIC_RETURN
    rows = [
        Row("On radio loss", words.ACTION_ON_RADIO_LOSS[back.action]),
        Row("Planned distance", numbers.words(back.planned_m, "m", units)),
        Row("Turn-back distance", words.spread(back.turn_back_m, "m", units, Toward.DOWN)),
        Row("What rules it", words.TURN_BACK_REASONS.get(back.turn_back_reason, back.turn_back_reason)),
        Row("Time to the turn-back point", _time(back.turn_back_s)),
        Row("Time home", _time_home(back.seconds_home_s)),
        Row("Headwind on the way home", words.spread(back.headwind_mps, "m/s", units)),
        Row("Headwind it can beat", words.spread(back.beatable_headwind_mps, "m/s", units, Toward.DOWN)),
    ]
    if returns:
        rows[1:1] = [
            Row("Return height as set, above launch", numbers.words(back.set_height_m, "m", units)),
            Row("Return height needed, above launch", numbers.words(back.lowest_height_m, "m", units, Toward.UP)),
            Row("Clearance at the set height", numbers.words(back.clearance_m, "m", units, Toward.DOWN)),
            Row("Place that rules it", _return_place(back, units)),
        ]
    return Table("Return", tuple(rows))


def air(result: AirResult, units: Units) -> Table:
    """Return the air and the wind."""
    return Table(
        "Air and wind",
        (
            Row(f"Wind at {numbers.words(10.0, 'm', units)} above ground", words.spread(result.wind_mps, "m/s", units)),
            Row("Wind at flight height", words.spread(result.wind_at_height_mps, "m/s", units)),
            Row("Gusts", words.spread(result.gust_mps, "m/s", units)),
            Row("From", numbers.words(result.wind_from_deg, "°", units)),
            Row("Temperature", numbers.words(result.temperature_c, "°C", units)),
            Row("Pressure", numbers.words(result.pressure_hpa, "hPa", units)),
            Row("Air density", numbers.words(result.density_kg_m3, "kg/m³", units)),
            Row("Density altitude", numbers.words(result.density_altitude_m, "m", units)),
        ),
    )


def all_tables(result: BriefResult, units: Units) -> tuple[Table, ...]:
    """Return the expert's tables in their order."""
    links = [result.control] + ([result.video] if result.video is not None else [])
    return (
        chances(result),
        energy(result.energy, units),
        *(link(each, units) for each in links),
        homeward(result.back, units),
        air(result.air, units),
    )


def assumed(rows: tuple[Assumption, ...], units: Units) -> tuple[AssumedRow, ...]:
    """Return every gap that was filled, the one that matters most first."""
    ranked = sorted(rows, key=lambda row: (-_finite(row.share_fraction), row.key))
    return tuple(
        AssumedRow(
            name=words.parameter(row.key),
            value=numbers.words(row.value, row.unit, units),
            band=f"{numbers.words(row.low, row.unit, units)} to {numbers.words(row.high, row.unit, units)}",
            origin=ORIGIN_WORDS[row.origin],
            share=_share(row),
            source=words.source_text(row.source),
            how=words.measure(row.key),
        )
        for row in ranked
    )


def _share(row: Assumption) -> str:
    share = _finite(row.share_fraction)
    if not row.of or share < 0.005:
        return "changes little"
    return f"{numbers.percent(share)} of what is open in {SHARE_OF_WORDS.get(row.of, row.of)}"


def _finite(value: float) -> float:
    return value if math.isfinite(value) else 0.0


def _chance(holds: Spread) -> str:
    return words.spread_chance(holds)


def _time_home(seconds: Spread) -> str:
    """Say a time home, which has no end where the wind holds it off."""
    ends = (seconds.mid, seconds.low, seconds.high)
    mid, low, high = (numbers.minutes(end) if end < NO_TIME_HOME_S else "more than an hour" for end in ends)
    return mid if low == high else f"{mid} ({low} to {high})"


def _time(seconds: Spread) -> str:
    mid, low, high = (numbers.minutes(value) for value in (seconds.mid, seconds.low, seconds.high))
    return mid if low == high else f"{mid} ({low} to {high})"


def _turn_back(result: BriefResult, units: Units) -> str:
    """Return the distance to keep to: never beyond the plan, nor beyond a limit that was entered."""
    back, entered = result.back, find(result, "law.distance")
    planned = numbers.words(back.planned_m, "m", units)
    if back.planned_m < LEAST_TURN_BACK_M:
        return "the plan stays over the launch point"
    if not math.isfinite(back.turn_back_m.low) or back.turn_back_m.low < LEAST_TURN_BACK_M:
        return f"nowhere on this route (the plan asks for {planned})"
    if entered is not None and entered.limit is not None and entered.limit < back.turn_back_m.low:
        limit = numbers.words(entered.limit, "m", units, Toward.DOWN)
        return f"{limit}, the limit you entered (the plan asks for {planned})"
    text = numbers.words(back.turn_back_m.low, "m", units, Toward.DOWN)
    if back.turn_back_m.low < back.planned_m - SAME_M:
        return f"{text} (the plan asks for {planned})"
    if back.turn_back_m.low < back.planned_m + SAME_M:
        return f"{planned}, as planned"
    farther = f"{text} or farther" if back.turn_back_reason == "route" else text
    return f"{planned}, as planned (it would come home from {farther})"


def _lowest_height(result: BriefResult, units: Units) -> str:
    needed = numbers.words(result.back.lowest_height_m, "m", units, Toward.UP)
    above = find(result, "law.return_height")
    if above is None or above.limit is None:
        return needed
    return f"none: {needed} would be needed, above your limit of {numbers.words(above.limit, 'm', units, Toward.DOWN)}"


def _largest_wind(back: ReturnResult, units: Units) -> str:
    if not math.isfinite(back.largest_wind_mps):
        return "none: even in still air it does not surely come home"
    return numbers.words(back.largest_wind_mps, "m/s", units, Toward.DOWN)


def _place(place: tuple[float, float] | None, units: Units) -> str:
    if place is None:
        return "none"
    distance, height = (numbers.words(value, "m", units) for value in place)
    return f"{distance} from launch, {height} above sea level"


def _return_place(back: ReturnResult, units: Units) -> str:
    if not math.isfinite(back.obstacle_from_launch_m):
        return "none"
    distance = numbers.words(back.obstacle_from_launch_m, "m", units)
    return f"{distance} from launch, {numbers.words(back.obstacle_height_m, 'm', units)} above launch"


def _canopy(height_m: float, units: Units) -> str:
    if not math.isfinite(height_m):
        return "none up to " + numbers.words(40.0, "m", units)
    return f"{numbers.words(height_m, 'm', units, Toward.DOWN)} high"
