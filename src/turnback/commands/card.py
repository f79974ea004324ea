"""``turnback card``: from a plan file to one page for the hand."""

from __future__ import annotations

import argparse
from datetime import datetime

from turnback import api
from turnback.commands.outcome import Outcome
from turnback.commands.progress import progress


def run(given: argparse.Namespace) -> Outcome:
    """Answer, write the card, and say the verdict and where it is."""
    now = given.now or datetime.now().astimezone()  # a card is read where it was made
    with api.speaking(given.language), progress("Working out whether it comes home"):
        card = api.write_card(
            given.plan, given.out, paper=api.Paper(given.paper), units=api.Units(given.units),
            learned=given.learned, now=now, seed=given.seed, redact=given.redact,
        )  # fmt: skip
    return Outcome(f"{card.said}\n{card.path}\n")
