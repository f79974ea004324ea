"""The truth of one plan: everything that decides its flight, drawn before anything is written into the plan."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from studies.calibration.cells import soc_at
from studies.calibration.ground import Place
from studies.calibration.population import (
    CLASSES,
    CONTROL,
    GENERAL,
    RADIO,
    RETURN_TESTED,
    RETURN_UNTESTED,
    VIDEO,
    Quantity,
    radio_error_db,
    shifts,
)
from studies.calibration.power import Craft

SITES = ((36.6021, -84.2185), (36.5613, -84.2630), (36.6402, -84.1702), (36.5331, -84.3318), (36.6687, -84.2901))
"""Launch points on the raster, chosen by hand; nobody is known to have flown there."""
OPEN_CLASSES = (0.12, 0.18, 0.2, 0.3, 0.2)
CAREFUL_CLASSES = (0.02, 0.1, 0.28, 0.3, 0.3)
TREES = {"none": 0.0, "scattered trees": 0.08, "wood": 0.75}


@dataclass(frozen=True)
class Link:
    """One direction of one radio that must hold, true values."""

    class_name: str
    mhz: float
    power_dbm: float
    need_dbm: float
    """Weakest usable level in quiet."""
    interference_db: float
    ground_gain_dbi: float
    aircraft_gain_dbi: float
    body_loss_db: float
    upright: bool
    """Dipoles upright at both ends (control), or small circular antennas (video)."""
    hold_s: float


@dataclass(frozen=True)
class Truth:
    """One plan's world and this flight's chance, true values, SI where no unit is named."""

    class_name: str
    cells: int
    label_mah: int
    cycles: int
    dry_kg: float
    craft: Craft
    pack_kg: float
    capacity_ah: float
    resistance_ohm: float
    weakest_ratio: float
    curve_v: float
    knee: float
    rest_v: float
    pack_c: float
    air_c: float
    cruise_mps: float
    hand_mean: float
    hand_flight: float
    speed_held: float
    climb_mps: float
    circuit_s: float
    wind_mps: float
    """Mean of the hour, 10 m above ground."""
    wind_flight: float
    wind_from_deg: float
    roughness_m: float
    gust_length_m: float
    gust_ratio: float
    place: Place
    bearing_deg: float
    height_m: float
    trees: str
    leaf_share: float
    tree_m: float
    antenna_m: float
    control: Link
    video: Link | None
    action: str
    return_height_m: float
    return_mps: float
    return_tested: bool
    return_chance: float
    general: dict[str, float]
    """What only the simulator asks for, by the name in `population.GENERAL`."""
    control_error_db: float
    """What this plan's own error of the typical values adds to its control link (negative: takes from it)."""
    video_error_db: float
    """The same, of its video link; of a plan without video, what it would be."""

    @property
    def start_soc(self) -> float:
        """State of charge at launch."""
        return soc_at(self.rest_v, self.curve_v, self.knee)


def truth_of(chance: np.random.Generator, careful: bool, common: int | None = None) -> Truth:
    """Draw one truth; `careful` keeps to calm, near and well-kept flights, of which many end in a go.

    With the seed of a `common` error of the typical values, that one takes the place of the plan's own.
    """
    name = str(chance.choice(list(CLASSES), p=CAREFUL_CLASSES if careful else OPEN_CLASSES))
    row = CLASSES[name]
    own = shifts(chance)
    off = own if common is None else shifts(np.random.default_rng(common))
    of = {key: each.draw(chance, off[name, key]) for key, each in row.quantities.items()}
    also = {key: each.draw(chance) for key, each in GENERAL.items()}
    label_mah = int(chance.choice(row.labels_mah))
    cycles = int(chance.integers(3, 60 if careful else 140))
    wh = label_mah * 1e-3 * 3.7 * row.cells
    pack_kg = wh * also["pack_g_per_wh"] * 1e-3
    label_ah = label_mah * 1e-3
    wind = float(2.0 * chance.weibull(2.0)) if careful else float(4.2 * chance.weibull(2.0))
    place, bearing, height = _where(chance, name, careful)
    trees = "none" if careful else str(chance.choice(list(TREES), p=[0.78, 0.18, 0.04]))
    tested = bool(chance.random() < (0.97 if careful else 0.55))
    actions = ["automatic return", "motors stop", "descend in place", "keep last sticks"]
    action = str(chance.choice(actions, p=[0.97, 0.03, 0.0, 0.0] if careful else [0.6, 0.2, 0.12, 0.08]))
    control, video = _radios(chance, also, off, name, careful)
    return Truth(
        class_name=name,
        cells=row.cells,
        label_mah=label_mah,
        cycles=cycles,
        dry_kg=of["mass_g"] * 1e-3,
        craft=_craft(of, also, row.diameter_in, row.blades, of["mass_g"] * 1e-3 + pack_kg, name, chance),
        pack_kg=pack_kg,
        capacity_ah=label_ah * also["capacity_share"] * (1.0 - also["capacity_cycle"] * cycles),
        resistance_ohm=also["resistance_ohm_ah"] / label_ah * (1.0 + also["resistance_cycle"] * cycles),
        weakest_ratio=max(also["weakest_ratio"], 1.0),
        curve_v=also["rest_curve_v"],
        knee=also["knee_soc"],
        rest_v=_rest_v(chance, careful),
        pack_c=float(np.clip(chance.normal(22.0, 4.0 if careful else 7.0), 5.0, 38.0)),
        air_c=float(np.clip(chance.normal(15.0, 8.0), 1.0, 35.0)),
        cruise_mps=of["cruise_mps"],
        hand_mean=also["hand_mean"],
        hand_flight=also["hand_flight"],
        speed_held=also["speed_held"],
        climb_mps=also["climb_mps"],
        circuit_s=also["circuit_s"],
        wind_mps=max(wind, 0.2),
        wind_flight=also["wind_flight"],
        wind_from_deg=float(chance.uniform(0.0, 360.0)),
        roughness_m=also["roughness_m"],
        gust_length_m=also["gust_length_m"],
        gust_ratio=also["gust_ratio"],
        place=place,
        bearing_deg=bearing,
        height_m=height,
        trees=trees,
        leaf_share=TREES[trees] * float(chance.uniform(0.4, 1.25)),
        tree_m=float(chance.uniform(6.0, 18.0)),
        antenna_m=float(np.clip(chance.normal(1.7, 0.2), 1.1, 2.3)),
        control=control,
        video=video,
        action=action,
        return_height_m=float(round(chance.uniform(40.0, 110.0))),
        return_mps=float(np.clip(chance.normal(1.0 if careful else 0.85, 0.12), 0.6, 1.2)) * of["cruise_mps"],
        return_tested=tested,
        return_chance=float(chance.uniform(*(RETURN_TESTED if tested else RETURN_UNTESTED))),
        general=also,
        control_error_db=radio_error_db(off, "control"),
        video_error_db=radio_error_db(off, "video"),
    )


def _craft(
    of: dict[str, float], also: dict[str, float], diameter_in: float, blades: int, mass_kg: float, name: str,
    chance: np.random.Generator,
) -> Craft:  # fmt: skip
    radius = diameter_in * 0.0254 / 2.0
    ducted = name.startswith("ducted")
    return Craft(
        mass_kg=mass_kg,
        disc_m2=math.pi * radius**2,
        radius_m=radius,
        solidity=blades * of["chord_ratio"] / math.pi,
        blade_drag=of["blade_drag"],
        induced_factor=max(also["induced_factor"], 1.02),
        rotor_drag_ratio=also["rotor_drag_ratio"],
        drag_area_m2=of["drag_area_cm2"] * 1e-4,
        drag_exponent=also["drag_exponent"],
        efficiency=min(max(of["efficiency"], 0.3), 0.93),
        auxiliary_w=of["auxiliary_w"],
        thrust_coefficient=float(np.clip(chance.normal(0.020, 0.002), 0.015, 0.026)),
        descent_share=also["descent_share"],
        duct_share=float(chance.uniform(0.2, 0.7)) if ducted else 0.0,
    )


def _rest_v(chance: np.random.Generator, careful: bool) -> float:
    if careful or chance.random() < 0.75:
        return float(chance.uniform(4.13, 4.195))
    return float(chance.uniform(3.85, 4.19))


def _where(chance: np.random.Generator, name: str, careful: bool) -> tuple[Place, float, float]:
    """Return place, bearing, height of flight."""
    bearing = float(round(chance.uniform(0.0, 359.0)))
    low = 15.0 if name == "ducted micro" else 30.0
    height = float(round(chance.uniform(low, 45.0 if careful or name == "ducted micro" else 100.0)))
    kind = chance.random()
    if careful or kind < 0.5:
        latitude, longitude = SITES[int(chance.integers(len(SITES)))]
        return Place(latitude, longitude), bearing, height
    if kind < 0.75:
        return Place(None, None), bearing, height
    return (
        Place(
            None, None, float(chance.uniform(250, 900)), float(chance.uniform(10, 70)), float(chance.uniform(150, 400))
        ),
        bearing, height,
    )  # fmt: skip


def _radios(
    chance: np.random.Generator, also: dict[str, float], off: dict[tuple[str, str], float], name: str, careful: bool
) -> tuple[Link, Link | None]:
    if name == "ducted micro":
        control = str(chance.choice(["2.4 GHz, 25 mW", "2.4 GHz, 100 mW"]))
        video = str(chance.choice(["analogue 5.8 GHz, 25 mW", "digital 5.8 GHz, 25 mW", "none"], p=[0.6, 0.25, 0.15]))
    elif careful:
        control = str(chance.choice(["2.4 GHz, 250 mW", "868 or 915 MHz, 100 mW"]))
        video = str(chance.choice(["analogue 5.8 GHz, 600 mW", "digital 5.8 GHz, 500 mW", "none"], p=[0.1, 0.15, 0.75]))
    else:
        control = str(chance.choice(list(CONTROL)))
        video = str(chance.choice([*VIDEO, "none"], p=[0.06, 0.17, 0.18, 0.06, 0.23, 0.3]))
    body, quiet = also["body_loss_db"], 0.3 if careful else 1.0
    up = _link(chance, control, CONTROL[control], "control", body, also["hold_control_s"], quiet, off)
    if video == "none":
        return up, None
    down = _link(chance, video, VIDEO[video], "video", 0.7 * body, also["hold_video_s"], quiet, off)
    return up, down


def _link(
    chance: np.random.Generator, class_name: str, row: dict[str, float], kind: str, body_db: float, hold_s: float,
    quiet: float, off: dict[tuple[str, str], float],
) -> Link:  # fmt: skip
    def drawn(key: str) -> float:
        quantity: Quantity = RADIO[key]
        return quantity.draw(chance, off["radio", key])

    return Link(
        class_name=class_name,
        mhz=row["mhz"],
        power_dbm=10.0 * math.log10(row["mw"]) + drawn("power_db"),
        need_dbm=row["need_dbm"] + drawn(f"{kind}_need_db"),
        interference_db=max(quiet * drawn("interference_db"), 0.0),
        ground_gain_dbi=drawn("ground_gain_dbi"),
        aircraft_gain_dbi=drawn("aircraft_gain_dbi"),
        body_loss_db=body_db,
        upright=kind == "control",
        hold_s=hold_s,
    )
