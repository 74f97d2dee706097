"""The table of texts as the sources hold it, by Babel."""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import IO, Any

from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir, extract_javascript
from babel.messages.pofile import read_po, write_po

SOURCES = Path(__file__).parents[1] / "src" / "backbearing"
TABLE = SOURCES / "texts" / "messages.pot"
METHODS = [
    ("**.py", "tests.texts:texts_of_python"),
    ("**.html", "jinja2"),
    ("**.js", "tests.texts:texts_of_script"),
]
KEYWORDS = {"say": None, "phrase": None, "_": None, "say_n": (1, 2), "_n": (1, 2)}


def texts_of_python(
    file: IO[bytes], keywords: Any, comment_tags: Any, options: Any
) -> Iterator[tuple[int, str, object, list[str]]]:
    """Babel's own reader passes over calls that stand within f-strings."""
    for node in ast.walk(ast.parse(file.read())):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            said = [each.value if isinstance(each, ast.Constant) else None for each in node.args]
            if node.func.id in keywords and said and isinstance(said[0], str):
                yield node.lineno, node.func.id, tuple(said) if said[1:] else said[0], []


def texts_of_script(
    file: IO[bytes], keywords: Any, comment_tags: Any, options: Any
) -> Iterator[tuple[int, str, object, object]]:
    """In a script the word is `said`."""
    for line, _, said, comments in extract_javascript(file, {"said": None}, (), {}):
        yield line, "say", said, comments


def table_of_sources() -> Catalog:
    """All texts of the sources, each with the files it stands in."""
    no_day = datetime(2026, 1, 1, tzinfo=UTC)  # the same sources make the same bytes
    table = Catalog(project="backbearing", charset="utf-8", fuzzy=False, creation_date=no_day)
    table.header_comment = "# Texts of Backbearing, written by `make texts`: not to be edited."
    for file, _, text, comments, _ in extract_from_dir(
        SOURCES, METHODS, keywords=KEYWORDS, comment_tags=()
    ):
        table.add(text, None, [(file, 0)], auto_comments=comments)
    return table


def table_on_record() -> Catalog:
    """The table as it stands in the tree."""
    with TABLE.open("rb") as file:
        return read_po(file)


def texts_in(table: Catalog) -> set[str | tuple[str, ...]]:
    """Its texts: a string each, or the forms of one that counts."""
    return {m.id if isinstance(m.id, str) else tuple(m.id) for m in table if m.id}


def write_table() -> None:
    """Write the table anew."""
    with TABLE.open("wb") as file:
        write_po(
            file,
            table_of_sources(),
            width=100,
            sort_output=True,
            include_lineno=False,
            omit_header=False,
        )


if __name__ == "__main__":
    write_table()
    sys.stdout.write(f"{TABLE}\n")
