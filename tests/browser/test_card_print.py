"""The card sheet in a real browser: four cards, exactly one printed page, nothing requested."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from backbearing.writers.card import card_html

pytestmark = pytest.mark.browser


@pytest.mark.parametrize(("paper", "width_mm"), [("A4", 210.0), ("Letter", 215.9)])
def test_four_cards_fill_one_sheet(
    browser: Any, tmp_path: Path, paper: str, width_mm: float
) -> None:
    target = tmp_path / "cards.html"
    target.write_text(card_html(paper), encoding="utf-8")
    asked: list[str] = []
    page = browser.new_context(offline=True).new_page()
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: asked.append(message.text))
    page.goto(target.as_uri())
    page.emulate_media(media="print")
    boxes = page.eval_on_selector_all(
        ".card",
        "cards => cards.map("
        "c => [c.getBoundingClientRect().width, c.scrollHeight - c.clientHeight])",
    )
    shortest_px = page.eval_on_selector_all(
        ".line", "lines => Math.min(...lines.map(l => l.getBoundingClientRect().width))"
    )
    printed = page.pdf(prefer_css_page_size=True)
    page.context.close()
    assert len(re.findall(rb"/Type\s*/Page\b(?!s)", printed)) == 1
    assert asked == [target.as_uri()]
    for width_px, hidden_px in boxes:
        assert width_px == pytest.approx(width_mm / 2 / 25.4 * 96, abs=1)
        assert hidden_px <= 0
    assert shortest_px > 12 / 25.4 * 96  # room to write a figure by hand
