"""Names in Arabic and Hebrew turn no time, number or word of ours round, on page and sheets."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from backbearing.cli.main import main

pytestmark = pytest.mark.browser

NAMES = {
    "winding house": "בית הגלגלת 3",
    "arch": "القوس",
    "powder hut": "קו A ישן",
    "landing stage": "المرسى",
    "pump wheel": "عجلة المضخة 12",
    "two slabs": "جسر الحجرين",
    "coast ford": "مخاضة 7",
    "slate coating 4": "طلاء 4",
    "view lens": "עדשה 2",
}
HOUSE = NAMES["winding house"]
# every two words of ours that stand on one line in another order than they are written; what
# stands within a name's marks, or alone in an element of its own direction, is the owner's
TURNED = """() => {
  const found = [], range = document.createRange();
  const holder = (node) => {
    let e = node.parentElement;
    while (e.localName !== "text" && (e.namespaceURI.endsWith("svg") ||
      getComputedStyle(e).display === "inline")) e = e.parentElement;
    return e;
  };
  const nodes = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  let last = null, read = 0;
  while (nodes.nextNode()) {
    const node = nodes.currentNode, parent = node.parentElement;
    if (parent.closest("script, style, option, title, bdi:not(.names *)")) continue;
    const ours = node.data.replace(/\\u2068[^\\u2069]*\\u2069/g, (name) => " ".repeat(name.length));
    for (const word of ours.matchAll(/[A-Za-z0-9±°][A-Za-z0-9:.]*/g)) {
      range.setStart(node, word.index);
      range.setEnd(node, word.index + word[0].length);
      const box = range.getBoundingClientRect(), block = holder(node);
      if (!box.width) continue;
      read++;
      if (last && last.block === block && Math.abs(last.box.top - box.top) < 3 &&
        box.left < last.box.right - 1) found.push([node.data, last.word, word[0]]);
      last = { block, box, word: word[0] };
    }
  }
  return [read, found];
}"""
OUTING = ("--date", "2026-12-22", "--batch", NAMES["slate coating 4"], "--back-by", "16:00")
START = ("--start", NAMES["landing stage"])


def run(island: Path, *words: str) -> str:
    asked = ["--notebook", str(island / "island.gpkg"), *words]
    done = CliRunner().invoke(main, asked)
    assert done.exit_code == 0, done.output
    return done.stdout


@pytest.fixture(scope="module")
def renamed(island: Path) -> Path:
    """The island as who writes from the right would have named it."""
    held = sqlite3.connect(island / "island.gpkg")
    with held:
        for old, new in NAMES.items():
            for table in ("subjects", "passages", "kit"):
                held.execute(f"UPDATE {table} SET name = ? WHERE name = ?", (new, old))
            held.execute("UPDATE plates SET batch = ? WHERE batch = ?", (new, old))
        held.execute("UPDATE lines SET name = 'נחל ' || id")
        held.execute("UPDATE waypoints SET name = 'نقطة ' || id")
    held.close()
    run(island, "map", HOUSE, *OUTING, *START, "--out", str(island / "page.html"))
    run(island, "sheet", HOUSE, *OUTING, *START, "--out", str(island / "two.html"))
    return island


@pytest.fixture
def page(browser: Any) -> Iterator[Any]:
    opened = browser.new_context(viewport={"width": 1440, "height": 800}, offline=True).new_page()
    yield opened
    opened.context.close()


def test_nothing_on_the_page_is_turned_on_the_planned_day_or_another(
    page: Any, renamed: Path
) -> None:
    page.goto((renamed / "page.html").as_uri())
    page.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = true; })")
    for step in ("", "day 1", "minute 1"):
        if step:
            page.click(f"[data-step='{step}']")
        read, turned = page.evaluate(TURNED)
        assert turned == []
        assert read > 2000, "the measure must have met the page's words"
    assert HOUSE in page.locator("#builder select[name=subject] option").evaluate_all(
        "(all) => all.map((each) => each.value)"
    ), "a name that is handed on has no marks in it"


def test_nothing_on_the_sheet_is_turned(page: Any, renamed: Path) -> None:
    page.goto((renamed / "two.html").as_uri())
    read, turned = page.evaluate(TURNED)
    assert turned == []
    assert read > 500


def test_terminal_and_json_stay_as_they_were_written(renamed: Path) -> None:
    asked = ("light", HOUSE, "--limit", "1")
    words, answer = run(renamed, *asked), run(renamed, *asked, "--json")
    assert HOUSE in words
    assert HOUSE in json.dumps(json.loads(answer), ensure_ascii=False)
    assert not any(mark in words + answer for mark in ("\u2068", "\u2069", "\\u2068"))
