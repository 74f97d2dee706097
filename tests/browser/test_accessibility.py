"""The demo's page and sheet under axe-core: no serious fault, light and dark, wide and narrow.

axe-core is the engine of the package axe-playwright-python, a test dependency.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

pytestmark = pytest.mark.browser


def serious(page: Any, options: dict[str, Any]) -> list[str]:
    """The faults of the two graver kinds, each with the first element that has it."""
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page, options={"resultTypes": ["violations"], **options}).response
    return [
        f"{each['id']}: {each['help']} ({each['nodes'][0]['html'][:160]}; {len(each['nodes'])}×)"
        for each in found["violations"]
        if each["impact"] in ("serious", "critical")
    ]


@pytest.mark.parametrize("width", [360, 1440])
@pytest.mark.parametrize("name", ["return.html", "sheet.html"])
def test_no_serious_fault(browser: Any, island: Path, name: str, width: int) -> None:
    context = browser.new_context(viewport={"width": width, "height": 900}, offline=True)
    page = context.new_page()
    page.goto((island / name).as_uri())
    page.wait_for_load_state("load")
    assert serious(page, {}) == []
    page.emulate_media(color_scheme="dark")  # nothing but colours is another then
    assert serious(page, {"runOnly": ["cat.color"]}) == []
    context.close()
