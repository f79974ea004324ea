"""Which signs of the book the plan's site shows beside a record; of weather and surroundings only what is known."""

from __future__ import annotations

from collections.abc import Callable
from math import hypot, isfinite
from types import MappingProxyType
from typing import Final

import numpy as np

from turnback.assess.link_events_parts import between
from turnback.assess.signals import held_at
from turnback.assess.signs_link_plan import PlanAtWorst, plan_at_worst, worn_s
from turnback.assess.signs_link_power import power_fell
from turnback.assess.signs_link_shape import control_shape, low_at_one_place
from turnback.assess.signs_place_field import wind_by_lean
from turnback.assess.signs_place_seen import place_seen
from turnback.assess.signs_site_air import thin_air
from turnback.assess.signs_volts_told import NOBODY, Z90, Blind, Saw, told_of, why_not
from turnback.records.channel import Channel, Quantity
from turnback.records.debrief import AtLoss, Looked, SignsTold
from turnback.records.finding import Spread
from turnback.records.happened import EventKind, PhaseKind
from turnback.rules.record_signs_link import ATTITUDE_SHARE, BELOW_PLAN, GROUND_TAKES
from turnback.rules.record_signs_place import COLD, CRUISES, FREEZING, MARGIN_LEFT, WIND_MOST, WIND_SHARE

GROUP: Final = "site"
CLEARANCE_SD_M, NEAR_CLEAR_M = 6.0, 25.0
PACK_WARM_C: Final = 4.0
"""A pack is often warmer than the air: it comes out of a house or a car."""
LEAST_CRUISE_MPS, AIR_LEAST_MPS, UNSURE_SHARE = 8.0, 6.0, 0.4
LEAST_TIMES, ALONG_SURE = 2.0, 0.6
HIDES_DB: Final = 7.0
"""A few metres of leaves take as much (ITU-R P.833 for short ways in woodland); a level on its line errs by less."""
TURN_EXPLAINS, HIDDEN_S = 0.85, 4.0
BETWEEN, ITSELF_S = -1.5, 0.5
BEFORE_LOSS_S: Final = 3.0
FEW_ROWS: Final = 8


def _expected(looked: Looked, name: str) -> Spread | None:
    return None if looked.against is None else looked.against.expected.get(name)


def _sd(spread: Spread, least: float) -> float:
    return max((spread.high - spread.low) / (2.0 * Z90), least)


def _loss(looked: Looked) -> AtLoss | Blind:
    """Return the loss as the plan's ground has it. Where the link held, a ray that was crossed is not told."""
    if looked.against is not None and looked.against.at_loss is not None:
        return looked.against.at_loss
    return why_not(looked.answer, EventKind.LINK_LOST) or NOBODY


def ground_crosses(looked: Looked) -> Saw | Blind:
    """What the plan's ground takes where the level lay lowest as the link went; else the ray's clearance there."""
    loss = _loss(looked)
    planned = plan_at_worst(looked)
    if planned is not None and _on_its_way_home(looked, planned.t_s):
        return NOBODY  # behind the ground since it flies home by itself: that is no beginning
    if planned is not None:
        beyond = (planned.ground_db - GROUND_TAKES.value) / 2.0
        values = {"ground_db": planned.ground_db, "limit_db": GROUND_TAKES.value}
        if isinstance(loss, AtLoss) and isfinite(loss.clearance_m):
            # ground that lies far below the ray takes nothing, however the plan's level falls
            beyond = min(beyond, (NEAR_CLEAR_M - loss.clearance_m) / CLEARANCE_SD_M)
            values["clearance_m"] = loss.clearance_m
        return Saw(beyond, "line of sight", values, planned.t_s, planned.t_s)
    if not isinstance(loss, AtLoss):
        return loss
    values = {"clearance_m": loss.clearance_m, "distance_m": loss.distance_m}
    return Saw(-loss.clearance_m / CLEARANCE_SD_M, "line of sight", values, loss.t_s, loss.t_s)


def _on_its_way_home(looked: Looked, at_s: float) -> bool:
    """Tell whether it flew home by itself, for no lost link, before then."""
    active = looked.answer.flown.record.get(Quantity.RETURN_ACTIVE)
    began_s = worn_s(looked)
    if active is None or began_s is None or not active.t_s.size:
        return False
    began_s = min(began_s, at_s) - ITSELF_S
    return bool(held_at(active.t_s, active.values, np.array([began_s]))[0] > 0.5)


def trees_between(looked: Looked) -> Saw | Blind:
    """The plan knows the ground: trees are told by the level, where the ground is clear of the ray.

    Not seen where the ray runs so high that none reach it, or where the level lay on its line with distance until the
    link went. Seen where it had fallen below that line for seconds, with margin left, and no turn explains it.
    """
    loss = _loss(looked)
    if not isinstance(loss, AtLoss):
        return loss
    if power_fell(looked):
        return NOBODY
    values = {"clearance_m": loss.clearance_m}
    planned = plan_at_worst(looked)
    if planned is not None and planned.ground_db < GROUND_TAKES.value and planned.below_db < BELOW_PLAN.value:
        values["below_db"] = planned.below_db
        return Saw((planned.below_db - BELOW_PLAN.value) / 1.5, "line of sight", values, most=0.93)
    if planned is not None and planned.ground_db < GROUND_TAKES.value:
        return _trees_by_plan(looked, planned, values)
    if loss.clearance_m >= NEAR_CLEAR_M:
        return Saw((NEAR_CLEAR_M - loss.clearance_m) / CLEARANCE_SD_M, "line of sight", values, most=0.85)
    return _trees_by_line(looked, loss, values)


def _trees_by_plan(looked: Looked, planned: PlanAtWorst, values: dict[str, float]) -> Saw | Blind:
    """Tell trees by a level that stays below the plan's."""
    beyond = min((planned.below_db - BELOW_PLAN.value) / 1.5, (planned.low_s - HIDDEN_S) / 0.8)
    beyond = min(beyond, 2.0 * BETWEEN) if _turn_explains(looked) else beyond
    # a person is in the way for moments; a belt of trees too, but it is there again on the way back
    if BETWEEN < beyond <= 0.0 or (beyond <= 0.0 and low_at_one_place(looked)):
        return NOBODY
    values |= {"below_db": planned.below_db, "low_s": planned.low_s}
    return Saw(beyond, "line of sight", values, planned.t_s, planned.t_s, most=0.8 if beyond > 0.0 else 0.7)


def _turn_explains(looked: Looked) -> bool:
    """Tell whether how the aircraft is turned toward the radio explains most of its level."""
    shape = control_shape(looked)
    fit = None if shape is None else shape.attitude
    return fit is not None and fit.share > ATTITUDE_SHARE.value + 0.05 and fit.depth_db > HIDES_DB


def _trees_by_line(looked: Looked, loss: AtLoss, values: dict[str, float]) -> Saw | Blind:
    found = _below_line_db(looked, loss.t_s)
    if found is None or loss.clearance_m <= 0.0:
        return NOBODY
    usual_db, most_db = found
    values |= {"below_db": usual_db, "most_db": most_db, "margin_db": loss.margin_db.mid}
    if most_db < HIDES_DB - 2.0 and loss.margin_db.mid > HIDES_DB + 3.0:
        return NOBODY  # by its line nothing took it, by the plan much did
    if most_db < HIDES_DB - 2.0:
        return Saw((most_db - HIDES_DB) / 1.5, "line of sight", values, loss.t_s, loss.t_s, most=0.9)
    beyond = min((usual_db - HIDES_DB) / 2.0, (loss.margin_db.mid - HIDES_DB) / 3.0)
    return Saw(beyond, "line of sight", values, loss.t_s, loss.t_s, most=0.8) if beyond > 0.0 else NOBODY


def _below_line_db(looked: Looked, at_s: float) -> tuple[float, float] | None:
    """Return how far the level lay below its line with distance, the middle and the most of the seconds before.

    None where too little is recorded, and where the attitude explains as much.
    """
    shape = control_shape(looked)
    if shape is None or shape.frame.away_m is None:
        return None
    if shape.attitude is not None and shape.attitude.share > TURN_EXPLAINS and shape.attitude.depth_db > HIDES_DB:
        return None
    rows = (shape.frame.t_s <= at_s) & (shape.frame.t_s > at_s - BEFORE_LOSS_S)
    if np.count_nonzero(rows) < FEW_ROWS:
        return None
    rest_db = shape.distance.rest_db[rows]
    return -float(np.median(rest_db)), -float(np.min(rest_db))


def margin_used_up(looked: Looked) -> Saw | Blind:
    """Link margin worked out for where the link went, or for the worst of the way, with nothing in between.

    Where a transmitter's power fell in flight, the plan's margin is none.
    """
    loss = _loss(looked)
    planned = plan_at_worst(looked)
    takes = planned is not None and (planned.below_db > BELOW_PLAN.value or planned.ground_db > GROUND_TAKES.value)
    if takes or power_fell(looked):
        return NOBODY  # it was not distance alone
    if isinstance(loss, AtLoss):
        margin, clear = loss.margin_db, loss.line_of_sight
    else:
        known = _expected(looked, "margin_db")
        if known is None:
            return loss
        margin, clear = known, True
    beyond = (MARGIN_LEFT.value - margin.mid) / _sd(margin, 3.0)
    if beyond > 0.0 and not clear:
        return NOBODY  # what stands in between takes it, not the distance
    return Saw(beyond, "margin", {"margin_db": margin.mid, "limit_db": MARGIN_LEFT.value})


def cold_day(looked: Looked) -> Saw | Blind:
    """The pack's own temperature before take-off; else the day's."""
    record = looked.answer.flown.record
    series = record.get(Quantity.PACK_TEMPERATURE)
    first = next((each.start_s for each in looked.answer.flown.phases if each.kind is not PhaseKind.GROUND), 0.0)
    if series is not None and series.t_s.size:
        part = between(series, 0.0, first + 1.0)
        degrees = float(np.median(part)) if part.size else float(series.values[0])
        return Saw((COLD.value - degrees) / 1.5, "temperature", {"pack_c": degrees, "limit_c": COLD.value},
                   channels=(series.channel,))  # fmt: skip
    day = _expected(looked, "temperature_c")
    if day is None:
        return Blind(NOBODY.why, (Channel(Quantity.PACK_TEMPERATURE),))
    return Saw((COLD.value - day.mid) / _sd(day, PACK_WARM_C), "temperature", {"day_c": day.mid, "limit_c": COLD.value})


def _cruise_mps(looked: Looked) -> float:
    """Return the speed through the air that it held, or most of its speed over ground; never a crawl."""
    wind = next((each for each in looked.answer.events if each.kind is EventKind.WIND), None)
    air_mps = 0.0 if wind is None else wind.values.get("air_mps", 0.0)
    if air_mps > AIR_LEAST_MPS:
        return max(air_mps, LEAST_CRUISE_MPS)
    found = [LEAST_CRUISE_MPS]
    for quantity in (Quantity.AIRSPEED, Quantity.GROUND_SPEED):
        series = looked.answer.flown.record.get(quantity)
        if series is None or not series.t_s.size:
            continue
        parts = [between(series, each.start_s, min(each.end_s, looked.ended_s)) for each in looked.answer.flown.phases
                 if each.kind in (PhaseKind.CRUISE, PhaseKind.RETURN) and each.start_s < looked.ended_s]  # fmt: skip
        whole = np.concatenate(parts) if parts else np.empty(0)
        found.append(float(np.percentile(np.abs(whole), 75.0)) if whole.size else 0.0)
    return max(found) if max(found) > LEAST_CRUISE_MPS else CRUISES.value


def strong_wind(looked: Looked) -> Saw | Blind:
    """Wind off the record, by its turns and by its lean, and the plan's, against half of the cruise speed."""
    seen = next((each for each in looked.answer.events if each.kind is EventKind.WIND), None)
    plan = _expected(looked, "wind_mps")
    found: list[tuple[float, float]] = []
    cruise_mps = _cruise_mps(looked)
    lean = wind_by_lean(place_seen(looked))
    if lean is not None and lean.sd_mps < UNSURE_SHARE * max(abs(lean.toward_mps), LEAST_CRUISE_MPS):
        # lean tells it on every course, turns only where it flew some
        found.append((abs(lean.toward_mps), max(lean.sd_mps, 0.6)))
        cruise_mps = max(lean.air_mps, CRUISES.value)
    elif seen is not None:
        wind_mps, sd = seen.values["wind_mps"], max(seen.values.get("width_mps", 1.0) / Z90, 0.6)
        # who pushes harder against the wind is no slower over ground: turns tell the least that it can be
        found.append((wind_mps, sd * (LEAST_TIMES if plan is not None and plan.mid > wind_mps + sd else 1.0)))
    else:
        cruise_mps = max(cruise_mps, CRUISES.value)
    if plan is not None:
        found.append((plan.mid, _sd(plan, 1.0)))
    if not found:
        return why_not(looked.answer, EventKind.WIND) or NOBODY
    weight = np.array([1.0 / each[1] ** 2 for each in found])
    wind_mps = float(np.average([each[0] for each in found], weights=weight))
    sd = float(1.0 / np.sqrt(weight.sum()))
    limit_mps = min(WIND_SHARE.value * cruise_mps, WIND_MOST.value)
    beyond = (wind_mps - limit_mps) / hypot(sd, 0.1 * limit_mps)
    # there and back on one line turns tell only the wind along it: alone, or beside a plan of more, they deny little
    along = seen is not None and seen.words.get("part") == "along"
    open_across = lean is None and (along if plan is None else plan.mid > limit_mps)
    most = ALONG_SURE if beyond < 0.0 and open_across else 0.95
    return Saw(beyond, "wind", {"wind_mps": wind_mps, "limit_mps": limit_mps},
                channels=() if seen is None else seen.channels, most=most)  # fmt: skip


def freezing(looked: Looked) -> Saw | Blind:
    """Too warm for ice; that the air is damp, no record tells."""
    day = _expected(looked, "temperature_c")
    if day is None:
        return NOBODY
    beyond = (FREEZING.value - day.mid) / _sd(day, 1.5)
    return NOBODY if beyond > -1.0 else Saw(beyond, "temperature", {"day_c": day.mid, "limit_c": FREEZING.value})


def _nobody(_looked: Looked) -> Blind:
    """What only somebody who was there can tell."""
    return NOBODY


TELLERS: Final[MappingProxyType[str, Callable[[Looked], Saw | Blind]]] = MappingProxyType({
    "ground-crosses-the-ray": ground_crosses,
    "trees-or-walls-in-between": trees_between,
    "margin-used-up-by-distance": margin_used_up,
    "cold-day": cold_day,
    "strong-wind": strong_wind,
    "high-or-hot-place": thin_air,
    "freezing-and-damp": freezing,
    "many-radios-about": _nobody,
    "sun-low-ahead": _nobody,
    "light-on-the-screens": _nobody,
    "damp-cold-air": _nobody,
    "rain-or-snow": _nobody,
    "obstacle-upwind": _nobody,
    "birds-about": _nobody,
    "lines-about": _nobody,
    "steel-or-cables-near": _nobody,
    "loose-grass-or-sand": _nobody,
    "low-light": _nobody,
})  # fmt: skip
"""By sign of the book; each says what it saw or why it could not look."""


def site_signs(looked: Looked) -> SignsTold:
    """Tell the signs of the book's channel of terrain, weather and site.

    Parameters
    ----------
    looked : Looked

    Returns
    -------
    SignsTold
        Each sign of the channel, in one of both.
    """
    return told_of(looked, TELLERS)
