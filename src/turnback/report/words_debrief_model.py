"""What was predicted beside what was recorded, in words; and the control link where it was lost."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.records.debrief import AgainstPlan, AtLoss, Compare, Compared
from turnback.records.finding import Spread
from turnback.report import numbers
from turnback.report.language import mark, text
from turnback.report.numbers import Units
from turnback.report.record_values import moment, value_words
from turnback.report.words_debrief_search import bearing_words

COMPARED: Final[dict[Compare, str]] = {
    Compare.VOLTS: mark("Volts of one cell at rest"),
    Compare.LOADED_VOLTS: mark("Volts of one cell under load"),
    Compare.POWER: mark("Electrical power"),
    Compare.LEVEL: mark("Link level at the aircraft"),
    Compare.LEVEL_BACK: mark("Link level at the pilot's end"),
    Compare.RETURN_LINE: mark("Height, over ground and trees on the straight way home"),
}
BAND: Final = mark("The band holds 9 in 10 of what the plan can mean.")
NO_BAND: Final = 0.02
"""Less than this share of the flight with a band says nothing of how well it fits."""


def compared_title(compared: Compared) -> str:
    """Return what is held against the model."""
    return text(COMPARED[compared.what])


def amount(value: float, unit: str, units: Units) -> str:
    """Return a value of the comparison with its unit."""
    if unit in ("dB", "dBm"):  # a tenth of a decibel is more than anybody can know of a link
        return value_words(f"level_{unit.lower()}", value, units)
    return numbers.words(value, unit, units)


def spread_words(spread: Spread, unit: str, units: Units) -> str:
    """Return a value with its band: "-9 dB (-18 dB to 0 dB)"."""
    low, high = amount(spread.low, unit, units), amount(spread.high, unit, units)
    mid = amount(spread.mid, unit, units)
    return mid if low == high else text("{value} ({low} to {high})", value=mid, low=low, high=high)


def inside_share(compared: Compared) -> float | None:
    """Return the share of the recorded values that lie inside the band; None where there is hardly a band."""
    known = np.isfinite(compared.recorded) & np.isfinite(compared.low) & np.isfinite(compared.high)
    if not known.size or float(known.mean()) < NO_BAND:
        return None
    inside = (compared.recorded >= compared.low) & (compared.recorded <= compared.high)
    return float(inside[known].mean())


def curve_names(compared: Compared) -> tuple[str, str]:
    """Return what the recorded and the predicted line are."""
    if compared.what is Compare.RETURN_LINE:
        return text("height flown"), text("ground and trees on the way home")
    return text("recorded"), text("predicted")


def _way_home_line(compared: Compared, units: Units) -> str:
    """Return how high it flew over what stands on its straight way home: that is no fault of the model."""
    over = compared.recorded - compared.high
    known = over[np.isfinite(over)]
    if not known.size:
        return text("What stands on the straight way home is not known.")
    if float(known.min()) >= 0.0:
        return text("It flew above all that stands on the straight way home, at all times.")
    share = numbers.percent(float((known < 0.0).mean()))
    deep = numbers.words(-float(known.min()), "m", units, numbers.Toward.UP)
    return text("For {share} of the time it flew lower than what can stand on the straight way home, by up to {size}.",
                share=share, size=deep)  # fmt: skip


def compared_line(compared: Compared, units: Units) -> str:
    """Return how the record lies beside the model, in a sentence or two."""
    if compared.what is Compare.RETURN_LINE:
        return _way_home_line(compared, units)
    unit = "dB" if compared.unit == "dBm" else compared.unit
    low, high = compared.residual.low, compared.residual.high
    size = Spread(*(abs(value) for value in (compared.residual.mid, low, high)))
    if compared.residual.mid < 0.0:
        size = Spread(size.mid, min(size.low, size.high), max(size.low, size.high))
    title = compared_title(compared)
    if not np.isfinite(compared.residual.mid):
        return text("{what}: the plan says nothing of it.", what=title)
    if low <= 0.0 <= high:
        said = text("{what}: as the plan's model has it, within what the plan does not know.", what=title)
    elif compared.residual.mid > 0.0:
        said = text("{what}: above the plan's model by {size}.", what=title, size=spread_words(size, unit, units))
    else:
        said = text("{what}: below the plan's model by {size}.", what=title, size=spread_words(size, unit, units))
    share = inside_share(compared)
    if share is None:
        return said
    return text("{said} {share} of it lies inside the band.", said=said, share=numbers.percent(share))


def at_loss_line(at: AtLoss, units: Units) -> str:
    """Return where the control link was lost, and what the plan's ground says of it."""
    where = text(
        "When the control link went, at {time}, it was {distance} out toward {direction}, {height} above the launch "
        "point.",
        time=moment(at.t_s),
        distance=numbers.words(at.distance_m, "m", units),
        direction=bearing_words(at.bearing_deg),
        height=numbers.words(at.height_m, "m", units),
    )
    return text("{where} {ray} {margin}", where=where, ray=_ray(at, units), margin=_margin(at, units))


def _ray(at: AtLoss, units: Units) -> str:
    if not np.isfinite(at.clearance_m):
        return text("The ground between is not known.")
    size = numbers.words(abs(at.clearance_m), "m", units)
    if not np.isfinite(at.obstacle_from_launch_m):
        if at.clearance_m < 0.0:
            return text("The straight line from the radio ran {size} below the ground.", size=size)
        return text("The straight line from the radio ran {size} above the ground.", size=size)
    far = numbers.words(at.obstacle_from_launch_m, "m", units)
    if at.clearance_m < 0.0:
        return text(
            "The straight line from the radio ran {size} below the ground or trees {far} out.", size=size, far=far
        )
    return text("The straight line from the radio ran {size} above the ground or trees {far} out.", size=size, far=far)


def _margin(at: AtLoss, units: Units) -> str:
    if not np.isfinite(at.margin_db.mid):
        return text("What margin the link had there is not known.")
    return text("The predicted margin of the link there: {margin}.", margin=spread_words(at.margin_db, "dB", units))


def model_lines(against: AgainstPlan | None, units: Units) -> tuple[str, ...]:
    """Return one line for each thing that was held against the model, the loss of the link first."""
    if against is None:
        return ()
    at_loss = () if against.at_loss is None else (at_loss_line(against.at_loss, units),)
    return (*at_loss, *(compared_line(each, units) for each in against.compared))
