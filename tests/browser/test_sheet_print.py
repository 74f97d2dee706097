"""The demo's sheets as a browser prints them: two pages on either paper, no heading alone."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from backbearing.cli.main import main

pytestmark = pytest.mark.browser
DAY = "2027-11-30"
TALL_PX = {"A4": 277.0 / 25.4 * 96.0, "Letter": 260.0 / 25.4 * 96.0}


def sheet(island: Path, *words: str) -> Path:
    out = island / "tried.html"
    told = ["--start", "landing stage", "--date", DAY, "--batch", "slate coating 4", "--overwrite"]
    (notebook,) = island.glob("*.gpkg")
    done = CliRunner().invoke(
        main, ["--notebook", str(notebook), "sheet", *words, *told, "--out", str(out)]
    )
    assert done.exit_code == 0, done.output
    return out


def pages(printed: bytes) -> int:
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", printed))


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("subject", ["winding house", "arch"])
def test_a_sheet_is_two_pages_and_its_first_holds_map_and_skyline(
    browser: Any, island: Path, subject: str, paper: str
) -> None:
    page = browser.new_page(viewport={"width": 711, "height": 1000})
    page.goto(sheet(island, subject, "--paper", paper).as_uri())
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


def test_the_panel_of_times_is_one_page_well_filled(browser: Any, island: Path) -> None:
    page = browser.new_page(viewport={"width": 476, "height": 700})
    page.goto(sheet(island, "winding house", "--times-only").as_uri())
    assert pages(page.pdf(prefer_css_page_size=True)) == 1
    page.emulate_media(media="print")
    tall_px = page.eval_on_selector("main", "m => m.getBoundingClientRect().height")
    assert 0.8 < tall_px / (192.0 / 25.4 * 96.0) <= 1.0  # of A5 between its margins
    page.close()
