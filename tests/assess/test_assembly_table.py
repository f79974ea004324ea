"""The kept table of how ways fly is what the algebra gives, for both rotation schemes."""

from __future__ import annotations

import numpy as np
import pytest

from turnback.assess.assembly_belief import believe
from turnback.assess.assembly_signs import AROUND, KINDS, NOWHERE, likelihood
from turnback.assess.assembly_table import flown_index, flown_table, margins
from turnback.assess.assembly_ways import COUNT
from turnback.records.aircraft import Rotation
from turnback.records.bench import Saw, Toward
from turnback.rules import bench as rules

NUMBER = (len(KINDS), NOWHERE + 1)


@pytest.mark.parametrize("front_left", list(Rotation))
def test_the_kept_table_is_the_algebra_and_the_scheme_does_not_matter(front_left: Rotation) -> None:
    # The likeliest ways and a sample of the rest: run tools/assembly_table.py where this fails after a change of the
    # algebra or the margins.
    before = believe(likelihood((), front_left)).way.ravel()
    likeliest = np.argpartition(before, -4000)[-4000:]
    others = np.random.default_rng(5).choice(COUNT, 12_000, replace=False)
    index = np.union1d(likeliest, others)
    table = flown_table()
    pairs, share = margins()
    assert share.sum() == pytest.approx(1.0)
    assert np.array_equal(table.share, share)
    for place, pair in enumerate(pairs):
        assert np.array_equal(
            table.flown[table.row[index], place], flown_index(index, float(pair[0]), float(pair[1]), front_left)
        )


def test_margins_have_the_shares_of_the_rules() -> None:
    pairs, share = margins()
    found = {(float(margin), float(reverse)): float(one) for (margin, reverse), one in zip(pairs, share, strict=True)}
    assert len(found) == len(rules.THRUST_MARGIN.values) * len(rules.REVERSE_SHARE.values)
    for margin, of_margin in rules.THRUST_MARGIN.values.items():
        for reverse, of_reverse in rules.REVERSE_SHARE.values.items():
            assert found[float(margin), float(reverse)] == pytest.approx(of_margin * of_reverse)
    assert 3.0 <= pairs[:, 0].min() < pairs[:, 0].max() <= 6.0  # models.md: thrust margin 3 to 6
    assert 0.3 <= pairs[:, 1].min() < pairs[:, 1].max() <= 0.5  # and reverse thrust 0.3 to 0.5


def test_what_is_put_together_right_hovers_at_every_margin() -> None:
    table = flown_table()
    kinds, sides = np.unravel_index(table.flown[table.row[0]], NUMBER)
    assert {KINDS[kind] for kind in kinds} == {Saw.HOVERS_WELL}
    assert set(sides.tolist()) == {NOWHERE}


def test_one_wrong_propeller_tips_to_its_corner_and_a_wrong_front_pair_forward() -> None:
    # models.md, section Assembly; patterns: bit 0 front-left, 1 front-right, 2 rear-left, 3 rear-right
    table = flown_table()
    places = {1: Toward.FRONT_LEFT, 2: Toward.FRONT_RIGHT, 4: Toward.REAR_LEFT, 8: Toward.REAR_RIGHT, 3: Toward.FRONT}
    for pattern, toward in places.items():
        way = np.ravel_multi_index((pattern, 0, 0, 0, 0), (16, 16, 16, 24, 8))
        kinds, sides = np.unravel_index(table.flown[table.row[way]], NUMBER)
        flips = np.array([KINDS[kind] is Saw.FLIPS_AT_ONCE for kind in kinds])
        assert flips.any()
        assert {AROUND[side] for side in sides[flips]} == {toward}
