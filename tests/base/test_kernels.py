"""Kernels keep their cache only while it is right, run from a read-only install without a home, and take no functions.

The runs are real: a copy of the package whose folders cannot be written, in a fresh process. Root ignores folder
permissions, so as root that process first gives up the power to do so.
"""

from __future__ import annotations

import ast
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import turnback
from turnback.base.kernel_cache import FLOORS, STAMP, drop_stale, sources_digest

SRC = Path(turnback.__file__).parent
SMALL = """
import sys
import turnback.physics.rotor as rotor
from turnback.physics.rotor_kernel import induced_kernel
print(rotor.__file__)
print(float(rotor.induced_mps(6.8647, 1.225, 0.050671, 0.0, 0.0)))
print(sum(induced_kernel.stats.cache_hits.values()), induced_kernel.stats.cache_path)
"""


def small_copy(folder: Path) -> Path:
    """Copy the two floors that kernels are made of, without caches."""
    package = folder / "turnback"
    package.mkdir(parents=True)
    shutil.copy(SRC / "__init__.py", package)
    for floor in ("base", "physics"):
        shutil.copytree(SRC / floor, package / floor, ignore=shutil.ignore_patterns("__pycache__"))
    return package


def run_small(package: Path, home: Path, prefix: tuple[str, ...] = ()) -> tuple[str, float, int, str]:
    """Run a kernel from that copy in a fresh process: file, induced speed, cache hits, cache folder."""
    environment = {k: v for k, v in os.environ.items() if not k.startswith(("NUMBA_", "XDG_", "PYTHON", "COV_"))}
    environment |= {"PYTHONPATH": str(package.parent), "HOME": str(home), "PYTHONDONTWRITEBYTECODE": "1"}
    done = subprocess.run(
        [*prefix, sys.executable, "-c", SMALL],
        env=environment,
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    where, speed, rest = done.stdout.strip().splitlines()
    hits, _, cache = rest.partition(" ")
    return where, float(speed), int(hits), cache


def without_the_power_of_root() -> tuple[str, ...]:
    """Return what to put before a command so that folder permissions hold for root too."""
    if os.geteuid() != 0:
        return ()
    setpriv = shutil.which("setpriv")
    if setpriv is None:
        pytest.fail("root ignores permissions and there is no setpriv here to give that up")
    return (setpriv, "--bounding-set", "-dac_override,-dac_read_search", "--inh-caps", "-dac_override,-dac_read_search")


def test_a_kernel_runs_from_a_read_only_install_without_a_home(tmp_path: Path) -> None:
    package = small_copy(tmp_path / "install")
    prefix = without_the_power_of_root()
    folders = [tmp_path / "install", *(path for path in (tmp_path / "install").rglob("*") if path.is_dir())]
    for folder in folders:
        folder.chmod(0o555)
    try:
        written = subprocess.run([*prefix, "touch", str(package / "physics" / "x")], capture_output=True, check=False)
        assert written.returncode != 0, "the copy can be written: this test would show nothing"
        # no home: a place below a folder that cannot be written cannot be made either
        where, speed, hits, cache = run_small(package, tmp_path / "install" / "no-home", prefix)
    finally:
        for folder in folders:
            folder.chmod(0o755)
    assert Path(where) == package / "physics" / "rotor.py"
    assert speed == pytest.approx(7.4361, abs=5e-4)  # momentum theory, sqrt(T / 2 rho A): 0.7 kg on four 5-inch discs
    assert (hits, cache) == (0, "None"), "a cache was used, so the plain compilation was not what ran"
    assert not list(package.rglob("*.nb?"))


def test_the_cache_serves_the_second_process_and_goes_when_a_called_module_changes(tmp_path: Path) -> None:
    package = small_copy(tmp_path)
    home = tmp_path / "home"
    home.mkdir()
    assert run_small(package, home)[2] == 0
    assert run_small(package, home)[2] > 0
    constants = package / "base" / "constants.py"
    constants.write_text(constants.read_text(encoding="utf-8") + "\n# an edit somewhere else\n", encoding="utf-8")
    assert run_small(package, home)[2] == 0
    assert run_small(package, home)[2] > 0


def test_drop_stale_deletes_kernels_of_other_sources_only(tmp_path: Path) -> None:
    for name in ("f-1.py311.nbi", "f-1.py311.1.nbc", "module.cpython-311.pyc", STAMP):
        (tmp_path / name).write_text("old", encoding="ascii")
    assert drop_stale(tmp_path, "new") == 2
    assert sorted(path.name for path in tmp_path.iterdir()) == ["module.cpython-311.pyc", STAMP]
    (tmp_path / "f-1.py311.nbi").write_text("made from the new sources", encoding="ascii")
    drop_stale.cache_clear()
    assert drop_stale(tmp_path, "new") == 0
    assert (tmp_path / "f-1.py311.nbi").exists()


def test_without_sources_to_read_nothing_is_deleted(tmp_path: Path) -> None:
    (tmp_path / "f-1.py311.nbi").write_text("kernel", encoding="ascii")
    assert sources_digest(tmp_path) == ""
    assert drop_stale(tmp_path, "") == 0
    assert (tmp_path / "f-1.py311.nbi").exists()


def test_kernels_live_only_where_the_digest_looks() -> None:
    def imported(path: Path) -> set[str]:
        nodes = ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        return {node.module for node in nodes if isinstance(node, ast.ImportFrom) and node.module}

    users = [path for path in SRC.rglob("*.py") if "turnback.base.kernels" in imported(path)]
    assert {path.relative_to(SRC).parts[0] for path in users} == {"physics", "assess"}
    for path in [*users, *(SRC / "physics").glob("*.py")]:  # what a kernel is made of comes from floors that count
        floors = {module.split(".")[1] for module in imported(path) if module.startswith("turnback.")}
        assert floors <= set(FLOORS), path
        if path.parent.name == "physics":
            assert floors <= {"base", "physics"}, path
