"""Range walks of known truth, made here and in no other way than the product: it shares no code with what fits them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy import stats

from turnback.assess.walk_fit import WalkPrior, fit_walk
from turnback.records.walk import Walk, WalkEnd, WalkFit, WalkMode

Array = NDArray[np.float64]

PRIOR: Final = WalkPrior(offset_sd_db=6.0, exponent_sd=0.5, ratio_sd=0.5, correlation_m=25.0, correlation_sd=0.9)
MODEL_SIGMA_DB: Final = 5.5
NO_FLOOR_DBM: Final = -400.0
NORMAL_90: Final = 1.6448536269514722  # scipy.stats.norm.ppf(0.95)


@dataclass(frozen=True)
class Truth:
    """One kind of walk: straight out, evenly spaced."""

    readings: int = 60
    near_m: float = 20.0
    far_m: float = 600.0
    sigma_db: float = 6.0
    correlation_m: float = 0.0
    wrong_share: float = 0.0
    """Share of the readings that are 25 dB too low: the aircraft turned over, a person in between."""
    censored_share: float = 0.0
    offset_db: float | None = None
    """None: drawn from the prior, as for a site nobody knows."""
    exponent: float | None = None


@dataclass(frozen=True)
class Made:
    """A walk with what the model says, and the truth."""

    walk: Walk
    predicted_dbm: Array
    model_sigma_db: Array
    offset_db: float
    exponent: float

    @property
    def excess_db(self) -> Array:
        """Predicted less measured."""
        return self.predicted_dbm - self.walk.level_dbm

    @property
    def slope(self) -> Array:
        """Ten decades of distance from the median distance."""
        away = self.walk.from_launch_m
        return np.asarray(10.0 * np.log10(away / np.median(away)))


def walk_of(
    x_m: Array, level_dbm: Array, *, y_m: Array | None = None, censored: NDArray[np.bool_] | None = None
) -> Walk:
    """Return a walk on foot."""
    return Walk(
        link="control", mode=WalkMode.ON_FOOT, read_at=WalkEnd.AIRCRAFT, x_m=x_m,
        y_m=np.zeros_like(x_m) if y_m is None else y_m, above_ground_m=np.full_like(x_m, 1.5), level_dbm=level_dbm,
        censored=np.zeros(x_m.size, dtype=bool) if censored is None else censored,
        power_dbm=np.full_like(x_m, 20.0), source="made here",
    )  # fmt: skip


def make(truth: Truth, generator: np.random.Generator) -> Made:
    """Return one walk."""
    away = np.linspace(truth.near_m, truth.far_m, truth.readings)
    offset = generator.normal(0.0, PRIOR.offset_sd_db) if truth.offset_db is None else truth.offset_db
    exponent = generator.normal(0.0, PRIOR.exponent_sd) if truth.exponent is None else truth.exponent
    error = generator.standard_normal(truth.readings)
    if truth.correlation_m > 0.0:  # one after the other, along the line: an exponential correlation is Markov's
        kept = np.exp(-np.diff(away) / truth.correlation_m)
        for k in range(1, truth.readings):
            error[k] = kept[k - 1] * error[k - 1] + np.sqrt(1.0 - kept[k - 1] ** 2) * error[k]
    predicted = -20.0 - 22.0 * np.log10(away)
    level = predicted - offset - 10.0 * exponent * np.log10(away / np.median(away)) - truth.sigma_db * error
    level -= 25.0 * (generator.random(truth.readings) < truth.wrong_share)
    floor = np.quantile(level, truth.censored_share) if truth.censored_share else NO_FLOOR_DBM
    walk = walk_of(away, np.maximum(level, floor), censored=level <= floor)
    return Made(walk, predicted, np.full(away.size, MODEL_SIGMA_DB), float(offset), float(exponent))


def fitted(made: Made, prior: WalkPrior = PRIOR) -> WalkFit:
    """Return the product's answer."""
    return fit_walk(made.walk, made.predicted_dbm, made.model_sigma_db, prior)


def least_squares(made: Made, keep: NDArray[np.bool_] | None = None) -> tuple[Array, Array]:
    """Return offset and exponent, and half-widths of their 90 % bands, as a plain regression has them."""
    used = np.ones(made.walk.level_dbm.size, dtype=bool) if keep is None else keep
    columns = np.column_stack([np.ones(int(used.sum())), made.slope[used]])
    best, left, *_ = np.linalg.lstsq(columns, made.excess_db[used], rcond=None)
    freedom = columns.shape[0] - 2
    spread = np.sqrt(np.diag(np.linalg.inv(columns.T @ columns)) * left[0] / freedom)
    return best, np.asarray(stats.t.ppf(0.95, freedom) * spread)


def share_of(held: NDArray[np.bool_]) -> tuple[float, float, float]:
    """Return a share and its 95 % Wilson interval."""
    count, total = int(held.sum()), int(held.size)
    ends = stats.binomtest(count, total).proportion_ci(method="wilson")
    return count / total, float(ends.low), float(ends.high)


@dataclass(frozen=True)
class Recovery:
    """Of many walks: offset and exponent in the columns of ``(runs, 2)`` arrays."""

    error: Array
    held: NDArray[np.bool_]
    peer_error: Array
    peer_held: NDArray[np.bool_]
    bare_error: Array
    """Of the uncorrected model: it says nought for both."""
    fits: tuple[WalkFit, ...]


Peer = Callable[[Made], tuple[Array, Array]]


def recover(truth: Truth, runs: int, seed: int, peer: Peer = least_squares) -> Recovery:
    """Fit so many walks, and let a plain regression fit them too."""
    generator = np.random.default_rng(seed)
    made = [make(truth, generator) for _ in range(runs)]
    fits = [fitted(one) for one in made]
    want = np.array([[one.offset_db, one.exponent] for one in made])
    both = np.array([[[s.mid, s.low, s.high] for s in (fit.offset_db, fit.excess_exponent)] for fit in fits])
    plain = [peer(one) for one in made]
    peer_error = np.array([best for best, _ in plain]) - want
    return Recovery(
        error=both[:, :, 0] - want,
        held=(both[:, :, 1] <= want) & (want <= both[:, :, 2]),
        peer_error=peer_error,
        peer_held=np.abs(peer_error) <= np.array([half for _, half in plain]),
        bare_error=-want,
        fits=tuple(fits),
    )


def rms(values: Array) -> float:
    """Return the root of the mean square."""
    return float(np.sqrt(np.mean(np.square(values))))


def dropping(made: Made) -> tuple[Array, Array]:
    """Return a plain regression that leaves out what stood at the floor."""
    return least_squares(made, ~made.walk.censored)


def shuffled(made: Made, order: NDArray[np.intp]) -> Made:
    """Return the same walk, its readings in another order."""
    walk = made.walk
    moved = replace(
        walk, x_m=walk.x_m[order], y_m=walk.y_m[order], above_ground_m=walk.above_ground_m[order],
        level_dbm=walk.level_dbm[order], censored=walk.censored[order], power_dbm=walk.power_dbm[order],
    )  # fmt: skip
    return replace(made, walk=moved, predicted_dbm=made.predicted_dbm[order], model_sigma_db=made.model_sigma_db[order])
