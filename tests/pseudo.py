"""A language that is none: each letter of the table's texts takes another form, fields stay.

Where a page that speaks it still has a plain letter, that letter comes from no text of the table.
"""

from __future__ import annotations

import json
import re
import sqlite3
from collections.abc import Iterator
from contextlib import suppress
from html.parser import HTMLParser
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo

from backbearing.saying import DOMAIN, Language
from tests.texts import table_on_record

_WIDE = {ord(c): ord(c) + 0xFEE0 for c in map(chr, [*range(65, 91), *range(97, 123)])}
_READ_OUT = ("aria-label", "title", "alt", "placeholder", "data-is", "label", "aria-valuetext")


def wide(text: str) -> str:
    """The text with its letters wide: `Sun {height} up` to `Ｓｕｎ {height} ｕｐ`."""
    return "".join(
        part if part.startswith("{") else part.translate(_WIDE)
        for part in re.split(r"(\{[^{}]*\})", text)
    )


def pseudo_language(folder: Path) -> Language:
    """The language, its catalogue written into a folder."""
    catalogue = Catalog(locale="en", charset="utf-8", fuzzy=False)
    for message in table_on_record():
        if message.id:
            english = message.id
            said = wide(english) if isinstance(english, str) else tuple(map(wide, english))
            catalogue.add(english, said)
    target = folder / "qps" / "LC_MESSAGES"
    target.mkdir(parents=True)
    with (target / f"{DOMAIN}.mo").open("wb") as file:
        write_mo(file, catalogue)
    return Language(code="qps", folder=folder)


def words_on_record(notebook: Path) -> list[str]:
    """Every text the notebook holds, longest first: names, notes, files, what errors rest on."""
    found: set[str] = set()
    with sqlite3.connect(notebook) as connection:
        tables = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        for (table,) in tables.fetchall():
            if table.startswith(("gpkg_", "sqlite_")) or table in ("skylines", "originals", "bin"):
                continue
            for row in connection.execute(f'SELECT * FROM "{table}"'):
                for value in row:
                    if isinstance(value, str):
                        found.update(_strings(value))
        found.update(row[0] for row in connection.execute("SELECT file_name FROM originals"))
    connection.close()
    # short ones are keys, but for what a receiver calls a waypoint
    names = (word for word in found if len(word) > 3 or word.isupper())
    return sorted((word for word in names if re.search("[A-Za-z]", word)), key=len, reverse=True)


def _strings(text: str) -> Iterator[str]:
    """A text, or those within JSON; of a path its last part too, of brackets what they hold."""
    waiting: list[object] = [text]
    if text.startswith(("{", "[")):
        with suppress(ValueError):
            waiting = [json.loads(text)]
    while waiting:
        value = waiting.pop()
        if isinstance(value, str):
            yield from (value, value.rsplit("/", 1)[-1], *re.findall(r"\(([^()]+)\)", value))
        elif isinstance(value, dict):
            waiting += [*value, *value.values()]
        elif isinstance(value, list):
            waiting += value


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.texts: list[str] = []
        self.inside: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in ("script", "style", "code"):
            self.inside.append(tag)
        self.texts += [value for name, value in attrs if name in _READ_OUT and value]

    def handle_endtag(self, tag: str) -> None:
        if self.inside and self.inside[-1] == tag:
            self.inside.pop()

    def handle_data(self, data: str) -> None:
        if data.strip() and not self.inside:
            self.texts.append(" ".join(data.split()))


def texts_of(html: str) -> list[str]:
    """All a reader sees or hears of a page: text, labels, titles and what drawings hold."""
    reader = _Reader()
    reader.feed(html)
    return reader.texts
