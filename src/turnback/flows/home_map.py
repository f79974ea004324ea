"""For every place around the launch point: whether an aircraft sent straight there comes home, or why not."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from turnback.assess.bearings_ways import plan_height_m
from turnback.assess.coming_back import set_height_m
from turnback.assess.homing import SHORT, Flown, Worlds, layers_at, worlds_of
from turnback.assess.homing_return import rescue_set, share_beaten
from turnback.assess.homing_ring import BEARINGS, lowest_m, ring_of, thinned
from turnback.assess.map_energy import energy_table
from turnback.assess.map_falls import drop_shares
from turnback.base.errors import bad_input
from turnback.base.ranges import within
from turnback.flows.flight import Flight
from turnback.records.case import Case
from turnback.records.home_map import LAYERS, NO_DATA, HeightStep, HomeMap, Layer, TurnBackRing
from turnback.records.route import HeightReference
from turnback.records.terrain import Terrain
from turnback.rules.chance import LIMIT_CHANCE
from turnback.rules.people import ORIENTATION, ORIENTATION_OFFSET

MOST_SMALL: Final = 200  # cells a side of the small picture of one more height
ENERGY_SHARE: Final = 0.4  # of the time of one height, for `tell`
EVERY_DEG: Final = 5.0  # of the energy table: in a wind near what it can beat, chances turn with the bearing
HEIGHT_M: Final = (2.0, 1000.0)
FORGIVEN_M: Final = 0.5  # as in a brief: a limit is not passed by less

Tell = Callable[[float], None]


def home_map(
    case: Case,
    *,
    height_m: float | None = None,
    height_above: str | None = None,
    chance: float = LIMIT_CHANCE.value,
    heights: Sequence[float] = (),
    seed: int = 1,
    tell: Tell | None = None,
) -> HomeMap:
    """Return the turn-back map around a launch point.

    Parameters
    ----------
    case : Case
        The plan and all it refers to; its terrain is the map.
    height_m : float, optional
        Flown everywhere; the plan's if left out.
    height_above : str, optional
        ``"launch"`` or ``"ground"``; the plan's reference if left out, above launch where that is sea level.
    chance : float
        That counts as coming home, at the unfavourable end of what is not known: 0.5 to 0.999.
    heights : sequence of float
        More heights, told in short.
    seed : int
        Of the random draws, as in a brief.
    tell : callable, optional
        Called now and then with the share that is done, 0 to 1. It may raise, to stop: nothing is left behind.

    Raises
    ------
    InputError
        Where a number is out of range, or a height of the sweep lies above the limit that was entered.
    """
    asked_m, over_ground = _height(case, height_m, height_above)
    more = _heights(case, heights)
    chance = float(within("chance", chance, 0.5, 0.999, "", "enter a share: nineteen of twenty is 0.95"))
    maps = _Maps(case, Flight(case, seed=seed), chance, over_ground, _shares(tell, 1 + len(more)))
    layers, ring = maps.at(asked_m, None)
    steps = tuple(maps.step(height) for height in more)
    return maps.answer(asked_m, layers, ring, steps)


@dataclass(frozen=True, slots=True)
class _Maps:
    """The maps of one flight, height by height."""

    case: Case
    flight: Flight
    chance: float
    over_ground: bool
    tells: Iterator[Tell | None]
    worlds: Worlds = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "worlds", worlds_of(self.flight.craft.draws, self.flight.ground))

    @property
    def reference(self) -> HeightReference:
        return HeightReference.GROUND if self.over_ground else HeightReference.LAUNCH

    def at(self, height_m: float, keys: tuple[str, ...] | None) -> tuple[dict[str, Layer], TurnBackRing]:
        """Return the layers and the ring at one height; only some layers where keys are given."""
        case, flight, terrain, tell = self.case, self.flight, self.case.terrain, next(self.tells)
        if tell is not None:
            tell(0.0)
        bearing = None if self.over_ground else np.arange(0.0, 360.0, EVERY_DEG)
        energy = energy_table(flight.craft, case, height_m, self.reference, _farthest_m(terrain), bearing)
        flown = Flown(height_m, self.over_ground, case.launch_height_m, self.chance)
        after = None if tell is None else _part(tell, ENERGY_SHARE, 1.0)
        layers = dict(layers_at(self.worlds, flight.ground, terrain, energy, flown, keys, after))
        people = None if keys is not None else self._people(height_m)
        if people is not None:
            layers["people"] = people
        ring = ring_of(
            layers, terrain.x_west_m, terrain.y_north_m, terrain.cell_m, terrain.radius_m, self.chance,
            case.plan.site.local_limits.distance_m,
        )  # fmt: skip
        return layers, ring

    def step(self, height_m: float) -> HeightStep:
        """Return the map at one more height, in short."""
        layers, ring = self.at(height_m, SHORT)
        low, step = thinned(layers["home_low"].values, MOST_SMALL)
        return HeightStep(height_m, ring, low, step)

    def answer(
        self, height_m: float, layers: dict[str, Layer], ring: TurnBackRing, steps: tuple[HeightStep, ...]
    ) -> HomeMap:
        """Return the whole map."""
        case, terrain, world = self.case, self.case.terrain, self.flight.world
        limits, set_m = case.plan.site.local_limits, world.aircraft.return_height_m
        links = [world.control] if world.video is None else [world.control, world.video]
        bearing = np.deg2rad(np.arange(BEARINGS))
        draws = self.flight.craft.draws
        return HomeMap(
            layers=layers,
            heights_m=terrain.heights_m,
            x_west_m=terrain.x_west_m,
            y_north_m=terrain.y_north_m,
            cell_m=terrain.cell_m,
            radius_m=terrain.radius_m,
            height_m=height_m,
            height_above=self.reference.value,
            ring=ring,
            heights=steps,
            sight_m=ORIENTATION.value * world.aircraft.span_m + ORIENTATION_OFFSET.value,
            limit_height_m=limits.height_m,
            limit_distance_m=limits.distance_m,
            over_limit=limits.height_m is not None and self._most_above_m(height_m) > limits.height_m + FORGIVEN_M,
            return_set_m=None if set_m is None else set_m.value,
            return_works=share_beaten(draws, set_height_m(world), bearing) if rescue_set(world) else None,
            launch_lat_deg=terrain.launch_lat_deg,
            launch_lon_deg=terrain.launch_lon_deg,
            areas=tuple((area.name, area.rings[0]) for area in case.people_areas.areas) if case.people_areas else (),
            terrain_source=terrain.source,
            terrain_assumed=terrain.assumed,
            terrain_notes=terrain.notes,
            measured=tuple(link.name for link in links if link.measured is not None),
            draws=draws.count * draws.nodes.count,
            seed=self.flight.seed,
            title=case.title,
        )

    def _people(self, height_m: float) -> Layer | None:
        terrain = self.case.terrain
        shares = drop_shares(
            self.flight.craft, self.case, terrain.x_west_m, terrain.y_north_m, terrain.cell_m, terrain.heights_m.shape,
            height_m, self.reference,
        )  # fmt: skip
        if shares is None:
            return None
        scale, unit = LAYERS["people"]
        values = np.round(shares / np.float32(scale)).astype(np.int16)
        values[~terrain.known] = NO_DATA
        return Layer("people", values, scale, unit)

    def _most_above_m(self, height_m: float) -> float:
        """Return the greatest height above the known ground within the radius."""
        if self.over_ground:
            return height_m
        return height_m + self.case.launch_height_m - lowest_m(self.case.terrain)


def _height(case: Case, height_m: float | None, height_above: str | None) -> tuple[float, bool]:
    """Return the height of the main map, and whether it is above the ground."""
    plan = case.route.height_reference
    names = {"launch": False, "ground": True}
    if height_above is not None and height_above not in names:
        raise bad_input("height_above", f"{height_above!r} is no reference of a map", "say launch or ground")
    over_ground = plan is HeightReference.GROUND if height_above is None else names[height_above]
    found = plan_height_m(case.route) if height_m is None else height_m
    if height_m is None and plan is HeightReference.SEA_LEVEL:
        found -= case.launch_height_m
    if height_m is None:
        found = max(found, HEIGHT_M[0])
    return float(within("height_m", found, *HEIGHT_M, "m", "enter metres")), over_ground


def _heights(case: Case, heights: Sequence[float]) -> list[float]:
    """Return the sweep's heights, ascending, none above the entered limit."""
    if not len(heights):
        return []
    asked = np.unique(within("heights", heights, *HEIGHT_M, "m", "enter metres"))
    limit_m = case.plan.site.local_limits.height_m
    if limit_m is not None and asked[-1] > limit_m + FORGIVEN_M:
        what = f"{asked[-1]:g} m lies above the limit of {limit_m:g} m that the plan names"
        raise bad_input("heights", what, "ask for heights up to that limit")
    return [float(height) for height in asked]


def _farthest_m(terrain: Terrain) -> float:
    """Return the distance to the farthest corner of a terrain."""
    rows, columns = terrain.heights_m.shape
    east = max(-terrain.x_west_m, terrain.x_west_m + (columns - 1) * terrain.cell_m)
    north = max(terrain.y_north_m, (rows - 1) * terrain.cell_m - terrain.y_north_m)
    return float(np.hypot(east, north))


def _shares(tell: Tell | None, maps: int) -> Iterator[Tell | None]:
    """Return, for each of some maps, how to tell what is done of all of them."""
    return iter([None if tell is None else _part(tell, i / maps, (i + 1) / maps) for i in range(maps)])


def _part(tell: Tell, start: float, end: float) -> Tell:
    return lambda share: tell(start + share * (end - start))
