"""``turnback ray``: one radio path over a given profile."""

from __future__ import annotations

import argparse

from turnback import api
from turnback.commands.outcome import Outcome


def run(given: argparse.Namespace) -> Outcome:
    """Say what the path loses."""
    answer = api.ray(
        given.profile,
        from_height_m=given.from_height,
        to_height_m=given.to_height,
        frequency_mhz=given.frequency_mhz,
        earth_radius_km=given.earth_radius_km,
        polarisation=given.polarisation,
        permittivity=given.permittivity,
        conductivity_s_per_m=given.conductivity_s_per_m,
    )
    with api.speaking(given.language):
        return Outcome(api.ray_json(answer) if given.json else api.ray_text(answer))
