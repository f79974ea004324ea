"""One flight, worked out only as far as it is asked about: the core of a brief, and of every changed plan."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cached_property
from typing import Final

import numpy as np

from turnback.assess.assumed import Shares, shares_of
from turnback.assess.coming_back import WayHome, assess_return, return_works, way_home
from turnback.assess.coming_home import home_chance
from turnback.assess.energy import EnergyAnswer, assess_energy
from turnback.assess.falling import fall_findings, falls
from turnback.assess.flight_energy import Craft
from turnback.assess.judge import sorted_findings, verdict_of
from turnback.assess.judge_facts import (
    action_findings,
    build_findings,
    law_findings,
    observer_findings,
    people_findings,
    site_findings,
)
from turnback.assess.judge_numbers import (
    energy_findings,
    link_findings,
    pack_findings,
    return_findings,
    weather_findings,
)
from turnback.assess.last_flight import Taught, last_flight_findings, taught_by
from turnback.assess.pack_care import care_findings, pack_care
from turnback.assess.pilot import assess_pilot, pilot_findings
from turnback.assess.reception import LinkAnswer, assess_link, cast_rays
from turnback.assess.spreads import expected
from turnback.assess.surroundings import air_result
from turnback.assess.track import Track, lay_track
from turnback.assess.turning import Turning, energy_turning, largest_wind_mps
from turnback.assess.world import chemistry_of, fill
from turnback.physics.terrain_grid import TerrainGrid, terrain_grid
from turnback.records.care import CareResult
from turnback.records.case import Case
from turnback.records.common import Answer
from turnback.records.fall import FallResult
from turnback.records.finding import Finding, Spread, Verdict
from turnback.records.pilot_result import PilotResult
from turnback.records.result import AirResult, ReturnResult
from turnback.records.site import Canopy
from turnback.records.world import World
from turnback.rules.flight import TURN_BACK

RANK: Final[Mapping[Verdict, int]] = {
    Verdict.NO_GO: 0,
    Verdict.CANNOT_SAY: 1,
    Verdict.GO_WITH_LIMITS: 2,
    Verdict.GO: 3,
}
"""From the worst verdict to the best."""
NO_SHARES: Final = Shares({})
ANYWHERE_M: Final = 1e9  # farther than anybody flies


class Flight:
    """One flight of a case; each part is worked out when it is first asked for, and then kept.

    Parameters
    ----------
    case : Case
        The plan and all it refers to.
    seed : int
        Of the random draws.
    like : Flight, optional
        A flight of the same seed: what cannot differ from it is taken from it. The answer is the same bytes without.
    in_full : bool
        Also work out what decides no verdict: the largest wind, and which unknown moves which figure.
    """

    def __init__(self, case: Case, *, seed: int = 1, like: Flight | None = None, in_full: bool = False) -> None:
        self.case = case
        self.seed = seed
        self.in_full = in_full
        self._like = like

    @cached_property
    def world(self) -> World:
        """The plan with every gap filled."""
        return fill(self.case)

    @cached_property
    def ground(self) -> TerrainGrid:
        """The terrain as rays cross it."""
        terrain = self.case.terrain
        return terrain_grid(terrain.heights_m, terrain.x_west_m, terrain.y_north_m, terrain.cell_m)

    @cached_property
    def track(self) -> Track:
        """The stations of the route."""
        return lay_track(self.case.route, self.case.terrain, self.case.launch_height_m)

    @cached_property
    def taught(self) -> Taught:
        """The drawn worlds, before and after those were kept that fit the last flight."""
        like, last = self._like, self.case.plan.answers.last_flight
        if like is not None and like.world == self.world and like.case.plan.answers.last_flight == last:
            return like.taught
        return taught_by(self.world, chemistry_of(self.case), last, self.seed)

    @property
    def craft(self) -> Craft:
        """The drawn worlds, those kept that use what the last flight used."""
        return self.taught.after

    @cached_property
    def air(self) -> AirResult:
        """Air and wind along the route."""
        return air_result(self.craft.draws, self.track)

    @cached_property
    def links(self) -> list[LinkAnswer]:
        """The control link, and the video link where there is one, over the same rays."""
        world, launch_m = self.world, self.case.launch_height_m
        radios = [world.control] if world.video is None else [world.control, world.video]
        draws, track, ground = self.craft.draws, self.track, self.ground
        rays = cast_rays(ground, draws, track, launch_m, radios)
        return [assess_link(ground, draws, track, rays, which, link, launch_m) for which, link in enumerate(radios)]

    @cached_property
    def ridge(self) -> WayHome:
        """The ground under the straight ways home."""
        return way_home(self.ground, self.world, self.track, self.case.launch_height_m)

    @cached_property
    def energy(self) -> EnergyAnswer:
        """The pack along the route."""
        like = self._twin
        return assess_energy(self.craft, self.track) if like is None else like.energy

    @cached_property
    def fall(self) -> FallResult:
        """Where it comes down, and how hard, if its motors stop on the way."""
        case, energy = self.case, self.energy.result
        return falls(self.craft, self.track, case.terrain, case.launch_height_m, case.people_areas, energy)

    @cached_property
    def turning(self) -> Turning:
        """How far out the pack lets it turn back."""
        like = self._twin
        return energy_turning(self.craft, self.track) if like is None else like.turning

    @cached_property
    def back(self) -> ReturnResult:
        """How it comes home."""
        wind_mps = largest_wind_mps(self.craft, self.track) if self.in_full else float("nan")
        return self._back(self.turning, wind_mps)

    @cached_property
    def pilot(self) -> PilotResult:
        """What it asks of its pilot, and what was shown."""
        sight, energy = self.links[0].result, self.energy.result
        return assess_pilot(self.case.plan, self.world, self.craft, energy, self.back, self.track, sight)

    @cached_property
    def care(self) -> CareResult:
        """What the pack asks for, and what the last flight taught of it."""
        return pack_care(self.case, self.taught, self.energy.result)

    @cached_property
    def home(self) -> Spread:
        """The chance that it comes home."""
        works = return_works(self.world, self.ridge, self.back)
        return expected(home_chance(self.energy.chance, [link.chance for link in self.links], return_works=works))

    @cached_property
    def shares(self) -> Shares:
        """Which unknown moves which figure; nothing where the flight is not worked out in full."""
        return shares_of(self.craft.draws, self.figures()) if self.in_full else NO_SHARES

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """Everything found, worst first."""
        return sorted_findings(self._findings(self.back, self.energy))

    @cached_property
    def verdict(self) -> Verdict:
        """The verdict of the worst finding."""
        return verdict_of(self.findings)

    def figures(self) -> dict[str, np.ndarray]:
        """Return the figures that gaps are ranked by, one value per draw of the unknowns."""
        return {
            "energy": self.energy.landing_margin,
            **{link.result.name: link.score for link in self.links},
            "thrust": self.craft.thrust.margin_ratio,
        }

    def reaches(self, least: Verdict, *, as_far_as_energy: bool | None = None) -> bool:
        """True where the verdict is at least that: the quick findings first, given up at the first that denies it.

        Findings only worsen a verdict, so what the quick ones deny nothing later mends.

        Parameters
        ----------
        least : Verdict
        as_far_as_energy : bool, optional
            Stop before the pack (False), before its turn-back (True); to the end if left out.
        """
        if "findings" in self.__dict__:
            return RANK[self.verdict] >= RANK[least]
        if RANK[verdict_of(self._quick)] < RANK[least]:
            return False
        if as_far_as_energy is False:
            return True
        if RANK[verdict_of(energy_findings(self.world, self.energy, NO_SHARES))] < RANK[least]:
            return False
        return as_far_as_energy is True or RANK[self.verdict] >= RANK[least]

    def seen(self) -> tuple[Finding, ...]:
        """Return what was found as far as this flight was worked out."""
        if "findings" in self.__dict__:
            return self.findings
        energy = energy_findings(self.world, self.energy, NO_SHARES) if "energy" in self.__dict__ else []
        return (*self._quick, *energy)

    def looked_at(self, rule: str) -> bool:
        """True where this flight was worked out as far as a rule needs."""
        if "findings" in self.__dict__:
            return True
        if rule == TURN_BACK.key or rule.startswith("fall."):
            return False
        return "energy" in self.__dict__ or not rule.startswith("energy.")

    @cached_property
    def _quick(self) -> list[Finding]:
        """What is found without the pack: as if it lasted from anywhere."""
        count = self.craft.draws.count
        anywhere = Turning(np.arange(count), np.full(count, ANYWHERE_M), np.zeros(count))
        return self._findings(self._back(anywhere, float("nan")), None)

    def _back(self, turning: Turning, wind_mps: float) -> ReturnResult:
        return assess_return(self.craft.draws, self.track, self.ridge, turning, self.links, wind_mps)

    def _findings(self, back: ReturnResult, energy: EnergyAnswer | None) -> list[Finding]:
        """Return everything found; without `energy`, everything but what the pack decides."""
        world, craft, video = self.world, self.craft, self.links[1] if len(self.links) > 1 else None
        fastest_mps = float(np.median(craft.thrust.most_level_mps))
        shares = NO_SHARES if energy is None else self.shares
        falls_matter = self.in_full or self.case.people_areas is not None  # without areas a fall is a note
        return [
            *self._facts(back),
            *pilot_findings(assess_pilot(self.case.plan, world, craft, None, back, self.track, self.links[0].result)),
            *([] if energy is None else energy_findings(world, energy, shares)),
            *([] if energy is None or not falls_matter else fall_findings(self.fall)),
            *pack_findings(world, craft.chemistry),
            *care_findings(self.taught, self.case.plan.answers.last_flight),
            *last_flight_findings(craft, self.case.plan.answers.last_flight),
            *link_findings(world, self.links[0], video, shares),
            *return_findings(world, back),
            *weather_findings(world, self.air, fastest_mps, back.largest_wind_mps),
        ]

    def _facts(self, back: ReturnResult) -> list[Finding]:
        """Return what an instructor asks before any number: build, people, law, observer, radio-loss action, site."""
        case, world, track, terrain = self.case, self.world, self.track, self.case.terrain
        planned, areas = track.planned(), case.people_areas
        crossed = areas.crossed_by(track.x_m[planned], track.y_m[planned]) if areas else []
        return [
            *build_findings(case.plan),
            *people_findings(world, crossed),
            *law_findings(case.plan, track, back, self.links[0].result),
            *observer_findings(world, back.planned_m),
            *action_findings(world),
            *site_findings(world, track, terrain.void_fraction, back.planned_m, terrain_assumed=terrain.assumed),
        ]

    @cached_property
    def _twin(self) -> Flight | None:
        """The flight whose pack does the same: same route, and nothing differs that energy is worked out from."""
        like = self._like
        if like is None or like.case.route is not self.case.route or like.case.terrain is not self.case.terrain:
            return None
        return like if _energy_inputs(like) == _energy_inputs(self) else None


def _energy_inputs(flight: Flight) -> tuple[object, ...]:
    """Return all that the pack's answer is worked out from, but route and terrain.

    Draws are made by name: those of one quantity do not change with the band of another.
    """
    world, none = flight.world, flight.world.site.wind_mps
    craft = replace(world.aircraft, return_height_m=None, return_mps=none, return_tested=Answer.UNKNOWN)
    air = replace(
        world.site, canopy=Canopy.UNKNOWN, antenna_height_m=none, canopy_height_m=none, tree_depth_fraction=none,
        edge_fraction=none,
    )  # fmt: skip
    last = flight.case.plan.answers.last_flight
    return craft, world.pack, air, world.route_mps, chemistry_of(flight.case), last, flight.seed
