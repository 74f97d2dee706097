"""Answers as plain text: tables and sentences for a terminal or a pipe."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence

from backbearing.errors import JOINERS

_LONGEST_CELL = 200  # characters; as long as a name may be


def clean(text: str) -> str:
    """Text from a file or a user, with control and direction-changing characters made visible."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(
        ch
        if ch in JOINERS or unicodedata.category(ch) not in ("Cc", "Cf", "Cs", "Zl", "Zp")
        else "�"
        for ch in text.replace("\n", " ").replace("\t", " ")
    )


def _short(cell: str) -> str:
    """A cell's text; one that is longer than any we write must not push all others apart."""
    return clean(cell if len(cell) <= _LONGEST_CELL else f"{cell[: _LONGEST_CELL - 1]}…")


def counted(number: int, one: str, more: str = "") -> str:
    """`1 track`, `2,000 tracks`; more: the plural where it takes more than an s."""
    return f"{number:,} {one if number == 1 else more or one + 's'}"


def _width(text: str) -> int:
    if text.isascii():
        return len(text)
    wide = sum(unicodedata.east_asian_width(ch) in "WF" for ch in text)
    joined = sum(unicodedata.combining(ch) != 0 or ch in JOINERS for ch in text)
    return len(text) + wide - joined


def table(head: Sequence[str], rows: Iterable[Sequence[str]], right: Sequence[int] = ()) -> str:
    """Rows under a head, columns as wide as their widest cell; `right` lists figures' columns.

    A table library costs 30 ms to import, a quarter of what a command that only reads the
    notebook may take, and folds at 80 columns in a pipe; hence these few lines.
    """
    cells = [[(text := _short(cell), _width(text)) for cell in row] for row in ([*head], *rows)]
    widths = [max(row[i][1] for row in cells) for i in range(len(head))]
    lines = []
    for row in cells:
        parts = []
        for i, (cell, width) in enumerate(row):
            pad = " " * (widths[i] - width)
            parts.append(pad + cell if i in right else cell + pad)
        lines.append("  ".join(parts).rstrip())
    return "\n".join(lines)
