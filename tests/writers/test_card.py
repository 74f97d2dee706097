"""The field card: every blank in its fixed order, on a sheet that needs nothing else."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest

from backbearing.writers.card import EXAMPLE, card_html, card_text

# issue 2, item 6: the blanks in the order in which they are filled in
ORDER = [
    "time",
    "waypoint no.",
    "open",
    "side of the line",
    "bank",
    "path",
    "bearing camera → subject",
    "M",
    "T",
    "distance",
    "taped",
    "paced",
    "top",
    "foot",
    "left",
    "right",
    "1",
    "2",
    "left the path at",
    "last sure feature",
    "not lit",
    "wind",
    "water",
    "snow",
    "three words",
    "facing it",
    "looking back",
    # what the record of a return needs besides (asked for by a photographer who used the card)
    "subject's name",
    "its facing",
    "light wanted",
    "blocked by",
    "next time",
]


class _Words(HTMLParser):
    """The text of a page, piece by piece, and every attribute in it."""

    def __init__(self) -> None:
        super().__init__()
        self.pieces: list[str] = []
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += attrs

    def handle_data(self, data: str) -> None:
        if data.strip():
            self.pieces.append(data.strip())


def in_order(wanted: list[str], pieces: list[str]) -> bool:
    rest = iter(pieces)
    return all(word in rest for word in wanted)


def test_the_text_card_has_every_blank_in_order() -> None:
    text = card_text()
    pieces = re.split(r"_+|\( \)|\s{2,}|\n", text)
    assert in_order(ORDER, [piece.strip() for piece in pieces])
    assert max(len(line) for line in text.splitlines()) <= 72
    assert EXAMPLE in text


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_sheet_has_four_cards_with_every_blank_in_order(paper: str) -> None:
    page = _Words()
    page.feed(card_html(paper))
    assert page.tags.count("section") == 4
    assert in_order(ORDER * 4, page.pieces)
    assert f"size: {paper}" in card_html(paper)


def test_a_sheet_asks_for_nothing_and_runs_nothing() -> None:
    page = _Words()
    page.feed(card_html())
    assert not {"script", "link", "img", "iframe"} & set(page.tags)
    assert not {"src", "href", "style"} & {name for name, _ in page.attributes}
    assert "url(" not in card_html()
    assert "default-src 'none'" in card_html()


def test_the_same_sheet_each_time() -> None:
    assert card_html() == card_html()
