"""The demo's sheets as a browser prints them: two pages on either paper, no heading alone."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from backbearing.notebook import open_notebook
from backbearing.plans.outing import ask_outing
from backbearing.plans.taking import SheetAnswer, gather_sheet
from backbearing.writers.sheet import sheet_html, times_html

pytestmark = pytest.mark.browser
DAY = "2027-11-30"
NOW = datetime(2026, 11, 28, 12, tzinfo=UTC)
TALL_PX = {"A4": 277.0 / 25.4 * 96.0, "Letter": 260.0 / 25.4 * 96.0}


@pytest.fixture(scope="module")
def planned(island: Path) -> Callable[[str], SheetAnswer]:
    """What a subject's sheet says, on whatever paper."""

    @cache
    def of(subject: str) -> SheetAnswer:
        asked = {"start": "landing stage", "day": DAY, "batch": "slate coating 4"}
        with open_notebook(island / "island.gpkg") as notebook:
            return gather_sheet(notebook, ask_outing(notebook, subject, now=NOW, **asked), now=NOW)

    return of


def opened(browser: Any, folder: Path, html: str, width: int) -> Any:
    file = folder / "sheet.html"
    file.write_text(html, encoding="utf-8")
    page = browser.new_page(viewport={"width": width, "height": 1000})
    page.goto(file.as_uri())
    return page


def pages(printed: bytes) -> int:
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", printed))


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("subject", ["winding house", "arch"])
def test_a_sheet_is_two_pages_and_its_first_holds_map_and_skyline(
    browser: Any,
    planned: Callable[[str], SheetAnswer],
    tmp_path: Path,
    subject: str,
    paper: str,
) -> None:
    page = opened(browser, tmp_path, sheet_html(planned(subject), paper=paper), 711)
    assert pages(page.pdf(format=paper, prefer_css_page_size=True)) == 2
    page.emulate_media(media="print")
    ends = page.eval_on_selector_all(
        ".page1 section", "parts => parts.map(p => p.getBoundingClientRect().bottom)"
    )
    assert len(ends) == 2
    assert max(ends) <= TALL_PX[paper]
    words = page.inner_text("main")
    assert "for the light at" in words  # the table of seconds names its light
    assert "--" not in words  # no option of a command on paper
    page.close()


def test_the_panel_of_times_is_one_page_well_filled(
    browser: Any, planned: Callable[[str], SheetAnswer], tmp_path: Path
) -> None:
    page = opened(browser, tmp_path, times_html(planned("winding house")), 476)
    assert pages(page.pdf(prefer_css_page_size=True)) == 1
    page.emulate_media(media="print")
    tall_px = page.eval_on_selector("main", "m => m.getBoundingClientRect().height")
    assert 0.8 < tall_px / (192.0 / 25.4 * 96.0) <= 1.0  # of A5 between its margins
    page.close()
