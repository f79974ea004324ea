"""Chances held against flown cases: what was said of the likeliest cause, and how often it was true.

A noisy-OR over many signs of one record is too modest where a few plain signs agree, and too sure where many say one
and the same thing. A rising curve, counted in flown cases (`knowledge.from_study.Study.curve`), puts that right for
the likeliest cause; the others share what is left.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final

from turnback.assess.belief_judge import judged
from turnback.knowledge.book import Book
from turnback.knowledge.from_study import Curve, held_chance
from turnback.records.belief import Belief, Believed, Judged, Told
from turnback.rules.belief import LEADS, MAY_BE_SOUND, NOTHING_SHOWN

NEARLY: Final = 1e-9
"""Chances are kept this far from 0 and 1 where odds are formed."""


def held_to_flights(book: Book, belief: Belief, curve: Curve, of_record: Belief | None = None) -> Belief:
    """Return what is believed, with chances as often true as they say in flown cases.

    What words and answers add stands: the log odds that the curve adds or takes are those of the record alone. Until a
    check is answered, words lift no cause above what flown cases bear out: who told them may have read the same record.
    Until then, too, a record that shows nothing is no word that nothing is wrong.

    Parameters
    ----------
    book : Book
    belief : Belief
        After all that was told.
    curve : Curve
        Chance said of the likeliest cause, and share true; empty: nothing is changed.
    of_record : Belief, optional
        After the record alone; `belief` itself where left out.
    """
    record = of_record or belief
    if not curve or not belief.causes:
        return belief
    shift = shifts(record.causes, record.nothing_wrong, curve)
    checked = any(each.told is Told.CHECK for each in belief.observations)
    most = 1.0 if checked else held_chance(curve, 1.0)
    moved = {one.cause: _moved(one.chance, shift[one.cause]) for one in belief.causes}
    # of two that words lift to the curve's end, the likelier stays first
    order = sorted(belief.causes, key=lambda one: (-moved[one.cause], one.cause))
    causes = tuple(replace(one, chance=min(moved[one.cause], most)) for one in order)
    nothing_wrong = _moved(belief.nothing_wrong, shift[None])
    sort, survivors = judged(book, causes, nothing_wrong, belief.observations)
    leader = belief.causes[0].chance
    may_be_sound = not checked and belief.nothing_wrong > min(leader, MAY_BE_SOUND.value)
    if max(leader, belief.nothing_wrong) < LEADS.value or may_be_sound:
        sort, survivors = Judged.CANNOT_SAY, ()  # the signs point nowhere; the curve was counted in troubled flights
    if not checked:
        nothing_wrong = min(nothing_wrong, NOTHING_SHOWN.value)
    return replace(belief, judged=sort, survivors=survivors, causes=causes, nothing_wrong=nothing_wrong)


def shifts(causes: Sequence[Believed], nothing_wrong: float, curve: Curve) -> Mapping[str | None, float]:
    """Return what the curve adds to the log odds of each cause, and (None) of nothing wrong.

    The likeliest gets what the curve says. The others keep their shares of what it leaves, as far as they can be there
    in its place; none rises above what the curve gives its own chance, for it was not the likeliest.

    Parameters
    ----------
    causes : sequence of Believed
        Likeliest first.
    nothing_wrong : float
    curve : Curve
    """
    leader = causes[0].chance
    true = held_chance(curve, leader)
    left = (1.0 - true) / max(1.0 - leader, NEARLY)
    found: dict[str | None, float] = {None: _log_odds(nothing_wrong * min(left, 1.0)) - _log_odds(nothing_wrong)}
    for one in causes:
        instead = min(one.chance, 1.0 - leader)  # the rest of its chance is beside the leader, not in its place
        share = one.chance + (left - 1.0) * instead
        share = min(share, max(held_chance(curve, one.chance), one.chance), true)
        found[one.cause] = _log_odds(share) - _log_odds(one.chance)
    found[causes[0].cause] = _log_odds(true) - _log_odds(leader)
    return found


def _moved(chance: float, shift: float) -> float:
    return 1.0 / (1.0 + math.exp(-_log_odds(chance) - shift))


def _log_odds(chance: float) -> float:
    held = min(max(chance, NEARLY), 1.0 - NEARLY)
    return math.log(held / (1.0 - held))
