"""The world of a case: every gap of the plan filled, every value with its band and origin."""

from __future__ import annotations

from turnback.assess.bands import entered, from_reading, scaled
from turnback.assess.fill_aircraft import fill_aircraft, fill_pack
from turnback.assess.fill_radio import fill_control, fill_video, with_walk
from turnback.assess.fill_site import fill_site, trusted
from turnback.records.case import Case
from turnback.records.learned import LearnedAbout
from turnback.records.pack import ChemistryName
from turnback.records.world import World
from turnback.rules.chemistry import Chemistry, chemistry


def chemistry_of(case: Case) -> Chemistry:
    """Return what the pack's chemistry allows; LiPo where the plan does not say."""
    return chemistry((case.plan.pack.chemistry or ChemistryName.LIPO).value)


def fill(case: Case) -> World:
    """Return the world of a case."""
    plan, learned = case.plan, case.learned
    answers, speed = plan.answers, case.route.speed_mps
    video = fill_video(plan.radio.video)
    return World(
        aircraft=fill_aircraft(
            plan.aircraft,
            learned.of(LearnedAbout.AIRCRAFT, plan.aircraft.id),
            answers.return_tested_on_this_build,
            plan.pack.cells,
        ),
        pack=fill_pack(
            plan.pack, answers.rest_v_per_cell, learned.of(LearnedAbout.PACK, plan.pack.id), chemistry_of(case)
        ),
        control=with_walk(fill_control(plan.radio.control), plan.site, learned),
        video=None if video is None else with_walk(video, plan.site, learned),
        site=fill_site(plan.site, trusted(plan.weather, case.report), case.launch_height_m),
        people=answers.who_can_be_underneath,
        propellers=answers.propellers_verified_today,
        observer=plan.observer,
        route_mps=None
        if speed is None
        else from_reading("route.speed_mps", speed, scaled("m/s", 1.0), entered("speed_share")),
    )
