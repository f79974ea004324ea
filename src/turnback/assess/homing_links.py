"""Both radios in every draw, laid out for the map's kernel: what no place changes is worked out once."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from turnback.assess.draw_set import DrawSet
from turnback.assess.reception import CANOPIES_M, direction_levels_db, pattern_of_elevation_db
from turnback.physics.clutter import woodland
from turnback.physics.link import free_space_db
from turnback.records.world import LinkWorld
from turnback.rules.typical import typical

Array = NDArray[np.float64]
Single = NDArray[np.float32]

MIDDLES, MIDDLE_DB = 513, 0.125  # of the table of median margins: a straight line between two is within 0.01 dB
MEASURED = ("offset_db", "excess_exponent", "beyond_exponent", "sigma_ratio")  # as draws of a link name them
ELEVATIONS = 8193  # of the table of patterns: a straight line between two is within 0.01 dB


class LinkTables(NamedTuple):
    """The links for the kernel; F links, J draws in the order of `order_of`, W ways in all.

    Losses in dB, levels in dB over the receiver's limit at no loss.
    """

    frequency_mhz: Array
    """``(F,)``."""
    level_db: Single
    """``(F, J)``: of the weaker direction."""
    way_db: Single
    """``(W, J)``: of each direction by itself."""
    way_of: NDArray[np.int64]
    """``(W,)``: the link it belongs to."""
    weaker: NDArray[np.bool_]
    """``(W,)``: the weaker direction in every draw: its margin is the link's."""
    free_space_db: Array
    """``(F,)``: at one metre."""
    pattern_db: Array
    """``(F, ELEVATIONS)``: what patterns take, straight down to straight up."""
    leaf_db_per_m: Array
    """``(F,)``: of the first metres among trees."""
    leaf_most_db: Array
    """``(F,)``."""
    measured: NDArray[np.bool_]
    """``(F,)``: whether a range walk corrected it; what follows is that of `LossWorld`, nothing where none did."""
    reference_m: Array
    walked_m: Array
    excess_exponent: Single
    """``(F, J)``; its offset is in the levels."""
    beyond_exponent: Single
    steady: Single
    """``(F, J)``: one over the ratio of spreads."""
    middle_db: Array
    """``(F + W, MIDDLES)``: median of each level, then of each way, less `place` times a loss of 0, `MIDDLE_DB`, ..."""
    place: Single
    """``(J,)``: where the loss behind an edge lies between one edge and the full recommendation."""
    leaves: Single
    """``(J,)``: share of a path under the canopy that is leaves."""
    share: Single
    """``(J,)``: where the canopy lies between two of `CANOPIES_M`."""
    bins: NDArray[np.int64]
    """``(C + 1,)``: the draws whose canopy lies between two of `CANOPIES_M`, from and to."""
    canopies_m: Array
    """Those looked at; none where no draw has a leaf."""
    sigma_db: Array
    """``(4,)``: clear, grazing, diffracted, among trees."""


def canopy_of(draws: DrawSet) -> tuple[NDArray[np.int64], Array]:
    """Return, for every draw, the lower of the two canopies it lies between (0 is bare ground), and how far between."""
    heights = np.concatenate([[0.0], CANOPIES_M])
    canopy = np.clip(draws["site.canopy_height_m"], 0.0, heights[-1])
    k = np.clip(np.searchsorted(heights, canopy, side="right") - 1, 0, heights.size - 2)
    return k, (canopy - heights[k]) / (heights[k + 1] - heights[k])


def order_of(draws: DrawSet) -> NDArray[np.int64]:
    """Return the draws by rising canopy: what the kernel does with one is then the same for its neighbours."""
    return np.argsort(canopy_of(draws)[0], kind="stable")


def link_tables(draws: DrawSet, links: list[LinkWorld], order: NDArray[np.int64]) -> LinkTables:
    """Return the links in every draw.

    Parameters
    ----------
    draws : DrawSet
    links : list of LinkWorld
        Control, and video where there is one.
    order : ndarray, shape (j,)
        Of the draws, from `order_of`.
    """
    rows = typical("chance")
    ways = [list(direction_levels_db(draws, link).values()) for link in links]
    offset, excess, beyond, ratio = (_measured(draws, links, key) for key in MEASURED)
    k, share = canopy_of(draws)
    leaves = np.clip(draws["site.tree_depth_fraction"], 0.0, 1.0)
    woods = [woodland(link.frequency_mhz) for link in links]
    elevation = np.linspace(-np.pi / 2.0, np.pi / 2.0, ELEVATIONS)
    frequency = np.array([link.frequency_mhz for link in links])
    walks = [link.measured for link in links]

    levels = np.stack([np.minimum.reduce(each) - less for each, less in zip(ways, offset, strict=True)])
    each_way = np.stack([way - less for each, less in zip(ways, offset, strict=True) for way in each])
    way_of = np.repeat(np.arange(len(links)), [len(each) for each in ways])
    place = np.clip(draws["site.edge_fraction"], 0.0, 1.0)

    def single(values: Any) -> Single:
        return np.ascontiguousarray(np.asarray(values)[..., order], dtype=np.float32)

    return LinkTables(
        frequency_mhz=frequency,
        level_db=single(levels),
        way_db=single(each_way),
        way_of=way_of,
        weaker=np.asarray((each_way == levels[way_of]).all(axis=1)),
        free_space_db=free_space_db(1.0, frequency),
        pattern_db=np.stack([pattern_of_elevation_db(link, elevation) for link in links]),
        leaf_db_per_m=np.array([float(wood.specific_db_per_m) for wood in woods]),
        leaf_most_db=np.array([float(wood.greatest_db) for wood in woods]),
        measured=np.array([walk is not None for walk in walks]),
        reference_m=np.array([1.0 if walk is None else walk.reference_m for walk in walks]),
        walked_m=np.array([1.0 if walk is None else walk.walked_m for walk in walks]),
        excess_exponent=single(excess),
        beyond_exponent=single(beyond),
        steady=single(1.0 / ratio),
        middle_db=_middles_db(np.concatenate([levels, each_way]), place),
        place=single(place),
        leaves=single(leaves),
        share=single(share),
        bins=np.searchsorted(k[order], np.arange(len(CANOPIES_M) + 1)),
        canopies_m=np.array(CANOPIES_M) if leaves.max() > 0.0 else np.empty(0),
        sigma_db=np.array([rows[f"sigma_{name}_db"].value for name in ("clear", "grazing", "diffracted", "trees")]),
    )


def _measured(draws: DrawSet, links: list[LinkWorld], key: str) -> Array:
    """Return what a range walk found of every link in every draw, ``(f, j)``; what changes nothing where none did."""
    nothing = np.full(draws.count, 1.0 if key == "sigma_ratio" else 0.0)
    return np.stack([nothing if link.measured is None else draws[f"{link.name}.{key}"] for link in links])


def _middles_db(levels_db: Array, place: Array) -> Array:
    """Return the median over the draws of each level less a loss that each draw places, for losses of a table."""
    table = np.empty((len(levels_db), MIDDLES))
    for i in range(MIDDLES):
        table[:, i] = np.median(levels_db - place * (i * MIDDLE_DB), axis=1)
    return table
