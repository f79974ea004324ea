"""Whether this aircraft, pack, radio link, site and pilot come home."""

from __future__ import annotations

import numpy as np

from turnback.assess.assumed import assumptions, shares_of
from turnback.assess.coming_back import assess_return, return_works, way_home
from turnback.assess.coming_home import home_chance
from turnback.assess.draw_set import DrawSet
from turnback.assess.energy import EnergyAnswer, assess_energy
from turnback.assess.flight_energy import Craft
from turnback.assess.judge import deciding_of, sorted_findings, verdict_of
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
from turnback.assess.last_flight import craft_of, last_flight_findings
from turnback.assess.reception import LinkAnswer, assess_link, cast_rays
from turnback.assess.spreads import spread
from turnback.assess.surroundings import air_result, profile_result
from turnback.assess.track import Track, lay_track
from turnback.assess.turning import energy_turning, largest_wind_mps
from turnback.assess.world import chemistry_of, fill
from turnback.physics.terrain_grid import TerrainGrid, terrain_grid
from turnback.records.case import Case
from turnback.records.finding import Finding
from turnback.records.result import AirResult, BriefResult, LinkResult, ReturnResult


def brief(case: Case, *, seed: int = 1) -> BriefResult:
    """Answer whether a flight comes home, with every number behind it.

    Parameters
    ----------
    case : Case
        The plan and all it refers to.
    seed : int
        Of the random draws; the same case and seed give the same answer, bit for bit.
    """
    world, last = fill(case), case.plan.answers.last_flight
    ground = _grid(case)
    track = lay_track(case.route, case.terrain, case.launch_height_m)
    craft = craft_of(world, chemistry_of(case), last, seed)
    air = air_result(craft.draws, track)

    energy = assess_energy(craft, track)
    links = _listen(ground, craft.draws, track, case.launch_height_m)
    control, video = links[0], links[1] if len(links) > 1 else None
    ridge = way_home(ground, world, track, case.launch_height_m)
    turning, wind_mps = energy_turning(craft, track), largest_wind_mps(craft, track)
    back = assess_return(craft.draws, track, ridge, turning, links, wind_mps)
    works = return_works(world, ridge, back)
    home = home_chance(energy.chance, [link.chance for link in links], return_works=works)

    shares = shares_of(craft.draws, _figures(craft, energy, links))
    findings = sorted_findings(
        [
            *_facts(case, craft.draws, track, back, control.result),
            *energy_findings(world, energy, shares),
            *pack_findings(world, craft.chemistry),
            *last_flight_findings(craft, last),
            *link_findings(world, control, video, shares),
            *return_findings(world, back),
            *_weather(craft, air, back),
        ]
    )
    return BriefResult(
        verdict=verdict_of(findings),
        findings=findings,
        deciding=deciding_of(findings),
        home=spread(home),
        air=air,
        energy=energy.result,
        control=control.result,
        video=None if video is None else video.result,
        back=back,
        profile=profile_result(case.terrain, world, track, _weakest(links).result),
        assumed=assumptions(craft.draws, shares),
        terrain_source=case.terrain.source,
        terrain_assumed=case.terrain.assumed,
        terrain_notes=case.terrain.notes,
        draws=craft.draws.count * craft.draws.nodes.count,
        seed=seed,
        title=case.title,
    )


def _grid(case: Case) -> TerrainGrid:
    terrain = case.terrain
    return terrain_grid(terrain.heights_m, terrain.x_west_m, terrain.y_north_m, terrain.cell_m)


def _listen(ground: TerrainGrid, draws: DrawSet, track: Track, launch_m: float) -> list[LinkAnswer]:
    """Judge the control link, and the video link where there is one, over the same rays."""
    world = draws.world
    radios = [world.control] if world.video is None else [world.control, world.video]
    rays = cast_rays(ground, draws, track, launch_m, radios)
    return [assess_link(ground, draws, track, rays, which, link, launch_m) for which, link in enumerate(radios)]


def _weakest(links: list[LinkAnswer]) -> LinkAnswer:
    return min(links, key=lambda link: link.result.probability.mid)


def _figures(craft: Craft, energy: EnergyAnswer, links: list[LinkAnswer]) -> dict[str, np.ndarray]:
    """Return the figures that gaps are ranked by, one value per draw of the unknowns."""
    return {
        "energy": energy.landing_margin,
        **{link.result.name: link.score for link in links},
        "thrust": craft.thrust.margin_ratio,
    }


def _facts(case: Case, draws: DrawSet, track: Track, back: ReturnResult, sight: LinkResult) -> list[Finding]:
    """Return what an instructor asks before any number: build, people, law, observer, radio-loss action, site."""
    planned = track.planned()
    areas = case.people_areas
    crossed = areas.crossed_by(track.x_m[planned], track.y_m[planned]) if areas else []
    return [
        *build_findings(case.plan),
        *people_findings(draws.world, crossed),
        *law_findings(case.plan, track, back, sight),
        *observer_findings(draws.world, back.planned_m),
        *action_findings(draws.world),
        *site_findings(
            draws.world, track, case.terrain.void_fraction, back.planned_m, terrain_assumed=case.terrain.assumed
        ),
    ]


def _weather(craft: Craft, air: AirResult, back: ReturnResult) -> list[Finding]:
    fastest = float(np.median(craft.thrust.most_level_mps))
    return weather_findings(craft.draws.world, air, fastest, back.largest_wind_mps)
