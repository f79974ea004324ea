"""``turnback bench``: from what was seen of an aircraft to what is put together wrong, and what to look at next."""

from __future__ import annotations

import argparse
import os
import shutil
import sys

from turnback import api
from turnback.commands.outcome import Outcome


def run(given: argparse.Namespace) -> Outcome:
    """Judge what was told, write what is asked for, and say it."""
    with api.speaking(given.language):
        return _answered(given)


def _answered(given: argparse.Namespace) -> Outcome:
    width = shutil.get_terminal_size().columns
    if given.list:
        return Outcome(api.bench_list_text(width))
    if given.out is not None:
        api.require_folder(given.out)
    talk = api.bench(
        steps_of(given),
        earlier=given.go_on,
        take_back=given.take_back,
        front_left=None if given.front_left is None else api.Rotation(given.front_left),
        gains=given.gains,
    )
    path = "" if given.out is None else f"{api.write_bench(talk, given.out)}\n"
    if given.json:
        return Outcome(api.bench_json(talk), aside=path)
    text = api.bench_text(talk, width, colour=_colour())
    return Outcome(f"{text}\n{path}" if path else text)


def steps_of(given: argparse.Namespace) -> tuple[api.Step, ...]:
    """Return what was told now; of one kind in the order given."""
    return tuple(
        api.Step(kind, text)
        for kind, texts in (
            (api.StepKind.SAID, given.said),
            (api.StepKind.SAW, given.saw),
            (api.StepKind.SIGN, given.sign),
            (api.StepKind.NO_SIGN, given.no_sign),
            (api.StepKind.CHECKED, given.checked),
        )
        for text in texts
    )


def _colour() -> bool:
    """Colour only where a person looks on and did not ask for none (NO_COLOR)."""
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
