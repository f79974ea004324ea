"""What the corners give in hover: one that works harder, halves that differ, the whole too high or too low."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.output_columns import Columns, columns_of
from turnback.assess.output_events_balance import HALVES as PARTS
from turnback.assess.output_events_balance import hover_spans
from turnback.assess.signals import rows_between
from turnback.assess.signs_outputs_flight import CORNERS, Seen
from turnback.assess.signs_outputs_step import LEAST_MEAN, STEP, step_in_flight
from turnback.assess.signs_outputs_tell import Telling, needing
from turnback.assess.signs_outputs_whose import whose_pull
from turnback.records.channel import Quantity
from turnback.records.happened import PhaseKind, RecordAnswer, WhyNot
from turnback.rules.record_outputs import IMBALANCE_LENGTH
from turnback.rules.record_signs_outputs import (
    EVENLY,
    HALVES,
    HOVER_HIGHER,
    HOVER_LOW,
    LONE,
    ONE_HARDER,
    SURE_MOST,
)
from turnback.rules.record_signs_whose import UNTOLD_SURE, WHOSE

Floats = NDArray[np.float64]
GROUP: Final = "outputs in hover"
SIGNS: Final = (
    "one-corner-works-harder",
    "halves-differ-in-hover",
    "hover-output-very-low",
    "hover-output-high-evenly",
)
FROM_LIFT_S: Final = 20.0
NO_HOVER_SURE: Final = 0.7
TOWARD: Final = 0.07  # of the reach: four degrees off the line through two corners
BALANCED: Final = 0.5
"""Of the reach: so near the middle of both others lie the two corners beside; beside a braked one it is a reach."""


def in_hover(seen: Seen, tell: Telling) -> None:
    """Tell the signs of hover."""
    outputs = seen.outputs
    if outputs is None:
        tell.missed(WhyNot.NO_CHANNEL, *SIGNS, STEP, needs=needing(Quantity.OUTPUT))
        return
    if len(outputs.channels) != CORNERS:
        tell.missed(WhyNot.CORNERS_UNKNOWN, *SIGNS, STEP, needs=needing(Quantity.OUTPUT))
        return
    step = step_in_flight(seen, outputs, tell)
    before_s = seen.failed_s if step is None else min(step, seen.failed_s)
    spans = [(a, min(b, before_s)) for a, b in hover_spans(seen.looked.answer.flown) if a < before_s]
    mean = means_in(outputs, spans)
    if mean is None:
        flown = seen.looked.answer.flown
        why = WhyNot.TOO_SHORT if flown.aloft() else WhyNot.NOT_ALOFT
        tell.missed(why, *SIGNS)
        return
    span = (spans[0][0], spans[-1][1])
    level = float(mean.mean())
    off = mean / level - 1.0
    weight = _weighs(seen, outputs, off)
    lone = _one(outputs, off, weight, span, tell)
    _halves(outputs, off, (lone, weight), span, tell)
    tell.scored(
        "hover-output-very-low", GROUP, HOVER_LOW.value / level, span=span, channels=outputs.channels,
        values={"output_share": level, "limit_share": HOVER_LOW.value},
    )  # fmt: skip
    _higher(seen, outputs, (level, off), span, tell)


def means_in(outputs: Columns, spans: list[tuple[float, float]]) -> Floats | None:
    """Return the mean output of each corner over some spans, shape (4,); None where they are too short."""
    length_s = sum(end_s - start_s for start_s, end_s in spans)
    if length_s < IMBALANCE_LENGTH.value:
        return None
    total, count = np.zeros(len(outputs.values)), 0
    for span in spans:
        rows = rows_between(outputs.t_s, *span)
        total += [float(values[rows].sum(dtype=np.float64)) for values in outputs.values]
        count += rows.stop - rows.start
    if not count or total.mean() / count < LEAST_MEAN:
        return None
    return np.asarray(total / count)


def lone_of(off: Floats) -> tuple[int, float, float]:
    """Return the corner that works hardest, by how much alone it does (share), and how well that fits (0 to 1).

    Notes
    -----
    A corner that is braked works harder alone. One that lifts too little works harder too, and then the opposite one
    gives less, for it lifts as little as the weak one; the other two stay. A weight off the middle does the latter only
    when it sits exactly toward a corner: the fit says how far from that it is.
    """
    place = int(np.argmax(off))
    along, fit = _alone(off, place)
    toward = _toward(off, place)
    if toward >= LONE.value and toward > fit:
        return place, float(off[place] - off[_beside(place)].mean()), min(toward, 1.0)
    return place, 4.0 * along, fit


def _alone(off: Floats, place: int) -> tuple[float, float]:
    """Return by how much a corner works harder than all others alike, and how well that fits."""
    apart = np.full(CORNERS, -1.0)
    apart[place] = 3.0
    along = float(off @ apart) / float(apart @ apart)
    return along, along * float(np.sqrt(apart @ apart)) / max(float(np.linalg.norm(off)), 1e-9)


def _beside(place: int) -> list[int]:
    """Return the two corners next to one."""
    return [k for k in range(CORNERS) if k not in (place, CORNERS - 1 - place)]


def _toward(off: Floats, place: int) -> float:
    """Return how well a corner that works harder fits an opposite one that gives less, the other two alike."""
    one, other = _beside(place)
    reach = 0.5 * float(off[place] - off[CORNERS - 1 - place])
    across = 0.5 * abs(float(off[one] - off[other]))
    return LONE.value * TOWARD / max(across / max(reach, 1e-9), 1e-3)


def _balanced(off: Floats, place: int) -> bool:
    """Tell whether the opposite corner gives about as much less; a corner that is braked works harder alone."""
    opposite, middle = off[CORNERS - 1 - place], off[_beside(place)].mean()
    return bool(abs(middle - 0.5 * (off[place] + opposite)) < BALANCED * max(0.5 * (off[place] - opposite), 1e-9))


def _weighs(seen: Seen, outputs: Columns, off: Floats) -> float | None:
    """Return how far a weight explains it better than a corner, where outputs alone do not tell one from the other.

    Returns
    -------
    float or None
        Above 1 it is a weight, below 1 a corner's own, 1 where how it turns does not tell either; None where the
        outputs tell.
    """
    place = int(np.argmax(off))
    toward = _toward(off, place)
    if toward < LONE.value or toward <= _alone(off, place)[1] or not _balanced(off, place):
        return None
    ratio = whose_pull(seen, outputs, place)
    if ratio is None or 1.0 / WHOSE.value < ratio < WHOSE.value:
        return 1.0
    return 1.0 / ratio


def _one(outputs: Columns, off: Floats, weight: float | None, span: tuple[float, float], tell: Telling) -> bool:
    """Tell whether one corner works harder than its siblings, and no weight makes it."""
    place, share, fit = lone_of(off)
    score = min(share / ONE_HARDER.value, (fit / LONE.value) ** 2)
    if weight is not None and weight > 1.0:
        score = min(score, 1.0 / weight)
    return tell.scored(
        SIGNS[0], GROUP, score, most=UNTOLD_SURE.value if weight == 1.0 else SURE_MOST.value, span=span,
        channels=(outputs.channels[place],), values={"above_share": share, "limit_share": ONE_HARDER.value},
    )  # fmt: skip


def _halves(
    outputs: Columns, off: Floats, alone: tuple[bool, float | None], span: tuple[float, float], tell: Telling
) -> None:  # fmt: skip
    """Tell whether two halves differ; where one corner alone works harder its halves differ as a consequence.

    Where it may be a weight or that corner, nobody knows whether the halves differ by themselves.
    """
    lone, weight = alone
    if lone and weight == 1.0:
        tell.missed(WhyNot.LOAD_TOO_STEADY, SIGNS[1])
        return
    if outputs.corners_known():
        sides = [abs(float(PARTS[name] @ off)) / 2.0 for name in ("front-rear", "left-right")]
        pair = abs(float(PARTS["diagonal"] @ off)) / 2.0
    else:
        *_, pair, low, high = sorted(abs(float(each @ off)) / 2.0 for each in PARTS.values())
        sides = [low, high]
    most = max(sides)
    score = most / HALVES.value
    if score >= 1.0 and (lone or pair > 0.8 * most):
        tell.told(SIGNS[1], GROUP, False, 0.65, values={"apart_share": most, "limit_share": HALVES.value})
        return
    tell.scored(
        SIGNS[1], GROUP, score, most=0.97 if outputs.corners_known() else 0.8, span=span, channels=outputs.channels,
        values={"apart_share": most, "limit_share": HALVES.value},
    )  # fmt: skip


def _higher(
    seen: Seen, outputs: Columns, hover: tuple[float, Floats], span: tuple[float, float], tell: Telling
) -> None:  # fmt: skip
    """Tell whether hover takes more output than before, or than the plan has it, at all corners alike."""
    sign = SIGNS[3]
    level, off = hover
    early = means_in(outputs, _first(hover_spans(seen.looked.answer.flown), seen.failed_s))
    level = level if early is None else float(early.mean())  # an emptying pack raises it
    known = [each for each in map(_hover_level, seen.looked.earlier) if each is not None]
    against = seen.looked.against
    expected = None if against is None else against.expected.get("hover_output_fraction")
    if known:
        before, most = float(np.median(known)), 0.97
        high = before
    elif expected is not None:
        before, high, most = expected.mid, expected.high, 0.9
    else:
        tell.missed(WhyNot.NO_CHANNEL, sign)
        return
    if not before > 0.0:
        tell.missed(WhyNot.NO_CHANNEL, sign)
        return
    if not any(each.kind is PhaseKind.HOVER for each in seen.looked.answer.flown.phases):
        most = min(most, NO_HOVER_SURE)  # all of the flight stands for hover
    limit = max(before * HOVER_HIGHER.value, high)
    even = EVENLY.value / max(float(np.abs(off).max()), 1e-3)
    score = level / limit
    score = min(score, even) if score >= 1.0 else score
    tell.scored(
        sign, GROUP, score**3, most=most, span=span, channels=outputs.channels,
        values={"output_share": level, "before_share": before, "limit_share": limit},
    )  # fmt: skip


def _first(spans: tuple[tuple[float, float], ...], end_s: float) -> list[tuple[float, float]]:
    """Return spans up to some seconds after the first begins."""
    until_s = min(end_s, spans[0][0] + FROM_LIFT_S) if spans else end_s
    return [(a, min(b, until_s)) for a, b in spans if a < until_s]


def _hover_level(answer: RecordAnswer) -> float | None:
    """Return the mean hover output of another flight."""
    outputs = columns_of(answer.flown.record, Quantity.OUTPUT)
    hover = [(each.start_s, each.end_s) for each in answer.flown.phases if each.kind is PhaseKind.HOVER]
    means = None if outputs is None else means_in(outputs, hover)
    return None if means is None else float(means.mean())
