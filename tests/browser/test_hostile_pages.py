"""Pages and sheets of a notebook full of bad dreams: whole at every width, inert, large to touch.

Names and notes hold markup, quotes, links, right-to-left text, pictures and ten thousand
characters; subjects stand on the demo's ground and far from any, in polar night, and where their
light never comes.
"""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from backbearing.cli.main import main

pytestmark = pytest.mark.browser

NAMES = (
    "</script><b>one",
    "${window.__ran=1}",
    "\"'><svg onload=window.__ran=1>",
    "`+(window.__ran=1)+`",
    "javascript:window.__ran=1",
    "שער 3 القوس",
    "🏔️ 写真 山の小屋 🏚️",
    "W" * 60,
)
LONG = "wort " * 2000
START = ("--start", "47.014137, -20.973480")
DAY = ("--date", "2026-12-22")
# what stands out of the screen, of its drawing, or is too small to touch
OUT = """() => {
  const shown = (each) => each.checkVisibility() && !each.closest(".scroll, .leaflet-container");
  const box = (each) => each.getBoundingClientRect();
  const wide = [...document.querySelectorAll("body :not(svg *)")].filter((each) => shown(each) &&
    !each.closest("select, .skip") && (box(each).right > innerWidth + 1 || box(each).left < -1));
  const cut = [...document.querySelectorAll("main svg text")].filter((each) => shown(each) &&
    box(each).width && (box(each).right > box(each.ownerSVGElement).right + 1 ||
    box(each).left < box(each.ownerSVGElement).left - 1));
  return [document.documentElement.scrollWidth,
    ...[wide, cut].map((all) => all.map((each) => each.textContent.slice(0, 60)))];
}"""
SMALL = """() => [...document.querySelectorAll("a, button, select, summary, label:has(input)")]
  .filter((each) => each.checkVisibility() && !each.matches(".skip"))
  .map((each) => [each.textContent.slice(0, 40), each.getBoundingClientRect()])
  .filter(([, box]) => box.height < 43.5 || box.width < 43.5).map(([words]) => words)"""


def run(folder: Path, *words: str) -> None:
    done = CliRunner().invoke(main, ["--notebook", str(folder / "island.gpkg"), *words])
    assert done.exit_code == 0, done.output


@pytest.fixture(scope="module")
def dreams(island: Path) -> Path:
    """The island with its names changed, as a GIS may change them, and subjects added."""
    held = sqlite3.connect(island / "island.gpkg")
    with held:
        for table in ("subjects", "passages", "kit", "waypoints", "tracks", "lines"):
            for number, old in held.execute(f"SELECT id, name FROM {table}").fetchall():
                new = f"{NAMES[number % len(NAMES)]} {number}"
                held.execute(f"UPDATE {table} SET name = ? WHERE id = ?", (new, number))
                if table == "kit":
                    held.execute("UPDATE plates SET batch = ? WHERE batch = ?", (new, old))
                    held.execute("UPDATE plates SET holder = ? WHERE holder = ?", (new, old))
        text = f"{NAMES[3]} {'b' * 300} {LONG}"
        held.execute("UPDATE subjects SET blocked = ?, next_time = ?, words = ?", (text,) * 3)
    held.close()
    for name, at, wish in (
        ("far out", "10.000000, -40.000000", ["--sun"]),
        ("polar night", "78.200000, 15.600000", ["--sun"]),
        ("never", "47.002000, -20.998000", ["--sun", "--sun-height", "80-85"]),
    ):
        run(island, "mark", name, "--at", at)
        run(island, "want", name, *wish)
    first = f"{NAMES[2]} 2"
    run(island, "note", first, f"{NAMES[0]} {LONG}")
    run(island, "map", *DAY, *START, "--out", str(island / "all.html"))
    run(island, "map", first, *DAY, *START, "--out", str(island / "one.html"))
    run(island, "map", "polar night", *DAY, "--out", str(island / "polar.html"))
    run(island, "map", "never", *DAY, "--out", str(island / "never.html"))
    run(island, "sheet", first, *DAY, *START, "--out", str(island / "two.html"))
    run(island, "sheet", first, *DAY, *START, "--times-only", "--out", str(island / "times.html"))
    return island


@pytest.mark.parametrize("name", ["all", "one", "polar", "never", "two", "times"])
def test_it_stays_whole_asks_for_nothing_and_runs_nothing(
    browser: Any, dreams: Path, name: str
) -> None:
    heard: list[str] = []
    page = browser.new_context(viewport={"width": 360, "height": 740}, offline=True).new_page()
    page.on("request", lambda request: heard.append(request.url))
    page.on("console", lambda message: heard.append(message.text))
    page.on("pageerror", lambda error: heard.append(f"thrown: {error}"))
    page.on("dialog", lambda dialog: heard.append(dialog.message))
    file = dreams / f"{name}.html"
    page.goto(file.as_uri())
    page.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = true; })")
    if page.locator("#bar:visible").count():
        for _ in range(2):  # to a day the page holds clocks, legs and seconds of
            page.click("[data-step='day 1']")
            page.wait_for_timeout(100)
        assert "0° below" not in page.inner_text("#bar")
    sheet = name in ("two", "times")  # laid out for paper, whose width a phone has not
    for width in (768, 1440) if sheet else (360, 768, 1440):
        page.set_viewport_size({"width": width, "height": 740})
        assert page.evaluate(OUT) == [width, [], []], width
    page.set_viewport_size({"width": 360, "height": 740})
    assert page.evaluate(SMALL) == []
    assert page.evaluate("window.__ran") is None
    assert page.locator("base, img:not([src^='data:']), [onload], [onerror]").count() == 0
    assert [url for url in heard if url != file.as_uri()] == []
    text = page.inner_text("body")
    assert "-0°" not in text
    assert "−0°" not in text
    page.context.close()


def test_very_long_words_are_folded_and_whole(browser: Any, dreams: Path) -> None:
    page = browser.new_context(viewport={"width": 360, "height": 740}, offline=True).new_page()
    page.goto((dreams / "one.html").as_uri())
    page.evaluate("document.querySelectorAll('.fold').forEach((each) => { each.open = true; })")
    assert page.locator("header.top").bounding_box()["height"] < 3 * 740
    for folded in page.locator(".subject details.long").all():
        assert folded.bounding_box()["height"] < 740, "a beginning of it"
        folded.evaluate("(each) => { each.open = true; }")
        assert folded.locator("> bdi").last.inner_text().strip().endswith("wort wort"), "the whole"
    assert page.locator(".subject details.long").count() >= 4
    page.context.close()


def test_who_wants_light_that_never_comes_or_the_sun_in_polar_night_reads_it_first(
    browser: Any, dreams: Path
) -> None:
    page = browser.new_context(offline=True).new_page()
    page.goto((dreams / "never.html").as_uri())
    assert "No good light up to" in page.inner_text("h1")
    assert "would do" in page.inner_text("h1") or "excludes" in page.inner_text("h1")
    page.goto((dreams / "polar.html").as_uri())
    assert "The sun does not rise on Tue 22 Dec 2026; it is back by" in page.inner_text("h1")
    page.context.close()
