"""What a range walk teaches about one link: how much is lost beyond the model, and whether that grows with distance.

The excess of a reading (predicted less measured) is ``offset + 10 exponent log10(distance / reference)`` and an error.
Errors near each other repeat themselves, some are far off, and a reading at the receiver's floor only says "at least".
All three are part of the fit, so that sixty readings on one path are not taken for sixty tests of the model.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from turnback.assess.walk_fit_places import Placed, place
from turnback.assess.walk_fit_posterior import Posterior, posterior
from turnback.assess.walk_fit_tails import INFORMATION, STUDENT
from turnback.base.errors import bad_input
from turnback.records.finding import Spread
from turnback.records.walk import Walk, WalkFit
from turnback.rules.typical import typical
from turnback.rules.walk import FALLS_FAST, POWER_LOW

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class WalkPrior:
    """What is thought before the walk.

    Parameters
    ----------
    offset_sd_db : float
        Of the whole link budget: what power, antennas, cables and the pilot's body may take or give.
    exponent_sd : float
        Of the excess exponent.
    ratio_sd : float
        Of the logarithm of the readings' sigma over the model's.
    correlation_m, correlation_sd : float
        Median of the distance over which readings repeat each other, and deviation of its logarithm.
    """

    offset_sd_db: float
    exponent_sd: float
    ratio_sd: float
    correlation_m: float
    correlation_sd: float


def walk_prior(offset_sd_db: float | None = None) -> WalkPrior:
    """Return the typical prior, with the offset's spread as the plan's own unknowns have it, where that is wider.

    Never narrower: a plan in which all is known holds no torn antenna and no bad plug; a walk is for those.
    With the spread of such a plan, 2.5 dB, a link 12 dB low was taken for 4 dB of bad luck.
    """
    rows = typical("walk")
    return WalkPrior(
        offset_sd_db=max(rows["offset_sd_db"].value, offset_sd_db or 0.0),
        exponent_sd=rows["exponent_sd"].value,
        ratio_sd=rows["sigma_log_sd"].value,
        correlation_m=rows["correlation_m"].value,
        correlation_sd=rows["correlation_log_sd"].value,
    )


def fit_walk(walk: Walk, predicted_dbm: Array, sigma_model_db: Array, prior: WalkPrior) -> WalkFit:
    """Fit offset, excess exponent and scatter to the readings of one link.

    Parameters
    ----------
    walk : Walk
        ``n`` readings, none of them empty.
    predicted_dbm, sigma_model_db : ndarray, shape (n,)
        What the model says would be read there, at the power of that reading, and its spread.
    prior : WalkPrior
        What was thought before.

    Returns
    -------
    WalkFit
        With few readings, or all at one distance, its bands are about those of the prior: nothing is refused that
        says something, if only "at least".

    Raises
    ------
    InputError
        If there is no reading at all, or a number is missing.
    """
    _require(walk, predicted_dbm, sigma_model_db)
    rows = typical("walk")
    distance_m = np.maximum(walk.from_launch_m, rows["least_distance_m"].value)
    reference_m = float(np.median(distance_m))
    excess_db, least_db = predicted_dbm - walk.level_dbm, rows["reading_sd_db"].value
    placed = place(walk, excess_db, sigma_model_db, distance_m, reference_m, least_db)
    found = posterior(
        placed, np.array([prior.offset_sd_db, prior.exponent_sd]), prior.ratio_sd, prior.correlation_m,
        prior.correlation_sd, STUDENT, rows["far_scales"].value,
    )  # fmt: skip
    ratio = found.ratio()
    model_db = float(np.median(sigma_model_db))
    # Medians over cells of a long record scatter less than single readings do.
    single = float(np.hypot(1.0, placed.within_db / (ratio.mid * model_db)))
    ratio = Spread(ratio.mid * single, ratio.low * single, ratio.high * single)
    near, far = (float(10.0 * np.log10(np.quantile(distance_m, q) / reference_m)) for q in (0.1, 0.9))
    return WalkFit(
        link=walk.link,
        mode=walk.mode,
        offset_db=found.normal(0),
        excess_exponent=found.normal(1),
        sigma_db=Spread(ratio.mid * model_db, ratio.low * model_db, ratio.high * model_db),
        sigma_ratio=ratio,
        reference_m=reference_m,
        walked_m=float(distance_m.max()),
        correlation_m=_correlation_m(found),
        readings=int(distance_m.size),
        censored=int(walk.censored.sum()),
        effective=_effective(found, placed, prior),
        power_or_antenna=found.exceeds(POWER_LOW.value, (near, far)),
        falls_too_fast=found.steeper(FALLS_FAST.value),
        outliers=found.mean_of(found.climbed.far_share),
        distance_m=distance_m,
        predicted_dbm=predicted_dbm,
        measured_dbm=walk.level_dbm,
        was_censored=walk.censored,
    )


def _require(walk: Walk, predicted_dbm: Array, sigma_model_db: Array) -> None:
    where = f"{walk.source}: {walk.link}"
    if walk.level_dbm.size == 0:
        raise bad_input(where, "there is no reading of this link", "walk again with the receiver's level recorded")
    columns = (walk.x_m, walk.y_m, walk.above_ground_m, walk.level_dbm, predicted_dbm, sigma_model_db)
    faulty = [not np.isfinite(column).all() for column in columns]
    if any(faulty) or (sigma_model_db <= 0.0).any():
        raise bad_input(where, "a place, level or prediction is not a number", "leave out rows that are not complete")


def _correlation_m(found: Posterior) -> float:
    """Return the distance at which two readings share ``1 / e`` of their error: nought where all is each one's own."""
    shared = 1.0 - found.trial.alone
    logs = np.log(np.maximum(shared, 1e-12))
    return found.mean_of(found.length_m * np.maximum(1.0 + logs, 0.0))


def _effective(found: Posterior, placed: Placed, prior: WalkPrior) -> float:
    """Return how many readings alone would tell the offset as well: what was learned of it, in units of one reading."""
    learned = np.linalg.inv(found.climbed.covariance)[:, 0, 0] - prior.offset_sd_db**-2
    one = INFORMATION / np.square(found.trial.ratio * np.median(placed.sigma_db))
    return float(np.clip(found.mean_of(np.maximum(learned, 0.0) / one), 0.0, placed.excess_db.size))
