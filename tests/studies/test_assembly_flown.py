"""The algebra of the product against aircraft that are flown step by step, by simulations of their own."""

from __future__ import annotations

import ast
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats
from studies.assembly_flown import disagree, figures, rigid, rotor

from turnback.assess.assembly_flown import BY_EIGHTH, KINDS, TOWARDS, UPSIDE_DOWN_SHARE, FlownKind, flown
from turnback.assess.assembly_prior import prior
from turnback.assess.assembly_ways import SHAPE, scheme, ways
from turnback.records.aircraft import Rotation

pytestmark = pytest.mark.published

SCHEME = scheme(Rotation.CLOCKWISE)
FLIPS = (rigid.FLIPS_AT_ONCE, rigid.LIFTS_THEN_FLIPS)


def some(rows: NDArray[np.int64]) -> rigid.Built:
    """Return these of all ways."""
    return rigid.Built(*(part[rows] for part in rigid.every(SCHEME)))


def agree(said: Any, flew: Any) -> NDArray[np.bool_]:
    """Return where both hold, flip (in either way), spin or stay down."""
    return np.asarray((said == flew) | (np.isin(said, FLIPS) & np.isin(flew, FLIPS)))


@pytest.mark.parametrize("module", [rigid, rotor], ids=["rigid", "rotor"])
def test_the_simulations_share_no_code_with_the_product_but_how_kernels_are_compiled(module: Any) -> None:
    names = ast.walk(ast.parse(Path(module.__file__).read_text(encoding="utf-8")))
    imported = {ast.unparse(node) for node in names if isinstance(node, ast.Import | ast.ImportFrom)}
    assert imported
    assert {line for line in imported if "turnback" in line} <= {
        "from turnback.base.kernels import kernel, parallel_kernel"
    }


def test_the_simulation_counts_kinds_as_the_product_does() -> None:
    order = ("HOLDS", "FLIPS_AT_ONCE", "LIFTS_THEN_FLIPS", "SPINS", "STAYS_DOWN")
    assert [KINDS[getattr(rigid, name)] for name in order] == [FlownKind[name] for name in order]


def test_a_sample_of_all_ways_flies_as_the_algebra_says() -> None:
    # 1500 ways at margin 4: 97 % over all ways (docs, models, assembly); three standard errors below is 95.7 %.
    built = some(np.sort(np.random.default_rng(3).choice(16 * 16 * 24 * 8, 1500, replace=False)))
    flew, low = rigid.fly(built, SCHEME, 4.0, 0.4, UPSIDE_DOWN_SHARE, 5)
    found = flown(built, SCHEME, 4.0, 0.4)
    assert agree(found.kind, flew).mean() > 0.957
    assert np.isin(flew, FLIPS).mean() < 0.9  # who always says "it flips" does not reach that
    angles = {TOWARDS.index(side): 45.0 * place for place, side in enumerate(BY_EIGHTH)}
    told = np.isin(found.toward, list(angles)) & (flew == rigid.FLIPS_AT_ONCE)
    went = np.degrees(np.arctan2(low[told, 1], low[told, 0]))
    beside = (went - np.array([angles[side] for side in found.toward[told]]) + 180.0) % 360.0 - 180.0
    assert told.sum() > 300
    assert (np.abs(beside) <= 45.0).mean() > 0.95


@pytest.mark.parametrize("margin", [3.0, 6.0])
def test_right_propellers_in_every_order_on_every_board_fly_as_the_algebra_says(margin: float) -> None:
    # What is likeliest at a bench: all but what chance decides, a board upside down that pushes nowhere.
    every = rigid.every(SCHEME)
    right = np.flatnonzero((every.propeller == SCHEME).all(axis=-1) & (every.motor == SCHEME).all(axis=-1))
    built = some(right)
    flew, _ = rigid.fly(built, SCHEME, margin, 0.4, UPSIDE_DOWN_SHARE, 6)
    assert agree(flown(built, SCHEME, margin, 0.4).kind, flew).mean() > 0.95


@pytest.mark.parametrize(("hits", "of"), [(47_000, 49_152), (9, 10), (60, 60)])
def test_intervals_are_those_of_scipy(hits: int, of: int) -> None:
    known = stats.binomtest(hits, of).proportion_ci(method="wilson")
    assert figures.interval(hits, of) == pytest.approx((known.low, known.high), abs=1e-7)


def test_how_often_a_way_is_met_is_the_prior_of_that_very_way() -> None:
    every, parts = rigid.every(SCHEME), prior()
    met = figures.met(every)
    rows = {
        (*p, *m, *o, t, f): i for i, (p, _, m, o, t, f) in enumerate(zip(*(x.tolist() for x in every), strict=True))
    }
    lot = np.random.default_rng(8)
    drawn = np.column_stack([lot.integers(0, size, 200) for size in SHAPE])
    drawn[:, 2], drawn[0] = 0, 0
    same = ways(np.ravel_multi_index(tuple(drawn.T), SHAPE), Rotation.CLOCKWISE)
    for k, (propeller, motor, _, order, board) in enumerate(drawn):
        key = (*same.propeller[k], *same.motor[k], *same.order[k], same.turns[k], same.flipped[k])
        whole = parts.turning[propeller, motor] * parts.order[order] * parts.board[board]
        assert met[rows[tuple(int(part) for part in key)]] == pytest.approx(whole, rel=1e-9)


def test_disagreement_and_the_plain_guess_are_counted() -> None:
    # Four ways by hand: the right one, met most; two that flip, of which one is called; one that stays down.
    built = some(np.array([0, 8, 16, 24]))
    said, flew = np.array([0, 1, 4, 4]), np.array([0, 1, 1, 4])
    found = disagree.beside(built, said, flew, np.array([0.7, 0.1, 0.05, 0.15]))
    assert found.flips == 2
    assert [found.flips_met, found.flips_wrong, found.wrong] == pytest.approx([0.15, 0.5, 0.25 / 0.3])
    assert dict(found.where) == {("right way up", 0, "stays down", "flips"): 1}


@pytest.mark.slow
def test_another_simulator_agrees_on_orders_and_boards() -> None:
    # rotorpy: right propellers; two boards, four orders, one of them right.
    every = rigid.every(SCHEME)
    right = (every.propeller == SCHEME).all(axis=-1) & (every.motor == SCHEME).all(axis=-1)
    orders = [(0, 1, 2, 3), (1, 0, 2, 3), (3, 1, 2, 0), (2, 3, 0, 1)]
    listed = np.array([tuple(order) in orders for order in every.order])
    built = some(np.flatnonzero(right & listed & np.isin(every.turns, (0, 1)) & ~every.flipped))
    assert built.turns.size == 8
    flew, _ = rotor.fly(built, SCHEME, 4.0, 0.4, UPSIDE_DOWN_SHARE, 1)
    said = flown(built, SCHEME, 4.0, 0.4).kind
    assert rigid.HOLDS in said
    assert agree(said, flew).all()
