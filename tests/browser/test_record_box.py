"""The line the page builds is one that `import` reads as it was meant."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from tests.writers.return_pages import HOSTILE, quarry_page, quarry_subject

from backbearing.cli.main import main
from backbearing.readers.notes import read_notes
from backbearing.writers.page import render_page

pytestmark = pytest.mark.browser


@pytest.fixture
def page(browser: Any, tmp_path: Path) -> Iterator[Any]:
    file = tmp_path / "return.html"
    file.write_text(render_page(quarry_page(quarry_subject())), encoding="utf-8")
    shown = browser.new_context(offline=True, viewport={"width": 400, "height": 800}).new_page()
    shown.goto(file.as_uri())
    shown.click("#record .fold > summary")
    yield shown
    shown.context.close()


def filled(page: Any, **fields: str) -> str:
    for name, value in fields.items():
        field = page.locator(f"#builder [name={name}]")
        if field.count() > 1:
            page.check(f'#builder [name={name}][value="{value}"]')
        else:
            field.fill(value)
    said: str = page.locator("#line-made").inner_text()
    return said


def test_its_line_is_read_back_as_it_was_meant(page: Any, tmp_path: Path) -> None:
    line = filled(
        page,
        at="2026-10-18 16:41",
        state="waiting for light",
        lit="not lit",
        blocked="windfall, three pines",
        next="bring a bow saw",
        words='the drum, "rope gone"',
    )
    assert line.startswith("2026-10-18 16:41 waiting for light Winding house, not lit, blocked:")
    (tmp_path / "notes.txt").write_text(line + "\n", encoding="utf-8")
    notebook = ["--notebook", str(tmp_path / "n.gpkg")]
    marked = CliRunner().invoke(
        main, [*notebook, "mark", "Winding house", "--at", "47.0812, -21.3347"]
    )
    assert marked.exit_code == 0, marked.output
    taken = CliRunner().invoke(main, [*notebook, "import", str(tmp_path / "notes.txt")])
    assert taken.exit_code == 0, taken.output
    shown = CliRunner().invoke(main, [*notebook, "show", "Winding house", "--json"])
    record = json.loads(shown.stdout)
    subject = record["subject"]
    assert subject["state"] == "waiting for light"
    assert subject["blocked"] == "windfall, three pines"
    assert subject["next_time"] == "bring a bow saw"
    assert "the drum, 'rope gone'" in shown.stdout


NAMES = ("gate, north", "pit; old", 'the "Slip"', "wall. upper - end", "hut from the sea")
RECORDS = tuple((state, name) for state in ("seen", "") for name in NAMES)
TYPED = {
    "blocked": "water, high; next: x. At 215M 8m - 47.1, -21.3",
    "next": 'come by "noon", 3 pm; blocked: no',
    "words": 'it said "no"; then not lit, 12° – left',
}


def test_no_name_and_no_word_breaks_its_line(browser: Any, tmp_path: Path) -> None:
    subjects = [quarry_subject(name) for name in NAMES]
    file = tmp_path / "return.html"
    file.write_text(render_page(quarry_page(*subjects)), encoding="utf-8")
    shown = browser.new_context(offline=True).new_page()
    shown.goto(file.as_uri())
    filled(shown, at="2026-10-18 16:41", **TYPED)
    lines = []
    for state, name in RECORDS:
        shown.check(f'#builder [name=state][value="{state}"]')
        shown.select_option("#builder [name=subject]", name)
        lines.append(shown.locator("#line-made").inner_text())
    shown.context.close()
    read = read_notes("\n".join(lines).encode(), latest=date(2026, 11, 1), names=NAMES).lines
    for (state, name), line in zip(RECORDS, read, strict=True):
        assert line.first("subject") == name, line
        assert line.first("state") == state
        assert line.all("blocked") == (TYPED["blocked"],)
        assert line.all("next time") == (TYPED["next"].replace('"', "'"),)
        assert line.all("words") == (TYPED["words"].replace('"', "'"),)
        assert line.kept == ()
        assert not line.first("bearing")
        assert not line.first("coordinate")


def test_what_is_typed_stays_text(page: Any) -> None:
    heard: list[str] = []
    page.on("console", lambda message: heard.append(message.text))
    for text in HOSTILE[:8]:
        filled(page, words=text, blocked=text)
    assert page.evaluate("window.__ran") is None
    assert page.locator("#line-made *").count() == 0
    assert heard == []


def test_its_buttons_are_large(page: Any) -> None:
    for button in page.locator("#builder button:visible, #builder label:has(input)").all():
        assert button.bounding_box()["height"] >= 44


def test_its_clock_is_of_24_hours_in_every_locale(browser: Any, page: Any, tmp_path: Path) -> None:
    """By year, month, day, as the line has it: no field of the browser's that turns them round."""
    shown = browser.new_context(offline=True, locale="en-US").new_page()
    shown.goto((tmp_path / "return.html").as_uri())
    at = shown.input_value("#builder [name=at]")
    assert re.fullmatch(r"\d{4}-\d\d-\d\d \d\d:\d\d", at)
    assert shown.locator("#line-made").inner_text().startswith(at)
    assert shown.locator("#builder :invalid").count() == 0
    shown.fill("#builder [name=at]", "11/25/2026 10:48")
    assert shown.locator("#builder :invalid").count() == 1
    shown.context.close()
