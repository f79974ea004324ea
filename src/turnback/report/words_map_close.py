"""Why a map says "nowhere" on a bearing: the chance fails close to the launch point, and the rest lies behind it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from turnback.report.language import plural, text

POINTS_IN_ALL: Final = 16
NOTHING_FAILS: Final = frozenset({"limit", "terrain", "map", "home"})
"""Reasons that end a bearing without any chance having failed there."""


def close_by(reasons: Sequence[str]) -> str:
    """Return one sentence on the bearings of sixteen that end right at the launch point, by what ends them.

    Empty where on none of them a chance fails. It does not say why: blind ends of antennas overhead, a link that is
    weak everywhere and a pack that is empty look alike here.
    """
    failing = sum(reason not in NOTHING_FAILS for reason in reasons)
    if not failing:
        return ""
    if failing == POINTS_IN_ALL:
        return text("On every bearing the chance is too small close to the launch point already.")
    return plural(
        "Toward {count} bearing the chance is too small close to the launch point already: farther out there, nothing "
        "counts.",
        "Toward {count} bearings the chance is too small close to the launch point already: farther out there, nothing "
        "counts.",
        failing,
    )
