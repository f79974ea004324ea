"""What a range walk leaves with the site, and a case with it or without it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from typing import Final

from turnback.assess.walk_fit_carry import carried_over
from turnback.readers.known_keys import keys_of, range_of
from turnback.records.case import Case
from turnback.records.finding import Spread
from turnback.records.learned import Learned, LearnedAbout, LearnedEntry
from turnback.records.site import SiteFile
from turnback.records.walk import Walk, WalkEnd, WalkFit
from turnback.records.world import World

QUANTITIES: Final = ("offset_db", "excess_exponent", "sigma_ratio", "reference_m", "walked_m")
NO_ID: Final = "this-place"
"""Stands in for the id of a site that has none, in memory only."""
DECIMALS: Final = 3
LONGEST_SOURCE: Final = 200


def entries_of(case: Case, walk: Walk, fit: WalkFit, world: World, on: date) -> tuple[LearnedEntry, ...]:
    """Return what a walk teaches about one link, as it is kept with the site.

    Parameters
    ----------
    world : World
        Of the plan, with no range walk of this link in it.
    on : date
        When it was walked.
    """
    carried = carried_over(fit)
    rows = {
        "offset_db": _both_ends(carried.offset_db, walk, world),
        "excess_exponent": carried.excess_exponent,
        "sigma_ratio": carried.sigma_ratio,
        "reference_m": Spread(fit.reference_m, fit.reference_m, fit.reference_m),
        "walked_m": Spread(fit.walked_m, fit.walked_m, fit.walked_m),
    }
    return tuple(_entry(case, f"{fit.link}_{name}", rows[name], walk.source, on) for name in QUANTITIES)


def without_walk(case: Case, link: str) -> Case:
    """Return a case as if nobody had walked one of its links here."""
    keys = {f"{link}_{name}" for name in QUANTITIES}
    site = case.plan.site.model_copy(update=dict.fromkeys(keys))
    kept = tuple(
        entry
        for entry in case.learned.entries
        if entry.of is not LearnedAbout.SITE or entry.id != site.id or entry.quantity not in keys
    )
    return replace(case, plan=case.plan.model_copy(update={"site": site}), learned=Learned(kept))


def with_entries(case: Case, entries: Iterable[LearnedEntry]) -> Case:
    """Return a case that knows what a walk taught, kept in memory only."""
    site = case.plan.site.model_copy(update={"id": case.plan.site.id or NO_ID})
    learned = Learned((*case.learned.entries, *entries))
    return replace(case, plan=case.plan.model_copy(update={"site": site}), learned=learned)


def typed_in(case: Case, link: str) -> bool:
    """True where the plan itself says what a walk found: that goes before anything learned."""
    return getattr(case.plan.site, f"{link}_offset_db") is not None


def new_entries(learned: Learned, entries: Iterable[LearnedEntry]) -> tuple[LearnedEntry, ...]:
    """Return the entries that are not kept already: the same walk read twice teaches once."""
    return tuple(entry for entry in entries if entry not in learned.entries)


def _both_ends(offset_db: Spread, walk: Walk, world: World) -> Spread:
    """Widen an offset that was read at the unusual end: the transmitter that matters was not part of it."""
    link = world.control if walk.link == "control" else world.video
    usual = WalkEnd.AIRCRAFT if walk.link == "control" else WalkEnd.GROUND
    sends = None if link is None else link.ground_power_dbm if walk.link == "control" else link.aircraft_power_dbm
    if walk.read_at is usual or sends is None:
        return offset_db
    weaker_db, stronger_db = sends.value - sends.low, sends.high - sends.value
    return Spread(
        offset_db.mid,
        offset_db.mid - math.hypot(offset_db.mid - offset_db.low, stronger_db),
        offset_db.mid + math.hypot(offset_db.high - offset_db.mid, weaker_db),
    )


def _entry(case: Case, key: str, found: Spread, source: str, on: date) -> LearnedEntry:
    """Make one entry, its numbers as a plan may have them."""
    allowed = range_of(key, keys_of(SiteFile)[key])

    def held(value: float) -> float:
        low = -math.inf if allowed is None or allowed.low is None else allowed.low
        high = math.inf if allowed is None or allowed.high is None else allowed.high
        return round(min(max(value, low), high), DECIMALS)

    value, low, high = held(found.mid), held(found.low), held(found.high)
    wide = high > low
    return LearnedEntry(
        of=LearnedAbout.SITE,
        id=case.plan.site.id or NO_ID,
        on=on,
        quantity=key,
        value=value,
        low=low if wide else None,
        high=high if wide else None,
        from_record=(source or "a walk")[:LONGEST_SOURCE],
    )
