"""Whether it shakes in its own wash: while it sinks upright with its rotors at work, and not otherwise."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.signals import rows_between
from turnback.assess.signs_motion_blocks import BLOCK_S, Blocks, climb_at, climb_felt
from turnback.assess.signs_outputs_flight import CORNERS, Seen
from turnback.assess.signs_outputs_tell import Telling, needing
from turnback.records.channel import Quantity
from turnback.records.happened import WhyNot
from turnback.rules.record_signs_motion import SINKS, WASH, WASH_RATIO

SHAKES: Final = "shakes-in-own-wash"
LEAST_BLOCKS: Final = 2
LEAST_BESIDE: Final = 4
FELT_TIMES: Final = 1.2  # of the least sinking, where it is only felt
UPRIGHT_RAD: Final = 0.25
AT_WORK: Final = (0.1, 0.8)  # below it falls, above it sinks for want of thrust
STEADY_SHARE: Final = 0.06
FLIES_ON_S: Final = 20.0
FLOWN_THROUGH: Final = 0.7  # a wash that it flies out of, and on for so long, shook it, and was no end
MOST_OF: Final = 0.7  # of the blocks it sinks in some lie before the wash is reached


def in_own_wash(seen: Seen, blocks: Blocks | None, tell: Telling) -> None:
    """Tell whether it shakes while it sinks, and not otherwise.

    Notes
    -----
    Only half seconds count in which it stands upright and the outputs neither change nor lie at an end: what is flown
    with the sticks, a fall and a recovery shake roll and pitch as well.
    """
    if blocks is None:
        why = WhyNot.NO_CHANNEL if not seen.axes else WhyNot.TOO_SLOW
        needs = needing(Quantity.ROLL_RATE, Quantity.PITCH_RATE) if not seen.axes else ()
        tell.missed(why if seen.looked.answer.flown.aloft() else WhyNot.NOT_ALOFT, SHAKES, needs=needs)
        return
    climb, sinks, most = climb_at(seen, blocks.starts_s + 0.5 * BLOCK_S), SINKS.value, 0.95
    if climb is None:
        climb, sinks, most = climb_felt(seen, blocks.starts_s), FELT_TIMES * SINKS.value, 0.9
    if climb is None:
        tell.missed(WhyNot.NO_CHANNEL, SHAKES, needs=needing(Quantity.CLIMB_RATE))
        return
    quiet = _upright(seen, blocks) & _at_work(seen, blocks)
    sinking, beside = quiet & (climb <= -sinks), quiet & (climb > -sinks)
    if int(sinking.sum()) < LEAST_BLOCKS or int(beside.sum()) < LEAST_BESIDE:
        tell.missed(WhyNot.LOAD_TOO_STEADY, SHAKES)
        return
    level = float(np.quantile(blocks.wash[sinking], MOST_OF))
    usual = float(np.median(blocks.wash[beside]))
    score = min(level / WASH.value, level / max(usual, 1e-6) / WASH_RATIO.value)
    at_s = blocks.starts_s[sinking]
    shaken_s = blocks.starts_s[sinking & (blocks.wash >= level)]
    if score >= 1.0 and seen.ended_s - float(shaken_s[-1]) > FLIES_ON_S:
        most = FLOWN_THROUGH
    tell.scored(
        SHAKES, "rates in flight", score, most=most, span=(float(at_s[0]), float(at_s[-1]) + BLOCK_S),
        values={"level_rad_s": level, "usual_rad_s": usual, "limit_rad_s": WASH.value},
        channels=tuple(seen.axes[name].rate.channel for name in ("roll", "pitch")),
    )  # fmt: skip


def _upright(seen: Seen, blocks: Blocks) -> NDArray[Any]:
    """Return in which blocks it leans little, as far as that is known."""
    roll, pitch = seen.record.get(Quantity.ROLL), seen.record.get(Quantity.PITCH)
    if roll is None or pitch is None:
        return np.ones(blocks.starts_s.size, np.bool_)
    middle_s = blocks.starts_s + 0.5 * BLOCK_S
    lean = np.hypot(*(np.interp(middle_s, each.t_s, each.values) for each in (roll, pitch)))
    return np.asarray(lean < UPRIGHT_RAD)


def _at_work(seen: Seen, blocks: Blocks) -> NDArray[Any]:
    """Return in which blocks the mean output is steady and lies at no end, as far as outputs are known."""
    outputs = seen.outputs
    found = np.ones(blocks.starts_s.size, np.bool_)
    if outputs is None or len(outputs.values) != CORNERS:
        return found
    for k, start_s in enumerate(blocks.starts_s):
        rows = rows_between(outputs.t_s, float(start_s), float(start_s) + BLOCK_S)
        mean = np.mean([each[rows] for each in outputs.values], axis=0)
        if mean.size:
            found[k] = AT_WORK[0] < float(mean.mean()) < AT_WORK[1] and float(mean.std()) < STEADY_SHARE
    return found
