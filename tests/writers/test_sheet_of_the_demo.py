"""What the demo's sheet says in figures is what its page says, and nothing on it needs guessing."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path

import pytest

TAG = re.compile(r"<[^>]+>")


def cells(row: str) -> list[str]:
    """The words of a row's cells."""
    told = re.findall(r"<t[dh][^>]*>(.*?)</t[dh]>", row, re.DOTALL)
    return [unescape(TAG.sub("", cell)).strip() for cell in told]


def table_with(text: str, head: str) -> list[list[str]]:
    """The rows of the first table in whose head a word stands, its head first."""
    for found in re.findall(r"<table.*?</table>", text, re.DOTALL):
        rows = [cells(row) for row in re.findall(r"<tr.*?</tr>", found, re.DOTALL)]
        if rows and head in rows[0]:
            return rows
    raise AssertionError(head)


@pytest.fixture(scope="module")
def sheet(demo_of_november: Path) -> str:
    return (demo_of_november / "sheet.html").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def page(demo_of_november: Path) -> str:
    """The demo's page without its scripts and drawings."""
    text = (demo_of_november / "return.html").read_text(encoding="utf-8")
    return re.sub(r"<(script|svg)\b.*?</\1>", "", text, flags=re.DOTALL)


def test_seconds_by_the_clock_are_those_of_the_page(sheet: str, page: str) -> None:
    """Each minute on paper has the seconds and the range that the page has for it."""
    head, *rows = table_with(sheet, "begun at")
    assert head == ["begun at", "clear", "overcast"]
    assert len(rows) >= 4
    exposure = page.partition('id="exposure"')[2]
    shown = {clock: rest for clock, *rest in table_with(exposure, "Clock")}
    for clock, *told in rows:
        for paper, screen in zip(told, shown[clock], strict=True):
            assert re.sub(r"[\s()]", "", paper) == re.sub(r"[\s()]", "", screen), clock


def test_a_star_is_explained_and_means_what_it_says(sheet: str) -> None:
    """A distance outside of what is sharp has the star, and no other has."""
    _, *rows = table_with(sheet, "covers m")
    starred = 0
    for distance, _, _, *sharp in rows:
        away = float(distance.removesuffix(" m"))
        for told in sharp:
            near, _, far = re.sub(r"[ m*]", "", told).partition("–")
            holds = float(near) <= away and (far == "∞" or away <= float(far))
            assert holds is ("*" not in told), (distance, told)
            starred += not holds
    assert starred, "the demo has one: nearer than the lens goes"
    assert sheet.count("* the distance itself is not sharp then") == 1


def test_how_steep_the_way_back_is_stands_on_the_sheet_as_on_the_page(
    sheet: str, page: str
) -> None:
    """By leg, in a column named for it."""
    head, *rows = table_with(sheet, "steep; in sun")
    outing = page.partition('id="outing"')[2].partition("</section>")[0]
    _, *legs = table_with(outing, "Back to")
    told = [re.findall(r"(\d+)°", row[head.index("steep; in sun")]) for row in rows]
    assert told == [re.findall(r"(\d+)°", leg[-1]) for leg in legs]
    assert any(told)


def test_no_box_of_the_packing_list_parts_from_its_words(sheet: str) -> None:
    pack = sheet.partition("<h2>Pack</h2>")[2].partition("</p>")[0]
    assert pack.count("☐") > 10
    for each in re.split(" (?=☐)", pack)[1:]:
        assert re.match("☐\u00a0\\S", each)
        assert " " not in each, "a line may end there"
