"""How many cells: told, counted, or read off the volts only where they leave no doubt."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from tests.assess.record_makers import flat, make_record

from turnback.assess.record_cells import cells_of
from turnback.records.channel import Channel, Quantity
from turnback.records.happened import Phase, PhaseKind
from turnback.records.record_read import FlightFacts

Made = dict[Channel | Quantity, tuple[Any, Any]]
T_S = np.arange(0.0, 60.0, 0.1)
PHASES = (flat(PhaseKind.GROUND, 0.0, 8.0), flat(PhaseKind.CRUISE, 8.0, 60.0))


def rested(
    volts: float, *, chemistry: str | None = None, phases: tuple[Phase, ...] = PHASES, **more: Any
) -> int | None:
    """A pack that rests at some volts for eight seconds and then flies at nine tenths of them."""
    made: Made = {Quantity.PACK_VOLTS: (T_S, np.where(T_S < 8.0, volts, 0.9 * volts)), **more.get("made", {})}
    return cells_of(make_record(made, facts=FlightFacts(chemistry=chemistry)), phases)


def test_what_the_user_says_comes_first() -> None:
    made: Made = {Channel(Quantity.CELL_VOLTS, number=number): (T_S, 4.0) for number in (1, 2, 3)}
    assert cells_of(make_record(made, facts=FlightFacts(cells=6)), PHASES) == 6


def test_numbered_cells_are_counted_and_empty_sockets_are_not() -> None:
    made: Made = {
        Channel(Quantity.CELL_VOLTS, number=number): (T_S, 4.0 if number < 4 else 0.02) for number in range(6)
    }
    assert cells_of(make_record(made), PHASES) == 4


@pytest.mark.parametrize(("ratio", "cells"), [(4.0, 4), (6.05, 6), (5.5, None), (0.4, None)])
def test_pack_over_cell_volts(ratio: float, cells: int | None) -> None:
    made: Made = {Quantity.PACK_VOLTS: (T_S, 3.8 * ratio), Quantity.CELL_VOLTS: (T_S, 3.8)}
    assert cells_of(make_record(made), PHASES) == cells


@pytest.mark.parametrize("cells", [1, 2, 3, 4, 5, 6, 8])
@pytest.mark.parametrize("cell_v", [4.10, 4.15, 4.2])
def test_a_charged_pack_tells_its_cells(cells: int, cell_v: float) -> None:
    assert rested(cells * cell_v, chemistry="LiPo") == cells
    assert rested(cells * cell_v) == cells


@pytest.mark.parametrize(("cells", "cell_v"), [(4, 3.85), (6, 3.8), (3, 3.7), (6, 3.95), (2, 3.3)])
def test_a_pack_that_is_not_full_is_not_guessed(cells: int, cell_v: float) -> None:
    assert rested(cells * cell_v) is None


def test_volts_that_two_packs_fit_are_not_guessed() -> None:
    assert rested(21.75) is None  # five high-voltage cells charged, or six of another kind at 3.62 V
    assert rested(21.75, chemistry="high-voltage LiPo") is None
    assert rested(21.9, chemistry="LiPo") is None  # no charged LiPo of any number


def test_no_count_without_a_rest() -> None:
    assert rested(16.8, phases=(flat(PhaseKind.CRUISE, 0.0, 60.0),)) is None
    drawn = {Quantity.CURRENT: (T_S, np.where(T_S < 8.0, 9.0, 15.0))}
    assert rested(16.8, made=drawn) is None
    idle = {Quantity.CURRENT: (T_S, np.where(T_S < 8.0, 0.4, 15.0))}
    assert rested(16.8, made=idle) == 4


def test_never_wrong_over_every_pack_and_charge_that_someone_starts_with() -> None:
    # from 3.55 V a cell, above the land-by volts of LiPo at rest, to full; two in a hundred off
    wrong = [
        (cells, round(cell_v, 2), off)
        for cells in (1, 2, 3, 4, 5, 6, 8, 10, 12)
        for cell_v in np.arange(3.58, 4.36, 0.01)
        for off in (0.995, 1.0, 1.005)
        if rested(cells * cell_v * off) not in (None, cells)
    ]
    assert wrong == []


@pytest.mark.parametrize(
    ("volts", "cells", "chemistry", "believed"),
    [
        (15.2, 4, "LiPo", True),
        (13.0, 4, "LiPo", True),  # 3.25 V a cell: nearly empty
        (3.9, 4, "LiPo", False),  # a mean cell taken for the pack
        (15_200.0, 4, "LiPo", False),  # millivolts taken for volts
        (15.2, 3, "LiPo", False),  # 5.07 V a cell
        (15.2, 8, None, False),  # 1.9 V a cell
        (18.4, 4, "LiPo", True),  # 4.6 V a cell: volts that are read a tenth too high
        (18.8, 4, "LiPo", False),
        (18.8, 4, "high-voltage LiPo", True),  # 4.7 V a cell, full at 4.35 V
        (19.2, 4, None, False),
    ],
)
def test_told_cells_that_cannot_be_true_are_not_believed(
    volts: float, cells: int, chemistry: str | None, believed: bool
) -> None:
    made: Made = {Quantity.PACK_VOLTS: (T_S, np.where(T_S < 8.0, 0.0, volts))}  # no pack on the bench
    record = make_record(made, facts=FlightFacts(cells=cells, chemistry=chemistry))
    assert cells_of(record, PHASES) == (cells if believed else None)


def test_numbered_cells_in_another_unit_do_not_count_as_cells() -> None:
    made: Made = {Channel(Quantity.CELL_VOLTS, number=number): (T_S, 3800.0) for number in range(4)}
    made |= {Quantity.PACK_VOLTS: (T_S, 15_200.0)}
    assert cells_of(make_record(made), PHASES) is None
