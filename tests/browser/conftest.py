"""One browser for all tests of pages in a process: its driver cannot be started twice there."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from typing import Any

import pytest

QUIET = (
    "--no-sandbox",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


PATIENCE = 120_000
"""How long [ms] a browser is waited for, on a machine that has other work too."""


class Patient:
    """A browser whose pages are waited for as long."""

    def __init__(self, browser: Any) -> None:
        self._browser = browser

    def new_page(self, **how: Any) -> Any:
        page = self._browser.new_page(**how)
        page.set_default_timeout(PATIENCE)
        return page

    def new_context(self, **how: Any) -> Any:
        context = self._browser.new_context(**how)
        context.set_default_timeout(PATIENCE)
        return context


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """Start Debian's chromium, without a window."""
    from playwright import sync_api

    sync_api.expect.set_options(timeout=PATIENCE)
    with sync_api.sync_playwright() as driver:
        started = driver.chromium.launch(
            executable_path=shutil.which("chromium") or shutil.which("chromium-browser"), args=list(QUIET)
        )
        yield Patient(started)
        started.close()
