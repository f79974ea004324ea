"""Shared set-up: no deadlines on slow machines, skips that fail in CI, a browser that lets nothing out."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

# The first call of a kernel compiles or loads it: a deadline would time the compiler, not the code.
settings.register_profile("turnback", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("turnback")

IN_CI = bool(os.environ.get("CI"))
CHROMIUM_FLAGS = [
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-dev-shm-usage",  # containers give 64 MB of shared memory: too little for a page
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip


@pytest.hookimpl(hookwrapper=True)
def pytest_runtest_makereport(item: pytest.Item, call: pytest.CallInfo[None]) -> Iterator[None]:
    """In CI a skipped test is a failed test: nothing may pass by not running."""
    outcome: Any = yield
    report = outcome.get_result()
    if IN_CI and report.skipped:
        report.outcome = "failed"
        report.longrepr = f"skipped in CI: {item.nodeid}: {call.excinfo.value if call.excinfo else ''}"


@dataclass
class OpenedPage:
    """A page opened from a file, with every request that tried to leave."""

    page: Any
    requests: list[str] = field(default_factory=list)


@pytest.fixture(scope="session")
def grass() -> str:
    """GRASS, from Debian's package: what is seen from a place is held against it."""
    path = shutil.which("grass")
    if path is None:
        pytest.skip("no grass on this machine; `make test` as root installs it")
    return path


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """A real Chromium, from Debian's package."""
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None:
        pytest.skip("no chromium on this machine; `make test` as root installs it")
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory() as profile, sync_playwright() as playwright:
        opened = playwright.chromium.launch_persistent_context(
            profile, executable_path=path, args=CHROMIUM_FLAGS, headless=True, offline=True
        )
        yield opened
        opened.close()


@pytest.fixture
def open_page(browser: Any) -> Iterator[Any]:
    """Return a function that opens a local file and records and stops every other request."""
    pages: list[Any] = []

    def opener(path: Path, width_px: int = 1280, *, dark: bool = False) -> OpenedPage:
        page = browser.new_page()
        pages.append(page)
        page.set_viewport_size({"width": width_px, "height": 900})
        page.emulate_media(color_scheme="dark" if dark else "light")
        opened = OpenedPage(page)

        def guard(route: Any) -> None:
            if route.request.url.startswith(("file:", "data:")):
                route.continue_()
            else:
                opened.requests.append(route.request.url)
                route.abort()

        page.route("**/*", guard)
        page.goto(path.resolve().as_uri())
        return opened

    yield opener
    for page in pages:
        page.close()
