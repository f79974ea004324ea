"""What a pack's label says, as sellers write it (common practice), and what is left open."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from turnback.records.common import How
from turnback.records.labels import Label, filled_from_label, read_label
from turnback.records.pack import ChemistryName, PackFile

LIPO, HIGH, ION = ChemistryName.LIPO, ChemistryName.HIGH_VOLTAGE_LIPO, ChemistryName.LI_ION


@pytest.mark.parametrize(
    ("text", "label"),
    [
        ("6S 1300 mAh 100C", Label(6, 1300.0, 100.0, None)),
        ("6s1300mAh", Label(6, 1300.0, None, None)),
        ("4S1P 1500mAh 14.8V 95C LiPo", Label(4, 1500.0, 95.0, LIPO)),
        ("4S HV 850mAh 80C", Label(4, 850.0, 80.0, HIGH)),
        ("LiHV 1S 300mAh 30C/60C", Label(1, 300.0, 30.0, HIGH)),
        ("1,500 mAh 4S 75C/150C", Label(4, 1500.0, 75.0, None)),
        ("6S 1.1Ah", Label(6, 1100.0, None, None)),
        ("6S 1,1 Ah Li-Po", Label(6, 1100.0, None, LIPO)),
        ("Li-ion 6S1P 4000 mAh 21700", Label(6, 4000.0, None, ION)),
        ("3 cells, 450 mAh, 75 C", Label(3, 450.0, 75.0, None)),
        ("2 cell high voltage 550mAh", Label(2, 550.0, None, HIGH)),
        ("", Label(None, None, None, None)),
        ("a good one", Label(None, None, None, None)),
        ("4S or 6S 1300 mAh", Label(None, 1300.0, None, None)),
        ("4S 1300 mAh 1500 mAh", Label(4, None, None, None)),
        ("22.2V 28.86Wh", Label(None, None, None, None)),
        ("6S 1300 mAh, 20 °C", Label(6, 1300.0, None, None)),
    ],
)
def test_labels_are_read_as_people_read_them(text: str, label: Label) -> None:
    assert read_label(text) == label


@given(st.integers(1, 14), st.integers(50, 50_000), st.integers(1, 300), st.sampled_from(["", " ", "  "]))
def test_plain_labels_come_back_whole(cells: int, mah: int, rating: int, gap: str) -> None:
    assert read_label(f"{cells}S {mah}{gap}mAh {rating}C") == Label(cells, float(mah), float(rating), None)


@given(st.text(max_size=500))
def test_any_text_is_read(text: str) -> None:
    label = read_label(text)
    assert label.cells is None or label.cells >= 0
    assert label.capacity_mah is None or label.capacity_mah >= 0.0


def test_a_label_fills_only_what_the_pack_does_not_say() -> None:
    pack = PackFile.model_validate({"label": "6S 1300 mAh 100C HV", "capacity_mah": {"value": 1210, "how": "measured"}})
    filled = filled_from_label(pack)
    assert (filled.cells, filled.c_rating, filled.chemistry) == (6, 100.0, HIGH)
    assert filled.capacity_mah == pack.capacity_mah
    bare = filled_from_label(PackFile.model_validate({"label": "6S 1300 mAh"}))
    assert bare.capacity_mah is not None
    assert (bare.capacity_mah.value, bare.capacity_mah.how) == (1300.0, How.LABEL)
    assert (bare.c_rating, bare.chemistry) == (None, None)


def test_a_pack_without_label_stays_as_it_is() -> None:
    pack = PackFile.model_validate({"cells": 4, "capacity_mah": 1500})
    assert filled_from_label(pack) is pack
