"""The numbers of a brief as rows of text, for terminal, page and print alike."""

from __future__ import annotations

import math

from turnback.records.aircraft import RadioLossAction
from turnback.records.finding import Spread, Verdict
from turnback.records.result import AirResult, Assumption, BriefResult, EnergyResult, ReturnResult
from turnback.report import keep_to, numbers, words
from turnback.report.five import LEAST_TURN_BACK_M, find
from turnback.report.language import text
from turnback.report.numbers import Toward, Units
from turnback.report.table_link import link
from turnback.report.table_rows import AssumedRow, Row, Table
from turnback.report.words_parameters import ORIGIN_WORDS, SHARE_OF_WORDS

__all__ = [
    "AssumedRow",
    "Row",
    "Table",
    "air",
    "all_tables",
    "assumed",
    "chances",
    "energy",
    "homeward",
    "limits",
    "link",
]

SAME_M = 1.0  # a turn-back distance this near the plan's is the plan's
NO_TIME_HOME_S = 3600.0  # no pack here lasts longer


def limits(result: BriefResult, units: Units) -> Table:
    """Return what the pilot keeps to; each rounded to the careful side."""
    back, land_by, turn = result.back, keep_to.land_by(result, units), keep_to.turn_back(result, units)
    rows = [
        Row(text("Turn back, from launch, at the latest"), _turn_back(result, units)),
        Row(text("Land by, one cell at rest"), numbers.words(result.energy.land_by_rest_v, "V", units, Toward.UP)),
        Row(text("Land by, one cell as goggles show it at cruise"), land_by.cell),
        Row(text("Turn back, one cell as goggles show it at cruise"), turn.cell),
        Row(_largest_wind_name(result), _largest_wind(back, units)),
    ]
    if land_by.pack:
        rows[3:3] = [Row(text("Land by, whole pack as goggles show it at cruise"), land_by.pack)]
        rows[5:5] = [Row(text("Turn back, whole pack as goggles show it at cruise"), turn.pack)]
    rows += [
        Row(text("Be turning for home, after launch"), numbers.minutes(keep_to.turn_for_home_s(result), Toward.DOWN)),
        Row(text("Be on the ground, after launch"), numbers.minutes(keep_to.on_the_ground_s(result), Toward.DOWN)),
    ]
    tells = find(result, "observer.orientation")
    if tells is not None:
        farthest = numbers.words(tells.limit, "m", units, Toward.DOWN)
        rows.append(Row(text("Farthest at which an observer can tell which way it points"), farthest))
    if back.action is RadioLossAction.AUTOMATIC_RETURN:
        rows.append(Row(text("Lowest return height, above launch"), _lowest_height(result, units)))
    return Table(text("Limits"), tuple(rows))


def chances(result: BriefResult) -> Table:
    """Return how often each thing fails, over the whole route and return."""
    rows = [
        Row(text("It does not come home"), _chance(result.home)),
        Row(text("The pack reaches its land-by volts too early"), _chance(result.energy.probability)),
        Row(text("The control link breaks"), _chance(result.control.probability)),
    ]
    if result.video is not None:
        rows.append(Row(text("The picture breaks"), _chance(result.video.probability)))
    return Table(text("Chance"), tuple(rows))


def energy(result: EnergyResult, units: Units) -> Table:
    """Return the pack's numbers. Volts are of one cell."""
    return Table(
        text("Energy"),
        (
            Row(text("Flight time"), _time(result.flight_s)),
            Row(text("Time to land-by volts"), _time(result.time_to_land_by_s)),
            Row(text("Flown at land-by volts"), words.spread(result.distance_to_land_by_m, "m", units, Toward.DOWN)),
            Row(text("Share of the pack used"), words.spread_percent(result.used_fraction)),
            Row(text("Capacity"), words.spread(result.capacity_ah, "Ah", units)),
            Row(text("One cell at rest after landing"), words.spread(result.landing_rest_v, "V", units)),
            Row(text("Lowest volts of one cell under load"), words.spread(result.lowest_loaded_v, "V", units)),
            Row(text("Sag of one cell at full output"), words.spread(result.sag_v, "V", units)),
            Row(text("Current in hover"), words.spread(result.hover_current_a, "A", units)),
            Row(text("Current at cruise"), words.spread(result.cruise_current_a, "A", units)),
            Row(text("Current at full output"), words.spread(result.full_current_a, "A", units)),
            Row(text("Greatest current over capacity"), words.spread(result.pack_c, "C", units)),
            Row(text("Full thrust over weight"), words.spread(result.thrust_margin, "", units)),
            Row(text("Hover output"), words.spread_percent(result.hover_output_fraction)),
        ),
    )


def homeward(back: ReturnResult, units: Units) -> Table:
    """Return the numbers of the way home."""
    returns = back.action is RadioLossAction.AUTOMATIC_RETURN
    rows = [
        Row(text("On radio loss"), text(words.ACTION_ON_RADIO_LOSS[back.action])),
        Row(text("Planned distance"), numbers.words(back.planned_m, "m", units)),
        Row(text("Turn-back distance"), words.spread(back.turn_back_m, "m", units, Toward.DOWN)),
        Row(text("What rules it"), text(words.TURN_BACK_REASONS[back.turn_back_reason])),
        Row(text("Time to the turn-back point"), _time(back.turn_back_s)),
        Row(text("Time home"), _time_home(back.seconds_home_s)),
        Row(text("Headwind on the way home"), words.spread(back.headwind_mps, "m/s", units)),
        Row(text("Headwind it can beat"), words.spread(back.beatable_headwind_mps, "m/s", units, Toward.DOWN)),
    ]
    if returns:
        rows[1:1] = [
            Row(text("Return height as set, above launch"), numbers.words(back.set_height_m, "m", units)),
            Row(text("Return height needed, above launch"), numbers.words(back.lowest_height_m, "m", units, Toward.UP)),
            Row(text("Clearance at the set height"), numbers.words(back.clearance_m, "m", units, Toward.DOWN)),
            Row(text("Place that rules it"), _return_place(back, units)),
        ]
    return Table(text("Return"), tuple(rows))


def air(result: AirResult, units: Units) -> Table:
    """Return the air and the wind; without what tells the height of the place where that was redacted."""
    ten = numbers.words(10.0, "m", units)
    return Table(
        text("Air and wind"),
        (
            Row(text("Wind at {height} above ground", height=ten), words.spread(result.wind_mps, "m/s", units)),
            Row(text("Wind at flight height"), words.spread(result.wind_at_height_mps, "m/s", units)),
            Row(text("Gusts"), words.spread(result.gust_mps, "m/s", units)),
            Row(text("From"), numbers.words(result.wind_from_deg, "°", units)),
            Row(text("Temperature"), numbers.words(result.temperature_c, "°C", units)),
            *([] if math.isnan(result.pressure_hpa) else _density(result, units)),
        ),
    )


def _density(result: AirResult, units: Units) -> list[Row]:
    return [
        Row(text("Pressure"), numbers.words(result.pressure_hpa, "hPa", units)),
        Row(text("Air density"), numbers.words(result.density_kg_m3, "kg/m³", units)),
        Row(text("Density altitude"), numbers.words(result.density_altitude_m, "m", units)),
    ]


def all_tables(result: BriefResult, units: Units) -> tuple[Table, ...]:
    """Return the expert's tables in their order."""
    links = [result.control] + ([result.video] if result.video is not None else [])
    return (
        chances(result),
        energy(result.energy, units),
        *(link(each, units, result.heights_above) for each in links),
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
            band=text(
                "{low} to {high}",
                low=numbers.words(row.low, row.unit, units),
                high=numbers.words(row.high, row.unit, units),
            ),
            origin=text(ORIGIN_WORDS[row.origin]),
            share=_share(row),
            source=words.source_text(row.source),
            how=words.measure(row.key),
        )
        for row in ranked
    )


def _share(row: Assumption) -> str:
    share = _finite(row.share_fraction)
    of = row.of if share >= 0.005 else ""
    return text(SHARE_OF_WORDS[of], share=numbers.percent(share))


def _finite(value: float) -> float:
    return value if math.isfinite(value) else 0.0


def _chance(holds: Spread) -> str:
    return words.spread_chance(holds)


def _time_home(seconds: Spread) -> str:
    """Say a time home, which has no end where the wind holds it off."""
    ends = (seconds.mid, seconds.low, seconds.high)
    mid, low, high = (numbers.minutes(end) if end < NO_TIME_HOME_S else text("more than an hour") for end in ends)
    return words.with_ends(mid, low, high)


def _time(seconds: Spread) -> str:
    mid, low, high = (numbers.minutes(value) for value in (seconds.mid, seconds.low, seconds.high))
    return words.with_ends(mid, low, high)


def _turn_back(result: BriefResult, units: Units) -> str:
    """Return the distance to keep to: never beyond the plan, nor beyond a limit that was entered."""
    back, entered = result.back, find(result, "law.distance")
    planned = numbers.words(back.planned_m, "m", units)
    if back.planned_m < LEAST_TURN_BACK_M:
        return text("the plan stays over the launch point")
    if not math.isfinite(back.turn_back_m.low) or back.turn_back_m.low < LEAST_TURN_BACK_M:
        return text("nowhere on this route (the plan asks for {planned})", planned=planned)
    if entered is not None and entered.limit is not None and entered.limit < back.turn_back_m.low:
        limit = numbers.words(entered.limit, "m", units, Toward.DOWN)
        return text("{limit}, the limit you entered (the plan asks for {planned})", limit=limit, planned=planned)
    farthest_m = keep_to.farthest_m(result)
    if result.verdict is Verdict.GO_WITH_LIMITS and farthest_m < min(back.turn_back_m.low, back.planned_m):
        return text(
            "{distance}, where your observer can still tell which way it points (the plan asks for {planned})",
            distance=numbers.words(farthest_m, "m", units, Toward.DOWN), planned=planned,
        )  # fmt: skip
    return _turn_back_beside_plan(back, units)


def _turn_back_beside_plan(back: ReturnResult, units: Units) -> str:
    planned = numbers.words(back.planned_m, "m", units)
    turn = numbers.words(back.turn_back_m.low, "m", units, Toward.DOWN)
    if back.turn_back_m.low < back.planned_m - SAME_M:
        return text("{turn} (the plan asks for {planned})", turn=turn, planned=planned)
    if back.turn_back_m.low < back.planned_m + SAME_M:
        return text("{planned}, as planned", planned=planned)
    if back.turn_back_reason == "route":
        return text("{planned}, as planned (it would come home from {turn} or farther)", planned=planned, turn=turn)
    return text("{planned}, as planned (it would come home from {turn})", planned=planned, turn=turn)


def _lowest_height(result: BriefResult, units: Units) -> str:
    needed = numbers.words(result.back.lowest_height_m, "m", units, Toward.UP)
    above = find(result, "law.return_height")
    if above is None or above.limit is None:
        return needed
    limit = numbers.words(above.limit, "m", units, Toward.DOWN)
    return text("none: {needed} would be needed, above your limit of {limit}", needed=needed, limit=limit)


def _largest_wind_name(result: BriefResult) -> str:
    """Say for which wind it holds: the pack's answer, by hand; the automatic return has a row of its own."""
    if any(row.key == "site.wind_from_deg" for row in result.assumed):
        return text("Largest wind that comes home, flown by hand, from any side")
    return text("Largest wind that comes home, flown by hand, from the same side")


def _largest_wind(back: ReturnResult, units: Units) -> str:
    if not math.isfinite(back.largest_wind_mps):
        return text("none: even in still air it does not surely come home")
    return numbers.words(back.largest_wind_mps, "m/s", units, Toward.DOWN)


def _return_place(back: ReturnResult, units: Units) -> str:
    if not math.isfinite(back.obstacle_from_launch_m):
        return text("none")
    distance = numbers.words(back.obstacle_from_launch_m, "m", units)
    height = numbers.words(back.obstacle_height_m, "m", units)
    return text("{distance} from launch, {height} above launch", distance=distance, height=height)
