"""From a truth to the plan that its pilot would write: some values entered, with the errors people make, others open.

The plan is written as a file and read by the product as any plan is. Nothing of the truth reaches the product but
through that file.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np
from studies.calibration import power
from studies.calibration.cells import LAND_BY_V
from studies.calibration.ground import RASTER
from studies.calibration.population import CLASSES, CONTROL, ENTRY, VIDEO
from studies.calibration.world import Link, Truth

KNOWN: Final = {"little": 0.15, "some": 0.55, "much": 0.95, "all": 1.0}
"""Chance that a value is entered, by how well a pilot knows the aircraft."""
FLIGHT_V: Final = 3.8
"""Volts of a cell in the middle of a flight: a current sensor reads watts over these."""
HOVER_S: Final = 10.0


@dataclass(frozen=True)
class Plan:
    """A plan but for its distance; `lines` by section of the file."""

    head: tuple[str, ...]
    route: tuple[str, ...]
    tail: tuple[str, ...]
    known: str

    def text(self, distance_m: float) -> str:
        """Return the plan file."""
        return "\n".join([*self.head, "", "[route]", f"distance_m = {distance_m:.1f}", *self.route, "", *self.tail, ""])


class Writer:
    """Writes entered values with their errors; the same chance writes the same plan."""

    def __init__(self, truth: Truth, known: str, chance: np.random.Generator) -> None:
        self.truth, self.known, self._chance = truth, known, chance

    def tells(self, share: float | None = None) -> bool:
        """Return whether a value is entered; of a careful plan, all are."""
        if self.known == "all":
            return True
        return bool(self._chance.random() < (KNOWN[self.known] if share is None else share))

    def erring(self, key: str, value: float) -> float:
        """Return a value with a relative error."""
        return value * math.exp(ENTRY[key][0] * float(self._chance.normal()))

    def off(self, key: str, value: float) -> float:
        """Return a value with an error in its own unit."""
        return value + ENTRY[key][0] * float(self._chance.normal())


def plan_of(truth: Truth, known: str, chance: np.random.Generator) -> Plan:
    """Write the plan of a truth."""
    writer = Writer(truth, known, chance)
    head = ["schema = 1", 'note = "Invented for a study: nobody flew it. This does not know your local law."']
    head += ['observer = "yes"', "", *_aircraft(writer), "", *_pack(writer), "", *_radios(writer), "", *_site(writer)]
    reference = "ground" if truth.place.latitude_deg is not None or truth.place.ridge_height_m else "launch"
    route = [
        f"bearing_deg = {truth.bearing_deg:g}", f"height_m = {truth.height_m:g}", f'height_above = "{reference}"',
        f"hover_s = {HOVER_S:g}", 'mode = "self-level"',
    ]  # fmt: skip
    tail = [
        "[pilot]", "packs_flown = 200",
        'shown = ["simulator", "ducted in self-level", "self-level in sight", "goggles with observer", '
        '"radio-loss drill"]',
        "", *_weather(writer), "", *_answers(writer),
    ]  # fmt: skip
    return Plan(tuple(head), tuple(route), tuple(tail), known)


def _aircraft(writer: Writer) -> list[str]:
    truth = writer.truth
    lines = ["[aircraft]", f'class = "{truth.class_name}"', f'on_radio_loss = "{truth.action}"']
    if writer.tells():
        lines.append(f'mass_g = {{ value = {writer.erring("mass_g", truth.dry_kg * 1e3):.1f}, how = "measured" }}')
    if writer.tells():
        lines.append(f"cruise_mps = {writer.erring('cruise_mps', truth.cruise_mps):.2f}")
    if writer.tells(0.3):
        lines.append(f"drag_area_cm2 = {writer.erring('drag_area_cm2', truth.craft.drag_area_m2 * 1e4):.1f}")
    if writer.tells(0.75 if writer.known == "much" else None):
        density = power.density_kg_m3(truth.air_c, 0.0)
        amperes = power.pack_w(truth.craft, 0.0, 0.0, density) * truth.hand_mean / (FLIGHT_V * truth.cells)
        lines.append(
            f'hover_current_a = {{ value = {writer.erring("hover_current_a", amperes):.3f}, how = "measured" }}'
        )
    if truth.action == "automatic return" and (truth.return_tested or writer.tells()):
        lines += ["[aircraft.automatic_return]", f"height_m = {truth.return_height_m:g}"]
        lines += [f"speed_mps = {truth.return_mps:.2f}", 'needs_position_fix = "yes"']
    return lines


def _pack(writer: Writer) -> list[str]:
    truth = writer.truth
    lines = ["[pack]", f'label = "{truth.cells}S {truth.label_mah} mAh 100C"']
    if writer.tells():
        lines.append(f"cycles = {truth.cycles}")
    if writer.tells():
        lines.append(f'mass_g = {{ value = {writer.erring("mass_g", truth.pack_kg * 1e3):.1f}, how = "measured" }}')
    if writer.tells(0.35):
        mah = writer.erring("capacity_mah", truth.capacity_ah * 1e3)
        lines.append(f'capacity_mah = {{ value = {mah:.1f}, how = "measured" }}')
    if writer.tells():
        ohm = writer.erring("resistance_mohm", truth.resistance_ohm * 1e3)
        lines.append(f'resistance_mohm_per_cell = {{ value = {ohm:.3f}, how = "measured" }}')
    if writer.tells():
        lines.append(f"temperature_c = {writer.off('pack_c', truth.pack_c):.1f}")
    return lines


def _radios(writer: Writer) -> list[str]:
    truth = writer.truth
    lines = ["[radio.control]", f'class = "{truth.control.class_name}"', *_link(writer, truth.control, "aircraft")]
    if truth.video is None:
        return [*lines, "", "[radio.video]", 'class = "none"']
    return [*lines, "", "[radio.video]", f'class = "{truth.video.class_name}"', *_link(writer, truth.video, "ground")]


def _link(writer: Writer, link: Link, hearing: str) -> list[str]:
    """Write what is known of a link, in the direction that must hold."""
    lines: list[str] = []
    sending = "ground" if hearing == "aircraft" else "aircraft"
    if writer.tells(0.25 * KNOWN[writer.known]):
        mw = 10.0 ** (writer.off("power_db", link.power_dbm) / 10.0)
        lines.append(f'{sending}_power_mw = {{ value = {mw:.2f}, how = "measured" }}')
    if writer.tells(0.6 * KNOWN[writer.known]):
        need = writer.off("need_db", link.need_dbm)
        lines.append(f'{hearing}_sensitivity_dbm = {{ value = {need:.1f}, how = "measured" }}')
    if writer.tells(0.6 * KNOWN[writer.known]):
        khz, figure_db = (800.0, 6.0) if link.upright else (20_000.0, 7.0)
        khz, figure_db = (500.0, 6.0) if link.mhz < 1000 else (khz, figure_db)
        floor = -173.975 + 10.0 * math.log10(khz * 1e3) + figure_db
        level = floor + 10.0 * math.log10(max(10.0 ** (link.interference_db / 10.0) - 1.0, 0.02))
        lines.append(f'interference_dbm = {{ value = {writer.off("interference_db", level):.1f}, how = "measured" }}')
    antennas = ((sending, "ground" if sending == "ground" else "aircraft"), (hearing, hearing))
    for end, name in antennas:
        if writer.tells(0.4 * KNOWN[writer.known]):
            gain = writer.off("gain_db", link.ground_gain_dbi if end == "ground" else link.aircraft_gain_dbi)
            lines.append(f'{name}_antenna = {{ gain_dbi = {{ value = {gain:.2f}, how = "label" }} }}')
    return lines


def _site(writer: Writer) -> list[str]:
    truth, place = writer.truth, writer.truth.place
    lines = ["[site]"]
    if place.latitude_deg is not None and place.longitude_deg is not None:
        lines += [
            f'terrain = "{RASTER.name}"',
            f"latitude_deg = {place.latitude_deg}",
            f"longitude_deg = {place.longitude_deg}",
        ]
    canopy = truth.trees if writer.tells(0.35 + 0.6 * KNOWN[writer.known]) else "don't know"
    lines += [f'canopy = "{canopy}"']
    if place.ridge_height_m:
        lines += [
            f"ridges = [{{ distance_m = {place.ridge_distance_m:.0f}, height_m = {place.ridge_height_m:.0f}, "
            f"bearing_deg = {truth.bearing_deg:g}, width_m = {place.ridge_width_m:.0f} }}]"
        ]
    return [
        *lines,
        "[site.local_limits]",
        'looked_up = "yes"',
        "height_m = 500",
        "distance_m = 20000",
        'in_sight = "no"',
    ]


def _weather(writer: Writer) -> list[str]:
    truth = writer.truth
    lines = ["[weather]"]
    if writer.tells(0.5 + 0.5 * KNOWN[writer.known]):
        lines.append(f"wind_mps = {writer.erring('wind_mps', truth.wind_mps):.2f}")
        if writer.tells():
            lines.append(f"wind_from_deg = {writer.off('wind_from_deg', truth.wind_from_deg) % 360.0:.0f}")
    if writer.tells():
        lines.append(f"temperature_c = {writer.off('air_c', truth.air_c):.1f}")
    return lines


def _answers(writer: Writer) -> list[str]:
    truth = writer.truth
    lines = ["[answers]", 'propellers_verified_today = "yes"', 'who_can_be_underneath = "nobody"']
    lines.append(f'return_tested_on_this_build = "{"yes" if truth.return_tested else "no"}"')
    if writer.tells(0.55 + 0.45 * KNOWN[writer.known]):
        lines.append(f"rest_v_per_cell = {min(writer.off('rest_v', truth.rest_v), 4.2):.3f}")
    if writer.tells(0.8 * KNOWN[writer.known]):
        lines.append(_last_flight(writer))
    return lines


def _last_flight(writer: Writer) -> str:
    """The last flight of this aircraft on this pack: some hover, some cruise, nearly four fifths of the pack."""
    truth = writer.truth
    density = power.density_kg_m3(truth.air_c, 0.0)
    still = power.pack_w(truth.craft, 0.0, 0.0, density)
    moving = power.pack_w(truth.craft, truth.cruise_mps, 0.0, density)
    share = float(np.random.default_rng(truth.label_mah + truth.cycles).uniform(0.2, 0.8))
    hand = truth.hand_mean * writer.erring("hover_current_a", 1.0)
    amperes = (still * share + moving * (1.0 - share)) * hand / (FLIGHT_V * truth.cells)
    used_ah = 0.7 * truth.capacity_ah
    mah = writer.erring("last_flight", used_ah * 1.02e3)
    return f"last_flight = {{ minutes = {used_ah / amperes * 60.0:.2f}, charger_mah = {mah:.0f} }}"


def thumb_says_yes(truth: Truth, distance_m: float) -> bool:
    """Return the plain rule of thumb: four fifths of the label at the class's current, and the radios' usual reach."""
    seconds = (
        2.0 * distance_m / CLASSES[truth.class_name].quantities["cruise_mps"].median + 2.0 * truth.height_m / 3.0 + 30.0
    )
    lasts_s = 0.8 * truth.label_mah * 3.6 / CLASSES[truth.class_name].thumb_current_a
    reach = CONTROL[truth.control.class_name]["thumb_m"]
    if truth.video is not None:
        reach = min(reach, VIDEO[truth.video.class_name]["thumb_m"])
    return seconds <= lasts_s and distance_m <= reach and truth.rest_v > LAND_BY_V


def folder_with_terrain(folder: Path) -> Path:
    """Make a folder for plan files with the raster beside them."""
    folder.mkdir(parents=True, exist_ok=True)
    copy = folder / RASTER.name
    if not copy.exists():
        copy.write_bytes(RASTER.read_bytes())
    return folder
