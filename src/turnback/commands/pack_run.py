"""``turnback pack-run``: one pack over a given load."""

from __future__ import annotations

import argparse

from turnback import api
from turnback.commands.outcome import Outcome


def run(given: argparse.Namespace) -> Outcome:
    """Say volts, state of charge and temperature."""
    answer = api.pack_run(given.pack, given.profile)
    with api.speaking(given.language):
        return Outcome(api.pack_run_json(answer) if given.json else api.pack_run_text(answer))
