"""On a phone what is not read first is folded; nothing is lost, and paper has it all."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

pytestmark = pytest.mark.browser


def test_a_phone_folds_what_a_wide_screen_and_paper_show(browser: Any, island: Path) -> None:
    context = browser.new_context(offline=True, java_script_enabled=False)
    page = context.new_page()
    page.set_viewport_size({"width": 768, "height": 800})
    page.goto((island / "return.html").as_uri())
    legs, folded = page.locator("#outing .legs").first, page.locator(".fold")
    assert folded.count() > 8
    assert legs.is_visible()
    assert not folded.locator("> summary").first.is_visible()
    page.set_viewport_size({"width": 360, "height": 740})
    assert not legs.is_visible()
    for panel in page.locator("section.panel").all():
        assert panel.locator("header > p:visible").first.inner_text().strip(), "its sentence"
    short = page.evaluate("document.documentElement.scrollHeight")
    page.click("#outing .fold > summary")
    assert legs.is_visible(), "without scripts too"
    page.evaluate("document.querySelectorAll('.fold').forEach((each) => { each.open = true; })")
    assert short < 0.6 * page.evaluate("document.documentElement.scrollHeight")
    page.reload()
    page.emulate_media(media="print")
    assert legs.is_visible()
    assert not folded.locator("> summary").first.is_visible()
    page.set_viewport_size({"width": 711, "height": 1047})  # A4 between its margins
    strip = page.locator("#skyline svg.strip:visible")
    assert strip.count() == 1, "the enlargement would make the strip too small to read"
    assert strip.bounding_box()["width"] > 650
    context.close()
