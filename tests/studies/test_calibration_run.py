"""The study's run: independent of the product, the same bytes twice, figures that are what they say."""

import ast
from pathlib import Path

import numpy as np
import pytest
from studies.calibration import afterwards, figures, page, run

from studies import calibration

FOLDER = Path(calibration.__file__).parent
MAY_CALL = {
    "answers.py": {"turnback.flows.flight", "turnback.readers.case", "turnback.records.finding"},
    "run.py": {"turnback.base.errors"},
    "rotor_flights.py": {"turnback.physics.rotor"},  # rotorpy's flights are held against this very function
}
"""Everything of the product that a module of the study may import; a module not named here: nothing."""
SIMULATOR = {
    "cells.py",
    "flyer.py",
    "ground.py",
    "population.py",
    "power.py",
    "radio.py",
    "reception.py",
    "world.py",
    "plans.py",
}


def _imports(path: Path) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0
            found.add(node.module or "")
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name | ast.Attribute):
            name = node.func.id if isinstance(node.func, ast.Name) else node.func.attr
            assert name not in {"__import__", "import_module"}, path.name
    return found


def test_the_simulator_shares_no_code_with_the_product() -> None:
    modules = sorted(FOLDER.glob("*.py"))
    assert SIMULATOR | set(MAY_CALL) <= {path.name for path in modules}
    for path in modules:
        product = {name for name in _imports(path) if name.split(".")[0] == "turnback"}
        assert product <= MAY_CALL.get(path.name, set()), path.name
        if path.name in SIMULATOR:
            assert not any(name.endswith((".answers", ".run", ".rotor_flights")) for name in _imports(path)), path.name


@pytest.mark.slow
def test_twelve_plans_give_rows_and_again_the_same_bytes(tmp_path: Path) -> None:
    flown = run.rows(run.OPEN, 9, 1, tmp_path / "open.csv") + run.rows(run.CAREFUL, 3, 1, tmp_path / "careful.csv")
    assert len(flown) == 12
    assert all(0.0 <= row.low <= row.mean <= row.high <= 1.0 for row in flown)
    assert run.kept(tmp_path / "careful.csv") == flown[9:]
    for kind, count in ((run.OPEN, 3), (run.CAREFUL, 1)):  # the first of each flown again: head and rows, byte by byte
        run.rows(kind, count, 1, tmp_path / "again.csv")
        once = (tmp_path / f"{kind}.csv").read_bytes().splitlines()[: count + 1]
        assert (tmp_path / "again.csv").read_bytes().splitlines() == once
        (tmp_path / "again.csv").unlink()


def test_shares_and_scores() -> None:
    # Clopper and Pearson, 9 of 10: 55.50 % to 99.75 % (their tables); none of 300: 0 to 1.222 %.
    assert figures.Share(9, 10).ends == pytest.approx((0.5550, 0.9975), abs=5e-5)
    assert figures.Share(0, 300).ends == pytest.approx((0.0, 0.01222), abs=1e-5)
    home = np.array([1.0, 1.0, 0.0, 1.0])
    assert figures.brier(np.array([1.0, 0.5, 0.5, 1.0]), home) == pytest.approx(0.125)  # two of four off by a half
    assert figures.frequencies(np.array([True, True, True, False]), home) == pytest.approx([2 / 3, 2 / 3, 2 / 3, 1.0])
    gain, low, high = figures.brier_gain(home, np.full(4, 0.5), home)
    assert (gain, low, high) == pytest.approx((0.25, 0.25, 0.25))


def test_figures_go_between_the_marks(tmp_path: Path) -> None:
    path = tmp_path / "page.md"
    path.write_text(f"before\n{page.BEGIN}\nold\n{page.END}\nafter\n")
    page.write(path, "new")
    assert path.read_text() == f"before\n{page.BEGIN}\n\nnew\n\n{page.END}\nafter\n"
    path.write_text("no marks")
    with pytest.raises(ValueError, match="needs the marks"):
        page.write(path, "new")


def test_rotorpy_hovers_at_the_power_of_its_constants() -> None:
    from studies.calibration.rotor_flights import quad_of, segments

    quad = quad_of(1.0, None, 1.0)
    # rotorpy's small quad hovers at 469.204 rad/s; k_m ω³ of four rotors by hand: 4 · 1.36e-7 · 469.204³ = 56.19 W.
    assert quad.hover_rad_s == pytest.approx(469.204, abs=1e-3)
    assert 4.0 * quad.params["k_m"] * quad.hover_rad_s**3 == pytest.approx(56.19, abs=0.01)
    # Ideal power 4.905 N · sqrt(4.905 / (2 · 1.225 · 0.12566)) = 19.58 W: a figure of merit of 0.348.
    assert quad.merit == pytest.approx(0.348, abs=1e-3)
    other = quad_of(0.6, 0.5, 1.0)
    assert other.hover_rad_s == pytest.approx(469.204 / 0.6**0.5, rel=1e-6)  # similarity
    assert len(segments(quad)) == 5


def test_a_kept_plan_flies_again_as_it_flew_and_a_common_error_takes_the_place_of_its_own() -> None:
    _, own, known, plan = run.drawn(run.OPEN, 3, 0)
    _, again, _, same = run.drawn(run.OPEN, 3, 0)
    assert (again, same.text(100.0)) == (own, plan.text(100.0))
    others = [run.drawn(run.OPEN, number, 0, afterwards.FIRST_SEED) for number in (3, 4)]
    # The first run's sums, as its page told them: 4.9 dB and 3.1 dB against the pilot.
    for _, truth, _, _ in others:
        assert truth.control_error_db == pytest.approx(-4.9, abs=0.05)
        assert truth.video_error_db == pytest.approx(-3.1, abs=0.05)
    _, common, as_known, _ = others[0]
    assert (common.place, common.label_mah, as_known) == (own.place, own.label_mah, known)  # all else as it was drawn
    # Signs by hand: one flight only after, none only before; two-sided p of one in one is 1.
    assert "1 more, 0 fewer (p = 1.000)" in afterwards.compared([False, True], [True, True])
