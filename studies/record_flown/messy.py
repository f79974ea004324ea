"""From what was seen to a table as a stranger keeps it, with the truth about every column."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from studies.record_flown.clocks import EPOCH_S, FACTOR, TEXTS, moments, write_clock
from studies.record_flown.junk import junk_columns
from studies.record_flown.naming import CORNER, Hand, Heading, draw_hand, heading
from studies.record_flown.sensors import Made, Seen
from studies.record_flown.tracks import KINDS as TRACKS
from studies.record_flown.tracks import SAID, as_met, drawn_track, in_order, said_by_format, thinned, track_hand
from studies.record_flown.units import UNITLESS, Unit, draw_unit
from studies.record_flown.writing import Look, draw_look, write

Floats = NDArray[np.float64]
Rng = np.random.Generator
KEEP: Final = {
    "rate": 0.9, "rate_demand": 0.5, "acceleration": 0.75, "angles": 0.75, "angle_demand": 0.3, "magnetic": 0.12,
    "output": 0.8, "rotor_speed": 0.45, "sticks": 0.75, "armed": 0.4, "mode": 0.5, "return_active": 0.15,
    "link_loss": 0.2, "pack_volts": 0.85, "cell_volts": 0.3, "current": 0.7, "charge_used": 0.45, "power": 0.15,
    "supply_volts": 0.15, "pack_temperature": 0.12, "board_temperature": 0.15, "link_level": 0.6,
    "link_level_back": 0.2, "link_quality": 0.55, "link_quality_back": 0.15, "signal_to_noise": 0.25,
    "transmit_power": 0.2, "video_level": 0.1, "place": 0.65, "launch": 0.25, "height_sea_level": 0.35,
    "height_launch": 0.5, "pressure": 0.2, "ground_speed": 0.5, "course": 0.35, "airspeed": 0.05, "climb_rate": 0.35,
    "velocity": 0.25, "fix_uncertainty": 0.25, "satellites": 0.4, "distance_launch": 0.3, "bearing_launch": 0.15,
}  # fmt: skip
GROUP: Final = {
    **dict.fromkeys(("roll_rate", "pitch_rate", "yaw_rate"), "rate"),
    **dict.fromkeys(("roll_rate_demand", "pitch_rate_demand", "yaw_rate_demand"), "rate_demand"),
    **dict.fromkeys(("acceleration_x", "acceleration_y", "acceleration_z"), "acceleration"),
    **dict.fromkeys(("magnetic_x", "magnetic_y", "magnetic_z"), "magnetic"),
    **dict.fromkeys(("roll", "pitch", "heading"), "angles"),
    **dict.fromkeys(("roll_demand", "pitch_demand"), "angle_demand"),
    **dict.fromkeys(("roll_stick", "pitch_stick", "yaw_stick", "throttle"), "sticks"),
    **dict.fromkeys(("latitude", "longitude"), "place"),
    **dict.fromkeys(("launch_latitude", "launch_longitude"), "launch"),
    **dict.fromkeys(("velocity_north", "velocity_east", "velocity_down"), "velocity"),
}
ONE_UNIT: Final = {**{key: value for key, value in GROUP.items() if value != "sticks"},
                   **dict.fromkeys(("roll_stick", "pitch_stick", "yaw_stick"), "sticks")}  # fmt: skip
TURNABLE: Final = frozenset({
    "roll_rate", "pitch_rate", "yaw_rate", "roll_rate_demand", "pitch_rate_demand", "yaw_rate_demand", "acceleration_x",
    "acceleration_y", "acceleration_z", "roll", "pitch", "roll_demand", "pitch_demand", "roll_stick", "pitch_stick",
    "yaw_stick", "magnetic_x", "magnetic_y", "magnetic_z",
})  # fmt: skip
LEFT_UP: Final = frozenset({
    "pitch_rate", "yaw_rate", "pitch_rate_demand", "yaw_rate_demand", "acceleration_y", "acceleration_z", "pitch",
    "pitch_demand", "pitch_stick", "yaw_stick", "magnetic_y", "magnetic_z",
})  # fmt: skip
"""What counts the other way round where axes are forward, left, up."""


@dataclass(frozen=True, slots=True)
class ColumnTruth:
    """What one column is; `quantity` is empty for one that is nothing, `also` what it may be taken for besides."""

    place: int
    text: str
    quantity: str
    unit: str
    scale: float
    offset: float
    sense: int
    corner: int | None
    number: int | None
    plain: bool
    unit_given: bool
    also: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Mess:
    """A file and the truth about it; `t_s` are seconds of the flight at each of its rows."""

    path: Path
    columns: tuple[ColumnTruth, ...]
    t_s: Floats
    rate_hz: float
    clock_unit: str
    slips: tuple[str, ...]
    look: Look
    hand: Hand
    seen: dict[str, list[Made]] = field(default_factory=dict)


def keep_some(seen: Seen, rng: Rng) -> list[Made]:
    """Draw the channels of one record."""
    groups = {GROUP.get(each.quantity, each.quantity) for each in seen.channels}
    kept = {group for group in sorted(groups) if rng.random() < KEEP[group]}
    if rng.random() < 0.1:  # what a radio keeps: nothing of the loop
        kept -= {"rate", "rate_demand", "output", "rotor_speed", "acceleration"}
    if "place" not in kept:
        kept -= {"launch"}
    if not kept:
        kept = {"pack_volts", "rate"}
    return [each for each in seen.channels if GROUP.get(each.quantity, each.quantity) in kept]


def senses(rng: Rng) -> dict[str, int]:
    """Draw which channels count the other way round."""
    kind = rng.random()
    if kind < 0.6:
        return {}
    if kind < 0.75:
        return dict.fromkeys(LEFT_UP, -1)
    picked = rng.choice(sorted(TURNABLE), int(rng.integers(1, 4)), replace=False)
    turned = {str(each): -1 for each in picked}
    if rng.random() < 0.4:  # gravity counted downward-positive instead of as specific force
        turned |= dict.fromkeys(("acceleration_x", "acceleration_y", "acceleration_z"), -1)
    return turned


def written_values(made: Made, unit: Unit, sense: int, blank: bool, rng: Rng) -> Floats:
    """Return a channel's numbers as written; NaN where a cell is empty."""
    values = sense * made.values
    if made.quantity == "heading" and unit.key != "deg" and rng.random() < 0.5:
        values = np.where(values > np.pi, values - 2 * np.pi, values)
    if np.isnan(unit.scale):
        values = np.round(10.0 * np.log10(1e3 * values), unit.digits)
    else:
        values = np.round((values - unit.offset) / unit.scale, unit.digits)
    if made.fresh is not None and blank:
        values = np.where(made.fresh, values, np.nan)
    return np.asarray(values, np.float64)


def make_mess(seen: Seen, folder: Path, name: str, rng: Rng, table: str = "names") -> Mess:
    """Write one record, with headings of one table; the truth of each column comes with it."""
    hand, look = draw_hand(rng, table), draw_look(rng)
    kept = keep_some(seen, rng)
    track = drawn_track(rng.spawn(1)[0]) if any(each.quantity == "latitude" for each in kept) else ""
    if track:
        there = {each.quantity for each in kept}
        seen, hand, look = thinned(seen), track_hand(hand), replace(look, kind=track, heads="one row", latin=False)
        kept = [each for each in seen.channels if each.quantity in there]
    order, base = rng.permutation(4), int(rng.integers(0, 2))
    named, turned = rng.random() < 0.25, senses(rng)
    units: dict[str, Unit] = {}
    mean_cell, blank = rng.random() < 0.5, bool(rng.random() < 0.35)
    cells_done = False
    made: list[dict[str, Any]] = []
    for each in kept:
        group = ONE_UNIT.get(each.quantity, each.quantity)
        if group not in units:
            units[group] = UNITLESS if each.labels else draw_unit(rng, each.quantity)
        unit, key, fill = units[group], each.quantity, {}
        number = None
        if each.corner is not None:
            if named:
                key, fill = f"{each.quantity}_corner", CORNER[each.corner]
            else:
                number = int(order[each.corner]) + base
                fill = {"n": str(number)}
        if each.cell is not None:
            if mean_cell:
                if cells_done:
                    continue
                cells_done = True
                total = [one.values for one in kept if one.cell is not None]
                each = Made("cell_volts", np.mean(total, axis=0), fresh=each.fresh)  # noqa: PLW2901
                key = "cell_mean"
            else:
                number = each.cell
                fill = {"n": str(number)}
        sense = turned.get(each.quantity, 1)
        head = heading(hand, key, unit, fill, rng)
        values = written_values(each, unit, sense, blank, rng)
        made.append({"head": head, "values": values, "labels": each.labels, "quantity": each.quantity, "unit": unit,
                     "sense": sense, "corner": each.corner if each.corner is not None else None,
                     "number": number, "also": ""})  # fmt: skip
    made += junk_columns(kept, len(seen.t_s), hand, rng)
    if rng.random() < 0.3:
        made = [made[i] for i in rng.permutation(len(made))]
    return finish(seen, made, hand, look, folder, name, rng)


def finish(seen: Seen, made: list[dict[str, Any]], hand: Hand, look: Look, folder: Path, name: str, rng: Rng) -> Mess:
    """Add the clock and write the file."""
    if look.kind in TRACKS:
        return finish_track(seen, made, hand, look, folder, name, rng)
    clock = write_clock(seen.t_s, seen.restart_row, seen.rate_hz, rng)
    unit = Unit(clock.unit, 1.0 / FACTOR.get(clock.unit, 1.0), 0.0, TEXTS[clock.unit], TEXTS[clock.unit][:1], 1, 0)
    column = {"head": heading(hand, "time", unit, {}, rng), "values": clock.cells, "labels": (), "quantity": "time",
              "unit": unit, "sense": 1, "corner": None, "number": None, "also": ""}  # fmt: skip
    place = 0 if rng.random() < 0.85 else int(rng.integers(0, len(made) + 1))
    made.insert(place, column)
    unique = each_once(made)
    if look.heads == "none" and look.kind == "csv":
        for each in unique:
            each["head"] = Heading("", "", False, False)
    return lost_and_written(seen, unique, hand, look, folder, name, (clock.unit, clock.slips), rng)


def finish_track(seen: Seen, made: list[dict[str, Any]], hand: Hand, look: Look, folder: Path, name: str,
                 rng: Rng) -> Mess:  # fmt: skip
    """Write a track: dates with times, places in degrees, heights in metres, every other channel beside them."""
    for each in made:
        if said_by_format(each, look.kind):
            unit = SAID[each["quantity"]]
            found = next(one for one in seen.channels if one.quantity == each["quantity"])
            each |= {"unit": unit, "values": np.round((found.values - unit.offset) / unit.scale, unit.digits)}
    stamps = moments(seen.t_s - seen.t_s[0], "iso", EPOCH_S + float(rng.uniform(0.0, 86_400.0)), "T", "Z")
    unique = each_once(in_order(made, stamps, look.kind))
    return lost_and_written(seen, unique, hand, look, folder, name, ("iso", ()), rng)


def each_once(made: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the columns without those whose heading is there already."""
    taken: set[str] = set()
    unique = []
    for each in made:
        if each["head"].text.lower() not in taken:
            taken.add(each["head"].text.lower())
            unique.append(each)
    return unique


def lost_and_written(seen: Seen, unique: list[dict[str, Any]], hand: Hand, look: Look, folder: Path, name: str,
                     clock: tuple[str, tuple[str, ...]], rng: Rng) -> Mess:  # fmt: skip
    """Lose some rows, write the file, say the truth."""
    rows = np.ones(len(seen.t_s), bool)
    slips = list(clock[1])
    if rng.random() < 0.12 and len(rows) > 1000:
        slips.append("gap")
        begin = int(rng.integers(200, len(rows) - 200))
        rows[begin : begin + int(seen.rate_hz * rng.uniform(0.3, 2.5))] = False
    unique = as_met(unique, rows, look.kind)
    path = write(unique, rows, look, folder, name, rng)
    truths = tuple(
        ColumnTruth(i, each["head"].text, each["quantity"], each["unit"].key, each["unit"].scale, each["unit"].offset,
                    each["sense"], each["corner"], each["number"], each["head"].plain, each["head"].unit_given,
                    each["also"]) for i, each in enumerate(unique))  # fmt: skip
    return Mess(path, truths, seen.t_s[rows], seen.rate_hz, clock[0], tuple(slips), look, hand)
