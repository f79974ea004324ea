"""The wheel: what it holds, what it leaves out, and that it runs with nothing but what it declares."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import tomllib
from email import message_from_string
from importlib import metadata
from pathlib import Path
from typing import Final
from zipfile import ZipFile

import pytest

ROOT: Final = Path(__file__).resolve().parent.parent
PACKAGE: Final = ROOT / "src" / "turnback"
NOT_SHIPPED: Final = {".nbc", ".nbi", ".pyc", ".stamp"}

# Put first on the path of the child: modules of the development lock are not to be had, as on a user's machine.
ONLY_RUNTIME: Final = """\
import json, pathlib, sys

HIDDEN = set(json.loads(pathlib.Path(__file__).with_name("hidden.json").read_text()))


class Hider:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] in HIDDEN:
            raise ModuleNotFoundError(f"{name} is not in the runtime", name=name)
        return None


sys.meta_path.insert(0, Hider())
"""


def run(*words: str, env: dict[str, str] | None = None, cwd: Path = ROOT) -> str:
    """Run a command, show what it said if it failed, and return its output."""
    done = subprocess.run(words, cwd=cwd, env=env, capture_output=True, text=True, timeout=300, check=False)
    assert done.returncode == 0, f"{' '.join(words)}\n{done.stdout}\n{done.stderr}"
    return done.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build the wheel with the build tools of the lock; nothing is fetched."""
    folder = tmp_path_factory.mktemp("wheel")
    run(sys.executable, "-m", "pip", "wheel", "--quiet", "--disable-pip-version-check", "--no-index", "--no-deps",
        "--no-build-isolation", "--wheel-dir", str(folder), str(ROOT))  # fmt: skip
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Install the wheel by itself; return the environment in which it is found and development tools are not."""
    target = tmp_path_factory.mktemp("installed")
    run(sys.executable, "-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--no-index", "--no-deps",
        "--target", str(target), str(wheel))  # fmt: skip
    lock = (ROOT / "requirements.lock").read_text(encoding="utf-8")
    runtime = {re.sub(r"[-_.]+", "-", name).lower() for name in re.findall(r"^([\w.-]+)==", lock, re.MULTILINE)}
    runtime |= {"turnback"}
    owners = metadata.packages_distributions()
    hidden = [
        module
        for module, names in owners.items()
        if not any(re.sub(r"[-_.]+", "-", name).lower() in runtime for name in names)
    ]
    assert {"pytest", "scipy", "pycraf"} <= set(hidden)
    (target / "hidden.json").write_text(json.dumps(hidden), encoding="utf-8")
    (target / "sitecustomize.py").write_text(ONLY_RUNTIME, encoding="utf-8")
    return {**os.environ, "PYTHONPATH": str(target), "PYTHONSAFEPATH": "1", "HOME": str(target)}


def test_the_wheel_holds_every_file_of_the_package_and_nothing_else(wheel: Path) -> None:
    names = set(ZipFile(wheel).namelist())
    ours = {
        path.relative_to(PACKAGE.parent).as_posix()
        for path in PACKAGE.rglob("*")
        if path.is_file() and path.suffix not in NOT_SHIPPED and "__pycache__" not in path.parts
    }
    assert {"turnback/py.typed", "turnback/rules/typical.toml", "turnback/rules/chemistry.toml"} <= ours
    assert any(name.startswith("turnback/report/templates/") for name in ours)
    shipped = {name for name in names if ".dist-info/" not in name}
    assert shipped == ours
    assert not [name for name in names if "test" in name.lower() or name.endswith(tuple(NOT_SHIPPED))]


def test_the_wheel_says_what_it_needs_and_under_which_licence(wheel: Path) -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    with ZipFile(wheel) as opened:
        names = opened.namelist()
        facts = message_from_string(opened.read(next(n for n in names if n.endswith("METADATA"))).decode())
        scripts = opened.read(next(n for n in names if n.endswith("entry_points.txt"))).decode()
    needs = [line for line in facts.get_all("Requires-Dist") or [] if "extra ==" not in line]
    assert sorted(re.split(r"[<>=]", line)[0] for line in needs) == sorted(
        re.split(r"[<>=]", line)[0] for line in project["dependencies"]
    )
    assert facts["License-Expression"] == "Apache-2.0"
    assert any(name.endswith("licenses/LICENSE") for name in names)
    assert "turnback = turnback.cli:main" in scripts
    assert facts["Requires-Python"] == ">=3.11"


def test_the_installed_package_is_the_wheels(installed: dict[str, str], tmp_path: Path) -> None:
    where = run(sys.executable, "-c", "import turnback; print(turnback.__file__)", env=installed, cwd=tmp_path)
    assert Path(where.strip()).is_relative_to(installed["PYTHONPATH"])


def test_help_runs_with_the_runtime_alone(installed: dict[str, str], tmp_path: Path) -> None:
    said = run(sys.executable, "-m", "turnback", "--help", env=installed, cwd=tmp_path)
    for command in ("brief", "plan", "ray", "pack-run"):
        assert command in said


def test_a_plan_is_verified_with_the_runtime_alone(installed: dict[str, str], tmp_path: Path) -> None:
    run(sys.executable, "-m", "turnback", "plan", "verify", str(ROOT / "examples" / "demo.toml"),
        env=installed, cwd=tmp_path)  # fmt: skip


def test_every_module_imports_with_the_runtime_alone(installed: dict[str, str], tmp_path: Path) -> None:
    # A module that leans on a development tool would fail on a user's machine only when its command is first used.
    code = (
        "import importlib, pkgutil, turnback\n"
        "names = [m.name for m in pkgutil.walk_packages(turnback.__path__, 'turnback.') if '__main__' not in m.name]\n"
        "[importlib.import_module(name) for name in names]\n"
        "print(len(names))\n"
    )
    count = int(run(sys.executable, "-c", code, env=installed, cwd=tmp_path))
    assert count >= len(list(PACKAGE.rglob("*.py"))) - len(list(PACKAGE.rglob("__main__.py"))) - 1
