"""A real browser for the pages, with the network off wherever one is opened."""

from __future__ import annotations

import os
from collections.abc import Iterator
from shutil import which
from typing import Any

import pytest


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """Chromium; without one the test is skipped, or fails where one is required."""
    path = which("chromium") or which("chromium-browser")
    if path is None:
        if os.environ.get("BACKBEARING_REQUIRE_BROWSER"):
            pytest.fail("BACKBEARING_REQUIRE_BROWSER is set and no chromium is installed")
        pytest.skip("no chromium is installed")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield opened
        opened.close()
