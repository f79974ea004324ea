"""The locks: every file hashed, no registry named, pins that fit what the project declares, licences that allow it."""

from __future__ import annotations

import re
import tomllib
from importlib import metadata
from pathlib import Path
from typing import Any, Final

import pytest
from packaging.requirements import Requirement

ROOT: Final = Path(__file__).resolve().parent.parent
LOCKS: Final = ("requirements.lock", "requirements-dev.lock")
PROJECT: Final[dict[str, Any]] = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]

PERMISSIVE: Final = re.compile(
    r"\b(MIT|BSD|0BSD|Apache|ISC|PSF|PSFL|Python Software Foundation|Zlib|CC0|MPL|OFL)", re.IGNORECASE
)  # MPL 2.0 binds its own files only; nothing of it is changed or copied here
COPYLEFT: Final = re.compile(r"\b(A?GPL|LGPL|EUPL|GNU|SSPL|CC-BY-NC)", re.IGNORECASE)


def pins(lock: str) -> list[tuple[Requirement, int]]:
    """Return every pin of a lock with the count of its hashes."""
    text = (ROOT / lock).read_text(encoding="utf-8").replace("\\\n", " ")
    found = []
    for line in text.splitlines():
        if line.strip():
            wanted, *hashes = line.split("--hash=")
            assert all(re.fullmatch(r"sha256:[0-9a-f]{64}", one.strip()) for one in hashes), line
            found.append((Requirement(wanted), len(hashes)))
    return found


def canonical(name: str) -> str:
    """Return a distribution's name as registries compare it (PEP 503)."""
    return re.sub(r"[-_.]+", "-", name).lower()


@pytest.mark.parametrize("lock", LOCKS)
def test_every_pin_is_exact_and_hashed(lock: str) -> None:
    found = pins(lock)
    assert len(found) > 20
    for wanted, hashes in found:
        assert re.fullmatch(r"==[\w.+!]+", str(wanted.specifier)), f"{wanted} is no exact pin"
        assert hashes >= 1, f"{wanted} has no hash"


@pytest.mark.parametrize("lock", LOCKS)
def test_no_address_is_in_a_lock(lock: str) -> None:
    text = (ROOT / lock).read_text(encoding="utf-8")
    slashes = ":" + "//"
    assert slashes not in text
    assert not re.search(r"^\s*(-i|-f|--find-links|--index|--trusted)", text, re.MULTILINE)
    assert " @ " not in text


def test_the_development_lock_holds_every_pin_of_the_other() -> None:
    runtime = {(canonical(wanted.name), str(wanted.specifier)) for wanted, _ in pins("requirements.lock")}
    development = {(canonical(wanted.name), str(wanted.specifier)) for wanted, _ in pins("requirements-dev.lock")}
    assert runtime <= development


def declared(*extras: str) -> list[Requirement]:
    """Return what the project asks for, with extras."""
    lines = list(PROJECT["dependencies"])
    for extra in extras:
        lines += PROJECT["optional-dependencies"][extra]
    return [Requirement(line) for line in lines]


@pytest.mark.parametrize(
    ("lock", "extras"),
    [("requirements.lock", ("build",)), ("requirements-dev.lock", tuple(PROJECT["optional-dependencies"]))],
)
def test_pins_fit_what_the_project_declares(lock: str, extras: tuple[str, ...]) -> None:
    pinned: dict[str, list[str]] = {}
    for wanted, _ in pins(lock):
        pinned.setdefault(canonical(wanted.name), []).append(str(wanted.specifier).removeprefix("=="))
    for asked in declared(*extras):
        versions = pinned.get(canonical(asked.name), [])
        assert versions, f"{asked} is not in {lock}: run `make lock`"
        assert all(asked.specifier.contains(version) for version in versions), f"{asked} against {versions}"


def runtime_names() -> list[str]:
    """Return the pins of the runtime that apply to this interpreter and system."""
    return [wanted.name for wanted, _ in pins("requirements.lock") if wanted.marker is None or wanted.marker.evaluate()]


@pytest.mark.parametrize("name", runtime_names())
def test_what_the_product_ships_with_has_a_licence_that_allows_it(name: str) -> None:
    facts = metadata.metadata(name)
    classifiers = [text for text in facts.get_all("Classifier") or [] if text.startswith("License")]
    written = [text[:80] for key in ("License-Expression", "License") for text in facts.get_all(key) or []]
    licence = " ".join([*written, *classifiers])
    assert PERMISSIVE.search(licence), f"{name}: {licence!r}"
    assert not COPYLEFT.search(licence), f"{name}: {licence!r}"


def test_what_only_tests_may_use_is_not_in_the_runtime() -> None:
    runtime = {canonical(wanted.name) for wanted, _ in pins("requirements.lock")}
    build = {canonical(asked.name) for asked in declared("build")}
    for extra in ("test", "lint", "docs", "lock"):
        for line in PROJECT["optional-dependencies"][extra]:
            name = canonical(Requirement(line).name)
            assert name not in runtime - build, f"{name} is for {extra} only"
    # Under the GPL, an oracle of the tests: importing it from the product would bind the product.
    assert "pycraf" not in runtime
