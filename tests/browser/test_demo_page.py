"""The page and the sheet that `demo` makes, in a real browser with the network off.

What the panels of the day, of the seconds and of the plate show is what the commands answer.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from datetime import UTC, datetime
from functools import cache, partial
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from backbearing.cli.main import main

pytestmark = pytest.mark.browser

DAY = "2026-12-22"  # the best of the four weeks from 28 November, which page and sheet plan
WINTER = f"{datetime.now(UTC).year + 1}-12-22"  # to come, whenever this runs
Shown = Callable[..., tuple[Any, list[str]]]
PANELS = ("outing", "map", "year", "skyline", "exposure", "frame")


def opened(browser: Any, file: Path, width: int, *, scripts: bool = True) -> tuple[Any, list[str]]:
    """The file on a screen of this width, and all it asked for, printed or threw."""
    page = browser.new_context(
        viewport={"width": width, "height": 800}, offline=True, java_script_enabled=scripts
    ).new_page()
    heard: list[str] = []
    page.on("request", lambda request: heard.append(request.url))
    page.on("console", lambda message: heard.append(message.text))
    page.on("pageerror", lambda error: heard.append(f"thrown: {error}"))
    page.goto(file.as_uri())
    page.wait_for_load_state("load")
    return page, heard


@pytest.fixture(scope="module")
def shown(browser: Any, island: Path) -> Shown:
    """The demo's page, opened once for each width, with scripts and without; it stays open."""
    return cache(partial(opened, browser, island / "return.html"))


def answered(island: Path, *words: str) -> Any:
    asked = ["--notebook", str(island / "island.gpkg"), *words, "--json"]
    done = CliRunner().invoke(main, asked)
    assert done.exit_code == 0, done.output
    return json.loads(done.stdout)


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no scripts"])
@pytest.mark.parametrize("width", [360, 1440])
def test_every_panel_is_there_and_no_wider_than_the_screen(
    shown: Shown, island: Path, width: int, scripts: bool
) -> None:
    page, heard = shown(width, scripts=scripts)
    assert heard == [(island / "return.html").as_uri()]
    for panel in PANELS:
        box = page.locator(f"#{panel}").bounding_box()
        assert box is not None, panel
        assert box["height"] > 100, panel
        assert box["x"] >= 0, panel
        assert box["x"] + box["width"] <= width, panel
    parts = page.locator("header.top > *").evaluate_all(
        "x => x.map(e => e.getBoundingClientRect()).map(b => [b.left, b.top, b.right, b.bottom])"
    )
    parts = [(a, b, c, d) for a, b, c, d in parts if c - a > 1 and d - b > 1]
    for one, other in combinations(parts, 2):
        apart = one[2] <= other[0] + 1 or other[2] <= one[0] + 1
        assert apart or one[3] <= other[1] + 1 or other[3] <= one[1] + 1, "the head lies on itself"
    # Playwright asks for the width itself; the page's own scripts may be off
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_photos_are_drawn_without_asking_for_anything(shown: Shown, island: Path) -> None:
    page, heard = shown(360, scripts=False)
    drawn = page.evaluate(
        "[...document.querySelectorAll('.photos img')].map(one => [one.naturalWidth, one.alt])"
    )
    (kept,) = answered(island, "show", "winding house")["photos"]
    assert [width for width, _ in drawn] == [320]
    assert kept["photo"]["file_name"] in drawn[0][1]
    assert heard == [(island / "return.html").as_uri()]


def test_the_day_is_the_outings(shown: Shown, island: Path) -> None:
    """The clock times of the panel are those `outing` answers for the day it plans."""
    page, _ = shown(1440, scripts=True)
    words = page.locator("#outing").inner_text()
    asked = ["--date", DAY, "--batch", "slate coating 4", "--back-by", "16:00"]
    planned = answered(island, "outing", "winding house", *asked, "--aperture", "16")
    assert planned["subject"] in words
    rows = page.locator("#outing table.legs tbody tr").count()
    assert rows == len(planned["out"]) + len(planned["back"]) > 2
    clocks = [leg["pass_by"] for leg in planned["out"]]
    clocks += [leg["turn_back"] for leg in planned["out"] if leg["turn_back"]]
    assert clocks
    for when in clocks:
        assert _clock(when) in words, when
    for near in planned["near"]:
        assert near["subject"] in words
    expose = _clock(planned["times"]["expose"])
    boxes = page.locator("dl.six > div").evaluate_all(
        "(all) => all.map((box) => [box.firstChild.textContent, box.lastChild.textContent])"
    )
    assert dict(boxes)["expose"].startswith(expose), "the box and the first chosen minute are it"
    chosen, minute = int(page.input_value("#bar-minute")), int(expose[:2]) * 60 + int(expose[3:])
    assert abs(chosen - minute) <= 5


def _clock(instant: str) -> str:
    """The clock of the demo's island, an hour behind UTC in winter."""
    hour, minute = int(instant[11:13]) - 1, instant[14:16]
    return f"{hour % 24:02d}:{minute}"


def test_the_seconds_are_those_expose_answers(shown: Shown, island: Path) -> None:
    page, _ = shown(1440, scripts=True)
    words = page.locator("#exposure > header").inner_text()
    lit = answered(island, "light", "winding house", "--on", DAY)["windows"][0]
    at = f"{DAY} {_clock(lit['best'])}"
    told = answered(
        island,
        *("expose", "winding house", "--at", at, "--batch", "slate coating 4"),
        *("--lens", "old seventeen", "--aperture", "16"),
    )
    seconds = told["exposure"]["seconds"]["shown_s"]
    assert f"{seconds:g} s" in words


def test_the_plate_turns_upside_down_on_request_with_scripts_off_too(
    shown: Shown,
) -> None:
    page, _ = shown(1440, scripts=False)
    plate = page.locator("#frame .plate svg").first
    turn = "each => getComputedStyle(each).transform"
    assert plate.evaluate(turn) == "none"
    page.locator("#frame .turned input").check()
    assert plate.evaluate(turn) == "matrix(-1, 0, 0, -1, 0, 0)"


def test_the_sheet_asks_for_nothing(browser: Any, island: Path) -> None:
    page, heard = opened(browser, island / "sheet.html", 900)
    for paper in ("A4", "Letter"):
        assert page.pdf(format=paper)[:5] == b"%PDF-"
    assert heard == [(island / "sheet.html").as_uri()]
    page.context.close()


def test_a_search_is_drawn_and_is_what_likely_answers(
    browser: Any, island: Path, tmp_path: Path
) -> None:
    """A subject known from memory alone: its best ground, shares and looks stand on the page."""
    book = tmp_path / "island.gpkg"
    book.write_bytes((island / "island.gpkg").read_bytes())
    asked = ["--notebook", str(book)]
    for words in (
        ["mark", "lost crane", "--at", "47.0040 N 20.9970 W", "--error", "400m"],
        ["clue", "lost crane", "--side", "left", "--of", "quarry brook"],
        ["searched", "lost crane", "--track", "6", "--range", "20m"],
        ["map", "lost crane", "--from", WINTER, "--out", str(tmp_path / "lost.html")],
    ):
        done = CliRunner().invoke(main, [*asked, *words])
        assert done.exit_code == 0, done.output
    found = answered(tmp_path, "likely", "lost crane", "--date", WINTER)
    page, heard = opened(browser, tmp_path / "lost.html", 1440)
    assert heard == [(tmp_path / "lost.html").as_uri()]
    assert page.locator("h1 b").inner_text() == "Not found yet: look for it first."
    assert found["answer"] in page.locator(".care").inner_text()
    words = page.locator("#search").inner_text()
    assert found["answer"] in words
    for stretch in found["stretches"]:
        assert stretch["words"] in words
    assert "call the emergency services" in words
    assert page.locator("#search figure .share.half").count() == 1
    assert page.locator("#search figure .looked").count() == 1
    page.context.close()


def test_a_page_prints_on_few_sheets(browser: Any, island: Path) -> None:
    """What is folded on the screen stays off the paper; the six times and the day line do not."""
    page, _ = opened(browser, island / "return.html", 900)
    for paper in ("A4", "Letter"):
        pdf = page.pdf(format=paper, prefer_css_page_size=True)
        sheets = len(re.findall(rb"/Type\s*/Page\b", pdf))
        assert sheets <= 2 * 5 + 1, f"two of {paper} for each of five subjects"
    page.emulate_media(media="print")
    assert page.locator(".acts.six dd").count() == 6
    assert page.locator(".dayline.middle").is_visible()
    assert not any(each.is_visible() for each in page.locator("details.more:not([open])").all())
    page.context.close()


@pytest.mark.parametrize("scripts", [True, False], ids=["sliding", "drawn"])
@pytest.mark.parametrize("width", [360, 768, 1440])
def test_no_label_of_the_map_or_the_day_line_lies_on_another(
    shown: Shown, width: int, scripts: bool
) -> None:
    page, _ = shown(width, scripts=scripts)
    labels = "#map_return .names bdi" if scripts else "#map .drawn svg text:not(.passage)"
    crossed = """([labels, drawings]) => {
        const groups = [...document.querySelectorAll(drawings)].map((d) =>
            [...d.querySelectorAll(labels)]);
        return groups.flatMap((group) => {
            const boxes = group.map((each) => [each.textContent, each.getBoundingClientRect()])
                .filter(([, box]) => box.width);
            return boxes.flatMap(([one, a], i) => boxes.slice(i + 1).filter(([, b]) =>
                a.left + 1 < b.right && b.left + 1 < a.right &&
                a.top + 3 < b.bottom && b.top + 3 < a.bottom).map(([two]) => [one, two]));
        });
    }"""
    last = labels.split()[-1]
    drawings = "#map_return" if scripts else "#map .drawn svg"
    assert page.locator(labels).count() > 3
    if scripts:  # and the grid's figures, which give way, in every view
        last, drawings = ".names bdi, .over text", "#map_return"
        for view in ("", "0"):
            page.select_option("#view", view)
            page.wait_for_timeout(350)  # the map slides there
            assert page.evaluate(crossed, [last, drawings]) == [], view
    assert page.evaluate(crossed, [last, drawings]) == []
    assert page.evaluate(crossed, ["text", ".dayline"]) == []
