"""Whether this aircraft, pack, radio link, site and pilot come home."""

from __future__ import annotations

from turnback.assess.assumed import assumptions
from turnback.assess.bearings import rose_of
from turnback.assess.ground_plan import ground_plan_of
from turnback.assess.judge import deciding_of
from turnback.assess.surroundings import profile_result
from turnback.flows.changes import what_would_help
from turnback.flows.flight import Flight
from turnback.records.case import Case
from turnback.records.result import BriefResult


def brief(case: Case, *, seed: int = 1, changes: bool = False) -> BriefResult:
    """Answer whether a flight comes home, with every number behind it.

    Parameters
    ----------
    case : Case
        The plan and all it refers to.
    seed : int
        Of the random draws; the same case and seed give the same answer, bit for bit.
    changes : bool
        Also look for what would make it a go: a dozen or two changed flights, about a second more.
    """
    flight = Flight(case, seed=seed, in_full=True)
    draws, links = flight.craft.draws, [link.result for link in flight.links]
    weakest = min(links, key=lambda link: link.probability.mid)
    rose = rose_of(flight.craft, flight.track, flight.ground, case, flight.back)
    return BriefResult(
        verdict=flight.verdict,
        findings=flight.findings,
        deciding=deciding_of(flight.findings),
        home=flight.home,
        air=flight.air,
        energy=flight.energy.result,
        control=links[0],
        video=links[1] if len(links) > 1 else None,
        back=flight.back,
        profile=profile_result(case.terrain, flight.world, flight.track, weakest),
        assumed=assumptions(draws, flight.shares),
        terrain_source=case.terrain.source,
        terrain_assumed=case.terrain.assumed,
        terrain_notes=case.terrain.notes,
        draws=draws.count * draws.nodes.count,
        seed=seed,
        title=case.title,
        rose=rose,
        ground_plan=ground_plan_of(case, flight.track, flight.ground, links, rose, flight.fall),
        fall=flight.fall,
        pilot=flight.pilot,
        care=flight.care,
        changes=what_would_help(flight) if changes else None,
    )
