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


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """Start Debian's chromium, without a window."""
    from playwright import sync_api

    with sync_api.sync_playwright() as driver:
        started = driver.chromium.launch(
            executable_path=shutil.which("chromium") or shutil.which("chromium-browser"), args=list(QUIET)
        )
        yield started
        started.close()
