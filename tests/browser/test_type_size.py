"""No figure of any drawing is set under 12 px: a page is read at arm's length, out of doors."""

from __future__ import annotations

import shutil
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from tests.writers.return_pages import quarry_page, quarry_subject
from tests.writers.test_page_search import TRYING

from backbearing.notebook import open_notebook
from backbearing.plans.marking import mark
from backbearing.plans.search import where_likely
from backbearing.plans.search.asked import add_clue
from backbearing.plans.search.typedclue import TypedClue
from backbearing.writers.page import render_page

pytestmark = pytest.mark.browser

LEAST_PX = 12.0  # the floor of our own look; common practice, no source
WIDTHS = (360, 768, 1100, 1440)
NOW = datetime(2026, 11, 28, 12, tzinfo=UTC)
# as drawn: the style's size times the drawing's scale
SMALL = """(least) => {
    document.querySelectorAll("details").forEach((each) => { each.open = true; });
    document.querySelectorAll("[data-of]").forEach((each) => { each.hidden = false; });
    const found = {};
    let seen = 0;
    for (const text of document.querySelectorAll("svg text, #map_return .names bdi")) {
        const box = text.getBoundingClientRect(), at = text.getScreenCTM && text.getScreenCTM();
        if (!box.width || !text.textContent.trim()) continue;
        const own = parseFloat(getComputedStyle(text).fontSize);
        const size = own * (at ? Math.hypot(at.a, at.b) : 1);
        const panel = (text.closest("section") || { id: "" }).id;
        seen += 1;
        if (size < least - 0.01) found[`${panel}: ${text.textContent}`] = size;
    }
    return [seen, found];
}"""


@pytest.fixture(scope="module")
def searched(island: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The page of a subject looked for: where it may be, its clues and the next walk."""
    folder = tmp_path_factory.mktemp("searched")
    with open_notebook(Path(shutil.copy(island / "island.gpkg", folder / "n.gpkg"))) as notebook:
        mark(notebook, "lost crane", "47.0040 N 20.9970 W", error_m=400.0, now=NOW)
        for clue in (TypedClue(near="arch", within="300m"), TypedClue(near="arch", within="10m")):
            add_clue(notebook, "lost crane", clue, sure="80%", on=None, note="", now=NOW)
        likely = where_likely(notebook, "lost crane", within_m=400.0)
    walk = replace(TRYING, subject=likely.subject.name)
    page = replace(quarry_page(quarry_subject()), searches=(likely,), search_walks=(walk,))
    (folder / "search.html").write_text(render_page(page), encoding="utf-8")
    return folder / "search.html"


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no scripts"])
def test_no_type_in_a_drawing_is_under_the_floor(
    browser: Any, island: Path, searched: Path, scripts: bool
) -> None:
    context = browser.new_context(offline=True, java_script_enabled=scripts)
    page = context.new_page()
    for file, least in ((island / "return.html", 150), (searched, 30)):
        page.goto(file.as_uri())
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 800})
            seen, small = page.evaluate(SMALL, LEAST_PX)
            assert seen >= least, "measured hardly anything"
            assert small == {}, (file.name, width)
    context.close()
