"""The demo's page and sheet under axe-core: no serious fault, light and dark, wide and narrow.

axe-core is the engine of the package axe-playwright-python, a test dependency.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from shutil import which
from typing import Any

import pytest

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
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


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1440])
@pytest.mark.parametrize("name", ["return.html", "sheet.html"])
def test_no_serious_fault(browser: Any, island: Path, name: str, width: int, scheme: str) -> None:
    from axe_playwright_python.sync_playwright import Axe

    context = browser.new_context(
        viewport={"width": width, "height": 900}, color_scheme=scheme, offline=True
    )
    page = context.new_page()
    page.goto((island / name).as_uri())
    page.wait_for_load_state("load")
    found = Axe().run(page).response["violations"]
    serious = [
        f"{each['id']}: {each['help']} ({each['nodes'][0]['html'][:160]}; {len(each['nodes'])}×)"
        for each in found
        if each["impact"] in ("serious", "critical")
    ]
    context.close()
    assert serious == []
