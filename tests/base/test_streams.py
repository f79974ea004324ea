"""Same seed, same bytes; adding a parameter moves no other's draws."""

from __future__ import annotations

import hashlib

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from turnback.assess.draws import draw_unknowns
from turnback.base.streams import stream
from turnback.records.world import Band, Origin

SEEDS = st.integers(0, 2**63 - 1)
NAMES = st.text(min_size=1, max_size=40)


def band(key: str) -> Band:
    """Return some uncertain quantity with that name."""
    return Band(key, 2.0, 1.0, 4.0, "kg", Origin.TYPICAL, "our-choice")


@given(SEEDS, NAMES)
def test_same_seed_and_name_give_the_same_bytes(seed: int, name: str) -> None:
    assert stream(seed, name).random(8).tobytes() == stream(seed, name).random(8).tobytes()


@given(SEEDS, NAMES, NAMES)
def test_another_name_gives_other_numbers(seed: int, one: str, other: str) -> None:
    same = stream(seed, one).random(4).tobytes() == stream(seed, other).random(4).tobytes()
    assert same == (one == other)


@given(SEEDS, NAMES)
def test_another_seed_gives_other_numbers(seed: int, name: str) -> None:
    assert stream(seed, name).random(4).tobytes() != stream(seed + 1, name).random(4).tobytes()


def test_the_construction_is_set_in_stone() -> None:
    """Same seed, same bytes across versions too: the recipe written out by hand, with numpy and hashlib only."""
    digest = hashlib.blake2b(b"pack.resistance_ohm", digest_size=16).digest()
    words = np.frombuffer(digest, dtype="<u4").tolist()
    by_hand = np.random.Generator(np.random.PCG64(np.random.SeedSequence([7, *words])))
    assert stream(7, "pack.resistance_ohm").random(16).tobytes() == by_hand.random(16).tobytes()


@given(st.permutations(["a.mass_kg", "b.mass_kg", "c.mass_kg", "d.mass_kg"]), st.integers(0, 1000))
def test_adding_a_parameter_or_another_order_moves_no_other_draw(order: list[str], seed: int) -> None:
    alone = draw_unknowns([band("a.mass_kg")], 50, seed)
    among = draw_unknowns([band(key) for key in order], 50, seed)
    assert among["a.mass_kg"].tobytes() == alone["a.mass_kg"].tobytes()


def test_streams_are_not_correlated() -> None:
    names = [f"parameter.{i}" for i in range(40)]
    draws = np.array([stream(1, name).standard_normal(4000) for name in names])
    between = np.corrcoef(draws)[np.triu_indices(len(names), 1)]
    # 780 correlations of sd 1/sqrt(4000) = 0.0158: five of them is far beyond chance
    assert np.abs(between).max() < 5.0 / np.sqrt(4000)
    assert between.std() == pytest.approx(1.0 / np.sqrt(4000), rel=0.15)
