"""Files of older versions, with versions and upgraders made up here: version 1 is the first real one."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from turnback.base.errors import Fault
from turnback.readers.upgrade import PARTS, UPGRADERS, FileKind, Upgraders, upgraded
from turnback.records.common import SCHEMA

Table = dict[str, Any]


def grams(pack: Table) -> Table:
    """Made up: version 1 wrote a pack's mass in kilograms."""
    rest = {key: value for key, value in pack.items() if key != "mass_kg"}
    return {**rest, "mass_g": pack["mass_kg"] * 1000} if "mass_kg" in pack else rest


def renamed(plan: Table) -> Table:
    """Made up: version 2 called the way "path"."""
    return {("route" if key == "path" else key): value for key, value in plan.items()}


def cells(pack: Table) -> Table:
    """Made up: version 2 wrote the number of cells as text."""
    return {**pack, "cells": int(pack["cells"])} if "cells" in pack else pack


MADE_UP: Upgraders = {FileKind.PACK: {1: grams, 2: cells}, FileKind.PLAN: {2: renamed}}


def test_a_file_is_brought_up_step_by_step() -> None:
    table, faults, readable = upgraded(
        {"schema": 1, "mass_kg": 0.25, "cells": "6"}, FileKind.PACK, "p.toml", newest=3, upgraders=MADE_UP
    )
    assert (table, faults, readable) == ({"cells": 6, "mass_g": 250.0}, [], True)


def test_a_file_of_a_later_version_skips_the_steps_before_it() -> None:
    table, _, _ = upgraded(
        {"schema": 2, "mass_kg": 1, "cells": "4"}, FileKind.PACK, "p.toml", newest=3, upgraders=MADE_UP
    )
    assert table == {"mass_kg": 1, "cells": 4}
    table, _, _ = upgraded({"schema": 3, "cells": "4"}, FileKind.PACK, "p.toml", newest=3, upgraders=MADE_UP)
    assert table == {"cells": "4"}


def test_parts_inside_a_plan_go_with_it_and_parts_in_files_do_not() -> None:
    plan = {"schema": 1, "pack": {"mass_kg": 0.2}, "path": {"distance_m": 9}, "aircraft": {"class": "3-inch"}}
    table, _, _ = upgraded(plan, FileKind.PLAN, "plan.toml", newest=3, upgraders=MADE_UP)
    assert table == {"pack": {"mass_g": 200.0}, "route": {"distance_m": 9}, "aircraft": {"class": "3-inch"}}
    named = {"schema": 1, "pack": "pack.toml", "path": {}}
    table, _, _ = upgraded(named, FileKind.PLAN, "plan.toml", newest=3, upgraders=MADE_UP)
    assert table == {"pack": "pack.toml", "route": {}}


def test_the_table_given_is_not_changed() -> None:
    given: Table = {"schema": 1, "pack": {"mass_kg": 0.2}, "path": {}}
    before = copy.deepcopy(given)
    upgraded(given, FileKind.PLAN, "plan.toml", newest=3, upgraders=MADE_UP)
    assert given == before


def test_a_kind_without_upgraders_passes_unchanged() -> None:
    assert upgraded({"schema": 1, "x": 1}, FileKind.SITE, "s.toml", newest=3, upgraders=MADE_UP) == ({"x": 1}, [], True)


@pytest.mark.parametrize(("table", "fault", "readable"), [
    ({}, Fault("a: schema", "it is missing", "write schema = 2 on the first line"), True),
    ({"schema": 0}, Fault("a: schema", "0 is not a whole number from 1 on", "write schema = 2"), True),
    ({"schema": -1}, Fault("a: schema", "-1 is not a whole number from 1 on", "write schema = 2"), True),
    ({"schema": "2"}, Fault("a: schema", "'2' is not a whole number from 1 on", "write schema = 2"), True),
    ({"schema": 2.0}, Fault("a: schema", "2.0 is not a whole number from 1 on", "write schema = 2"), True),
    ({"schema": 3}, Fault("a: schema", "version 3 is newer than this Turnback reads (2)", "install a newer Turnback"),
     False),
])  # fmt: skip
def test_versions_that_are_none(table: Table, fault: Fault, readable: bool) -> None:
    _, faults, can_be_judged = upgraded(table, FileKind.PACK, "a", newest=2)
    assert (faults, can_be_judged) == ([fault], readable)


def test_every_version_between_the_first_and_todays_has_its_upgraders_listed() -> None:
    """Today there is one version, so nothing to upgrade; the day SCHEMA grows this asks for the step."""
    steps = {step for changes in UPGRADERS.values() for step in changes}
    assert steps == set(range(1, SCHEMA))
    assert len(PARTS) == 6
