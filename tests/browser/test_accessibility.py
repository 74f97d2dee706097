"""The demo's page and sheet under axe-core: no serious fault, light and dark, wide and narrow.

axe-core is the engine of the package axe-playwright-python, a test dependency.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

pytestmark = pytest.mark.browser


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
